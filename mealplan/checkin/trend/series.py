"""
From a log to one row a day: what the scale said, what was eaten, and which days are disturbed.

Nothing is estimated here. Odd readings are asked about, not dropped: a reading that looks like
another unit is held out until somebody confirms it, a large jump is left to the filter.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from statistics import median
from typing import Literal

import numpy as np

from mealplan.checkin.log.entries import KG_PER_UNIT, Event, IntakeRecord, Log, MassUnit, WeighIn
from mealplan.checkin.log.entries import CycleDay as CycleDayEntry
from mealplan.checkin.trend.state_space import Bools, Floats
from mealplan.errors import TooLittleDataError
from mealplan.units import KG_PER_LB

JUMP_FRACTION = 0.03
"""A change this large from the readings before it is asked about (common practice)."""
JUMP_WINDOW_DAYS = 14
UNIT_SLIP_RATIOS = (2.1, 2.3)
"""A ratio to the readings before it between these, or its inverse, is pounds for kilograms."""
SETTLING_DAYS = 10
"""After a phase change water and gut content settle for 7 to 10 days (common practice)."""
SETTLING_TIME_DAYS = 3.0
"""A water step fades in with this time constant; 96 % is over after ten days. [days]"""
AFTER_EVENT_DAYS = 4
"""Days after a sick spell or a journey until water is back (common practice)."""
DISTURBED_SD_KG = 0.5
"""Daily standard deviation of the level while sick or travelling. [kg] (assumption)"""
SETTLING_SD_KG = 0.8
"""Standard deviation of the whole water step after a phase change. [kg]

Glycogen with its water comes to 1.5 kg at most, half a litre goes with 1.5 g of sodium: see
:func:`mealplan.checkin.trend.simple.glycogen_water_swing_kg`. The spread itself is an assumption.
"""
INTAKE_SD_KCAL: dict[str, float] = {
    "counted": 200.0,
    "as planned": 200.0,
    "roughly": 300.0,
    "unknown": 500.0,
}
"""How far one day's true intake may lie from the figure taken for it, constant bias aside.

Assumptions; independent from day to day. [kcal/day]
"""


@dataclass(frozen=True)
class Question:
    """Something to ask the client about one reading."""

    entry_id: str
    on: dt.date
    what: Literal["unit slip", "jump"]
    text: str
    suggested_kg: float | None = None
    suggested: str = ""
    """What was probably meant, as it would have been written; only for a slip of the unit."""


@dataclass(frozen=True)
class Days:
    """
    One row a day, without gaps.

    Attributes
    ----------
    first : date
    mass_kg : (T,)
        Median of the day's readings; NaN where there is none. [kg]
    intake_kcal : (T,)
        Logged energy; NaN where unknown. [kcal/day]
    intake_sd_kcal : (T,)
        Spread of the truth about it. [kcal/day]
    logged : (T,)
        Days whose eating was recorded with a number.
    disturbed : (T,)
        Days of sickness and travel and the few after them.
    settling : (T,)
        The first days after a phase change.
    level_variance, settling_variance : (T,)
        Extra variance, on the way into each day, of the level and of the water step to come. [kg²]
    cycle_day : (T,)
        Day of the menstrual cycle; NaN where not known.
    questions : tuple of Question
    """

    first: dt.date
    mass_kg: Floats
    intake_kcal: Floats
    intake_sd_kcal: Floats
    logged: Bools
    disturbed: Bools
    settling: Bools
    level_variance: Floats
    settling_variance: Floats
    cycle_day: Floats
    questions: tuple[Question, ...]

    def __len__(self) -> int:
        """Return the number of days."""
        return len(self.mass_kg)

    @property
    def dates(self) -> tuple[dt.date, ...]:
        """Each day's date."""
        return tuple(self.first + dt.timedelta(days=i) for i in range(len(self)))

    @property
    def usable(self) -> Bools:
        """Days with a weigh-in outside sickness and travel."""
        return ~np.isnan(self.mass_kg) & ~self.disturbed


def check_readings(weigh_ins: tuple[WeighIn, ...]) -> tuple[Question, ...]:
    """
    Ask about readings that look like a slip.

    Each reading is compared with the median of up to five readings before it that raised no
    question, within a fortnight; the first readings are compared with those after them.

    Parameters
    ----------
    weigh_ins : tuple of WeighIn
        Oldest first.

    Returns
    -------
    tuple of Question
        Confirmed readings raise none.
    """
    questions: list[Question] = []
    trusted: list[WeighIn] = []
    overall = median(w.mass_kg for w in weigh_ins) if weigh_ins else 0.0
    for reading in weigh_ins:
        near = [w.mass_kg for w in trusted[-5:] if (reading.on - w.on).days <= JUMP_WINDOW_DAYS]
        usual = median(near) if near else overall
        ratio = reading.mass_kg / usual
        low, high = UNIT_SLIP_RATIOS
        slipped = low <= ratio <= high or low <= 1 / ratio <= high
        if reading.confirmed or (not slipped and not near):
            trusted.append(reading)
        elif slipped:
            meant = reading.mass_kg * (KG_PER_LB if ratio > 1 else 1 / KG_PER_LB)
            questions.append(
                Question(
                    entry_id=reading.id,
                    on=reading.on,
                    what="unit slip",
                    text=(
                        f"{_read(reading)} is {ratio:.2f} times the usual "
                        f"{_usual(usual, reading)}, the ratio of pounds to kilograms. Was "
                        f"{_slipped(reading, meant)} meant? It is held out until you confirm or "
                        "correct it."
                    ),
                    suggested_kg=meant,
                    suggested=_slipped(reading, meant),
                )
            )
        elif abs(ratio - 1) > JUMP_FRACTION:
            questions.append(
                Question(
                    entry_id=reading.id,
                    on=reading.on,
                    what="jump",
                    text=(
                        f"{_read(reading)} is {100 * (ratio - 1):+.1f} % from the usual "
                        f"{_usual(usual, reading)}. If it is right, confirm it; the trend waits "
                        "for more readings before it believes such a step."
                    ),
                )
            )
        else:
            trusted.append(reading)
    return tuple(questions)


def _read(reading: WeighIn) -> str:
    return f"{reading.value:.10g} {reading.unit}"


def _usual(usual_kg: float, reading: WeighIn) -> str:
    """Write the usual mass in the unit of a reading."""
    return f"{usual_kg / KG_PER_UNIT[reading.unit]:.1f} {reading.unit}"


def other_unit(reading: WeighIn) -> MassUnit:
    """
    Name the unit a reading may have been in when its own is a slip.

    Parameters
    ----------
    reading : WeighIn

    Returns
    -------
    {"kg", "lb"}
    """
    return "kg" if reading.unit == "lb" else "lb"


def _slipped(reading: WeighIn, meant_kg: float) -> str:
    """Write what was probably meant: the same number in the other unit, where that fits."""
    unit = other_unit(reading)
    if abs(reading.value * KG_PER_UNIT[unit] / meant_kg - 1) < 0.01:
        return f"{reading.value:.10g} {unit}"
    return f"{meant_kg / KG_PER_UNIT[reading.unit]:.1f} {reading.unit}"


@dataclass(frozen=True)
class _Disturbance:
    disturbed: Bools
    settling: Bools
    level_variance: Floats
    settling_variance: Floats


def _disturbance(days: int, first: dt.date, log: Log) -> _Disturbance:
    disturbed = np.zeros(days, dtype=bool)
    settling = np.zeros(days, dtype=bool)
    level = np.zeros(days)
    step = np.zeros(days)
    for event in log.of(Event):
        start = (event.on - first).days
        end = (event.last_day - first).days
        if event.what in ("sick", "travel"):
            within = slice(max(start, 0), max(min(end + AFTER_EVENT_DAYS + 1, days), 0))
            disturbed[within] = True
            level[within] = DISTURBED_SD_KG**2
        elif event.what in ("phase change", "new diet", "creatine start"):
            settling[max(start, 0) : max(start + SETTLING_DAYS, 0)] = True
            if -SETTLING_DAYS < start < days:
                # Of a change before the first day only what is still to come counts.
                left = math.exp(min(start, 0) / SETTLING_TIME_DAYS)
                step[max(start, 0)] += (SETTLING_SD_KG * left) ** 2
    return _Disturbance(disturbed, settling, level, step)


def daily(log: Log, first: dt.date | None = None, last: dt.date | None = None) -> Days:
    """
    Lay a log out by day.

    Parameters
    ----------
    log : Log
    first, last : date, optional
        From the first to the last weigh-in when left out.

    Returns
    -------
    Days

    Raises
    ------
    TooLittleDataError
        Without a single weigh-in in the span.
    """
    weigh_ins = log.of(WeighIn)
    within = tuple(
        w for w in weigh_ins if (first is None or w.on >= first) and (last is None or w.on <= last)
    )
    if not within:
        raise TooLittleDataError(
            "there is no weigh-in in this span; log one, best in the morning before eating"
        )
    begin = first or within[0].on
    end = last or within[-1].on
    span = (end - begin).days + 1
    questions = check_readings(within)
    held = {q.entry_id for q in questions if q.what == "unit slip"}
    by_day: dict[int, list[float]] = {}
    for reading in within:
        if reading.id not in held:
            by_day.setdefault((reading.on - begin).days, []).append(reading.mass_kg)
    mass = np.full(span, np.nan)
    for day, values in by_day.items():
        mass[day] = median(values)

    intake, intake_sd, logged = intake_by_day(log, begin, span)
    disturbance = _disturbance(span, begin, log)
    cycle = np.full(span, np.nan)
    for entry in log.of(CycleDayEntry):
        # A logged day counts on until the next one is logged, for at most 60 days.
        start = (entry.on - begin).days
        for offset in range(60):
            if 0 <= start + offset < span:
                cycle[start + offset] = entry.day + offset
    return Days(
        first=begin,
        mass_kg=mass,
        intake_kcal=intake,
        intake_sd_kcal=intake_sd,
        logged=logged,
        disturbed=disturbance.disturbed,
        settling=disturbance.settling,
        level_variance=disturbance.level_variance,
        settling_variance=disturbance.settling_variance,
        cycle_day=cycle,
        questions=questions,
    )


def intake_by_day(log: Log, begin: dt.date, span: int) -> tuple[Floats, Floats, Bools]:
    """
    Lay the logged energy out by day.

    Parameters
    ----------
    log : Log
    begin : date
        First day.
    span : int
        Number of days.

    Returns
    -------
    intake_kcal : (span,)
        NaN where not recorded. [kcal/day]
    spread_kcal : (span,)
        Of the truth about it. [kcal/day]
    logged : (span,)
    """
    intake = np.full(span, np.nan)
    spread = np.full(span, INTAKE_SD_KCAL["unknown"])
    logged = np.zeros(span, dtype=bool)
    for record in log.of(IntakeRecord):
        day = (record.on - begin).days
        if not 0 <= day < span:
            continue
        if record.kcal is not None:
            kcal, sd = record.kcal, INTAKE_SD_KCAL["counted"]
        elif record.adherence != "other" and record.planned_kcal is not None:
            kcal, sd = record.planned_kcal, INTAKE_SD_KCAL[record.adherence]
        else:
            continue
        # Two records of a day: the later in the log's order stands.
        intake[day], spread[day], logged[day] = kcal, sd, True
    return intake, spread, logged
