"""
Signs that mean little alone and something together: sleep, mood, soreness, hunger, illness, form.

Each sign compares the last three weeks with the weeks before them in the client's own log, by what
a real change takes. Three at once are worth a word; nothing here is a diagnosis.
"""

from __future__ import annotations

import datetime as dt
import math
from statistics import fmean, pvariance

from mealplan.checkin.log.entries import Feeling, Log, TestResult
from mealplan.checkin.review.measures import TEST_ERROR_FRACTION
from mealplan.checkin.trend.trend import Trend
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
        if lost > least_significant_change(TEST_ERROR_FRACTION * abs(best)) > 0:
            found.append(f"{name} has gone back")
    return found


def check_signs(log: Log, today: dt.date, trend: Trend | None) -> list[Finding]:
    """
    Warn when several signs come together.

    Parameters
    ----------
    log : Log
        Up to today.
    today : date
    trend : Trend or None

    Returns
    -------
    list of Finding
    """
    signs = worse_scores(log, today) + worse_tests(log, today)
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
            BOTH if falling else DIETITIAN,
            "good practice",
            "common practice",
        )
    ]
