"""
What is said beside the foods of a meal taken out before they are read: when, where, why, by whom.

Clock times, places, chatter, who told an energy, and slips of the pen. Words that could name a
food stay, to be asked about. Every function goes through the words once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from foods.composition.food_words import normalised
from mealplan.checkin.log.eaten_lexicon import LONGEST_NAME, Edible, Lexicon
from mealplan.checkin.log.eaten_names import changing_words, is_known_word
from mealplan.checkin.log.eaten_tokens import Token
from mealplan.checkin.log.eaten_vocabulary import (
    AND,
    CHAT,
    COULD_CHANGE,
    ENERGY,
    NOTHING_ELSE,
    SOURCES,
    UNITS,
    VOLUMES,
    WEIGHTS,
)
from mealplan.checkin.table.words import word_set

_PLACED = word_set(
    "before after during at from off for by while near around outside until till since "
    "through throughout between under beside behind"
)
"""A remark may follow these without an article; food seldom does."""
_HOLDS = frozenset({"on", "in", "to", "into", "over", "inside", "onto"})
"""A remark follows these behind an article or a possessive only; bread holds what is on it."""
_MINE = frozenset({"my", "his", "her", "our", "your", "their"})
_ARTICLES = _MINE | {"the", "a", "an", "this", "that"}
_PLACES = word_set(
    "place shop bar house van truck stand stall restaurant joint counter machine cart kiosk "
    "party company festival cafe store market aisle corner"
)
"""Behind a food these name where it was bought or eaten."""
_MEALS = word_set(
    "breakfast lunch dinner supper brunch snack dessert starter main mains tea afters"
)
_CLOCK = frozenset({"am", "pm", "uhr", "oclock", "o'clock", "hrs"})
_LASTS = word_set(
    "min mins minute minutes minuten h hr hrs hour hours stunden km kms miles mile sec secs "
    "seconds days weeks years reps sets laps steps"
)
"""Behind a number these tell how long or how far."""
_TELLS = word_set(
    "says said say saying reads read claims claimed showed shows states stated gave gives "
    "listed lists has had was is tells told"
)
_ABOUT = word_set("about around roughly ca circa approx approximately it it's the of")
_NOT_TAKEN = word_set("eat have touch want like manage take use add drink")
_DENIES = word_set(
    "didn't didnt couldn't couldnt wouldn't wouldnt don't dont won't wont can't cant"
)
_SWAPS = word_set("swapped swopped switched exchanged traded replaced substituted")
_MOST_REMARK = 5
"""Words a remark takes at most."""
_MISSPELT = {
    "bred": "bread", "breads": "bread", "coke": "cola", "cokes": "cola", "tost": "toast",
    "currie": "curry", "spagetti": "spaghetti", "bolognase": "bolognese",
    "curries": "curry", "beens": "beans", "beenz": "beans", "blck": "black",
    "tofoo": "tofu", "frzn": "frozen", "burg": "burger", "burgs": "burgers", "mlk": "milk",
    "sammie": "sandwich", "sammies": "sandwiches", "sanger": "sandwich", "sangers": "sandwiches",
    "sarnie": "sandwich", "sarnies": "sandwiches", "butties": "sandwiches", "sarney": "sandwich",
    "hommus": "hummus", "houmus": "hummus", "spuds": "potatoes", "tatties": "potatoes",
    "choccy": "chocolate", "veges": "vegetables", "nanas": "bananas", "nana": "banana",
    "yog": "yogurt", "yoghurts": "yogurt", "pud": "pudding", "brocolli": "broccoli",
}  # fmt: skip
"""Slips of the pen and short forms of everyday talk (common practice)."""
_LEAST_KCAL = 100.0
"""A number a label says is energy from here on where no unit is said. [kcal]"""


def without_remarks(
    tokens: Sequence[Token], lexicon: Lexicon
) -> tuple[list[Token], list[str], tuple[str, ...]]:
    """
    Take out what is said beside the foods.

    Parameters
    ----------
    tokens : sequence of Token
    lexicon : Lexicon

    Returns
    -------
    tokens : list of Token
        With slips of the pen mended.
    asks : list of str
        What was taken one way and may be meant another.
    unused : tuple of str
        Words set apart that may change what was eaten or how much of it there was.
    """
    timeless = _timeless(tokens)
    sweep = _Sweep(timeless, lexicon)
    while sweep.place < len(sweep.tokens):
        sweep.step()
    kept = {token.at for token in sweep.left} | sweep.used
    unused = tuple(
        token.text
        for token in timeless
        if token.at >= 0 and token.at not in kept and _counts(token)
    )
    return sweep.left, sweep.asks, unused


def _counts(token: Token) -> bool:
    """Say whether a word may change what was eaten or how much of it there was."""
    if token.kind == "number":
        return token.text not in ("a", "an", "one", "un", "une", "ein", "eine", "una")
    return token.text in COULD_CHANGE or token.text in changing_words()


def _timeless(tokens: Sequence[Token]) -> list[Token]:
    """Take clock times out: at 7, 7 pm, 12:30, um 8 Uhr."""
    left: list[Token] = []
    place = 0
    while place < len(tokens):
        used = _time_here(tokens, place)
        if used:
            while left and left[-1].text in ("at", "around", "about", "um", "by", "from", "@"):
                left.pop()
            left.append(Token("mark", ";"))
        else:
            left.append(tokens[place])
        place += used or 1
    return left


def _text(tokens: Sequence[Token], place: int) -> str:
    return tokens[place].text if 0 <= place < len(tokens) else ""


def _time_here(tokens: Sequence[Token], place: int) -> int:
    token = tokens[place]
    if token.kind != "number" or not token.text[:1].isdigit():
        return 0
    if _text(tokens, place + 1) in _LASTS:
        return 2
    if not 0 <= token.value <= 24:
        return 0
    after, then = _text(tokens, place + 1), _text(tokens, place + 2)
    if after == ":" and len(then) == 2 and then.isdigit() and int(then) < 60:
        return 4 if _text(tokens, place + 3) in _CLOCK else 3
    if after in _CLOCK and (after != "am" or token.value <= 12):
        return 2
    if after == "o" and then == "clock":
        return 3
    if _text(tokens, place - 1) not in ("at", "um") or token.value != int(token.value):
        return 0
    measured = after in UNITS or after in WEIGHTS or after in VOLUMES or after in ENERGY
    return 0 if measured or after in ("%", "x", "each", "per") else 1


class _Sweep:
    """Goes through the words once, name by name."""

    def __init__(self, tokens: Sequence[Token], lexicon: Lexicon) -> None:
        self.tokens = list(tokens)
        self.lexicon = lexicon
        self.place = 0
        self.left: list[Token] = []
        self.asks: list[str] = []
        self.named = False
        """Whether a food was named before."""
        self.used: set[int] = set()
        """Places of words taken out that were of use."""

    def step(self) -> None:
        """Keep or drop what comes next."""
        token = self.tokens[self.place]
        for reader in (
            self._made,
            self._told,
            self._turned,
            self._as_dish,
            self._swap,
            self._denied,
            self._remark,
        ):
            used = reader()
            if used:
                self.place += used
                return
        if token.kind == "word":
            self._word(token)
            return
        self.left.append(token)
        self.place += 1

    def _find(self, place: int) -> tuple[Edible | None, int]:
        texts: list[str] = []
        stems: list[str] = []
        for token in self.tokens[place : place + LONGEST_NAME]:
            if token.kind == "mark":
                break
            texts.append(token.text)
            stems.append(token.stem or token.text)
        return self.lexicon.find(texts, stems) if texts else (None, 0)

    def _word(self, token: Token) -> None:
        edible, used = self._find(self.place)
        word = token.text
        if edible is not None:
            self.named = True
            self.left += self.tokens[self.place : self.place + used]
            self.place += used
            return
        self.place += 1
        if "'" in word or (word in CHAT and word not in UNITS):
            return
        mended = self._mended(token)
        if mended and mended != word:
            self.place -= 1
            self.tokens[self.place] = replace(token, text=mended, stem=normalised(mended) or mended)
            if mended not in self.lexicon.words:
                self.left.append(self.tokens[self.place])
                self.place += 1
            return
        self.left.append(token)

    def _mended(self, token: Token) -> str:
        word = token.text
        if word in _MISSPELT:
            return _MISSPELT[word]
        if len(word) <= 2 or is_known_word(word, token.stem, self.lexicon):
            return ""
        return self.lexicon.mend(word)

    def _made(self) -> int:
        """Read made with 60 g oats as a list of what is in it."""
        words = [t.text for t in self.tokens[self.place : self.place + 2]]
        if words[:1] == ["from"] and self.named and self._weighed_at(self.place + 1):
            self.left.append(Token("mark", "="))
            return 1
        if words not in (["made", "with"], ["made", "of"], ["made", "from"], ["consisting", "of"]):
            return 0
        if not self._number_at(self.place + 2) or self._find(self.place)[1] > 1:
            return 0
        self.left.append(Token("mark", "="))
        return 2

    def _weighed_at(self, place: int) -> bool:
        return self._number_at(place) and _text(self.tokens, place + 1) in WEIGHTS

    def _told(self) -> int:
        """Drop who tells an energy: the menu said, app says, according to the label."""
        at = self.place
        while _text(self.tokens, at) in (*_ARTICLES, "per", "according", "to", "on", "by", "and"):
            at += 1
        source = _text(self.tokens, at)
        if source in _TELLS and _text(self.tokens, at + 1) in _ARTICLES:
            at += 2
            source = _text(self.tokens, at)
            return at + 1 - self.place if source in SOURCES else 0
        if source in _TELLS and self.named and self._number_at(at + 1):
            return self._energy_said(at + 1)
        if source not in SOURCES:
            return 0
        behind = bool(self.left) and self.left[-1].text in ENERGY
        lead = [t.text for t in self.tokens[self.place : at]]
        if behind and any(w in ("per", "to", "on", "by") for w in lead):
            return at + 1 - self.place
        if behind and _text(self.tokens, at + 1) in _TELLS and not self._number_at(at + 2):
            return at + 2 - self.place
        after = at + 1
        while _text(self.tokens, after) in SOURCES:
            after += 1
        tells = 0
        while _text(self.tokens, after) in _TELLS or _text(self.tokens, after) in (":", *_ABOUT):
            tells += _text(self.tokens, after) in _TELLS or _text(self.tokens, after) == ":"
            after += 1
        beside = _text(self.tokens, after + 1) in ENERGY and not self._counted()
        if not self._number_at(after) or not (tells or beside):
            return 0
        return self._energy_told(after)

    def _counted(self) -> bool:
        """Say whether what comes next is counted, and so may be eaten: 2 boxes 300 kcal."""
        return bool(self.left) and self.left[-1].kind == "number"

    def _number_at(self, place: int) -> bool:
        return place < len(self.tokens) and self.tokens[place].kind == "number"

    def _energy_said(self, place: int) -> int:
        """Set an energy apart that is told of the food before: says 214 kcal."""
        if _text(self.tokens, place + 1) not in ENERGY:
            return 0
        self.left.append(Token("mark", ","))
        return place - self.place

    def _energy_told(self, after: int) -> int:
        """Set the energy told apart from the food before it."""
        unit = _text(self.tokens, after + 1)
        if unit in WEIGHTS or unit in VOLUMES or unit in UNITS:
            return 0
        used = after - self.place
        if unit not in ENERGY:
            number = self.tokens[after]
            if number.value < _LEAST_KCAL:
                return 0
            self.asks.append(f"“{number.text}” is read as kcal; write its unit if it is grams")
            self.left += [Token("mark", ","), number, Token("word", "kcal", stem="kcal")]
            return used + 1
        self.left.append(Token("mark", ","))
        return used

    def _turned(self) -> int:
        """Read milk of oat and soup of lentils as oat milk and lentil soup."""
        words = self.tokens[self.place : self.place + 3]
        if len(words) < 3 or words[1].text not in ("of", "from") or words[0].kind != "word":
            return 0
        head, part = words[0], words[2]
        if head.text in UNITS or part.kind != "word" or self._find(self.place)[1] > 1:
            return 0
        texts = [part.text, head.text]
        if self.lexicon.find(texts, [part.stem, head.stem])[1] != len(texts):
            return 0
        self.left += [part, head]
        self.used |= {words[1].at}
        self.named = True
        return len(words)

    def _as_dish(self) -> int:
        """Read 100 g lentils as soup as lentils in a soup."""
        if _text(self.tokens, self.place) != "as" or not self.named:
            return 0
        after = self.place + (2 if _text(self.tokens, self.place + 1) in _ARTICLES else 1)
        edible, _ = self._find(after)
        if edible is None or edible.kind.name not in ("soup", "stew", "dish", "salad"):
            return 0
        self.left.append(Token("word", "in", stem="in"))
        return after - self.place

    def _swap(self) -> int:
        """Leave out what was swapped for something else."""
        words = [t.text for t in self.tokens[self.place : self.place + 3]]
        if words[:2] in (["instead", "of"], ["rather", "than"]) or words == ["in", "place", "of"]:
            self.left.append(Token("word", "without", stem="without"))
            return 3 if words[0] == "in" else 2
        if words[:1] and words[0] not in _SWAPS:
            return 0
        if self.named and words[1:2] in (["for"], ["with"], ["by"]):
            while self.left and self.left[-1].kind != "mark" and self.left[-1].text not in AND:
                self.left.pop()
            return 2
        for at in range(self.place + 1, min(len(self.tokens), self.place + 8)):
            if self.tokens[at].kind == "mark":
                break
            if self.tokens[at].text in ("for", "with", "by", "to"):
                return at + 1 - self.place
        return 1

    def _denied(self) -> int:
        """Read did not eat the rice as without the rice, and drop what else is denied."""
        words = [t.text for t in self.tokens[self.place : self.place + 3]]
        first = words[:1] and words[0] in _DENIES
        two = words[:2] in (["did", "not"], ["do", "not"], ["could", "not"])
        many = 1 if first else 2 if two else 0
        if not many and words[:1] and words[0] in ("skipped", "left", "omitted", "skip"):
            return self._left_out(words)
        if not many:
            return 0
        if words[many : many + 1] and words[many] in _NOT_TAKEN:
            self.left += [Token("mark", ","), Token("word", "without", stem="without")]
            return many + 1
        return many + (1 if words[many : many + 1] and words[many] in CHAT else 0)

    def _left_out(self, words: list[str]) -> int:
        """Read skipped the bread, left out the rice as without it."""
        many = 2 if words[1:2] in (["out"], ["off"]) else 1
        if _text(self.tokens, self.place + many) not in _ARTICLES or (
            many == 1 and (self._find(self.place + 2)[0] is None)
        ):
            return 0
        self.left += [Token("mark", ","), Token("word", "without", stem="without")]
        return many + 1

    def _remark(self) -> int:
        """Drop when, where and with whom: before intervals, at my sister's party, on the bike."""
        word = _text(self.tokens, self.place)
        if word not in _PLACED and word not in _HOLDS and word not in ("with", "w"):
            return 0
        edible, used = self._find(self.place)
        if edible is not None and used > 1:
            return 0
        at = self.place + 1
        owned = article = False
        while _text(self.tokens, at) in _ARTICLES:
            owned = owned or _text(self.tokens, at) in _MINE
            article = True
            at += 1
        if (word in _HOLDS and not article) or (word in ("with", "w") and not owned):
            return 0
        return self._remark_words(at)

    def _remark_words(self, at: int) -> int:
        begin = at
        while at < len(self.tokens) and at < begin + _MOST_REMARK:
            token = self.tokens[at]
            word = token.text
            if token.kind != "word" or (word in AND and at > begin) or word == "with":
                break
            edible, used = self._find(at)
            if edible is not None and _text(self.tokens, at + used) in _PLACES:
                at += used + 1
                continue
            if word in _PLACED or word in _HOLDS:
                break
            if edible is not None or word in UNITS or self._may_be_food(token):
                return 0 if at == begin else self._early(begin, at)
            at += 1
            if word in _MEALS or (word in NOTHING_ELSE and not self.named):
                break
        return at - self.place if at > begin else 0

    def _early(self, begin: int, at: int) -> int:
        """End a remark where a food begins right behind it."""
        return at - self.place if at > begin else 0

    def _may_be_food(self, token: Token) -> bool:
        """Say whether a word is likely a food with a slip of the pen."""
        if token.text in _MISSPELT:
            return True
        if is_known_word(token.text, token.stem, self.lexicon):
            return False
        mended = self.lexicon.mend(token.text)
        return bool(mended) and mended in self.lexicon.words
