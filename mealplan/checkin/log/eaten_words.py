"""
What was eaten, said in one sentence, read back as one before it is kept.

Everyday names, kitchen foods, dishes and foods of one's own are known by their words, with the
portions people mean by them. What may differ by much is asked, and only that, with the likeliest
reading; nothing is guessed in silence. Text is read from left to right, and only so much of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import sqrt

from foods.as_eaten import energy_of
from foods.catalogue import ALLERGENS, Catalogue
from foods.dishes.model import Dish
from foods.matching import normalised
from mealplan.checkin.log.eaten_amounts import EatenGrams, amount_of, measure_g, spread_of
from mealplan.checkin.log.eaten_dishes import dish_of
from mealplan.checkin.log.eaten_meaning import meaning_of
from mealplan.checkin.log.eaten_model import EatenPart, EatenSentence, said_number
from mealplan.checkin.log.eaten_names import Edible, Lexicon, lexicon_of
from mealplan.checkin.log.eaten_pieces import Piece, pieces_of
from mealplan.checkin.log.eaten_tokens import tokens_of
from mealplan.checkin.log.eaten_vocabulary import PLANT
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
        return EatenSentence((_scaled(whole, said.share),), ())
    lexicon = lexicon_of(known)
    pieces = pieces_of(said.tokens, lexicon)
    if said.meaning == "nothing":
        if not any(piece.food or piece.energies for piece in pieces):
            return EatenSentence((), (), meaning="nothing")
        said = replace(said, meaning="foods")
    if not pieces and said.meaning == "foods":
        raise IntakeError(
            "nothing was typed that names a food; write what was eaten, such as 1 banana, or its "
            "energy, such as pizza 300 kcal"
        )
    sentence = _Sentence(lexicon, said.share if said.meaning == "foods" else 1.0)
    if len(pieces) > MOST_PARTS:
        sentence.asks.append(
            f"{len(pieces)} foods are more than one meal has; say the largest of them"
        )
    settled = _settled(pieces[:MOST_PARTS])
    for place, piece in enumerate(settled):
        sentence.fillings = _fillings(settled, place)
        sentence.take(piece)
    if said.share != 1 and said.shared:
        sentence.asks.append(
            f"how much of it was yours? It is read as {said.share:.2g} of the whole"
        )
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
        share=said.share,
    )


def _settled(pieces: Sequence[Piece]) -> list[Piece]:
    """Put amounts said behind a comma, and an energy of several foods, where they belong."""
    pieces = _lists_inside(_amounts_behind(pieces))
    told = [piece for piece in pieces if piece.energies]
    if len(told) != 1 or len(pieces) < 2 or told[0] is not pieces[-1]:
        return list(pieces)
    last = pieces[-1]
    others = [piece for piece in pieces[:-1] if not piece.absent]
    alone = last.food is None and not last.unknown
    together = all(piece.joined in ("with", "and") for piece in pieces[1:])
    if not alone and not together:
        return list(pieces)
    if not alone and any(piece.quantities for piece in pieces):
        return list(pieces)
    whole = Piece(said=[*_words(others), *last.said], energies=last.energies)
    whole.unknown = [" and ".join(" ".join(piece.said) for piece in others)] if alone else []
    return [whole]


def _fillings(pieces: Sequence[Piece], place: int) -> int:
    """Count the foods said to be in the same thing as this one, itself included."""
    first = place
    while first > 0 and pieces[first].joined == "with":
        first -= 1
    after = first + 1
    while after < len(pieces) and pieces[after].joined in ("with", "and", ","):
        after += 1
    return after - first - 1


def _amounts_behind(pieces: Sequence[Piece]) -> list[Piece]:
    """Give an amount that stands alone to the food before it: cake, big slice."""
    kept: list[Piece] = []
    for piece in pieces:
        alone = piece.food is None and not piece.unknown and not piece.energies
        before = kept[-1] if kept else None
        if (
            alone
            and before is not None
            and before.food is not None
            and (not before.quantities or _said_better(piece, before))
        ):
            before.quantities[:] = piece.quantities or before.quantities
            before.sizes += piece.sizes
            before.said += piece.said
            before.dry = before.dry or piece.dry
        elif alone and all(not quantity.unit for quantity in piece.quantities) and len(pieces) > 1:
            continue
        else:
            kept.append(piece)
    return kept


def _said_better(piece: Piece, before: Piece) -> bool:
    """Say whether an amount behind a comma tells more than the one before: platter, 10 pieces."""
    told = piece.quantities[0] if piece.quantities else None
    first = before.quantities[0]
    return told is not None and first.number.value == 1 and told.number.value > 1


def _lists_inside(pieces: Sequence[Piece]) -> list[Piece]:
    """Carry ``with`` on over a list: salad with beans, tomatoes and nuts."""
    main: Piece | None = None
    within = False
    for piece in pieces:
        if piece.joined == "with":
            within = True
        elif within and main is not None and _goes_on(main, piece):
            piece.joined = "with"
        else:
            main, within = piece, False
    return list(pieces)


def _goes_on(main: Piece, piece: Piece) -> bool:
    """Say whether a food goes on with a list of what another one holds."""
    if piece.food is None or main.food is None or piece.energies or piece.absent:
        return False
    if piece.joined == "and":
        return piece.food.kind.name not in ("drink", "hot drink", "sweet", "pastry", "dish")
    holds = main.food.swallows or main.food.rest is not None or main.food.kind.name == "stew"
    return (
        piece.joined == ","
        and holds
        and not piece.quantities
        and piece.food.kind.name in ("vegetable", "meat", "sauce", "spread", "nut", "grain")
    )


def _words(pieces: Sequence[Piece]) -> list[str]:
    words: list[str] = []
    for piece in pieces:
        words += [*(["and"] if words else []), *piece.said]
    return words


_SELDOM_SO_LITTLE = frozenset({"porridge", "oatmeal", "oat porridge", "instant oatmeal"})
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
        if piece.absent:
            return
        said = " ".join(piece.said)
        if piece.energies:
            self._told(piece, said)
        elif piece.food is None:
            self._not_known(piece, said)
        else:
            self._known(piece, piece.food, said)

    def _told(self, piece: Piece, said: str) -> None:
        value, each = piece.energies[0]
        if len(piece.energies) > 1:
            self.asks.append(f"“{said}” has more than one energy; put a comma between foods")
            value = sum(energy for energy, _ in piece.energies)
        if each and piece.quantities and piece.quantities[0].number.value < 20:
            value *= piece.quantities[0].number.value
        if value > MOST_OF_A_MEAL_KCAL:
            self.blocked = True
            self.asks.append(
                f"“{said}” has {said_number(value)} kcal, more than a meal; check the number"
            )
            return
        name = " ".join(w for w in piece.said if w.isalpha() and w not in ("kcal", "cal", "kj"))
        allergens = piece.food.allergens if piece.food else ()
        self._add(
            EatenPart(
                said, "", 0.0, value, f"{name or 'something'} ({said_number(value)} kcal)",
                value * (1 - TOLD_FRACTION), value * (1 + TOLD_FRACTION), allergens=allergens,
            )
        )  # fmt: skip
        self.main = piece.food or self.main

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
            amount = _times(amount, self.slices)
        amount = self._cooked(piece, food, amount)
        self._doubts(piece, food, said, amount)
        part = _part(said, food, amount, piece.density)
        if piece.joined != "with" or self.main is None:
            self.main = food
        if food.kind.name == "bread":
            self.slices = _slices(piece)
        self._add(part)

    def _cooked(self, piece: Piece, food: Edible, amount: EatenGrams) -> EatenGrams:
        """Turn grams weighed dry into grams as eaten."""
        little = food.name in _SELDOM_SO_LITTLE and amount.grams < DRY_BELOW_G
        weighed = amount.said and not amount.words.endswith("×")
        known = self.lexicon.catalogue
        if not food.key or food.key not in known or not weighed or not (piece.dry or little):
            return amount
        factor = known.food(food.key).yield_factor
        return _times(amount, factor) if factor > 1 else amount

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
        half = (high - low) / 2
        bare = [q.number.value for q in piece.quantities if not q.unit]
        grams_said = bare and bare[0] >= 20 and amount.words.endswith(" g")
        if grams_said and abs(middle - bare[0]) > FAR_APART_KCAL:
            self.asks.append(
                f"“{said}”: is {said_number(bare[0])} grams or kcal? It is read as grams, about "
                f"{said_number(middle)} kcal"
            )
        elif amount.grams > MOST_G or middle > MOST_KCAL:
            self.asks.append(
                f"“{said}” would be {said_number(amount.grams)} g and {said_number(middle)} kcal; "
                "check the amount, or write its energy in kcal"
            )
        elif half > WORTH_ASKING_KCAL and half > WORTH_ASKING_FRACTION * middle:
            self.asks.append(_how_much(said, food, amount, middle))

    def _add(self, part: EatenPart) -> None:
        self.parts.append(_scaled(part, self.share))

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


def _how_much(said: str, food: Edible, amount: EatenGrams, middle: float) -> str:
    measures = [m for m in ("slice", "each", "small", "large", "bowl", "plate", "portion", "glass")
                if m in food.measures][:3]  # fmt: skip
    options = ", ".join(
        f"1 {'whole one' if m == 'each' else m} is {said_number(measure_g(food, m))} g"
        for m in measures
    )
    return (
        f"how much was “{said}”? It is read as {said_number(amount.grams)} g, about "
        f"{said_number(middle)} kcal ({options})"
    )


def _times(amount: EatenGrams, factor: float) -> EatenGrams:
    return replace(
        amount, grams=amount.grams * factor, low_g=amount.low_g * factor,
        high_g=amount.high_g * factor,
    )  # fmt: skip


def _slices(piece: Piece) -> float:
    counts = [q.number.value for q in piece.quantities if q.unit in ("", "slice", "piece")]
    return min(4.0, max(1.0, counts[0])) if counts and counts[0] < 20 else 1.0


def _part(said: str, food: Edible, amount: EatenGrams, density: float) -> EatenPart:
    middle, low, high = spread_of(food, amount)
    if density:
        middle = amount.grams * density / 100
        low = amount.low_g * density / 100
        high = amount.high_g * density / 100
    name = food.name
    words = f"{amount.words} {name} ({said_number(amount.grams)} g)"
    if amount.words.endswith((" g", " kg", " oz")) or not amount.words:
        words = f"{said_number(amount.grams)} g {name}"
    return EatenPart(
        said, "" if density else food.key, amount.grams, middle, words, low, high,
        allergens=food.allergens,
    )  # fmt: skip


def _scaled(part: EatenPart, share: float) -> EatenPart:
    if share == 1:
        return part
    return replace(
        part,
        grams=part.grams * share,
        energy_kcal=part.energy_kcal * share,
        low_kcal=part.low_kcal * share,
        high_kcal=part.high_kcal * share,
        foods=tuple((key, grams * share) for key, grams in part.foods),
        words=f"{share:.2g} × {part.words}",
    )


def allergens_in(text: str, found: EatenSentence, catalogue: Catalogue) -> frozenset[str]:
    """
    Say which allergens a meal holds, by its foods and by what its words name.

    Parameters
    ----------
    text : str
        The sentence as typed.
    found : EatenSentence
        What was understood of it.
    catalogue : Catalogue

    Returns
    -------
    frozenset of str
    """
    named = {allergen for part in found.parts for allergen in part.allergens}
    keys = {key for key, _ in found.foods}
    lexicon = lexicon_of(catalogue)
    unread: list[str] = []
    for piece in pieces_of(tokens_of(text[:LONGEST_SENTENCE]), lexicon)[:MOST_PARTS]:
        if piece.absent:
            continue
        unread += piece.unknown
        for edible in filter(None, (piece.food, *piece.inside)):
            named |= set(edible.allergens)
            keys |= {edible.key} - {""}
        for single in filter(None, (lexicon.find([w], [normalised(w)])[0] for w in piece.said)):
            keys |= {single.key} - {""}
            named |= set(() if PLANT & set(piece.said) else single.allergens)
    named |= {a for key in keys if key in catalogue for a in catalogue.food(key).allergens}
    said = f" {normalised(' '.join(unread))} "
    return frozenset(named | {a for a in ALLERGENS if f" {a.replace('_', ' ')} " in said})
