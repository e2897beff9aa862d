"""One food of a meal with its amount, as it is read back, shared or asked about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot

from mealplan.checkin.log.eaten_lexicon import Edible
from mealplan.checkin.log.eaten_measures import EatenGrams, measure_g, spread_of
from mealplan.checkin.log.eaten_model import EatenPart, said_number
from mealplan.checkin.log.eaten_modifiers import ModifierEffect
from mealplan.checkin.log.eaten_piece import Piece

SAME_FRACTION = 0.02
"""A food whose energy a modifier moves by less is still that food of the kitchen."""


def how_much(said: str, food: Edible, amount: EatenGrams, middle: float) -> str:
    """
    Ask how much of a food it was, with what its measures weigh.

    Parameters
    ----------
    said : str
        As it was typed.
    food : Edible
    amount : EatenGrams
        As it is read.
    middle : float
        [kcal]

    Returns
    -------
    str
    """
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


def slices_of(piece: Piece) -> float:
    """
    Count the slices of bread that what is put on them is spread over.

    Parameters
    ----------
    piece : Piece

    Returns
    -------
    float
    """
    counts = [q.number.value for q in piece.quantities if q.unit in ("", "slice", "piece")]
    return min(4.0, max(1.0, counts[0])) if counts and counts[0] < 20 else 1.0


def part_of(said: str, food: Edible, amount: EatenGrams, density: float) -> EatenPart:
    """
    Make a part of a meal of a food and its amount.

    Parameters
    ----------
    said : str
        As it was typed.
    food : Edible
    amount : EatenGrams
    density : float
        Energy said for 100 g; 0 where none was. [kcal]

    Returns
    -------
    EatenPart
    """
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


def changed(part: EatenPart, effect: ModifierEffect, modifiers: Sequence[str]) -> EatenPart:
    """
    Change a part by what modifiers make of its food.

    Parameters
    ----------
    part : EatenPart
    effect : ModifierEffect
    modifiers : sequence of str
        As they were said.

    Returns
    -------
    EatenPart
        Of which only the energy is known, where they change it.
    """
    used = [word for word in modifiers if word not in effect.unused]
    if not used:
        return part
    below = 1 - part.low_kcal / max(1e-9, part.energy_kcal)
    above = part.high_kcal / max(1e-9, part.energy_kcal) - 1
    low = hypot(below, 1 - effect.low / max(1e-9, effect.middle))
    high = hypot(above, effect.high / max(1e-9, effect.middle) - 1)
    kcal = part.energy_kcal * effect.middle
    keeps = abs(effect.middle - 1) < SAME_FRACTION
    return replace(
        part,
        energy_kcal=kcal,
        low_kcal=kcal * max(0.0, 1 - low),
        high_kcal=kcal * (1 + high),
        food=part.food if keeps else "",
        words=f"{part.words}, {' and '.join(used)}",
    )


def scaled(part: EatenPart, share: float) -> EatenPart:
    """
    Take a share of a part.

    Parameters
    ----------
    part : EatenPart
    share : float

    Returns
    -------
    EatenPart
    """
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
