"""
A season of phases with dates, each with its rate and its rule for handing over to the next.

A phase ends when the body says so (fat mass index, %fat or waist), not only when the calendar does.
On sick and travelling days the plan holds at maintenance: pushing on costs more than it brings.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from mealplan.errors import IntakeError
from mealplan.physiology.weight_change.rates import PHASE_KINDS, PhaseKind

DayMark = Literal["sick", "travelling"]
Decision = Literal["hand over", "stay", "can't tell"]


@dataclass(frozen=True)
class StopRule:
    """
    What ends a phase early; None leaves a limit out.

    For a gain each limit is an upper one, for a cut a lower one. A waist limit is the only one that
    needs no composition measurement.

    Attributes
    ----------
    fat_mass_index : float or None
        Limit. [kg/m²]
    fat_percent : float or None
        Limit. [%]
    waist_cm : float or None
        Limit. [cm]
    """

    fat_mass_index: float | None = None
    fat_percent: float | None = None
    waist_cm: float | None = None


@dataclass(frozen=True)
class Phase:
    """
    One phase.

    Attributes
    ----------
    kind : str
        ``"gain"``, ``"hold"``, ``"cut"`` or ``"endurance"``.
    start, end : datetime.date
        First day, and the day after the last.
    percent_per_week : float
        Wanted rate, positive for gain; 0 for hold and endurance. [%/week]
    stop : StopRule
        What ends it early.
    """

    kind: PhaseKind
    start: dt.date
    end: dt.date
    percent_per_week: float
    stop: StopRule = StopRule()

    def __post_init__(self) -> None:
        """Refuse a phase that ends before it starts or whose rate contradicts its kind."""
        if self.kind not in PHASE_KINDS:
            raise IntakeError(
                f"phase {self.kind!r} is not known: choose one of {', '.join(PHASE_KINDS)}."
            )
        if self.end <= self.start:
            raise IntakeError(
                f"the {self.kind} phase ends on {self.end}, not after its start on {self.start}: "
                "correct a date."
            )
        rate = self.percent_per_week
        wrong = (
            (self.kind == "gain" and rate <= 0)
            or (self.kind == "cut" and rate >= 0)
            or (self.kind in ("hold", "endurance") and rate != 0)
        )
        if wrong:
            raise IntakeError(
                f"a {self.kind} phase cannot have a rate of {rate:+g} % a week: gain is above 0, "
                "cut below, hold and endurance 0."
            )

    @property
    def days(self) -> int:
        """Length [day]."""
        return (self.end - self.start).days


@dataclass(frozen=True)
class BodyReading:
    """
    What was measured lately; None was not.

    Attributes
    ----------
    date : datetime.date
        When.
    fat_mass_index : float or None
        [kg/m²]
    fat_percent : float or None
        [%]
    waist_cm : float or None
        [cm]
    """

    date: dt.date
    fat_mass_index: float | None = None
    fat_percent: float | None = None
    waist_cm: float | None = None


@dataclass(frozen=True)
class HandOver:
    """
    Whether a phase should hand over now.

    Attributes
    ----------
    decision : str
        ``"hand over"``, ``"stay"`` or ``"can't tell"``.
    reasons : tuple of str
        Which limit was met, or what is missing.
    """

    decision: Decision
    reasons: tuple[str, ...]


def check_hand_over(phase: Phase, today: dt.date, reading: BodyReading | None) -> HandOver:
    """
    Apply a phase's rule to the latest reading and the calendar.

    Parameters
    ----------
    phase : Phase
        The running phase.
    today : datetime.date
        Today.
    reading : BodyReading or None
        Latest measurements.

    Returns
    -------
    HandOver
        ``"can't tell"`` when a limit is set and nothing was measured against it.
    """
    if today >= phase.end:
        return HandOver("hand over", (f"the phase ends on {phase.end}",))
    met: list[str] = []
    missing: list[str] = []
    checked = 0
    for name, unit, limit, value in (
        (
            "fat mass index",
            "kg/m²",
            phase.stop.fat_mass_index,
            reading.fat_mass_index if reading else None,
        ),
        ("body fat", "%", phase.stop.fat_percent, reading.fat_percent if reading else None),
        ("waist", "cm", phase.stop.waist_cm, reading.waist_cm if reading else None),
    ):
        if limit is None or phase.kind not in ("gain", "cut"):
            continue
        if value is None:
            missing.append(f"{name} was not measured")
            continue
        checked += 1
        if (phase.kind == "gain" and value >= limit) or (phase.kind == "cut" and value <= limit):
            met.append(f"{name} {value:g} {unit} has reached {limit:g} {unit}")
    if met:
        return HandOver("hand over", tuple(met))
    if missing and not checked:
        return HandOver("can't tell", tuple(missing))
    left = (phase.end - today).days
    return HandOver("stay", (f"no limit reached, {left} days left", *missing))
