"""Girths, tests, bloods and feelings at both ends of a phase, each by what a real change takes."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import fmean, stdev

from mealplan.checkin.log.entries import (
    CM_PER_UNIT,
    Event,
    Feeling,
    Girth,
    IntakeRecord,
    TestResult,
    TrainingDone,
)
from mealplan.checkin.log.log import Log
from mealplan.checkin.review.change import Change, Word, change_between, word_for
from mealplan.client.intake import BloodTest
from mealplan.physiology.body.precision import least_significant_change

GIRTH_ERROR_CM = 0.5
"""Technical error of one tape measure by a practised hand, about 1 % (common practice). [cm]"""
NEAR_DAYS = 14
"""A girth or test this near to an end of the phase counts as its end. [days]"""
TEST_ERROR_FRACTION = 0.04
"""Scatter of one strength or endurance test about the same day's form.

Repeated one-repetition maxima scatter by 4.2 % in the median, time trials by 1 to 4 % (from
memory of reviews of their reliability).
"""
BLOOD_ERROR_FRACTIONS = {
    "haemoglobin": 0.03,
    "ferritin": 0.15,
    "vitamin_d": 0.10,
    "vitamin_b12": 0.15,
    "tsh": 0.20,
}
"""Scatter of one value within a healthy person, laboratory included (from memory)."""
OTHER_BLOOD_ERROR_FRACTION = 0.15
BLOOD_NEAR_DAYS = 42
"""A blood test this near to an end of the phase counts as its end. [days]"""
FELT = ("hunger", "sleep", "mood", "soreness", "digestion")
FEWEST_SCORES = 5
"""Scores of one kind in a phase, and in each of its halves, to speak of (common practice)."""


@dataclass(frozen=True)
class TestChange:
    """A strength or endurance test at both ends of the phase, with what a real change takes."""

    __test__ = False

    name: str
    unit: str
    first: float
    last: float
    first_on: dt.date
    last_on: dt.date
    least_significant: float
    word: Word


def near(on: dt.date, start: dt.date, end: dt.date, days: int = NEAR_DAYS) -> bool:
    """
    Say whether a day lies in a phase or near one of its ends.

    Parameters
    ----------
    on : dt.date
        The day.
    start : dt.date
        First day of the phase.
    end : dt.date
        Last day of the phase.
    days : int
        How far from an end still counts. [days]
    """
    return start - dt.timedelta(days=days) <= on <= end + dt.timedelta(days=days)


def girth_changes(log: Log, start: dt.date, end: dt.date) -> tuple[Change, ...]:
    """
    Judge every place taped at both ends; left and right by themselves.

    Parameters
    ----------
    log : Log
    start, end : date

    Returns
    -------
    tuple of Change
        In the unit last read.
    """
    by_place: dict[str, list[Girth]] = {}
    for girth in log.of(Girth):
        if near(girth.on, start, end):
            by_place.setdefault(girth.place, []).append(girth)
    found = []
    for place, taken in sorted(by_place.items()):
        first, last = taken[0], taken[-1]
        if first.on < last.on:
            factor = CM_PER_UNIT[last.unit]
            ends = (first.length_cm / factor, last.length_cm / factor)
            found.append(change_between(place, last.unit, *ends, GIRTH_ERROR_CM / factor))
    return tuple(found)


def form_changes(log: Log, start: dt.date, end: dt.date) -> tuple[TestChange, ...]:
    """
    Judge every test made under the same name at both ends.

    Parameters
    ----------
    log : Log
    start, end : date

    Returns
    -------
    tuple of TestChange
    """
    by_name: dict[tuple[str, str], list[TestResult]] = {}
    for test in log.of(TestResult):
        if near(test.on, start, end):
            by_name.setdefault((test.name.strip().lower(), test.unit), []).append(test)
    found = []
    for (_, unit), made in sorted(by_name.items()):
        first, last = made[0], made[-1]
        if first.on < last.on:
            error = TEST_ERROR_FRACTION * abs(first.value + last.value) / 2
            least = least_significant_change(error) if error else 0.0
            word = word_for(last.value - first.value, least)
            ends = (first.value, last.value, first.on, last.on)
            found.append(TestChange(first.name, unit, *ends, least, word))
    return tuple(found)


def blood_changes(bloods: Iterable[BloodTest], start: dt.date, end: dt.date) -> tuple[Change, ...]:
    """
    Judge every analyte tested at both ends in the same unit.

    Parameters
    ----------
    bloods : iterable of BloodTest
    start, end : date

    Returns
    -------
    tuple of Change
        What a value means is said with the targets; here only whether it changed.
    """
    by_analyte: dict[tuple[str, str], list[BloodTest]] = {}
    for test in sorted(bloods, key=lambda one: one.date):
        if near(test.date, start, end, BLOOD_NEAR_DAYS):
            by_analyte.setdefault((test.analyte, test.unit), []).append(test)
    found = []
    for (analyte, unit), tests in sorted(by_analyte.items()):
        first, last = tests[0], tests[-1]
        if (last.date - first.date).days < BLOOD_NEAR_DAYS:
            continue
        share = BLOOD_ERROR_FRACTIONS.get(analyte, OTHER_BLOOD_ERROR_FRACTION)
        error = share * (first.value + last.value) / 2
        if error > 0:
            name = analyte.replace("_", " ")
            found.append(change_between(name, unit, first.value, last.value, error))
    return tuple(found)


def felt_words(span: Log, start: dt.date, end: dt.date) -> str:
    """
    Say how it felt on average, and what surely changed from the first half to the second.

    Parameters
    ----------
    span : Log
        Of the phase.
    start, end : date

    Returns
    -------
    str
        Empty when too little was scored.
    """
    middle = start + (end - start) / 2
    said: list[str] = []
    for name in FELT:
        scores = [(f.on, s) for f in span.of(Feeling) if (s := getattr(f, name)) is not None]
        if len(scores) < FEWEST_SCORES:
            continue
        words = f"{name} {'' if said else 'averaged '}{fmean(s for _, s in scores):.1f}"
        halves = [s for on, s in scores if on <= middle], [s for on, s in scores if on > middle]
        if min(map(len, halves)) >= FEWEST_SCORES:
            before, after = (fmean(half) for half in halves)
            error = math.hypot(*(stdev(half) / math.sqrt(len(half)) for half in halves))
            if abs(after - before) > 1.96 * error:
                words += f" ({before:.1f} in the first half, {after:.1f} in the second)"
        said.append(words)
    return f"{', '.join(said)} of 5" if said else ""


def habits_kept(log: Log, start: dt.date, end: dt.date) -> tuple[str, ...]:
    """
    Say what was done and how it felt, without weights or calories.

    Parameters
    ----------
    log : Log
    start, end : date

    Returns
    -------
    tuple of str
    """
    span = log.between(start, end)
    kept: list[str] = []
    eaten = span.of(IntakeRecord)
    total = (end - start).days + 1
    if eaten:
        planned = sum(r.adherence == "as planned" for r in eaten)
        days = len({r.on for r in eaten})
        kept.append(
            f"{days} of {total} days of eating on record, {planned} as planned"
            + ("; that is what makes the numbers usable" if days > 0.7 * total else "")
        )
    sessions = span.of(TrainingDone)
    if sessions:
        kept.append(f"{len(sessions)} sessions, {7 * len(sessions) / total:.1f} a week")
    felt = felt_words(span, start, end)
    if felt:
        kept.append(felt)
    disturbed = sorted({e.what for e in span.of(Event) if e.what in ("sick", "travel")})
    if disturbed:
        kept.append(f"{' and '.join(disturbed)} days were counted as telling little")
    return tuple(kept)
