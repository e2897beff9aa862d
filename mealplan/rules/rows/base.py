"""
A rule says what a day should satisfy; a Row is one such wish as plain numbers.

Rows know nothing of solvers: they can be built and checked in a test, priced by the planner,
verified on any finished plan, and quoted in a sentence when a wish cannot be met.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import ClassVar, Protocol, get_args

import numpy as np
from numpy.typing import NDArray

from mealplan.client.intake import Intake
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.rules.weights import weight
from mealplan.targets.ranges import DayTargets, Targets, Tier

TIER_PRICE: dict[Tier, float] = {tier: weight(tier) for tier in get_args(Tier)}
"""
Price of missing a target by all of itself (100 %), by tier.

The gaps are wide so that no amount of comfort buys a floor, and narrow enough that a tenth of a
per cent of energy is not bought with a tenth of an amino acid.
"""


@dataclass(frozen=True)
class Slot:
    """One meal of the day."""

    index: int
    occasion: str
    """breakfast, midday, evening or small: which dishes suit it."""
    label: str
    time: str
    energy_share: float
    """Share of the day's energy this meal usually carries, 0 to 1."""


@dataclass(frozen=True)
class Row:
    """
    One linear wish on a day: ``low <= sum(per_gram[food] * grams) <= high``.

    ``per_gram`` has one entry a catalogue food; ``slots`` says which meals count. Bounds are in the
    row's own unit, and the price is per unit missed.
    """

    name: str
    label: str
    unit: str
    per_gram: NDArray[np.float64] = field(repr=False)
    low: float
    high: float
    price_low: float
    price_high: float
    tier: Tier
    why: str
    slots: tuple[int, ...] | None = None
    """Indices of the meals that count; None is the whole day."""
    base: float = 0.0
    """Amount already there: supplement lines, meals already eaten."""
    hard: bool = False
    weekly: bool = False
    """True when the floor is one day's part of a mean over the week."""


@dataclass(frozen=True)
class Scope:
    """What rules may look at."""

    intake: Intake
    targets: Targets
    day: DayTargets
    slots: tuple[Slot, ...]
    space: FoodSpace
    floors: Mapping[str, float] = field(default_factory=dict)
    """What this day must bring of weekly floors, given the other days. [nutrient unit]"""
    margins: Mapping[str, float] = field(default_factory=dict)
    """Added to a floor so that it really holds, by nutrient. [nutrient unit]"""
    other_kcal: Mapping[int, float] = field(default_factory=dict)
    """Energy already eaten whose foods are not known, by meal. [kcal]"""
    worth_per_gram: NDArray[np.float64] | None = field(default=None, repr=False)
    """(foods,) what a gram eaten is worth, when prices are known. [currency/g]"""
    budget: float | None = None
    dear: float = 1.0
    """How much dearer spending beyond it is than usual. [1]"""
    """Most the client's own food of this day should be worth. [currency/day]"""
    plate_price: float = 1.0
    """Part of the price of a plate too full that holds this day. [1]"""


class Rule(Protocol):
    """A family of rows."""

    name: ClassVar[str]

    def rows(self, scope: Scope) -> Iterator[Row]:
        """
        Yield this family's rows for one day.

        Parameters
        ----------
        scope : Scope
            The day's meals, foods and targets.
        """
        ...
