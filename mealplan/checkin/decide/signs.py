"""
Signs that mean little alone and something together.

Sleep, mood, soreness, hunger, illness, form, thinner limbs, blood values. Each sign compares the
last weeks with those before them in the client's own log, by what a real change takes. Three at
once are worth a word; nothing here is a diagnosis.
"""

from __future__ import annotations

import datetime as dt
import math
from statistics import fmean, pvariance

from mealplan.checkin.log.entries import LIMBS, Feeling, Girth, TestResult
from mealplan.checkin.log.log import Log
from mealplan.checkin.review.measures import (
    BLOOD_ERROR_FRACTIONS,
    GIRTH_ERROR_CM,
    TEST_ERROR_FRACTION,
)
from mealplan.checkin.trend.trend import Trend
from mealplan.client.intake import BloodTest
from mealplan.physiology.body.precision import least_significant_change
from mealplan.physiology.guard.findings import BOTH, DIETITIAN, Finding

LATELY_DAYS, BEFORE_DAYS = 21, 63
"""The last weeks, and those before them that they are held against (common practice). [days]"""
FEWEST_SCORES = 4
SCORE_SD = 0.5
"""A five-step score scatters by at least this much from day to day (assumption)."""
SURE = 1.96
TOGETHER = 3
"""So many signs at once are worth a look (common practice)."""
WORSE = {"sleep": -1, "mood": -1, "digestion": -1, "soreness": 1, "hunger": 1, "illness": 1}
"""Which way each score is worse."""
SAID = {
    "sleep": "sleep is worse",
    "mood": "mood is lower",
    "digestion": "digestion is worse",
    "soreness": "soreness is up",
    "hunger": "hunger is up",
    "illness": "illness is felt more",
}
STORES_DOWN = {"ferritin": "ferritin is down", "haemoglobin": "haemoglobin is down"}
"""Blood values that fall when food and training do not match."""
BLOOD_DAYS = 182
"""The newest blood test and the one before it lie within so many days each (common practice)."""
LOWER_IS_BETTER = frozenset({"s", "sec", "min", "minutes", "seconds", "h"})
"""Tests counted in a time: less is better."""


def worse_scores(log: Log, today: dt.date) -> list[str]:
    """
    Name the feelings that are surely worse of late than before.

    Parameters
    ----------
    log : Log
    today : date

    Returns
    -------
    list of str
    """
    found = []
    for name, direction in WORSE.items():
        scores = [(f.on, s) for f in log.of(Feeling) if (s := getattr(f, name)) is not None]
        late = [s for on, s in scores if 0 <= (today - on).days < LATELY_DAYS]
        early = [s for on, s in scores if LATELY_DAYS <= (today - on).days < BEFORE_DAYS]
        if min(len(late), len(early)) < FEWEST_SCORES:
            continue
        error = math.sqrt(sum(max(pvariance(s), SCORE_SD**2) / len(s) for s in (late, early)))
        if direction * (fmean(late) - fmean(early)) > SURE * error:
            found.append(SAID[name])
    return found


def worse_tests(log: Log, today: dt.date) -> list[str]:
    """
    Name the tests whose newest result is surely worse than the best before it.

    Parameters
    ----------
    log : Log
    today : date

    Returns
    -------
    list of str
    """
    by_name: dict[tuple[str, str], list[TestResult]] = {}
    for test in log.of(TestResult):
        if (today - test.on).days < BEFORE_DAYS:
            by_name.setdefault((test.name.strip().lower(), test.unit.lower()), []).append(test)
    found = []
    for (name, unit), tests in by_name.items():
        newest, before = tests[-1], [test.value for test in tests[:-1]]
        if not before or (today - newest.on).days >= LATELY_DAYS:
            continue
        timed = unit in LOWER_IS_BETTER
        best = min(before) if timed else max(before)
        lost = newest.value - best if timed else best - newest.value
        # Nought has no scatter to hold a loss against.
        if best and lost > least_significant_change(TEST_ERROR_FRACTION * abs(best)):
            found.append(f"{name} has gone back")
    return found


def thinner_limbs(log: Log, today: dt.date) -> list[str]:
    """
    Name the limbs whose newest girth is surely below the largest before it.

    Parameters
    ----------
    log : Log
    today : date

    Returns
    -------
    list of str
        Left and right of one place are one sign.
    """
    by_place: dict[str, list[Girth]] = {}
    for girth in log.of(Girth):
        if girth.site in LIMBS and (today - girth.on).days < BEFORE_DAYS:
            by_place.setdefault(girth.place, []).append(girth)
    found = {}
    for taken in by_place.values():
        newest, before = taken[-1], [girth.length_cm for girth in taken[:-1]]
        if not before or (today - newest.on).days >= LATELY_DAYS:
            continue
        if max(before) - newest.length_cm > least_significant_change(GIRTH_ERROR_CM):
            found[newest.site] = f"the {newest.site} is thinner"
    return list(found.values())


def falling_bloods(bloods: tuple[BloodTest, ...], today: dt.date) -> list[str]:
    """
    Name the blood values whose newest test is surely below the one before it.

    Parameters
    ----------
    bloods : tuple of BloodTest
    today : date

    Returns
    -------
    list of str
    """
    by_analyte: dict[tuple[str, str], list[BloodTest]] = {}
    for test in sorted(bloods, key=lambda one: one.date):
        if test.analyte in STORES_DOWN and 0 <= (today - test.date).days < 2 * BLOOD_DAYS:
            by_analyte.setdefault((test.analyte, test.unit), []).append(test)
    found = []
    for (analyte, _), tests in by_analyte.items():
        if len(tests) < 2 or (today - tests[-1].date).days >= BLOOD_DAYS:
            continue
        before, newest = tests[-2].value, tests[-1].value
        error = BLOOD_ERROR_FRACTIONS[analyte] * (before + newest) / 2
        if error > 0 and before - newest > least_significant_change(error):
            found.append(STORES_DOWN[analyte])
    return found


def check_signs(
    log: Log, today: dt.date, trend: Trend | None, bloods: tuple[BloodTest, ...] = ()
) -> list[Finding]:
    """
    Warn when several signs come together.

    Parameters
    ----------
    log : Log
        Up to today.
    today : date
    trend : Trend or None
    bloods : tuple of BloodTest
        Of any date.

    Returns
    -------
    list of Finding
    """
    signs = worse_scores(log, today) + worse_tests(log, today) + thinner_limbs(log, today)
    fallen = falling_bloods(bloods, today)
    signs += fallen
    falling = trend is not None and trend.slope_high_kg_per_week < 0
    if falling:
        signs.append("weight is falling")
    if len(signs) < TOGETHER:
        return []
    return [
        Finding(
            "several signs together",
            "warn",
            f"Of late {', '.join(signs[:-1])} and {signs[-1]}.",
            "Each alone is common; together they can mean too little food or rest for the "
            "training, or something a physician would find. Ease training or the deficit and look "
            "again in a week.",
            BOTH if falling or fallen else DIETITIAN,
            "good practice",
            "common practice",
        )
    ]
