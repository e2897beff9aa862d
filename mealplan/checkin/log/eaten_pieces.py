"""A meal's words put together: which amounts, sizes and foods belong to one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from foods.matching import normalised
from mealplan.checkin.log.eaten_amounts import SaidAmount
from mealplan.checkin.log.eaten_names import LONGEST_NAME, Edible, Lexicon, is_known_word
from mealplan.checkin.log.eaten_tokens import Token
from mealplan.checkin.log.eaten_vocabulary import (
    ACROSS,
    AND,
    CHAT,
    DRY,
    ENERGY,
    FLEXIBLE,
    NOTHING_ELSE,
    NUTRIENTS,
    SIZES,
    UNITS,
    VOLUMES,
    WEIGHTS,
    WITH,
    WITHOUT,
)

HEADS = frozenset(
    {"dish", "stew", "soup", "salad", "pastry", "sweet", "drink", "hot drink", "snack",
     "yoghurt", "sauce", "cereal"}
)  # fmt: skip
"""Kinds of food that are named by what is in them: banana cake, lentil soup."""


def _is_head(edible: Edible) -> bool:
    """Say whether a food is named by what is in it."""
    if edible.kind.name == "dish":
        return edible.swallows or edible.rest is not None
    return edible.kind.name in HEADS


@dataclass
class Piece:
    """One food of a meal with all that was said about it."""

    said: list[str] = field(default_factory=list)
    food: Edible | None = None
    inside: list[Edible] = field(default_factory=list)
    """Foods named before it that it is made of."""
    quantities: list[SaidAmount] = field(default_factory=list)
    sizes: list[str] = field(default_factory=list)
    energies: list[tuple[float, bool]] = field(default_factory=list)
    """Energy said [kcal], and whether it is that of each piece."""
    density: float = 0.0
    """Energy said for 100 g. [kcal]"""
    unknown: list[str] = field(default_factory=list)
    stray: list[str] = field(default_factory=list)
    """Words that are part of some name, yet name nothing here by themselves."""
    mended: list[str] = field(default_factory=list)
    joined: str = ""
    """``with`` or ``and`` what went before; empty for the first of a group."""
    dry: bool = False
    """True when it was weighed before it was cooked."""
    absent: bool = False
    """True for what was left out."""
    title: bool = False
    """True for a name behind which its parts are listed."""
    inner: bool = False
    """True for a part of such a list."""
    told_all: bool = False
    """True when its energy was told of all foods it names."""

    @property
    def empty(self) -> bool:
        """Whether nothing was said that could be eaten."""
        named = self.food or self.energies or self.unknown or self.stray
        return not (named or self.quantities)


def pieces_of(tokens: Sequence[Token], lexicon: Lexicon) -> list[Piece]:
    """
    Put the tokens of a meal together to foods.

    Parameters
    ----------
    tokens : sequence of Token
    lexicon : Lexicon

    Returns
    -------
    list of Piece
        In the order they were said.
    """
    reader = _Reader(tokens, lexicon)
    while reader.place < len(tokens):
        reader.step()
    reader.close("")
    for piece in reader.pieces:
        if piece.food is None and not piece.energies and not piece.unknown:
            piece.unknown = piece.stray
            piece.said += piece.stray
    return [piece for piece in reader.pieces if not piece.empty]


class _Reader:
    """Goes through the tokens once."""

    def __init__(self, tokens: Sequence[Token], lexicon: Lexicon) -> None:
        self.tokens = list(tokens)
        self.lexicon = lexicon
        self.place = 0
        self.pieces: list[Piece] = []
        self.now = Piece()
        self.listed = ""
        """Colon, dash or bracket behind which is listed what is in a food."""

    def close(self, joined: str) -> None:
        """End a food; the next one is joined to it in this way."""
        if self.listed and joined in (",", "and"):
            joined = "with"
        now = self.now
        if now.empty and not now.sizes:
            now.joined = joined or now.joined
            now.absent = now.absent and joined != ","
            now.inner = bool(self.listed)
            return
        self.pieces.append(now)
        self.now = Piece(joined=joined, inner=bool(self.listed))

    def step(self) -> None:
        """Take the next token or name."""
        token = self.tokens[self.place]
        if token.kind == "number":
            self._number(token)
        elif token.kind == "mark":
            self._mark(token)
        else:
            self._word(token)

    def _words_ahead(self) -> tuple[list[str], list[str]]:
        """Give the words that may be one name from here on."""
        texts: list[str] = []
        stems: list[str] = []
        place = self.place
        while place < len(self.tokens) and len(texts) < LONGEST_NAME:
            token = self.tokens[place]
            if token.kind == "mark" and token.text != "%":
                if token.text == "/" and texts and texts[-1] == "w":
                    place += 1
                    texts[-1] = stems[-1] = "with"
                    continue
                if token.text not in ("&",):
                    break
                texts.append("and")
                stems.append("and")
            elif token.text != "%":
                texts.append(token.text)
                stems.append(token.stem or token.text)
            place += 1
        return texts, stems

    def _mark(self, token: Token) -> None:
        self.place += 1
        named = self.now.food is not None or self.now.unknown or self.now.quantities
        if token.text in ":(-=" and named and not self.listed and self._lists():
            self.now.title = True
            self.listed = token.text
            self.close("with")
        elif token.text == ")":
            if self.listed == "(":
                self.listed = ""
                self.close(",")
        elif token.text in ",;+&.!:|-=":
            self.close("and" if token.text in "+&" else ",")
        elif token.text == "/" and self._previous() == "w":
            self.close("with")

    def _lists(self) -> bool:
        """Say whether a food is named right behind a colon or bracket."""
        word = self._word_at(self.place)
        if self.place < len(self.tokens) and self.tokens[self.place].kind == "number":
            return self._name_follows(self.place + 1)
        return bool(word) and self._name_follows(self.place)

    def _previous(self) -> str:
        return self.tokens[self.place - 2].text if self.place >= 2 else ""

    def _number(self, token: Token) -> None:
        if self._percent() or self._named_with_number(token):
            return
        following = self._word_at(self.place + 1)
        times = following == "x"
        at = self.place + (2 if times else 1)
        unit = self._word_at(at)
        if unit == "fl" and self._word_at(at + 1) in ("oz", "ounce", "ounces"):
            at, unit = at + 1, "floz"
        if unit in ENERGY:
            self._energy(token, at, unit)
            return
        if unit in ACROSS or (unit in WEIGHTS and self._tells_nutrient(at + 1)):
            self.place = at + (1 if unit in ACROSS else 2)
            return
        if self._starts_another():
            self.close("and")
        self.now.said.append(token.text)
        measure = ""
        if unit in WEIGHTS or unit in VOLUMES:
            measure, at = unit, at + 1
        elif self._is_measure(at):
            measure, at = UNITS[unit], at + 1
        before = self._previous_is_times()
        self.now.quantities.append(SaidAmount(token, measure, times or before))
        if measure:
            self.now.said.append(unit)
        self.place = at

    def _named_with_number(self, token: Token) -> bool:
        """Take a name that begins with a number: double cheeseburger, 3 egg omelette."""
        edible, used = self.lexicon.find(*self._words_ahead())
        if edible is None or used < 2:
            return False
        if self._starts_another():
            self.close("and")
        self._name(edible, used)
        return True

    def _tells_nutrient(self, place: int) -> bool:
        """Say whether grams are those of a nutrient: 20 g protein."""
        if self._word_at(place) not in NUTRIENTS:
            return False
        kept, self.place = self.place, place
        edible, _ = self.lexicon.find(*self._words_ahead())
        self.place = kept
        return edible is None

    def _percent(self) -> bool:
        """Skip a share of fat or cocoa that is no amount."""
        following = self.tokens[self.place + 1] if self.place + 1 < len(self.tokens) else None
        if following is None or following.text != "%":
            return False
        edible, used = self.lexicon.find(*self._words_ahead())
        if edible is None:
            self.place += 2
        else:
            self._name(edible, used + 1)
        return True

    def _previous_is_times(self) -> bool:
        return self.place > 0 and self.tokens[self.place - 1].text in ("x", "times", "of")

    def _word_at(self, place: int) -> str:
        if place < len(self.tokens) and self.tokens[place].kind == "word":
            return self.tokens[place].text
        return ""

    def _is_measure(self, place: int) -> bool:
        """Say whether a word is a household measure here, and not a food or part of its name."""
        word = self._word_at(place)
        if word not in UNITS:
            return False
        if UNITS[word] not in FLEXIBLE:
            kept, self.place = self.place, place
            edible, used = self.lexicon.find(*self._words_ahead())
            self.place = kept
            return edible is None or used == 1 or self._word_at(place + 1) == "of"
        following = self._word_at(place + 1)
        if following in ("of", "de", "du", "d", "von", "van"):
            return True
        kept, self.place = self.place, place
        edible, used = self.lexicon.find(*self._words_ahead())
        self.place = place + 1
        after, _ = self.lexicon.find(*self._words_ahead())
        self.place = kept
        return (edible is None or used == 1) and (after is not None or edible is None)

    def _starts_another(self) -> bool:
        """Say whether a number begins the next food: 2 eggs 1 toast, banana 120 g apple 80 g."""
        now = self.now
        if now.food is None:
            return False
        if now.quantities:
            return not self._previous_is_times() and not self._in_brackets()
        return self._name_follows(self.place + 1)

    def _in_brackets(self) -> bool:
        return self.place > 0 and self.tokens[self.place - 1].text == "("

    def _name_follows(self, place: int) -> bool:
        """Say whether a food is named right behind a number, past its measure."""
        while place < len(self.tokens):
            word = self.tokens[place]
            if word.kind != "word":
                return False
            kept, self.place = self.place, place
            edible, _ = self.lexicon.find(*self._words_ahead())
            self.place = kept
            if edible is not None:
                return True
            if not (word.text in UNITS or word.text in WEIGHTS or word.text in VOLUMES
                    or word.text in NOTHING_ELSE | DRY or word.text in SIZES):  # fmt: skip
                return False
            place += 1
        return False

    def _energy(self, token: Token, at: int, unit: str) -> None:
        value = token.value * ENERGY[unit]
        ahead = [self._word_at(at + n) or self._mark_at(at + n) for n in range(1, 4)]
        per = ahead[0] in ("per", "/", "pro", "je")
        hundred = per and at + 2 < len(self.tokens) and self.tokens[at + 2].value == 100
        self.now.said += [token.text, unit]
        if hundred:
            self.now.density = value
            self.place = min(len(self.tokens), at + 4)
            return
        before = self.tokens[self.place - 1].text if self.place else ""
        one = ahead[0] in ("a", "an", "one") and ahead[1] in (*UNITS, "piece", "pop")
        each = ahead[0] in ("each", "apiece") or per or one or before in ("at", "each", "je")
        self.now.energies.append((value, each))
        whole = {"total", "altogether", "overall", "all"} & set(ahead[:2])
        self.now.said += ["total"] if whole or before in ("total", "altogether") else []
        self.place = at + (2 if ahead[0] in ("each", "apiece") else 3 if per or one else 1)

    def _mark_at(self, place: int) -> str:
        return self.tokens[place].text if place < len(self.tokens) else ""

    def _word(self, token: Token) -> None:
        edible, used = self.lexicon.find(*self._words_ahead())
        word = token.text
        if edible is not None and (used > 1 or not self._only_word(word)):
            if word in AND or word in WITH:
                self.close("with" if word in WITH else "and")
            self._name(edible, used)
            return
        self.place += 1
        if word in WITHOUT or (word in ("or", "nor") and self.now.absent):
            self.close("without")
            self.now.absent = True
        elif word in WITH:
            self.close("with")
        elif word in AND:
            self.close("and")
        elif word == "x" or word in NOTHING_ELSE or word in DRY:
            self.now.dry = self.now.dry or word in DRY
        elif word in SIZES:
            self.now.sizes.append(word)
        elif word in UNITS:
            self._bare_measure(word)
        elif edible is not None:
            self.place -= 1
            self._name(edible, used)
        else:
            self._unknown(token)

    def _only_word(self, word: str) -> bool:
        """Say whether a word that is a food as well means something else here."""
        if word in UNITS:
            return self._is_measure(self.place)
        return word in WITH or word in AND or word in WITHOUT

    def _bare_measure(self, word: str) -> None:
        if self.now.food is None or not self.now.quantities:
            if self.now.food is not None and self._name_follows(self.place):
                self.close("and")
            one = Token("number", "1", 1.0, 1.0, 1.0)
            last = self.now.quantities[-1] if self.now.quantities else None
            if last is not None and not last.unit:
                self.now.quantities[-1] = SaidAmount(last.number, UNITS[word], last.times)
            elif last is None or UNITS[word] != last.unit:
                self.now.quantities.append(SaidAmount(one, UNITS[word]))
            self.now.said.append(word)

    def _name(self, edible: Edible, used: int) -> None:
        words = [t.text for t in self.tokens[self.place : self.place + used]]
        self.place += used
        now = self.now
        if now.food is not None:
            if now.quantities and len(now.said) and self._after_amount():
                self.close("and")
            elif _is_head(edible) and not now.energies:
                now.inside.append(now.food)
            else:
                self.close("with" if _is_head(now.food) else "and")
        self.now.food = edible
        self.now.said += words

    def _after_amount(self) -> bool:
        """Say whether the amount stands behind the food before, so that it is complete."""
        return self.now.said[-1][:1].isdigit() or self.now.said[-1] in WEIGHTS

    def _unknown(self, token: Token) -> None:
        word = token.text
        if len(word) <= 2 or word.endswith("'s"):
            return
        if is_known_word(word, token.stem, self.lexicon):
            if word not in NOTHING_ELSE and word not in CHAT:
                self.now.stray.append(word)
            return
        mended = self.lexicon.mend(word)
        if not mended:
            self.now.unknown.append(word)
            self.now.said.append(word)
            return
        self.place -= 1
        self.tokens[self.place] = Token("word", mended, stem=normalised(mended) or mended)
        self.now.mended.append(word)
