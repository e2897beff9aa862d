"""
What was eaten, said in one sentence, read back as one before it is kept.

Everyday names, kitchen foods, dishes and foods of one's own are known by their words, with the
portions people mean by them. What may differ by much is asked, and only that, with the likeliest
reading; nothing is guessed in silence. Text is read from left to right, and only so much of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import log, sqrt

from foods.as_eaten import energy_of
from foods.catalogue import Catalogue
from foods.dishes.model import Dish
from mealplan.checkin.log.eaten_amounts import (
    BARE_GRAMS,
    EatenGrams,
    amount_of,
    measure_g,
    spread_of,
)
from mealplan.checkin.log.eaten_dishes import dish_of
from mealplan.checkin.log.eaten_meaning import SaidOfMeal, meaning_of
from mealplan.checkin.log.eaten_model import EatenPart, EatenSentence, said_number
from mealplan.checkin.log.eaten_names import Edible, Lexicon, lexicon_of
from mealplan.checkin.log.eaten_parts import how_much, part_of, scaled, slices_of, times
from mealplan.checkin.log.eaten_pieces import Piece, pieces_of
from mealplan.checkin.log.eaten_remarks import without_remarks
from mealplan.checkin.log.eaten_settled import settled_pieces
from mealplan.checkin.log.eaten_tokens import Token, tokens_of
from mealplan.checkin.log.eaten_vocabulary import ENERGY, NOTHING_ELSE, WEIGHTS, WITHOUT
from mealplan.errors import IntakeError

LONGEST_SENTENCE = 600
"""Longest sentence that is read. [characters]"""
MOST_PARTS = 20
"""Most foods of one meal."""
WORTH_ASKING_KCAL = 160.0
"""A portion whose ends lie further than this from their middle may be asked about. [kcal]"""
WORTH_ASKING_FRACTION = 0.45
"""It is asked about when they also lie further apart than this share of it."""
FAR_APART_KCAL = 150.0
"""A bare number whose reading as grams and as kcal differ by more is asked about. [kcal]"""
MOST_G, MOST_KCAL = 1500.0, 1800.0
"""More than this of one food at one meal is asked about (common practice). [g, kcal]"""
MOST_OF_A_MEAL_KCAL = 3000.0
"""Energy said for one meal above this is asked about (common practice). [kcal]"""
TOLD_FRACTION = 0.15
"""Doubt of an energy the eater says (common practice)."""


def read_eaten(
    text: str, catalogue: Catalogue | None = None, dishes: Iterable[Dish] = ()
) -> EatenSentence:
    """
    Read what was eaten at one meal.

    Parameters
    ----------
    text : str
        One sentence, such as ``pizza 300 kcal``, ``1 banana`` or ``2 slices of bread with hummus``.
    catalogue : Catalogue, optional
        Foods known, own ones included; those that ship when left out.
    dishes : iterable of Dish
        Dishes of one's own; those that ship are known in any case.

    Returns
    -------
    EatenSentence
        Where something is doubtful, the likeliest reading is among the parts and the doubt among
        the asks.

    Raises
    ------
    IntakeError
        When the text is empty or longer than any meal.
    """
    if len(text) > LONGEST_SENTENCE:
        raise IntakeError(
            f"what was eaten has {len(text):,} letters, more than {LONGEST_SENTENCE:,}; name one "
            "meal's foods"
        )
    known = catalogue or Catalogue.load()
    said = meaning_of(tokens_of(text))
    whole = dish_of(said.tokens, known, tuple(dishes))
    if whole is not None and said.meaning == "foods":
        return EatenSentence((scaled(whole, said.share),), ())
    lexicon = lexicon_of(known)
    tokens, doubts = without_remarks(said.tokens, lexicon)
    pieces = pieces_of(tokens, lexicon)
    if said.meaning == "nothing":
        if not any(piece.food or piece.energies for piece in pieces):
            return EatenSentence((), (), meaning="nothing")
        said = replace(said, meaning="foods")
    if not pieces and said.meaning == "foods" and not _is_talk(said.tokens):
        raise IntakeError(
            "nothing was typed that names a food; write what was eaten, such as 1 banana, or its "
            "energy, such as pizza 300 kcal"
        )
    return _read(said, pieces, doubts, lexicon)


def _read(
    said: SaidOfMeal, pieces: Sequence[Piece], doubts: Sequence[str], lexicon: Lexicon
) -> EatenSentence:
    """Read the foods of a meal one after the other."""
    sentence = _Sentence(lexicon, said.share if said.meaning == "foods" else 1.0)
    if len(pieces) > MOST_PARTS:
        sentence.asks.append(
            f"{len(pieces)} foods are more than one meal has; say the largest of them"
        )
    settled, unsettled = settled_pieces(pieces[:MOST_PARTS])
    sentence.asks += [*doubts, *unsettled]
    for place, piece in enumerate(settled):
        if said.meaning != "foods" and place and piece.joined == "and" and not piece.quantities:
            piece.absent = piece.absent or settled[place - 1].absent
        sentence.fillings = _fillings(settled, place)
        sentence.take(piece)
    if said.share != 1 and said.shared:
        sentence.asks.append(
            f"how much of it was yours? It is read as {said.share:.2g} of the whole"
        )
    if said.share != 1 and said.meaning == "foods" and any(p.energies for p in settled):
        sentence.asks.append(
            f"is the energy said that of all of it, or of the {said.share:.2g} that was eaten? It "
            "is read as of all"
        )
    if said.meaning != "foods" and not sentence.left_out and _leaves_out(said.tokens):
        sentence.blocked = True
        sentence.asks.append("what of the planned meal was not eaten? Name its foods")
    sentence.check_share(settled)
    sentence.check_spread()
    if said.meaning == "foods" and not sentence.parts and not sentence.asks:
        sentence.blocked = True
        sentence.asks.append(
            "no food of it is known; say what was eaten, or about how much energy it had, such as "
            "dinner 700 kcal"
        )
    return EatenSentence(
        tuple(sentence.parts),
        tuple(sentence.asks),
        blocked=sentence.blocked,
        meaning=said.meaning,
        left_out=tuple(sentence.left_out) if said.meaning != "foods" else (),
        share=said.share,
    )


def _leaves_out(tokens: Sequence[Token]) -> bool:
    return any(t.text in WITHOUT for t in tokens)


def _is_talk(tokens: Sequence[Token]) -> bool:
    """Say whether anything was said at all, so that it may have been of a meal."""
    return any(t.kind == "word" and len(t.text) > 2 and t.text not in NOTHING_ELSE for t in tokens)


def _fillings(pieces: Sequence[Piece], place: int) -> int:
    """Count the foods said to be in the same thing as this one, itself included."""
    first = place
    while first > 0 and pieces[first].joined == "with":
        first -= 1
    after = first + 1
    while after < len(pieces) and pieces[after].joined in ("with", "and", ","):
        after += 1
    return after - first - 1


_SELDOM_SO_LITTLE = frozenset({"porridge", "oatmeal", "oat porridge", "instant oatmeal"})
LEAST_SWELLING = 1.7
"""Foods that take up more water than this are weighed dry: grains, pulses (common practice)."""
DRY_BELOW_G = 120.0
"""Porridge weighed lighter than this was weighed as oats (common practice). [g]"""
_SWALLOWED = frozenset({"vegetable", "meat", "sauce", "powder", "fruit"})
"""Kinds of food that are part of a dish said to hold them; bread, rice or cheese are beside it."""


class _Sentence:
    """A meal being read, food by food."""

    def __init__(self, lexicon: Lexicon, share: float) -> None:
        self.lexicon = lexicon
        self.share = share
        self.parts: list[EatenPart] = []
        self.asks: list[str] = []
        self.blocked = False
        self.main: Edible | None = None
        self.left_out: list[str] = []
        """What was said not to have been eaten."""
        self.main_place = 0
        """Place of the main food's part."""
        self.main_said = False
        """Whether an amount was said of the main food."""
        self.slices = 1.0
        """Slices of bread that what is put on them is spread over."""
        self.fillings = 0
        """Foods said to be in or with the one being read."""
        self.main_asks = 0
        """Asks there were before the main food was read; its own go when its fillings are said."""
        self.resting: int | None = None
        """Place of a part whose fillings are said, so that only its rest counts."""

    def take(self, piece: Piece) -> None:
        """Read one food and what was said about it."""
        said = " ".join(piece.said)
        if piece.absent:
            self._leave_out(piece, said)
            return
        if piece.energies:
            self._told(piece, said)
        elif piece.food is None:
            self._not_known(piece, said)
        else:
            self._known(piece, piece.food, said)

    def _leave_out(self, piece: Piece, said: str) -> None:
        """Take a food a dish is made of out of it: burrito bowl without rice."""
        self.left_out.append(" ".join(piece.unknown) or said)
        if piece.food is not None:
            self._take_out(piece.food, f" without {piece.food.name}")

    def _take_out(self, food: Edible, words: str) -> None:
        """Take the usual amount of a food out of the dish that is made of it."""
        main = self.main
        if main is None or not food.key or self.main_place >= len(self.parts):
            return
        total = sum(grams for _, grams in main.made_of)
        share = sum(grams for key, grams in main.made_of if key == food.key) / max(1.0, total)
        last = self.parts[self.main_place]
        if not 0 < share < 1 or not last.grams:
            return
        kcal = last.grams * share * food.kcal_per_100g / 100
        left = max(0.0, 1 - kcal / max(1.0, last.energy_kcal))
        self.parts[self.main_place] = replace(
            last, grams=last.grams * (1 - share), energy_kcal=last.energy_kcal * left,
            low_kcal=last.low_kcal * left, high_kcal=last.high_kcal * left,
            words=f"{last.words}{words}",
        )  # fmt: skip

    def _told(self, piece: Piece, said: str) -> None:
        value, each = piece.energies[0]
        if len(piece.energies) > 1:
            self.asks.append(f"“{said}” has more than one energy; put a comma between foods")
            value = sum(energy for energy, _ in piece.energies)
        value = self._of_each(piece, value, each=each)
        if value > MOST_OF_A_MEAL_KCAL:
            self.blocked = True
            self.asks.append(
                f"“{said}” has {said_number(value)} kcal, more than a meal; check the number"
            )
            return
        told = (*ENERGY, *WEIGHTS, "total")
        name = " ".join(w for w in piece.said if w.isalpha() and w not in told)
        allergens = piece.food.allergens if piece.food else ()
        self._add(
            EatenPart(
                said, "", 0.0, value, f"{name or 'something'} ({said_number(value)} kcal)",
                value * (1 - TOLD_FRACTION), value * (1 + TOLD_FRACTION), allergens=allergens,
            )
        )  # fmt: skip
        self.main = piece.food or self.main

    def _of_each(self, piece: Piece, value: float, *, each: bool) -> float:
        """Multiply an energy said of each piece; ask where it may be of each or of all [kcal]."""
        first = piece.quantities[0] if piece.quantities else None
        many = first.number.value if first is not None else 1.0
        if first is None or not 1 < many < BARE_GRAMS or "total" in piece.said:
            return value * many if each and 0 < many < BARE_GRAMS else value
        if each or (first.times and piece.said[-1] == first.number.text):
            return value * many
        grams = measure_g(piece.food, first.unit) if piece.food else 0.0
        one = grams * piece.food.kcal_per_100g / 100 if piece.food else 0.0
        if not one or abs(log(value / one)) > abs(log(value / (one * many))):
            return value
        self.asks.append(
            f"is “{' '.join(piece.said)}” the energy of each or of all? It is read as of each"
        )
        return value * many

    def _not_known(self, piece: Piece, said: str) -> None:
        name = " ".join(piece.unknown)
        if not name:
            self.blocked = True
            self.asks.append(f"“{said}” names no food; write the food, or a number and kcal")
            return
        self.blocked = True
        self.asks.append(
            f"“{name}” is no food known here; say about how much energy it had, such as "
            f"{name} 400 kcal, or name what was in it"
        )

    def _known(self, piece: Piece, food: Edible, said: str) -> None:
        beside = self.main.kind.name if piece.joined == "with" and self.main else None
        if self._swallowed(piece, food, beside):
            return
        if beside is not None and (self.fillings > 1 or beside == "salad"):
            self._empty_main()
        if piece.joined != "with":
            self.main_asks = len(self.asks)
        amount = amount_of(food, piece.quantities, piece.sizes, beside)
        if amount is None:
            amount = amount_of(food, [], piece.sizes, beside)
            assert amount is not None
            self.asks.append(
                f"“{said}” has amounts that do not fit together; it is read as "
                f"{said_number(amount.grams)} g of {food.name}"
            )
        elif beside is not None and not amount.said and food.kind.name in ("spread", "sauce"):
            amount = times(amount, self.slices)
        amount = self._cooked(piece, food, amount)
        if self._of_main(piece, food, amount):
            return
        self._doubts(piece, food, said, amount)
        part = part_of(said, food, amount, piece.density)
        if piece.joined != "with" or self.main is None:
            self.main, self.main_said, self.main_place = food, amount.said, len(self.parts)
        if food.kind.name == "bread":
            self.slices = slices_of(piece)
        self._add(part)

    def _cooked(self, piece: Piece, food: Edible, amount: EatenGrams) -> EatenGrams:
        """Turn grams weighed dry into grams as eaten."""
        little = food.name in _SELDOM_SO_LITTLE and amount.grams < DRY_BELOW_G
        weighed = amount.said and not amount.words.endswith("×")
        known = self.lexicon.catalogue
        if piece.dry and weighed and food.made_of:
            return self._cooked_dish(food, amount)
        if not food.key or food.key not in known or not weighed or not (piece.dry or little):
            return amount
        factor = known.food(food.key).yield_factor
        return times(amount, factor) if factor > 1 else amount

    def _cooked_dish(self, food: Edible, amount: EatenGrams) -> EatenGrams:
        """Turn the dry weight of what a dish is made from into grams of the dish."""
        share, factor = self._swelling(food)
        if not share:
            self.asks.append(
                f"what of “{food.name}” was weighed dry? Write it as a food of its own"
            )
            return amount
        return times(amount, factor / share)

    def _swelling(self, food: Edible) -> tuple[float, float]:
        """Give the share of a dish that was cooked from dry, and how many times it swells."""
        known = self.lexicon.catalogue
        swells = [
            (grams, known.food(key).yield_factor)
            for key, grams in food.made_of
            if key in known and known.food(key).yield_factor > LEAST_SWELLING
        ]
        cooked = sum(grams for grams, _ in swells)
        if not cooked:
            return 0.0, 1.0
        dry = sum(grams / factor for grams, factor in swells)
        return cooked / sum(grams for _, grams in food.made_of), cooked / dry

    def _of_main(self, piece: Piece, food: Edible, amount: EatenGrams) -> bool:
        """Take a food the dish before it is made of, with its amount, for the dish's own size."""
        main = self.main
        if main is None or not food.key or not self.parts:
            return False
        weighed = amount.said and bool(piece.quantities) and piece.quantities[-1].unit in WEIGHTS
        if piece.joined != "with" and (piece.joined != "," or not weighed or self.main_said):
            return False
        share = sum(grams for key, grams in main.made_of if key == food.key)
        if not share or main.rest is not None:
            return False
        if amount.said and food.kind.name != "grain":
            self._take_out(food, "")
            return False
        last = self.parts[self.main_place]
        if amount.said and not self.main_said:
            grams = amount.grams * sum(g for _, g in main.made_of) / share
            per_g = main.kcal_per_100g / 100 * self.share
            fits = (grams, amount.low_g / amount.grams, amount.high_g / amount.grams)
            last = replace(
                last, grams=grams * self.share, energy_kcal=grams * per_g,
                low_kcal=grams * per_g * fits[1] * (1 - main.kind.composition_fraction),
                high_kcal=grams * per_g * fits[2] * (1 + main.kind.composition_fraction),
                words=f"{said_number(grams)} g {main.name}",
            )  # fmt: skip
        self.parts[self.main_place] = replace(last, words=f"{last.words}, {food.name} in it")
        return True

    def _swallowed(self, piece: Piece, food: Edible, beside: str | None) -> bool:
        """Say whether a food without an amount is a part of the dish named before it."""
        main = self.main
        if beside is None or main is None or piece.quantities or not self.parts:
            return False
        one = main.rest is not None and main.kind.name != "salad" and self.fillings == 1
        if not (main.swallows or one) or food.kind.name not in _SWALLOWED:
            return False
        last = self.parts[-1]
        self.parts[-1] = replace(
            last,
            words=f"{last.words}, {food.name} in it",
            allergens=(*last.allergens, *food.allergens),
        )
        return True

    def _empty_main(self) -> None:
        """Count what is in a sandwich by itself, and only its bread beside it."""
        main = self.main
        if main is None or main.rest is None or self.resting == len(self.parts) - 1:
            return
        if not self.parts or self.resting is not None:
            return
        place = len(self.parts) - 1
        last = self.parts[place]
        full = sum(grams for _, grams in main.rest)
        share = last.energy_kcal / max(1e-9, main.usual_g * main.kcal_per_100g / 100)
        kcal = 0.0
        if main.rest:
            kcal = full / 100 * energy_of(main.rest, self.lexicon.catalogue) * share
        self.parts[place] = replace(
            last, energy_kcal=kcal, low_kcal=kcal * 0.75, high_kcal=kcal * 1.3,
            grams=full * share, words=main.name, food="",
        )  # fmt: skip
        self.resting = place
        del self.asks[self.main_asks :]

    def _doubts(self, piece: Piece, food: Edible, said: str, amount: EatenGrams) -> None:
        middle, low, high = spread_of(food, amount)
        if piece.unknown:
            words = " ".join(piece.unknown)
            self.asks.append(
                f"“{words}” in “{said}” is not known here; it is read as {food.name}, "
                f"about {said_number(middle)} kcal"
            )
        eaten = min(1.0, self.share)
        half = (high - low) / 2 * eaten
        bare = [q.number.value for q in piece.quantities if not q.unit]
        grams_said = bare and bare[0] >= 20 and amount.words.endswith(" g")
        if grams_said and abs(middle - bare[0]) > FAR_APART_KCAL:
            self.asks.append(
                f"“{said}”: is {said_number(bare[0])} grams or kcal? It is read as grams, about "
                f"{said_number(middle)} kcal"
            )
        elif amount.grams * eaten > MOST_G or middle * eaten > MOST_KCAL:
            self.asks.append(
                f"“{said}” would be {said_number(amount.grams)} g and {said_number(middle)} kcal; "
                "check the amount, or write its energy in kcal"
            )
        elif half > WORTH_ASKING_KCAL and half > WORTH_ASKING_FRACTION * middle * eaten:
            self.asks.append(how_much(said, food, amount, middle))

    def _add(self, part: EatenPart) -> None:
        self.parts.append(scaled(part, self.share))

    def check_share(self, pieces: Sequence[Piece]) -> None:
        """Ask whether a share said of a meal is of all its foods."""
        apart = [piece for piece in pieces if piece.joined in (",", "and") and piece.food]
        if self.share >= 1 or not apart or len(self.parts) < 2 or self.asks:
            return
        others = sum(part.energy_kcal for part in self.parts[:-1]) / self.share
        if others * (1 - self.share) > FAR_APART_KCAL:
            self.asks.append(
                f"is {self.share:.2g} of all of it meant, or of “{self.parts[-1].said}” alone? It "
                "is read as of all"
            )

    def check_spread(self) -> None:
        """Ask about the least certain food when the doubts of all add up to more than a meal's."""
        if self.asks or not self.parts:
            return
        total = sum(part.energy_kcal for part in self.parts)
        half = sqrt(sum(((p.high_kcal - p.low_kcal) / 2) ** 2 for p in self.parts))
        if half > 2 * WORTH_ASKING_KCAL and half > WORTH_ASKING_FRACTION * total:
            worst = max(self.parts, key=lambda p: p.high_kcal - p.low_kcal)
            self.asks.append(
                f"how much was “{worst.said}”? It is read as about "
                f"{said_number(worst.energy_kcal)} kcal"
            )
