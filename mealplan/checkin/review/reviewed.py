"""A phase as it was read: its course, and what its numbers are worth."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from mealplan.checkin.log.entries import MassUnit, ScanRecord, WeighIn
from mealplan.checkin.log.log import Log
from mealplan.checkin.review.change import Change, LeanShare
from mealplan.checkin.review.measures import (
    TestChange,
)


@dataclass(frozen=True)
class CoursePoint:
    """One day of the expected course beside the trend."""

    on: dt.date
    expected_kg: float
    expected_low_kg: float
    expected_high_kg: float
    """Ends of the 90 % band of what was expected; the line itself without a model. [kg]"""
    level_kg: float | None
    low_kg: float | None
    high_kg: float | None
    reading_kg: float | None
    set_aside: bool


@dataclass(frozen=True)
class PhaseReview:
    """
    What a phase did.

    Attributes
    ----------
    start, end : date
    days : int
    mass_change_kg, mass_low_kg, mass_high_kg : float
        By the trend, with its 90 % range. [kg]
    expected_change_kg, expected_low_kg, expected_high_kg : float
        By the plan, with the 90 % range of the model behind it. [kg]
    unit : str
        Unit of mass the client reads.
    against_plan : str
    mass : Change
        Of the trend, in ``unit``; its least significant change follows from its range.
    scans : tuple of Change
        Fat and lean, when there is a scan at both ends; in ``unit``.
    share : LeanShare or None
    girths, bloods : tuple of Change
    tests : tuple of TestChange
    course : tuple of CoursePoint
    verdict : str
        Muscle, fat or noise.
    habits : tuple of str
        What was done and how it felt: no weights, no calories.
    learned : tuple of str
        What the numbers taught, for the next phase.
    cautions : tuple of str
    wanting : tuple of str
        What would have told more, and how to get it.
    """

    start: dt.date
    end: dt.date
    days: int
    mass_change_kg: float
    mass_low_kg: float
    mass_high_kg: float
    expected_change_kg: float
    expected_low_kg: float
    expected_high_kg: float
    unit: MassUnit
    against_plan: str
    mass: Change
    scans: tuple[Change, ...]
    share: LeanShare | None
    girths: tuple[Change, ...]
    bloods: tuple[Change, ...]
    tests: tuple[TestChange, ...]
    course: tuple[CoursePoint, ...]
    verdict: str
    habits: tuple[str, ...]
    learned: tuple[str, ...]
    cautions: tuple[str, ...]
    wanting: tuple[str, ...]

    @property
    def changes(self) -> tuple[Change, ...]:
        """Every change that is judged: weight, fat and lean, girths, bloods."""
        return (self.mass, *self.scans, *self.girths, *self.bloods)


def reading_unit(log: Log, usual: MassUnit = "kg") -> MassUnit:
    """
    Say in which unit a client reads masses: the one last weighed in, stones as pounds.

    Parameters
    ----------
    log : Log
    usual : {"kg", "lb", "st"}
        Without a weigh-in.

    Returns
    -------
    {"kg", "lb"}
    """
    weighed = log.of(WeighIn)
    unit = weighed[-1].unit if weighed else usual
    return "lb" if unit == "st" else unit


def nearest_scan(scans: tuple[ScanRecord, ...], day: dt.date, within: int) -> ScanRecord | None:
    """
    Return the scan nearest to a day, not further than ``within`` days from it.

    Parameters
    ----------
    scans : tuple[ScanRecord, ...]
        Scans to choose from.
    day : dt.date
        The day aimed at.
    within : int
        How far from it still counts. [days]
    """
    near = [s for s in scans if abs((s.on - day).days) <= within]
    return min(near, key=lambda s: (abs((s.on - day).days), s.on), default=None)


def judge(scans: tuple[Change, ...], mass: Change) -> str:
    """
    Say in one sentence whether it was muscle, fat or noise.

    Parameters
    ----------
    scans : tuple of Change
        Fat and lean, or none.
    mass : Change
        Of the trend.

    Returns
    -------
    str
    """
    moved = (
        f"weight {'rose' if mass.change > 0 else 'fell'} by {abs(mass.change):.1f} {mass.unit}"
        if mass.low > 0 or mass.high < 0
        else "weight did not change by more than its noise"
    )
    if not scans:
        return f"{moved}; without two scans nobody can say what it was made of"
    words = []
    for one in scans:
        if one.word == "no detectable change":
            words.append(
                f"no detectable change of {one.what} ({one.change:+.1f} {one.unit}, it takes "
                f"{one.least_significant:.1f})"
            )
        else:
            name = "lean tissue, muscle and water among it" if one.what == "lean" else one.what
            words.append(
                f"{one.word} {name} ({one.change:+.1f} {one.unit}, {one.low:+.1f} to "
                f"{one.high:+.1f})"
            )
    return f"{moved}; {' and '.join(words)}"
