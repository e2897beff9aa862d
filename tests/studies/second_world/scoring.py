"""
What is counted of the courses of many clients, each figure defined once, here.

Truth at a look is that of its morning, under the plan in force before its move. Energies are on
the logging scale.

``gap``
    What must be logged on an average day for tissue to change at the wanted rate, given the body,
    the training and the everyday movement of now, less the plan. Passing things, such as a fever,
    a trip or the half of a cycle, do not count; the wander of everyday movement does.
``expenditure``
    Of an average day now, eating as now.
``slope``
    Change of tissue over the last seven days. [kg/week]
``level``
    Tissue now plus everything else in the body averaged over the fortnights before and after. [kg]
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from tests.studies.second_world.protocol import Band
from tests.studies.second_world.runner import Course, Look

BANDS = ("gap", "level", "slope", "expenditure")
SMALL_KCAL = 75.0
"""A move is false when the true gap is smaller than this, whatever its side."""
OFF_KCAL = 200.0
FIRST_OFF_WEEK = 5
NEVER_KCAL, NEVER_LOOKS = 250.0, 3
AFTER_STEP_DAYS = 42
LARGE_STEP_KCAL = 250.0


def holds(band: Band | None, truth: float) -> bool | None:
    """Return whether a band holds the truth, or None where there is no band."""
    return None if band is None else band.low <= truth <= band.high


def is_false(look: Look) -> bool:
    """Return whether a move goes away from the truth, overshoots to worse, or was for nothing."""
    return is_worse(look) or (look.move_kcal != 0 and abs(look.truth.gap) < SMALL_KCAL)


def is_worse(look: Look) -> bool:
    """Return whether a move leaves the plan further off than it was."""
    return abs(look.truth.gap - look.move_kcal) > abs(look.truth.gap)


def gap_left(course: Course) -> float:
    """Return the true gap after the last verdict was followed, with its sign. [kcal/day]"""
    last = course.looks[-1]
    return last.truth.gap - last.move_kcal


def weeks_off(course: Course) -> int:
    """Return the weeks, from the fifth, whose true gap was 200 kcal or more before their move."""
    return sum(abs(look.truth.gap) >= OFF_KCAL for look in course.looks[FIRST_OFF_WEEK - 1 :])


def never_moved(course: Course) -> bool:
    """Return whether no move was ever made though three looks running were 250 kcal or more off."""
    if any(look.move_kcal != 0 for look in course.looks):
        return False
    running = longest = 0
    for look in course.looks:
        running = running + 1 if abs(look.truth.gap) >= NEVER_KCAL else 0
        longest = max(longest, running)
    return longest >= NEVER_LOOKS


def half_seen_days(course: Course) -> float:
    """Return the days from a change of training to the first look that shows half, or inf."""
    if course.step_day is None or not course.seen:
        return math.nan
    days = [day - course.step_day for day, share in course.seen.items() if share >= 0.5]
    return float(min(days, default=math.inf))


@dataclass(frozen=True)
class Score:
    """
    Figures of one policy in one world; NaN where there is nothing to count.

    Coverages are shares; ``after_step`` is that of the gap in the six weeks after an untold change
    of training. ``moves``, ``false``, ``worse`` (those of the false that leave the plan further
    off) and ``weeks_off`` are per client. ``left_kcal`` is the mean size of the gap left,
    ``left_se`` its standard error, ``bias`` the mean with its sign by phase: positive where plans
    end too low.
    """

    clients: int
    gap: float
    level: float
    slope: float
    expenditure: float
    gap_last_three: float
    gap_by_phase: dict[str, float]
    gap_width: float
    after_step: float
    moves: float
    false: float
    worse: float
    left_kcal: float
    left_se: float
    weeks_off: float
    weeks_off_se: float
    never: float
    bias: dict[str, float]
    seen_large_days: float
    seen_small_days: float


def score(courses: Sequence[Course]) -> Score:
    """Return the figures of one policy in one world."""
    looks = [look for course in courses for look in course.looks]
    left = np.array([abs(gap_left(course)) for course in courses])
    off = np.array([weeks_off(course) for course in courses], dtype=float)
    phases = ("cut", "hold", "gain")
    widths = [look.verdict.gap.high - look.verdict.gap.low for look in looks if look.verdict.gap]
    by = {phase: [c for c in courses if c.phase == phase] for phase in phases}
    after = [
        look
        for course in courses
        if course.step_day is not None and not course.step_logged
        for look in course.looks
        if 0 < look.day - course.step_day <= AFTER_STEP_DAYS
    ]
    large = [half_seen_days(c) for c in courses if abs(c.step_kcal) >= LARGE_STEP_KCAL]
    small = [half_seen_days(c) for c in courses if 0 < abs(c.step_kcal) < LARGE_STEP_KCAL]
    return Score(
        clients=len(courses),
        **{name: coverage(looks, name) for name in BANDS},
        gap_last_three=coverage([k for c in courses for k in c.looks[-3:]], "gap"),
        gap_by_phase={p: coverage([k for c in by[p] for k in c.looks], "gap") for p in phases},
        gap_width=_mean(widths),
        after_step=coverage(after, "gap"),
        moves=_mean(sum(k.move_kcal != 0 for k in c.looks) for c in courses),
        false=_mean(sum(is_false(k) for k in c.looks) for c in courses),
        worse=_mean(sum(is_worse(k) for k in c.looks) for c in courses),
        left_kcal=_mean(left),
        left_se=float(left.std(ddof=1) / math.sqrt(len(left))) if len(left) > 1 else math.nan,
        weeks_off=_mean(off),
        weeks_off_se=float(off.std(ddof=1) / math.sqrt(len(off))) if len(off) > 1 else math.nan,
        never=_mean(never_moved(c) for c in courses),
        bias={phase: _mean(gap_left(c) for c in by[phase]) for phase in phases},
        seen_large_days=_median(large),
        seen_small_days=_median(small),
    )


def coverage(looks: Iterable[Look], name: str) -> float:
    """Return the share of looks with such a band whose band holds the truth."""
    said = [holds(getattr(look.verdict, name), getattr(look.truth, name)) for look in looks]
    return _mean(value for value in said if value is not None)


def _mean(values: Iterable[float]) -> float:
    given = list(values)
    return float(np.mean(given)) if given else math.nan


def _median(values: Iterable[float]) -> float:
    given = [value for value in values if not math.isnan(value)]
    return float(np.median(given)) if given else math.nan


COLUMNS = (
    "policy | gap | level | slope | spent | last 3 wk | cut/hold/gain | width | after untold "
    "| moves | false (worse) | left | weeks off | never | left cut/hold/gain "
    "| half seen, large/small"
)


def row(name: str, figures: Score) -> str:
    """Return one row of the table of :data:`COLUMNS`."""

    def share(value: float) -> str:
        return "-" if math.isnan(value) else f"{100 * value:.0f}"

    def number(value: float, places: int = 0) -> str:
        return "-" if math.isnan(value) else f"{value:.{places}f}"

    def days(value: float) -> str:
        return "-" if math.isnan(value) else "never" if math.isinf(value) else f"{value:.0f} d"

    cells = [
        name,
        *(share(getattr(figures, band)) for band in BANDS),
        share(figures.gap_last_three),
        "/".join(share(value) for value in figures.gap_by_phase.values()),
        number(figures.gap_width),
        share(figures.after_step),
        number(figures.moves, 1),
        f"{number(figures.false, 2)} ({number(figures.worse, 2)})",
        f"{number(figures.left_kcal)} ± {number(figures.left_se)}",
        f"{number(figures.weeks_off, 2)} ± {number(figures.weeks_off_se, 2)}",
        f"{share(figures.never)} %",
        "/".join("-" if math.isnan(v) else f"{v:+.0f}" for v in figures.bias.values()),
        f"{days(figures.seen_large_days)}/{days(figures.seen_small_days)}",
    ]
    return " | ".join(cells)
