"""Amounts that were said, in grams with their doubt."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import sqrt

from mealplan.checkin.log.eaten_lexicon import Edible
from mealplan.checkin.log.eaten_tokens import Token
from mealplan.checkin.log.eaten_vocabulary import (
    MEASURE_OTHERWISE,
)


@dataclass(frozen=True)
class SaidAmount:
    """A number with what it counts."""

    number: Token
    unit: str
    """Weight, volume or name of a household measure; empty for pieces."""
    times: bool = False
    """True multiplies what follows or goes before: 2 x 200 g, 200 g x 2."""
    pack: bool = False
    """True for what is written on a pack: a 400 g tin."""
    each: bool = False
    """True when it is that of each piece."""
    apart: bool = False
    """True when it stands in brackets or behind a comma."""
    restated: bool = False
    """True when it stands behind a comma, as what was eaten after all."""


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
    doubts: tuple[str, ...] = ()
    """What the amounts may mean as well."""


def times(amount: EatenGrams, factor: float) -> EatenGrams:
    """
    Multiply an amount.

    Parameters
    ----------
    amount : EatenGrams
    factor : float

    Returns
    -------
    EatenGrams
    """
    return replace(
        amount,
        grams=amount.grams * factor,
        low_g=amount.low_g * factor,
        high_g=amount.high_g * factor,
    )


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
