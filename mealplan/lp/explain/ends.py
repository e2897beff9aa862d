"""The floors and ceilings of a day's rows, which of them are musts, and how they are said."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from mealplan.lp.daymodel import DayModel
from mealplan.lp.search import DayAnswer
from mealplan.rules.rows.base import TIER_PRICE, Row
from mealplan.rules.rows.nutrients import INSET

Side = Literal["floor", "ceiling"]

MET = INSET
"""A miss below this fraction of its bound is none: rows are drawn in by as much."""

MUST = 0.9 * TIER_PRICE["floor"]
"""An end whose whole miss costs at least this is a must; cheaper ones are wishes."""


@dataclass(frozen=True)
class End:
    """The floor or the ceiling of one row."""

    row: Row
    side: Side

    @property
    def bound(self) -> float:
        """Where it lies [row unit]."""
        return self.row.low if self.side == "floor" else self.row.high

    @property
    def scale(self) -> float:
        """What a whole miss is [row unit]."""
        return abs(self.bound) or 1.0

    @property
    def worth(self) -> float:
        """Price of missing it whole."""
        price = self.row.price_low if self.side == "floor" else self.row.price_high
        return price * self.scale

    @property
    def words(self) -> str:
        """Say it, such as ``at least 14.4 mg of iron``."""
        least = "at least" if self.side == "floor" else "at most"
        return (
            f"{least} {in_unit(self.asked(self.bound), self.row.unit)} of {thing(self.row.label)}"
        )

    def asked(self, amount: float) -> float:
        """
        Undo the inset rows of nutrients are drawn in by, for the reader's eye.

        Parameters
        ----------
        amount : float
            [row unit]

        Returns
        -------
        float
            [row unit]
        """
        if self.row.tier == "energy" or "@" in self.row.name:
            return amount
        return amount / (1 + INSET if self.side == "floor" else 1 - INSET)


@dataclass(frozen=True)
class Miss:
    """An end the day does not meet."""

    end: End
    amount: float
    """What the day gives. [row unit]"""
    must: bool

    @property
    def fraction(self) -> float:
        """How much of the bound is missing or too much, 0 to 1 and beyond."""
        return abs(self.amount - self.end.bound) / self.end.scale


def in_unit(value: float, unit: str) -> str:
    """
    Write an amount as a reader wants it, three figures at most.

    Parameters
    ----------
    value : float
        [``unit``]
    unit : str
        Written behind it.

    Returns
    -------
    str
    """
    shown = f"{value:,.0f}" if abs(value) >= 100 else f"{value:.3g}"
    return f"{shown} {unit}"


def thing(label: str) -> str:
    """
    Write a label inside a sentence: its first letter small unless it is a name of letters.

    Parameters
    ----------
    label : str
        Name of the nutrient.
    """
    first = label.split(" ", 1)[0]
    return (
        label if len(first) < 2 or first[1:] != first[1:].lower() else label[0].lower() + label[1:]
    )


def ends_of(model: DayModel, *, least_worth: float = MUST) -> tuple[End, ...]:
    """
    List a day's floors and ceilings.

    Parameters
    ----------
    model : DayModel
        The day.
    least_worth : float
        Only ends whose whole miss costs at least this. [objective]

    Returns
    -------
    tuple of End
        In the order of the rows.
    """
    found = []
    for row in model.rows:
        ends = (End(row, "floor"), End(row, "ceiling"))
        found += [e for e in ends if math.isfinite(e.bound) and e.worth >= least_worth]
    return tuple(found)


def misses_of(model: DayModel, answer: DayAnswer) -> tuple[Miss, ...]:
    """
    List the ends a planned day misses, musts first and then by what they cost.

    Parameters
    ----------
    model : DayModel
        The day.
    answer : DayAnswer
        Its plan.
    """
    totals = model.totals(answer.picks, answer.grams)
    amounts = {row.name: float(t) + row.base for row, t in zip(model.rows, totals, strict=True)}
    found = []
    for end in ends_of(model, least_worth=0.0):
        amount = amounts[end.row.name]
        over = end.bound - amount if end.side == "floor" else amount - end.bound
        if over > MET * end.scale and end.worth > 0 and not end.row.name.endswith(":aim"):
            found.append(Miss(end, amount, must=end.worth >= MUST))
    return tuple(sorted(found, key=lambda miss: (not miss.must, -miss.fraction * miss.end.worth)))
