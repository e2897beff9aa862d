"""A meal being read, food by food: what each adds, what it takes the place of, what is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import log, sqrt

from foods.composition.as_eaten import energy_of
from foods.composition.food_words import normalised
from mealplan.checkin.log.eaten_amounts import BARE_GRAMS, amount_of
from mealplan.checkin.log.eaten_kinds import is_of
from mealplan.checkin.log.eaten_lexicon import Edible, Lexicon
from mealplan.checkin.log.eaten_measures import EatenGrams, measure_g, spread_of, times
from mealplan.checkin.log.eaten_model import EatenPart, said_number
from mealplan.checkin.log.eaten_modifiers import ModifierEffect, effect_on, named_with
from mealplan.checkin.log.eaten_parts import (
    changed,
    how_much,
    part_of,
    scaled,
    slices_of,
)
from mealplan.checkin.log.eaten_piece import HEADS, Piece
from mealplan.checkin.log.eaten_vocabulary import ENERGY, VOLUMES, WEIGHTS

WORTH_ASKING_KCAL = 150.0
"""A portion whose ends lie further than this from their middle may be asked about. [kcal]"""
WORTH_ASKING_FRACTION = 0.43
"""It is asked about when they also lie further apart than this share of it."""
FAR_APART_KCAL = 150.0
"""A bare number whose reading as grams and as kcal differ by more is asked about. [kcal]"""
MOST_G, MOST_KCAL = 1500.0, 1800.0
"""More than this of one food at one meal is asked about (common practice). [g, kcal]"""
MOST_OF_A_MEAL_KCAL = 3000.0
"""Energy said for one meal above this is asked about (common practice). [kcal]"""
LEFT_OUT_KCAL = 60.0
"""What was left out of a dish that is not known to hold it is told from here on. [kcal]"""
TOLD_FRACTION = 0.15
"""Doubt of an energy the eater says (common practice)."""


_SELDOM_SO_LITTLE = frozenset({"porridge", "oatmeal", "oat porridge", "instant oatmeal"})
LEAST_SWELLING = 1.7
"""Foods that take up more water than this are weighed dry: grains, pulses (common practice)."""
DRY_BELOW_G = 120.0
"""Porridge weighed lighter than this was weighed as oats (common practice). [g]"""
_DRIED = frozenset({"dried", "uncooked", "dehydrated"})
_DRY_ANYHOW = frozenset({"cereal", "drink", "bread", "snack", "nut", "oil", "powder"})
"""Kinds of food that are dry as they are, or called so for their taste."""
_PACKED = frozenset({"box", "bag", "packet"})
"""Measures that hold several pieces."""
_FILLINGS = frozenset({"meat", "spread", "vegetable", "sauce"})
"""Kinds of food that fill a sandwich."""
_SWALLOWED = frozenset({"vegetable", "meat", "sauce", "powder", "fruit"})
"""Kinds of food that are part of a dish said to hold them; bread, rice or cheese are beside it."""


def _side_by_side(piece: Piece, kcal: float) -> list[str]:
    """Ask about two foods named with nothing between them, which may be one dish."""
    doubts = []
    if piece.beside_word and kcal > FAR_APART_KCAL:
        doubts.append(
            f"“{' '.join(piece.said)}” is read as a food of its own beside what was named before it"
        )
    for inner in piece.inside:
        kcal = inner.usual_g * inner.kcal_per_100g / 100
        name = piece.food.name if piece.food else ""
        part = piece.food is not None and piece.food.swallows and inner.kind.name in _SWALLOWED
        if kcal > FAR_APART_KCAL and inner.name not in name and not part:
            doubts.append(f"“{inner.name}” is read as part of “{name}”, not as eaten beside it")
    return doubts


class Sentence:
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
        self.packed = False
        """Whether the main food was said to come in a pack, whose pieces may be counted behind."""
        self.slices = 1.0
        """Slices of bread that what is put on them is spread over."""
        self.names: frozenset[str] = frozenset()
        """Names of all foods said."""
        self.fillings = 0
        """Foods said to be in or with the one being read."""
        self.main_asks = 0
        """Asks there were before the main food was read; its own go when its fillings are said."""
        self.unused: list[str] = []
        """Words that nothing is known of for the food they are said of."""
        self.oil_said = False
        """Whether the fat something was made with is named as a food."""
        self.resting: int | None = None
        """Place of a part whose fillings are said, so that only its rest counts."""

    @property
    def energy_kcal(self) -> float:
        """Energy of what was read so far [kcal]."""
        return sum(part.energy_kcal for part in self.parts)

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
        if piece.food is not None and not self._take_out(piece.food, f" without {piece.food.name}"):
            self._could_not(piece.food)
        self.unused += piece.unknown

    def _could_not(self, food: Edible) -> None:
        """Say that a dish is read with what was left out of it, where that is much."""
        main = self.main
        if main is None or main.key or main.made_of or main.kind.name not in HEADS:
            return
        if food.allergens and not set(food.allergens) & set(main.allergens):
            return
        much = food.beside.get(main.kind.name, food.beside.get("*", food.usual_g))
        if much * food.kcal_per_100g / 100 > LEFT_OUT_KCAL:
            self.asks.append(
                f"{main.name} is read as it usually is: what it holds of {food.name} is not known"
            )

    def _take_out(self, food: Edible, words: str) -> bool:
        """Take the usual amount of a food, or of its sort, out of the dish that is made of it."""
        main = self.main
        if main is None or self.main_place >= len(self.parts):
            return False
        gone = [(key, grams) for key, grams in main.made_of if is_of(food, key, self.lexicon)]
        total = sum(grams for _, grams in main.made_of)
        share = sum(grams for _, grams in gone) / max(1.0, total)
        last = self.parts[self.main_place]
        if not 0 < share < 1 or not last.grams:
            return False
        kcal = last.grams * share * energy_of(tuple(gone), self.lexicon.catalogue) / 100
        left = max(0.0, 1 - kcal / max(1.0, last.energy_kcal))
        self.parts[self.main_place] = replace(
            last, grams=last.grams * (1 - share), energy_kcal=last.energy_kcal * left,
            low_kcal=last.low_kcal * left, high_kcal=last.high_kcal * left,
            words=f"{last.words}{words}",
        )  # fmt: skip
        return True

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
        counts = [q for q in piece.quantities if q.unit not in WEIGHTS and q.unit not in VOLUMES]
        counts.sort(key=lambda q: not q.times)
        first = counts[0] if counts else None
        many = first.number.value if first is not None else 1.0
        if first is None or not 1 < many < BARE_GRAMS or "total" in piece.said:
            return value * many if each and 0 < many < BARE_GRAMS else value
        if each or first.times:
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
        food, modifiers = named_with(food, piece.modifiers, self.lexicon)
        if self._swallowed(piece, food, beside):
            self.unused += modifiers
            return
        if beside is not None and (
            self.fillings > 1 or beside == "salad" or self._one_filling(piece, food)
        ):
            self._empty_main()
        if piece.joined != "with":
            self.main_asks = len(self.asks)
        amount = self._cooked(piece, food, self._how_much(piece, food, said, beside))
        if self._of_main(piece, food, amount):
            self.unused += modifiers
            return
        before = len(self.asks)
        self._doubts(piece, food, said, amount)
        part = part_of(said, food, amount, piece.density)
        if modifiers and not piece.density:
            part = self._changed(part, food, modifiers, asked=before != len(self.asks))
        self.asks += [
            *amount.doubts,
            *piece.doubts,
            *_side_by_side(piece, part.energy_kcal * self.share),
        ]
        again = self._names(self.main, food) or self._of_a_pack(piece, food)
        if piece.joined in (",", "and") and piece.quantities and again:
            self.asks.append(
                f"is “{said}” what was in {self.main.name if self.main else ''}? It is counted "
                "beside it"
            )
        if piece.joined != "with" or self.main is None:
            self.main, self.main_said, self.main_place = food, amount.said, len(self.parts)
            self.packed = any(q.unit in _PACKED for q in piece.quantities)
        if food.kind.name == "bread":
            self.slices = slices_of(piece)
        self._add(part)

    def _of_a_pack(self, piece: Piece, food: Edible) -> bool:
        """Say whether a count may be of what the pack before it held: box of sushi, 8 maki."""
        counted = any(q.unit in ("", "piece") for q in piece.quantities)
        main = self.main
        return self.packed and counted and main is not None and main.kind is food.kind

    @staticmethod
    def _names(main: Edible | None, food: Edible) -> bool:
        """Say whether a dish is called after a food: beans on toast."""
        if main is None or main.name == food.name:
            return False
        return {normalised(w) for w in food.name.split()} <= {
            normalised(w) for w in main.name.split()
        }

    def _how_much(self, piece: Piece, food: Edible, said: str, beside: str | None) -> EatenGrams:
        """Work out how much of a food it was; ask where its amounts do not fit together."""
        amount = amount_of(food, piece.quantities, piece.sizes, beside, drained=piece.drained)
        if amount is None:
            amount = amount_of(food, [], piece.sizes, beside)
            assert amount is not None
            self.asks.append(
                f"“{said}” has amounts that do not fit together; it is read as "
                f"{said_number(amount.grams)} g of {food.name}"
            )
        elif beside is not None and not amount.said and food.kind.name in ("spread", "sauce"):
            amount = times(amount, self.slices)
        return amount

    def _changed(
        self, part: EatenPart, food: Edible, modifiers: Sequence[str], *, asked: bool
    ) -> EatenPart:
        """Change a part by what is said of its food, and ask where that may be much."""
        effect = effect_on(food, modifiers, oil_said=self.oil_said)
        self.unused += effect.unused
        part = changed(part, effect, modifiers)
        if part.high_kcal - part.low_kcal > 2 * WORTH_ASKING_KCAL and not asked:
            self._ask_of_modifier(part, effect, modifiers)
        return part

    def _ask_of_modifier(
        self, part: EatenPart, effect: ModifierEffect, modifiers: Sequence[str]
    ) -> None:
        """Ask what a modifier makes of a food where that may be much."""
        half = (effect.high - effect.low) / 2 * part.energy_kcal / max(0.05, effect.middle)
        if half * min(1.0, self.share) > WORTH_ASKING_KCAL:
            self.asks.append(
                f"how “{' and '.join(modifiers)}” was “{part.said}”? It is read as about "
                f"{said_number(part.energy_kcal)} kcal"
            )

    def _cooked(self, piece: Piece, food: Edible, amount: EatenGrams) -> EatenGrams:
        """Turn grams weighed dry into grams as eaten."""
        little = food.name in _SELDOM_SO_LITTLE and amount.grams < DRY_BELOW_G
        weighed = amount.said and not amount.words.endswith("×")
        known = self.lexicon.catalogue
        swells = food.key in known and known.food(food.key).yield_factor > 1
        if piece.dry and not swells and not food.made_of:
            self._not_dried(piece, food)
        if piece.dry and weighed and food.made_of:
            return self._cooked_dish(food, amount)
        if not food.key or food.key not in known or not weighed or not (piece.dry or little):
            return amount
        factor = known.food(food.key).yield_factor
        return times(amount, factor) if factor > 1 else amount

    def _not_dried(self, piece: Piece, food: Edible) -> None:
        """Name a word that says a food was dried, where it is not known to be so."""
        if food.kind.name not in _DRY_ANYHOW:
            self.unused += sorted(_DRIED & set(piece.said))

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

    def _one_filling(self, piece: Piece, food: Edible) -> bool:
        """Say whether the only filling of a sandwich is said with its amount."""
        rest = self.main.rest if self.main is not None else None
        if not rest or not piece.quantities or food.kind.name not in _FILLINGS:
            return False
        known = self.lexicon.catalogue
        return all(key in known and known.food(key).group == "breads" for key, _ in rest)

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
        kcal = sum(f.usual_g * f.kcal_per_100g / 100 for f in self._in_name(main)) * share
        if main.rest:
            kcal += full / 100 * energy_of(main.rest, self.lexicon.catalogue) * share
        self.parts[place] = replace(
            last, energy_kcal=kcal, low_kcal=kcal * 0.75, high_kcal=kcal * 1.3,
            grams=full * share, words=main.name, food="",
        )  # fmt: skip
        self.resting = place
        del self.asks[self.main_asks :]

    def _in_name(self, main: Edible) -> list[Edible]:
        """Give the fillings a sandwich is named by that are not said again: tofu wrap."""
        words = main.name.split()[:-1]
        found = [self.lexicon.find([word], [normalised(word)])[0] for word in words]
        return [f for f in found if f and f.kind.name in _FILLINGS and f.name not in self.names]

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
        elif (
            amount.grams * eaten > MOST_G and middle > FAR_APART_KCAL
        ) or middle * eaten > MOST_KCAL:
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
