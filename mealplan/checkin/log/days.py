"""
From a log to one row a day: what the scale said and how, what was eaten, done and told.

Nothing is estimated here. Odd readings are asked about, not dropped: a reading that looks like
another unit is held out until somebody confirms it, a large jump is left to the filter.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass, replace
from math import hypot
from statistics import median

import numpy as np
from numpy.typing import NDArray

from mealplan.checkin.log.entries import (
    CycleDay,
    Event,
    IntakeRecord,
    ScanRecord,
    Steps,
    TrainingDone,
    WeighIn,
)
from mealplan.checkin.log.log import Log
from mealplan.checkin.log.questions import ReadingQuestion, check_readings
from mealplan.errors import TooLittleDataError

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

SETTLING_DAYS = 10
"""After a phase change water and gut content settle for 7 to 10 days (common practice). [days]"""
AFTER_EVENT_DAYS = 4
"""Days after a sick spell or a journey until water is back (common practice)."""
LATE_HOUR = 11
"""A reading from this hour on is not taken fasted unless it says so (common practice)."""
LONGEST_CYCLE_DAYS = 60
"""A logged cycle day counts on until the next one, for at most this long. [days]"""
DIRECTIONS: dict[str, int] = {"cut": -1, "hold": 0, "endurance": 0, "gain": 1}
"""Which way body mass is meant to go, by the name of the phase."""
WATER_STEPS_KG: dict[str, tuple[float, float]] = {
    "phase change": (0.0, 0.4),
    "new diet": (0.0, 0.6),
    "creatine start": (0.8, 0.5),
}
"""Water that comes or goes after an event, and its spread between people. [kg]

Creatine loading holds 0.5 to 1.5 kg of water; a plant-based diet rich in fibre or a new intake of
salt moves half a kilogram either way (common practice; sizes from memory of loading studies).
"""
INTAKE_SD_KCAL: dict[str, float] = {
    "counted": 150.0,
    "as planned": 200.0,
    "roughly": 300.0,
    "unknown": 400.0,
}
"""How far one day's true intake may lie from the figure taken for it, constant bias aside.

Independent from day to day. Counted: 6 % of 2,500 kcal for weighing, tables and what was forgotten;
the others are assumptions. [kcal/day]
"""


@dataclass(frozen=True)
class Day:
    """
    One day as it was logged; None where nothing was.

    Attributes
    ----------
    on : date
    mass_kg : float or None
        Median of the day's readings under the best conditions there were. [kg]
    other_scale, clothed, fed : bool
        How that reading was taken.
    intake_kcal : float or None
        Logged energy. [kcal]
    intake_sd_kcal : float
        Spread of the truth about it. [kcal]
    planned_kcal : float or None
        Planned energy, where a record names it. [kcal]
    training_kcal : float or None
        Net cost of the day's sessions as far as known. [kcal]
    training_half_seen : bool
        A session of the day has no known cost.
    steps : int or None
    training_change_kcal : float or None
        Told today: how much more the training week costs from now on; 0 when its size is not
        known. [kcal/day]
    disturbed : bool
        Sickness, travel, or the few days after.
    refeed : bool
    water_kg, water_sd_kg : float
        Water that begins to come or go today, and its spread. [kg]
    cycle_day : float or None
    direction : int or None
        Which way mass is meant to go by the named phase: -1, 0 or 1.
    scan : ScanRecord or None
    """

    on: dt.date
    mass_kg: float | None = None
    other_scale: bool = False
    clothed: bool = False
    fed: bool = False
    intake_kcal: float | None = None
    intake_sd_kcal: float = INTAKE_SD_KCAL["unknown"]
    planned_kcal: float | None = None
    training_kcal: float | None = None
    training_half_seen: bool = False
    steps: int | None = None
    training_change_kcal: float | None = None
    disturbed: bool = False
    refeed: bool = False
    water_kg: float = 0.0
    water_sd_kg: float = 0.0
    cycle_day: float | None = None
    direction: int | None = None
    scan: ScanRecord | None = None


@dataclass(frozen=True)
class Days:
    """
    One row a day, without gaps.

    Attributes
    ----------
    rows : tuple of Day
    questions : tuple of ReadingQuestion
    """

    rows: tuple[Day, ...]
    questions: tuple[ReadingQuestion, ...]

    def __len__(self) -> int:
        """Return the number of days."""
        return len(self.rows)

    @property
    def usable(self) -> tuple[int, ...]:
        """Places of the days with a weigh-in outside sickness and travel."""
        return tuple(
            place
            for place, day in enumerate(self.rows)
            if day.mass_kg is not None and not day.disturbed
        )


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
    within = tuple(
        w
        for w in log.of(WeighIn)
        if (first is None or w.on >= first) and (last is None or w.on <= last)
    )
    if not within:
        raise TooLittleDataError(
            "there is no weigh-in in this span; log one, best in the morning before eating"
        )
    begin, end = first or within[0].on, last or within[-1].on
    span = (end - begin).days + 1
    questions = check_readings(within)
    found: list[dict[str, object]] = [{} for _ in range(span)]
    held = {q.entry_id for q in questions if q.what == "unit slip"}
    _weighed(found, begin, [w for w in within if w.id not in held])
    _eaten(found, begin, log)
    _trained(found, begin, log)
    _told(found, begin, log)
    blank = Day(begin)
    rows = tuple(
        replace(blank, on=begin + dt.timedelta(days=place), **values)  # type: ignore[arg-type]
        for place, values in enumerate(found)
    )
    return Days(rows, questions)


Found = list[dict[str, object]]


def _fed(reading: WeighIn) -> bool:
    said = reading.conditions.fasted
    late = reading.at is not None and reading.at.hour >= LATE_HOUR
    return said is False or (said is None and late)


def _weighed(found: Found, begin: dt.date, weigh_ins: list[WeighIn]) -> None:
    """Take each day's reading: the median of those under the best conditions there were."""
    by_day: dict[int, list[tuple[int, bool, bool, bool, float]]] = defaultdict(list)
    for reading in weigh_ins:
        how = (
            reading.conditions.usual_scale is False,
            bool(reading.conditions.clothed),
            _fed(reading),
        )
        by_day[(reading.on - begin).days].append((sum(how), *how, reading.mass_kg))
    for place, taken in by_day.items():
        best = min(taken)[:4]
        found[place].update(
            mass_kg=median(mass for *how, mass in taken if tuple(how) == best),
            other_scale=best[1],
            clothed=best[2],
            fed=best[3],
        )


def _eaten(found: Found, begin: dt.date, log: Log) -> None:
    """Take each day's energy; of two records of a day the later in the log's order stands."""
    for record in log.of(IntakeRecord):
        place = (record.on - begin).days
        if not 0 <= place < len(found):
            continue
        if record.planned_kcal is not None:
            found[place]["planned_kcal"] = record.planned_kcal
        if record.kcal is not None:
            found[place].update(intake_kcal=record.kcal, intake_sd_kcal=_counted_sd(record))
        elif record.adherence != "other" and record.planned_kcal is not None:
            found[place].update(
                intake_kcal=record.planned_kcal,
                intake_sd_kcal=INTAKE_SD_KCAL[record.adherence],
            )


def _counted_sd(record: IntakeRecord) -> float:
    """Give the spread of a counted day; doubts of its meals said in words add to it [kcal]."""
    return hypot(INTAKE_SD_KCAL["counted"], record.sd_kcal)


def _trained(found: Found, begin: dt.date, log: Log) -> None:
    """Add up each day's sessions as far as their cost is known, and take its steps."""
    for session in log.of(TrainingDone):
        place = (session.on - begin).days
        if not 0 <= place < len(found):
            continue
        if session.net_kcal is None:
            found[place]["training_half_seen"] = True
            continue
        so_far = found[place].get("training_kcal", 0.0)
        found[place]["training_kcal"] = float(so_far) + session.net_kcal  # type: ignore[arg-type]
    for walked in log.of(Steps):
        place = (walked.on - begin).days
        if 0 <= place < len(found):
            found[place]["steps"] = walked.count


def _told(found: Found, begin: dt.date, log: Log) -> None:
    """Lay out events, cycle days, named phases and scans."""
    span = len(found)
    for event in log.of(Event):
        _happened(found, (event.on - begin).days, (event.last_day - begin).days, event)
    for entry in log.of(CycleDay):
        start = (entry.on - begin).days
        for offset in range(max(0, -start), min(LONGEST_CYCLE_DAYS, span - start)):
            found[start + offset]["cycle_day"] = float(entry.day + offset)
    for scan in log.of(ScanRecord):
        place = (scan.on - begin).days
        if 0 <= place < span:
            found[place]["scan"] = scan


def _happened(found: Found, start: int, end: int, event: Event) -> None:
    """Lay out one event, from its first day to its last."""
    span = len(found)
    if event.what in ("sick", "travel"):
        _mark(found, start, end + AFTER_EVENT_DAYS, disturbed=True)
    if event.what == "refeed":
        _mark(found, start, end, refeed=True)
    if event.what == "phase change" and event.phase in DIRECTIONS:
        _mark(found, start, span, direction=DIRECTIONS[event.phase])
    if not 0 <= start < span:
        return
    if event.what in WATER_STEPS_KG:
        water, spread = WATER_STEPS_KG[event.what]
        found[start].update(water_kg=water, water_sd_kg=spread)
    if event.what == "training change":
        found[start]["training_change_kcal"] = event.kcal_per_day or 0.0


def _mark(found: Found, first: int, last: int, **values: object) -> None:
    for place in range(max(first, 0), min(last + 1, len(found))):
        found[place].update(values)


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
            kcal, sd = record.kcal, _counted_sd(record)
        elif record.adherence != "other" and record.planned_kcal is not None:
            kcal, sd = record.planned_kcal, INTAKE_SD_KCAL[record.adherence]
        else:
            continue
        # Two records of a day: the later in the log's order stands.
        intake[day], spread[day], logged[day] = kcal, sd, True
    return intake, spread, logged
