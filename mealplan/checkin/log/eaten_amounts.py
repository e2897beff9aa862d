"""How much of a food was eaten: grams, pieces and household measures, with their doubt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from mealplan.checkin.log.eaten_names import Edible
from mealplan.checkin.log.eaten_tokens import Token
from mealplan.checkin.log.eaten_vocabulary import (
    MEASURE_OTHERWISE,
    SIZE_NAMES,
    SIZES,
    VOLUMES,
    WEIGHTS,
)

WEIGHED_FRACTION = 0.05
"""Doubt of an amount that was weighed or poured from a measure."""
MEASURED_FRACTION = 0.7
"""Doubt of a household measure or piece, against that of a portion nobody measured."""
MOST_OF_SMALL_PIECES = 60
"""Pieces lighter than :data:`SMALL_PIECE_G` are counted up to this number."""
SMALL_PIECE_G = 13.0
"""[g]"""
BARE_GRAMS = 20.0
"""A bare number from here on is a weight. [g]"""
_OIL_DENSITY = 0.92
"""[g/mL]"""


@dataclass(frozen=True)
class SaidAmount:
    """A number with what it counts."""

    number: Token
    unit: str
    """Weight, volume or name of a household measure; empty for pieces."""
    times: bool = False
    """True multiplies what follows: 2 x 200 g."""


@dataclass(frozen=True)
class EatenGrams:
    """Grams of one food."""

    grams: float
    low_g: float
    high_g: float
    words: str
    """As it is read back, such as ``2 slices``; empty where nothing was said."""
    said: bool
    """False where the usual portion was taken."""


def amount_of(
    edible: Edible,
    quantities: Sequence[SaidAmount],
    sizes: Sequence[str],
    beside: str | None,
) -> EatenGrams | None:
    """
    Work out how much of a food was eaten.

    Parameters
    ----------
    edible : Edible
    quantities : sequence of SaidAmount
        As they were said, from left to right.
    sizes : sequence of str
        Such as ``large``.
    beside : str or None
        Kind of the food it is eaten with; None where it stands by itself.

    Returns
    -------
    EatenGrams or None
        None where the amounts do not fit together.
    """
    weights = [q for q in quantities if q.unit in WEIGHTS or q.unit in VOLUMES]
    counts = [q for q in quantities if q not in weights]
    if len(weights) > 1 or len(counts) > 2:
        return None
    if weights:
        return _weighed(edible, weights[0], counts, list(quantities))
    if not counts:
        return _usual(edible, sizes, beside)
    factor = counts[0].number.value if len(counts) == 2 else 1.0
    return _counted(edible, counts[-1], factor, sizes)


def _weighed(
    edible: Edible, weight: SaidAmount, counts: Sequence[SaidAmount], order: Sequence[SaidAmount]
) -> EatenGrams:
    number = weight.number
    each = WEIGHTS.get(weight.unit) or VOLUMES[weight.unit] * _density(edible)
    if weight.unit == "oz" and edible.kind.name in ("drink", "hot drink", "milk"):
        each = 29.6
    many = 1.0
    if counts and (counts[0].times or weight.times) and order[0] is counts[0]:
        many = counts[0].number.value
    grams = number.value * each * many
    low, high = number.low * each * many, number.high * each * many
    times = "" if many == 1 else f"{many:g} × "
    words = f"{times}{number.value:g} {weight.unit}"
    return EatenGrams(
        grams, low * (1 - WEIGHED_FRACTION), high * (1 + WEIGHED_FRACTION), words, said=True
    )


def _density(edible: Edible) -> float:
    if edible.kind.name == "oil":
        return _OIL_DENSITY
    if edible.kind.name in ("cereal", "nut", "snack", "powder", "vegetable", "salad", "fruit"):
        return edible.measures.get("cup", 240.0) / 240
    return 1.0


def _usual(edible: Edible, sizes: Sequence[str], beside: str | None) -> EatenGrams:
    factor, named = _size(edible, sizes)
    if beside is not None:
        grams = edible.beside.get(beside, edible.beside.get("*", edible.usual_g))
        if grams != edible.usual_g:
            spread = max(0.4, edible.kind.portion_fraction)
            grams *= factor
            return EatenGrams(grams, grams * (1 - spread), grams * (1 + spread), "", said=False)
    if named:
        spread = edible.kind.portion_fraction
        return EatenGrams(named, named * (1 - spread), named * (1 + spread), "", said=False)
    return EatenGrams(
        edible.usual_g * factor, edible.low_g * factor, edible.high_g * factor, "", said=False
    )


def _size(edible: Edible, sizes: Sequence[str]) -> tuple[float, float]:
    """Give the factor of the sizes said, or the food's own grams for one of them."""
    factor = 1.0
    for size in sizes:
        own = edible.measures.get(SIZE_NAMES.get(size, ""), 0.0)
        if own:
            return 1.0, own
        factor *= SIZES[size]
    return factor, 0.0


def _counted(
    edible: Edible, count: SaidAmount, times: float, sizes: Sequence[str]
) -> EatenGrams | None:
    number = count.number
    factor, named = _size(edible, sizes)
    if not count.unit and number.value >= BARE_GRAMS and not _small(edible, number.value):
        grams = number.value
        return EatenGrams(grams * times, grams * 0.95 * times, grams * 1.05 * times,
                      f"{grams:g} g", said=True)  # fmt: skip
    if count.unit in ("", "each") and named:
        one, factor = named, 1.0
    else:
        one = measure_g(edible, count.unit)
    if not one:
        return None
    one *= factor * times
    spread = edible.kind.portion_fraction * MEASURED_FRACTION
    if count.unit in ("tsp", "tbsp", "cup"):
        spread = min(spread, 0.2)
    unit = count.unit if count.unit != "each" else ""
    many = f"{round(number.value, 2):g}"
    words = f"{many} {unit}" if unit else f"{many} ×"
    return EatenGrams(
        number.value * one,
        number.low * one * (1 - spread),
        number.high * one * (1 + spread),
        words,
        said=True,
    )


def _small(edible: Edible, value: float) -> bool:
    each = edible.measures.get("each", 0.0)
    return 0 < each <= SMALL_PIECE_G and value <= MOST_OF_SMALL_PIECES


def measure_g(edible: Edible, unit: str) -> float:
    """
    Give the grams of one household measure of a food.

    Parameters
    ----------
    edible : Edible
    unit : str
        Name of a measure; empty for one piece.

    Returns
    -------
    float
        0 where none fits. [g]
    """
    if not unit or unit == "each":
        return edible.measures.get("each") or edible.usual_g
    if unit in edible.measures:
        return edible.measures[unit]
    one = edible.measures.get("each", 0.0)
    if unit == "piece" and one and edible.kind.name != "bread":
        return one if edible.kind.name == "fruit" else min(one, edible.measures.get("slice", one))
    for other in MEASURE_OTHERWISE.get(unit, ()):
        if other in edible.measures:
            return edible.measures[other]
        if other in ("portion", "each"):
            return edible.usual_g
    return edible.usual_g if unit == "portion" else 0.0


def spread_of(edible: Edible, amount: EatenGrams) -> tuple[float, float, float]:
    """
    Work out the energy of an amount with its ends.

    Parameters
    ----------
    edible : Edible
    amount : EatenGrams

    Returns
    -------
    middle, low, high : float
        [kcal]
    """
    middle = amount.grams * edible.kcal_per_100g / 100
    if amount.grams <= 0:
        return 0.0, 0.0, 0.0
    made_of = edible.kind.composition_fraction
    below = sqrt((1 - amount.low_g / amount.grams) ** 2 + made_of**2)
    above = sqrt((amount.high_g / amount.grams - 1) ** 2 + made_of**2)
    return middle, middle * max(0.0, 1 - below), middle * (1 + above)
