"""A meal's words put together: which amounts, sizes and foods belong to one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from foods.composition.food_words import normalised
from mealplan.checkin.log.eaten_cursor import Cursor
from mealplan.checkin.log.eaten_joined import PACKS, sense_of, split_name, spoken_words
from mealplan.checkin.log.eaten_lexicon import Edible, Lexicon
from mealplan.checkin.log.eaten_measures import SaidAmount
from mealplan.checkin.log.eaten_modifiers import modifier_ahead
from mealplan.checkin.log.eaten_names import changing_words, is_known_word
from mealplan.checkin.log.eaten_piece import Piece, is_head
from mealplan.checkin.log.eaten_tokens import Token
from mealplan.checkin.log.eaten_vocabulary import (
    ACROSS,
    AND,
    CHAT,
    COULD_CHANGE,
    DRAINED,
    DRY,
    ENERGY,
    NOTHING_ELSE,
    SIZES,
    UNITS,
    USUAL_ACROSS,
    VOLUMES,
    WEIGHTS,
    WITH,
    WITHOUT,
)

_BEFORE_A_THING = frozenset({"the", "a", "my", "in", "at", "from", "frying"})
"""Behind these, words that name a food in another language are English: in the pan."""
_TWICE = {"twice": 2.0, "thrice": 3.0}
"""Words that multiply what they follow."""
_HARMLESS = (NOTHING_ELSE | CHAT | AND | WITH | WITHOUT) - changing_words() - COULD_CHANGE
"""Words that leave what was eaten and how much of it as they are."""


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
    return pieces_and_unused(tokens, lexicon, frozenset())[0]


def pieces_and_unused(
    tokens: Sequence[Token], lexicon: Lexicon, spoken: frozenset[str]
) -> tuple[list[Piece], tuple[str, ...]]:
    """
    Put the tokens of a meal together to foods, and name the words that were of no use.

    Parameters
    ----------
    tokens : sequence of Token
    lexicon : Lexicon
    spoken : frozenset of str
        Every word of the sentence, those set apart before included; they tell which of several
        foods a word names.

    Returns
    -------
    pieces : list of Piece
        In the order they were said.
    unused : tuple of str
        Words that are neither part of a food, its amount or its state nor without meaning.
    """
    reader = _Reader(tokens, lexicon, spoken | spoken_words(tokens))
    while reader.place < len(reader.tokens):
        reader.step()
    reader.close("")
    pieces = _named_pieces(reader)
    unused = tuple(
        token.text
        for token in reader.tokens
        if token.kind != "mark" and token.at >= 0 and token.at not in reader.taken
        and token.text not in _HARMLESS and not token.text.endswith("'s")
    )  # fmt: skip
    return pieces, unused


def _named_pieces(reader: _Reader) -> list[Piece]:
    """Give the pieces that say something; words that name nothing stand for a food unknown."""
    for piece in reader.pieces:
        if piece.food is None and not piece.energies and not piece.unknown:
            piece.unknown = piece.stray
            piece.said += piece.stray
            reader.taken |= {t.at for t in reader.tokens if t.text in piece.stray}
    last = reader.pieces[-1] if reader.pieces else Piece()
    if last.empty and last.sizes:  # huge, at the end: all that was not measured
        for piece in reader.pieces[:-1]:
            piece.sizes += last.sizes if not piece.quantities and not piece.sizes else []
    return [piece for piece in reader.pieces if not piece.empty]


def _same_food(first: Edible, second: Edible) -> bool:
    """Say whether two names stand for one food: arborio rice, penne pasta."""
    return bool(first.number) and first.number == second.number and first.kind is second.kind


class _Reader(Cursor):
    """Goes through the tokens once."""

    def __init__(self, tokens: Sequence[Token], lexicon: Lexicon, spoken: frozenset[str]) -> None:
        super().__init__(tokens, lexicon)
        self.spoken = spoken
        self.pieces: list[Piece] = []
        self.listed = ""
        """Colon, dash or bracket behind which is listed what is in a food."""
        self.beside = False
        """Whether nothing but its modifiers stands between the next food and the one before."""

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
        elif token.text == "/":
            self.close("with" if self._previous() == "w" else ",")

    def _lists(self) -> bool:
        """Say whether a food is named right behind a colon or bracket."""
        word = self._word_at(self.place)
        if self.place < len(self.tokens) and self.tokens[self.place].kind == "number":
            return self._name_follows(self.place + 1)
        return bool(word) and self._name_follows(self.place)

    def _number(self, token: Token) -> None:
        if self._percent() or self._named_with_number(token):
            return
        words = self._words_ahead()[0]
        if token.text == "half" and modifier_ahead(words)[1] > 1 and self._modified(words, None, 0):
            return
        following = self._word_at(self.place + 1)
        times = following == "x"
        at = self.place + (2 if times else 1)
        unit = self._word_at(at)
        if unit == "fl" and self._word_at(at + 1) in ("oz", "ounce", "ounces"):
            at, unit = at + 1, "floz"
        if unit in ENERGY:
            self._energy(token, at, unit)
        elif not self._tells_else(unit, at):
            self._amount(token, at, times=times)

    def _tells_else(self, unit: str, at: int) -> bool:
        """Pass over a number that tells how wide a thing was or what nutrients it held."""
        if unit in ACROSS:
            usual = self.tokens[self.place].value in USUAL_ACROSS
            self._take(self.place, at + 1 if usual else self.place)
            self.place = at + 1
            return True
        if unit not in WEIGHTS or not self._tells_nutrient(at + 1):
            return False
        if self._word_at(at + 1) not in ("carb", "carbs", "carbohydrate", "carbohydrates"):
            self._take(self.place, at + 2)
        self.place = at + 2
        return True

    def _amount(self, token: Token, at: int, *, times: bool) -> None:
        """Take a number with its measure, and whether it is that of each, of a pack, or told."""
        own = not self.now.quantities and self._own_measure(at)
        if not own and self._starts_another():
            self.close("and")
        self.now.said.append(token.text)
        times = times or self._previous_is_times()
        apart = self._in_brackets()
        each = self._word_at(self.place - 1) == "each"
        unit, measure, pack = self._word_at(at), "", False
        if unit in WEIGHTS or unit in VOLUMES:
            measure = unit
            pack = UNITS.get(self._word_at(at + 1), "") in PACKS and self._is_measure(at + 1)
        elif self._is_measure(at):
            measure = UNITS[unit]
        else:
            measure = self._own_measure(at)
        at += bool(measure) + pack
        if self._word_at(at) in ("each", "apiece"):
            each, at = True, at + 1
        self.now.quantities.append(
            SaidAmount(token, measure, times, pack=pack, each=each, apart=apart)
        )
        self.now.said += [unit] if measure else []
        self.now.times_behind = self.now.food is not None and times
        self._take(self.place, at)
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

    def _percent(self) -> bool:
        """Skip a share of fat or cocoa that is no amount."""
        following = self.tokens[self.place + 1] if self.place + 1 < len(self.tokens) else None
        if following is None or following.text != "%":
            return False
        edible, used = self.lexicon.find(*self._words_ahead())
        if edible is None:
            many = 3 if self._word_at(self.place + 2) in ("fat", "cocoa", "cacao") else 2
            self._take(self.place, self.place + many)
            self.place += many
        else:
            self._name(edible, used + 1)
        return True

    def _starts_another(self) -> bool:
        """Say whether a number begins the next food: 2 eggs 1 toast, banana 120 g apple 80 g."""
        now = self.now
        if now.food is None:
            return False
        if now.quantities:
            return not self._previous_is_times() and not self._in_brackets()
        return self._name_follows(self.place + 1)

    def _energy(self, token: Token, at: int, unit: str) -> None:
        value = token.value * ENERGY[unit]
        ahead = [self._word_at(at + n) or self._mark_at(at + n) for n in range(1, 4)]
        per = ahead[0] in ("per", "/", "pro", "je")
        hundred = per and at + 2 < len(self.tokens) and self.tokens[at + 2].value == 100
        self.now.said += [token.text, unit]
        begin = self.place
        if hundred:
            self.now.density = value
            self.place = min(len(self.tokens), at + 4)
            self._take(begin, self.place)
            return
        before = self.tokens[self.place - 1].text if self.place else ""
        one = ahead[0] in ("a", "an", "one") and ahead[1] in (*UNITS, "piece", "pop")
        counted = self.now.food is None and self.now.quantities and self._name_follows(at + 1)
        each = ahead[0] in ("each", "apiece") or per or one or before in ("at", "each", "je")
        each = each or bool(counted)
        self.now.energies.append((value, each))
        whole = {"total", "altogether", "overall", "all"} & set(ahead[:2])
        self.now.said += ["total"] if whole or before in ("total", "altogether") else []
        self.taken |= {t.at for t in self.tokens if t.text in ("total", "altogether", "all")}
        self.place = at + (2 if ahead[0] in ("each", "apiece") else 3 if per or one else 1)
        self._take(begin, self.place)

    def _word(self, token: Token) -> None:
        word = token.text
        texts, stems = self._words_ahead()
        edible, used = self._named_ahead(texts, stems)
        if self._modified(texts, edible, used):
            return
        if edible is not None and (used > 1 or not self._only_word(word)):
            if word in AND or word in WITH:
                self.close("with" if word in WITH else "and")
            self._name(edible, used)
            return
        self.place += 1
        if self._joins(word) or self._says_state(word) or self._says_measure(token):
            return
        if word == "x":
            self.taken.add(token.at)
        elif word in NOTHING_ELSE:
            return
        elif edible is not None:
            self.place -= 1
            self._name(edible, used)
        else:
            self._unknown(token)

    def _named_ahead(self, texts: list[str], stems: list[str]) -> tuple[Edible | None, int]:
        """Find a name; boiled sweet potato is no sweet, and in the pan no bread."""
        edible, used = self.lexicon.find(texts, stems)
        typed = " ".join(texts[:used])
        by_stem = edible is not None and used > 1 and typed not in self.lexicon.names
        if by_stem and texts[used - 1] in changing_words():
            return self.lexicon.find(texts[: used - 1], stems[: used - 1])
        before = self._word_at(self.place - 1)
        if used == 1 and typed in NOTHING_ELSE and before in _BEFORE_A_THING:
            return None, 0
        return edible, used

    def _joins(self, word: str) -> bool:
        """Take a word that ends a food and says how the next one is joined to it."""
        if word in WITHOUT or (word in ("or", "nor") and self.now.absent):
            self._take(self.place - 1, self.place)
            self.close("without")
            self.now.absent = True
        elif word in WITH or word in AND:
            self.close("with" if word in WITH else "and")
        else:
            return False
        return True

    def _says_state(self, word: str) -> bool:
        """Take a word that says how a food was weighed or how large it was."""
        if word in DRAINED:
            self.now.drained = True
        elif word in DRY:
            self.now.dry = True
            self.now.said.append(word)
        elif word in SIZES:
            if word != "family" or self._sized_ahead():
                self.now.sizes.append(word)
        else:
            return False
        self._take(self.place - 1, self.place)
        return True

    def _sized_ahead(self) -> bool:
        """Say whether family is a size here, of a pack or a pizza, and no people."""
        following = self._word_at(self.place)
        return following in UNITS or following in SIZES or self._name_follows(self.place)

    def _says_measure(self, token: Token) -> bool:
        """Take a measure without a number, or twice."""
        word = token.text
        if word in _TWICE and self.now.food is not None:
            self._twice(token)
        elif word in VOLUMES and self._word_at(self.place) in ("of", "de", "du", "von"):
            self.now.quantities.append(SaidAmount(Token("number", "1", 1.0, 1.0, 1.0), word))
            self.taken.add(token.at)
        elif word in UNITS or self._own_measure(self.place - 1):
            self._bare_measure(UNITS.get(word) or self._own_measure(self.place - 1), word)
        else:
            return False
        return True

    def _modified(self, texts: list[str], edible: Edible | None, used: int) -> bool:
        """Take a word that makes another food of the one beside it: fried, sugar free."""
        denied = texts[0] == "not"
        phrase, many = modifier_ahead(texts[1:] if denied else texts)
        plain = " ".join(texts[:used]) in self.lexicon.names
        named = edible is not None and not denied and used >= many and plain
        if not phrase or (named and (used > many or not self._name_follows(self.place + many))):
            return False
        if phrase in DRY and not self._dries_fruit():
            return False
        many += denied
        self._take(self.place, self.place + many)
        if self.now.food is not None and self._name_follows(self.place + many):
            self.beside = not self.now.quantities
            self.close("and")
        self.place += many
        if not denied:
            self.now.modifiers.append(phrase)
            self.now.said.append(phrase)
        return True

    def _dries_fruit(self) -> bool:
        """Say whether dried is said of a fruit; of grain and pulses it says how it was weighed."""
        kept, self.place = self.place, self.place + 1
        after, _ = (
            self.lexicon.find(*self._words_ahead()) if self._word_at(self.place) else (None, 0)
        )
        self.place = kept
        food = after or self.now.food
        return food is not None and food.kind.name == "fruit"

    def _twice(self, token: Token) -> None:
        value = _TWICE[token.text]
        number = Token("number", token.text, value, value, value)
        self.now.quantities.append(SaidAmount(number, "", times=True))
        self.now.times_behind = True
        self.now.said.append(token.text)
        self.taken.add(token.at)

    def _only_word(self, word: str) -> bool:
        """Say whether a word that is a food as well means something else here."""
        if word in UNITS:
            return self._is_measure(self.place)
        return word in WITH or word in AND or word in WITHOUT

    def _bare_measure(self, unit: str, word: str) -> None:
        if self.now.food is not None and self._name_follows(self.place) and not self.now.quantities:
            self.close("and")
        one = Token("number", "1", 1.0, 1.0, 1.0)
        last = self.now.quantities[-1] if self.now.quantities else None
        if last is not None and not last.unit and not last.times:
            self.now.quantities[-1] = replace(last, unit=unit)
        elif last is None or unit != last.unit:
            self.now.quantities.append(SaidAmount(one, unit, apart=last is not None))
        self.now.said.append(word)
        self._take(self.place - 1, self.place)
        self._and_a_half()

    def _and_a_half(self) -> None:
        """Add the half of a tablespoon and a half of tahini."""
        half = self.tokens[self.place + 1] if self.place + 1 < len(self.tokens) else None
        if self._word_at(self.place) not in ("and", "n") or half is None:
            return
        if not 0 < half.value < 1 or not self._name_follows(self.place + 2):
            return
        last = self.now.quantities[-1]
        number = last.number
        more = replace(
            number,
            value=number.value + half.value,
            low=number.low + half.value,
            high=number.high + half.value,
        )
        self.now.quantities[-1] = replace(last, number=more)
        self._take(self.place, self.place + 3)
        self.place += 2

    def _name(self, edible: Edible, used: int) -> None:
        words = [t.text for t in self.tokens[self.place : self.place + used]]
        edible, doubt = sense_of(edible, " ".join(words), self.spoken, self.lexicon)
        if len(words) > 2:
            cut = split_name(
                edible, words, self.now.quantities, self.tokens[self.place + used :], self.lexicon
            )
            if cut is not None:
                edible, used, more = cut
                words, doubt = words[:used], doubt or more
        self._take(self.place, self.place + used)
        self.place += used
        now = self.now
        beside, self.beside = self.beside, False
        if now.food is not None:
            if now.quantities and len(now.said) and self._after_amount():
                self.close("and")
            elif now.quantities and _same_food(now.food, edible):
                pass
            elif is_head(edible) and not now.energies:
                now.inside.append(now.food)
            else:
                beside = True
                self.close("with" if is_head(now.food) else "and")
        self.now.food = edible
        self.now.beside_word = beside
        self.now.said += words
        self.now.doubts += [doubt] if doubt else []

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
            self.taken.add(token.at)
            return
        self.place -= 1
        self.tokens[self.place] = Token("word", mended, stem=normalised(mended) or mended,
                                        at=token.at)  # fmt: skip
        self.now.mended.append(word)
