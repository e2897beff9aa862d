"""
Looking back on a phase: what was expected, what happened; muscle, fat or noise.

Scans and girths are judged by their least significant change, weight by its trend. Below that the
honest word is "no detectable change", which is not the same as no change.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import Literal

from mealplan.checkin.errors import CheckInError, TooLittleDataError
from mealplan.checkin.log import (
    Event,
    Feeling,
    Girth,
    GirthSite,
    IntakeRecord,
    Log,
    ScanRecord,
    TestResult,
    TrainingDone,
    WeighIn,
)
from mealplan.checkin.noise import Monthly
from mealplan.checkin.series import SETTLING_DAYS
from mealplan.checkin.trend import Trend, TrendDay, weight_trend
from mealplan.physiology.energy_balance import forbes_fat_fraction
from mealplan.physiology.precision import least_significant_change
from mealplan.quantity import NINETY_PERCENT

GIRTH_ERROR_CM = 0.5
"""Technical error of one tape measure by a practised hand, about 1 % (common practice). [cm]"""
SHORTEST_FOR_SCANS_DAYS = 56
"""Scans closer than this say little (worked by hand from published precision). [days]"""

Word = Literal["more", "less", "no detectable change"]


@dataclass(frozen=True)
class Change:
    """
    A difference between two single measurements.

    Attributes
    ----------
    what : str
    first, last, change : float
        In ``unit``.
    least_significant : float
        Smallest change that is real at 95 %.
    low, high : float
        90 % range of the true change.
    word : {"more", "less", "no detectable change"}
    """

    what: str
    unit: str
    first: float
    last: float
    change: float
    least_significant: float
    low: float
    high: float
    word: Word


def change_between(what: str, unit: str, first: float, last: float, precision: float) -> Change:
    """
    Judge a change by the least significant change.

    Parameters
    ----------
    what, unit : str
    first, last : float
        Readings. [unit]
    precision : float
        Root mean square standard deviation of one reading. [unit]

    Returns
    -------
    Change
    """
    change = last - first
    least = least_significant_change(precision)
    half = NINETY_PERCENT * math.sqrt(2.0) * precision
    word: Word = "no detectable change"
    if abs(change) > least:
        word = "more" if change > 0 else "less"
    return Change(what, unit, first, last, change, least, change - half, change + half, word)


@dataclass(frozen=True)
class LeanShare:
    """
    How much of a change of mass was lean.

    Attributes
    ----------
    value : float
        Best estimate. [fraction]
    low, high : float or None
        90 % range; None when the change is too small for one, the share then being anything.
    expected : float
        What untrained people show at that fat mass. [fraction]
    words : str
    """

    value: float
    low: float | None
    high: float | None
    expected: float
    words: str


def lean_share(first: ScanRecord, last: ScanRecord) -> LeanShare:
    """
    Work out the lean share of a change between two scans, with an honest interval.

    The interval is Fieller's for a ratio: where the change of mass itself is not clear of zero at
    90 %, it is unbounded and none is given.

    Parameters
    ----------
    first, last : ScanRecord

    Returns
    -------
    LeanShare

    References
    ----------
    .. [1] Fieller, J R Stat Soc B 16(2), 1954.
    """
    lean = last.lean_kg - first.lean_kg
    fat = last.fat_kg - first.fat_kg
    total = lean + fat
    lean_variance = first.rms_sd_lean_kg**2 + last.rms_sd_lean_kg**2
    fat_variance = first.rms_sd_fat_kg**2 + last.rms_sd_fat_kg**2
    expected = 1.0 - forbes_fat_fraction(first.fat_kg)
    low, high = fieller(lean, total, lean_variance, lean_variance + fat_variance, lean_variance)
    value = lean / total if total else math.nan
    if low is None or high is None:
        words = (
            "the change of mass is too small against the scans' error to say what it was made of"
        )
    else:
        words = (
            f"{100 * value:.0f} % of the change was lean, 90 % range {100 * low:.0f} to "
            f"{100 * high:.0f} %; untrained people at this fat mass show about "
            f"{100 * expected:.0f} %"
        )
    return LeanShare(value, low, high, expected, words)


def fieller(
    top: float, bottom: float, top_variance: float, bottom_variance: float, covariance: float
) -> tuple[float | None, float | None]:
    """
    Return the 90 % interval of a ratio, or None twice where it is unbounded.

    Parameters
    ----------
    top, bottom : float
    top_variance, bottom_variance, covariance : float

    Returns
    -------
    low, high : float or None
    """
    z2 = NINETY_PERCENT**2
    a = bottom**2 - z2 * bottom_variance
    if a <= 0:
        return None, None
    b = top * bottom - z2 * covariance
    c = top**2 - z2 * top_variance
    root = math.sqrt(max(b * b - a * c, 0.0))
    return (b - root) / a, (b + root) / a


@dataclass(frozen=True)
class CoursePoint:
    """One day of the expected course beside the trend."""

    on: dt.date
    expected_kg: float
    level_kg: float | None
    low_kg: float | None
    high_kg: float | None


@dataclass(frozen=True)
class TestChange:
    """A strength or endurance test at both ends of the phase."""

    __test__ = False

    name: str
    unit: str
    first: float
    last: float
    first_on: dt.date
    last_on: dt.date


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
    expected_change_kg : float
    against_plan : str
    scans : tuple of Change
        Fat and lean, when there is a scan at both ends.
    share : LeanShare or None
    girths : tuple of Change
    tests : tuple of TestChange
    course : tuple of CoursePoint
    verdict : str
        Muscle, fat or noise.
    keep : tuple of str
        What to keep, and what to change, for the next phase.
    cautions : tuple of str
    """

    start: dt.date
    end: dt.date
    days: int
    mass_change_kg: float
    mass_low_kg: float
    mass_high_kg: float
    expected_change_kg: float
    against_plan: str
    scans: tuple[Change, ...]
    share: LeanShare | None
    girths: tuple[Change, ...]
    tests: tuple[TestChange, ...]
    course: tuple[CoursePoint, ...]
    verdict: str
    keep: tuple[str, ...]
    cautions: tuple[str, ...]


def review_phase(
    log: Log,
    start: dt.date,
    end: dt.date,
    rate_kg_per_week: float,
    *,
    monthly: Monthly | None = None,
) -> PhaseReview:
    """
    Look back on a phase.

    Parameters
    ----------
    log : Log
    start, end : date
        First and last day.
    rate_kg_per_week : float
        What was wanted. [kg/week]
    monthly : {"none", "logged", "unlogged"}, optional

    Returns
    -------
    PhaseReview

    Raises
    ------
    CheckInError
        When the dates are the wrong way round.
    TooLittleDataError
        When there are too few weigh-ins for a trend.
    """
    if end <= start:
        raise CheckInError(f"the phase ends on {end}, not after its start on {start}; swap them")
    weigh_ins = [w for w in log.of(WeighIn) if start <= w.on <= end]
    if not weigh_ins:
        raise TooLittleDataError(f"there is no weigh-in between {start} and {end}; choose others")
    trend = weight_trend(log, weigh_ins[0].on, end, monthly=monthly)
    days = {day.on: day for day in trend.days}
    first = trend.days[0]
    # Water settles in the first days; the plan's course starts where the trend does.
    course = _course(start, end, first, rate_kg_per_week, days)
    change = trend.days[-1].level_kg - first.level_kg
    half = math.hypot(first.high_kg - first.level_kg, trend.days[-1].high_kg - trend.level_kg)
    expected = rate_kg_per_week * (end - first.on).days / 7.0
    scans, share, cautions = _scans(log, start, end)
    low, high = change - half, change + half
    return PhaseReview(
        start=start,
        end=end,
        days=(end - start).days,
        mass_change_kg=change,
        mass_low_kg=low,
        mass_high_kg=high,
        expected_change_kg=expected,
        against_plan=_against_plan(low, high, expected),
        scans=scans,
        share=share,
        girths=_girths(log, start, end),
        tests=_tests(log, start, end),
        course=course,
        verdict=judge(scans, (low, change, high)),
        keep=_keep(log, start, end, trend, expected, change),
        cautions=(
            *cautions,
            *_disagreement(scans, change, half),
            *_water_caution(log, start),
        ),
    )


def _disagreement(scans: tuple[Change, ...], change: float, half: float) -> tuple[str, ...]:
    """Say when scans and scale cannot both be right."""
    if not scans:
        return ()
    scanned = sum(one.change for one in scans)
    spread = math.hypot(half, *((one.high - one.low) / 2 for one in scans))
    if abs(scanned - change) <= spread:
        return ()
    return (
        f"the scans add up to {scanned:+.1f} kg but the scale's trend to {change:+.1f} kg, more "
        "apart than their errors explain; check dates, clothes and machine before reading "
        "anything into either",
    )


def _water_caution(log: Log, start: dt.date) -> tuple[str, ...]:
    if not any(abs((day - start).days) <= SETTLING_DAYS for day in log.phase_starts()):
        return ()
    return (
        f"the first {SETTLING_DAYS} days of a phase move water and gut content too; part of the "
        "change of weight is that",
    )


def _course(
    start: dt.date, end: dt.date, first: TrendDay, rate: float, days: dict[dt.date, TrendDay]
) -> tuple[CoursePoint, ...]:
    points = []
    for offset in range((end - start).days + 1):
        on = start + dt.timedelta(days=offset)
        day = days.get(on)
        points.append(
            CoursePoint(
                on=on,
                expected_kg=first.level_kg + rate * (on - first.on).days / 7.0,
                level_kg=day.level_kg if day else None,
                low_kg=day.low_kg if day else None,
                high_kg=day.high_kg if day else None,
            )
        )
    return tuple(points)


def _against_plan(low: float, high: float, expected: float) -> str:
    if low <= expected <= high:
        return f"as planned, as far as can be told: {expected:+.1f} kg lies within the range"
    return (
        f"{'above' if low > expected else 'below'} the plan of {expected:+.1f} kg, beyond what "
        "noise explains"
    )


def nearest_scan(scans: tuple[ScanRecord, ...], day: dt.date, within: int) -> ScanRecord | None:
    """Return the scan nearest to a day, not further than ``within`` days from it."""
    near = [s for s in scans if abs((s.on - day).days) <= within]
    return min(near, key=lambda s: (abs((s.on - day).days), s.on), default=None)


def _scans(
    log: Log, start: dt.date, end: dt.date
) -> tuple[tuple[Change, ...], LeanShare | None, tuple[str, ...]]:
    scans = log.of(ScanRecord)
    # Up to three weeks off, but never past the middle of the phase.
    within = min(21, (end - start).days // 2)
    first, last = nearest_scan(scans, start, within), nearest_scan(scans, end, within)
    if first is None or last is None or first.id == last.id:
        return (), None, ("there is no scan at both ends, so fat and lean cannot be told apart",)
    cautions = []
    if first.method != last.method or first.machine != last.machine:
        cautions.append(
            "the two scans were made by different methods or machines; their difference is not a "
            "measure of change"
        )
        return (), None, tuple(cautions)
    if (last.on - first.on).days < SHORTEST_FOR_SCANS_DAYS:
        cautions.append(
            f"{(last.on - first.on).days} days between scans is short: under eight weeks their own "
            "error is larger than most changes"
        )
    cautions.append("creatine, a carbohydrate load or water reads as lean; compare like with like")
    fat_precision = math.sqrt((first.rms_sd_fat_kg**2 + last.rms_sd_fat_kg**2) / 2)
    lean_precision = math.sqrt((first.rms_sd_lean_kg**2 + last.rms_sd_lean_kg**2) / 2)
    return (
        (
            change_between("fat", "kg", first.fat_kg, last.fat_kg, fat_precision),
            change_between("lean", "kg", first.lean_kg, last.lean_kg, lean_precision),
        ),
        lean_share(first, last),
        tuple(cautions),
    )


def _girths(log: Log, start: dt.date, end: dt.date) -> tuple[Change, ...]:
    by_site: dict[GirthSite, list[Girth]] = {}
    for girth in log.of(Girth):
        if start - dt.timedelta(days=14) <= girth.on <= end + dt.timedelta(days=14):
            by_site.setdefault(girth.site, []).append(girth)
    return tuple(
        change_between(site, "cm", taken[0].length_cm, taken[-1].length_cm, GIRTH_ERROR_CM)
        for site, taken in sorted(by_site.items())
        if taken[0].on < taken[-1].on
    )


def _tests(log: Log, start: dt.date, end: dt.date) -> tuple[TestChange, ...]:
    by_name: dict[tuple[str, str], list[TestResult]] = {}
    for test in log.of(TestResult):
        if start - dt.timedelta(days=14) <= test.on <= end + dt.timedelta(days=14):
            by_name.setdefault((test.name.strip().lower(), test.unit), []).append(test)
    return tuple(
        TestChange(t[0].name, unit, t[0].value, t[-1].value, t[0].on, t[-1].on)
        for (_, unit), t in sorted(by_name.items())
        if t[0].on < t[-1].on
    )


def judge(scans: tuple[Change, ...], mass: tuple[float, float, float]) -> str:
    """
    Say in one sentence whether it was muscle, fat or noise.

    Parameters
    ----------
    scans : tuple of Change
        Fat and lean, or none.
    mass : (low, change, high)
        Change of mass by the trend with its 90 % range. [kg]

    Returns
    -------
    str
    """
    low, change, high = mass
    moved = (
        f"weight {'rose' if change > 0 else 'fell'} by {abs(change):.1f} kg"
        if low > 0 or high < 0
        else "weight did not change by more than its noise"
    )
    if not scans:
        return f"{moved}; without two scans nobody can say what it was made of"
    words = []
    for one in scans:
        if one.word == "no detectable change":
            words.append(
                f"no detectable change of {one.what} ({one.change:+.1f} kg, it takes "
                f"{one.least_significant:.1f})"
            )
        else:
            name = "lean tissue, muscle and water among it" if one.what == "lean" else one.what
            words.append(
                f"{one.word} {name} ({one.change:+.1f} kg, {one.low:+.1f} to {one.high:+.1f})"
            )
    return f"{moved}; {' and '.join(words)}"


def _keep(
    log: Log, start: dt.date, end: dt.date, trend: Trend, expected: float, change: float
) -> tuple[str, ...]:
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
    weighed = sum(day.reading_kg is not None for day in trend.days)
    kept.append(
        f"{weighed} days weighed of {total}"
        + ("; keep it up" if weighed > 0.6 * total else "; more would make the bands narrower")
    )
    kept.append(
        f"one weigh-in scatters by {trend.noise_sd_kg:.1f} kg for this client; expect that again"
    )
    sessions = span.of(TrainingDone)
    if sessions:
        kept.append(f"{len(sessions)} sessions, {7 * len(sessions) / total:.1f} a week")
    for name in ("hunger", "sleep", "soreness", "digestion"):
        scores = [s for f in span.of(Feeling) if (s := getattr(f, name)) is not None]
        if len(scores) >= 5:
            kept.append(f"{name} averaged {sum(scores) / len(scores):.1f} of 5")
    disturbed = sorted({e.what for e in span.of(Event) if e.what in ("sick", "travel")})
    if disturbed:
        kept.append(f"{' and '.join(disturbed)} days were left out of every estimate")
    if expected and abs(change) > 0.2:
        kept.append(
            f"the pace was {100 * change / expected:.0f} % of the plan's; start the next phase "
            "from the expenditure learned here, not from the formula"
        )
    return tuple(kept)
