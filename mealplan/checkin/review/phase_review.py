"""
Looking back on a phase: what was expected, what happened; muscle, fat or noise.

Scans and girths are judged by their least significant change, weight by its trend
(:mod:`mealplan.checkin.review.change`). What the client would want to keep is said in their own
units.
"""

from __future__ import annotations

import datetime as dt
import math

from mealplan.checkin.log.days import SETTLING_DAYS
from mealplan.checkin.log.entries import KG_PER_UNIT, IntakeRecord, MassUnit, ScanRecord, WeighIn
from mealplan.checkin.log.log import Log
from mealplan.checkin.review.change import Change, LeanShare, change_between, lean_share, word_for
from mealplan.checkin.review.measures import (
    TestChange,
    blood_changes,
    form_changes,
    girth_changes,
    habits_kept,
)
from mealplan.checkin.review.reviewed import (
    CoursePoint,
    PhaseReview,
    judge,
    nearest_scan,
    reading_unit,
)
from mealplan.checkin.trend.trend import Trend, weight_trend
from mealplan.client.intake import BloodTest
from mealplan.errors import CheckInError, TooLittleDataError
from mealplan.physiology.weight_change.goals import Course
from mealplan.science.quantity import NINETY_PERCENT

SHORTEST_FOR_SCANS_DAYS = 56
"""Scans closer than this say little (worked by hand from published precision). [days]"""
SURE = 1.96
"""Standard deviations either side that hold 95 %, as the least significant change does."""


def review_phase(
    log: Log,
    start: dt.date,
    end: dt.date,
    rate_kg_per_week: float,
    *,
    expected: Course | None = None,
    unit: MassUnit | None = None,
    trend: Trend | None = None,
    bloods: tuple[BloodTest, ...] = (),
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
    expected : Course, optional
        The model's course with its band, one point a day; a straight line when left out.
    unit : {"kg", "lb"}, optional
        Unit of mass in words; the one last weighed in when left out.
    trend : Trend, optional
        Of the phase, read together with what was eaten; of the scale alone when left out.
    bloods : tuple of BloodTest
        Of any date.

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
    unit = unit or reading_unit(log)
    trend = trend or weight_trend(log, weigh_ins[0].on, end)
    first = trend.days[0]
    # Water settles in the first days; the plan's course starts where the trend does.
    course = _course(start, end, trend, rate_kg_per_week, expected)
    mass = _mass(trend, unit)
    factor = KG_PER_UNIT[unit]
    change, low, high = (factor * value for value in (mass.change, mass.low, mass.high))
    wanted = _above(first.level_kg, course[-1])
    scans, share, cautions = _scans(log, start, end, unit)
    girths, tests = girth_changes(log, start, end), form_changes(log, start, end)
    return PhaseReview(
        start=start,
        end=end,
        days=(end - start).days,
        mass_change_kg=change,
        mass_low_kg=low,
        mass_high_kg=high,
        expected_change_kg=wanted[0],
        expected_low_kg=wanted[1],
        expected_high_kg=wanted[2],
        unit=unit,
        against_plan=_against_plan((change, low, high), wanted, unit),
        mass=mass,
        scans=scans,
        share=share,
        girths=girths,
        bloods=blood_changes(bloods, start, end),
        tests=tests,
        course=course,
        verdict=judge(scans, mass),
        habits=habits_kept(log, start, end),
        learned=_learned(start, end, trend, wanted[0], change, unit),
        cautions=(*cautions, *_disagreement(scans, mass), *_water_caution(log, start)),
        wanting=_wanting(log, start, end, scans, girths, tests),
    )


def _mass(trend: Trend, unit: MassUnit) -> Change:
    """Judge the change of weight by its trend."""
    factor = KG_PER_UNIT[unit]
    first, last = trend.days[0], trend.days[-1]
    change = (last.level_kg - first.level_kg) / factor
    half = math.hypot(first.high_kg - first.level_kg, last.high_kg - last.level_kg) / factor
    least = SURE * half / NINETY_PERCENT
    return Change(
        "weight",
        unit,
        first.level_kg / factor,
        last.level_kg / factor,
        change,
        least,
        change - half,
        change + half,
        word_for(change, least),
    )


def _disagreement(scans: tuple[Change, ...], mass: Change) -> tuple[str, ...]:
    """Say when scans and scale cannot both be right."""
    if not scans:
        return ()
    factor = KG_PER_UNIT[_mass_unit(scans[0])] / KG_PER_UNIT[_mass_unit(mass)]
    scanned = factor * sum(one.change for one in scans)
    spread = math.hypot(
        (mass.high - mass.low) / 2, *(factor * (one.high - one.low) / 2 for one in scans)
    )
    if abs(scanned - mass.change) <= spread:
        return ()
    return (
        f"the scans add up to {scanned:+.1f} {mass.unit} but the scale's trend to "
        f"{mass.change:+.1f} {mass.unit}, more apart than their errors explain; check dates, "
        "clothes and machine before reading anything into either",
    )


def _mass_unit(change: Change) -> MassUnit:
    return next(unit for unit in KG_PER_UNIT if unit == change.unit)


def _water_caution(log: Log, start: dt.date) -> tuple[str, ...]:
    if not any(abs((day - start).days) <= SETTLING_DAYS for day in log.phase_starts()):
        return ()
    return (
        f"the first {SETTLING_DAYS} days of a phase move water and gut content too; part of the "
        "change of weight is that",
    )


def _course(
    start: dt.date, end: dt.date, trend: Trend, rate: float, expected: Course | None
) -> tuple[CoursePoint, ...]:
    days = {day.on: day for day in trend.days}
    first = trend.days[0]
    points = []
    for offset in range((end - start).days + 1):
        on = start + dt.timedelta(days=offset)
        change, low, high = _expected((on - first.on).days, rate, expected)
        day = days.get(on)
        points.append(
            CoursePoint(
                on=on,
                expected_kg=first.level_kg + change,
                expected_low_kg=first.level_kg + low,
                expected_high_kg=first.level_kg + high,
                level_kg=day.level_kg if day else None,
                low_kg=day.low_kg if day else None,
                high_kg=day.high_kg if day else None,
                reading_kg=day.reading_kg if day else None,
                set_aside=day.set_aside if day else False,
            )
        )
    return tuple(points)


def _above(level_kg: float, point: CoursePoint) -> tuple[float, float, float]:
    """Return what a point of the course asks for above a mass, with its band, in kg."""
    return (
        point.expected_kg - level_kg,
        point.expected_low_kg - level_kg,
        point.expected_high_kg - level_kg,
    )


def _expected(day: int, rate: float, expected: Course | None) -> tuple[float, float, float]:
    """Return the change expected by a day since the first reading, with its band, in kg."""
    if expected is None or day < 0:
        change = rate * day / 7.0
        return change, change, change
    at, begin = expected.points[min(day, len(expected.points) - 1)], expected.points[0]
    start = begin.weight_kg
    return at.weight_kg - start, at.low_kg - start, at.high_kg - start


def _against_plan(
    measured: tuple[float, float, float], planned: tuple[float, float, float], unit: MassUnit
) -> str:
    """Set a measured change, with its range, against what was expected, with its own, in kg."""
    change, low, high = measured
    expected, expected_low, expected_high = planned
    factor = KG_PER_UNIT[unit]
    said = f"{expected / factor:+.1f} {unit}"
    if abs(expected) < 0.05:
        said = "no change"
    if expected_high - expected_low > 0.05:
        said += f" ({expected_low / factor:+.1f} to {expected_high / factor:+.1f})"
    apart = math.hypot((high - low) / 2, (expected_high - expected_low) / 2)
    inside = expected_low <= change <= expected_high
    if inside or abs(change - expected) <= apart:
        return f"as planned, as far as can be told: {said} was expected"
    return (
        f"{'above' if change > expected else 'below'} the plan of {said}, beyond what the noise of "
        "both explains"
    )


def _scans(
    log: Log, start: dt.date, end: dt.date, unit: MassUnit
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
    factor = KG_PER_UNIT[unit]
    pairs = (
        ("fat", first.fat_kg, last.fat_kg, fat_precision),
        ("lean", first.lean_kg, last.lean_kg, lean_precision),
    )
    return (
        tuple(
            change_between(what, unit, *(value / factor for value in values))
            for what, *values in pairs
        ),
        lean_share(first, last),
        tuple(cautions),
    )


def _learned(
    start: dt.date, end: dt.date, trend: Trend, expected: float, change: float, unit: MassUnit
) -> tuple[str, ...]:
    """Say what the numbers taught."""
    factor = KG_PER_UNIT[unit]
    total = (end - start).days + 1
    weighed = sum(day.reading_kg is not None for day in trend.days)
    learned = [
        f"{weighed} days weighed of {total}"
        + ("; keep it up" if weighed > 0.6 * total else "; more would make the bands narrower"),
        f"one weigh-in scatters by {trend.noise_sd_kg / factor:.1f} {unit} for this client; expect "
        "that again",
    ]
    if abs(expected) > 0.2 and abs(change) > 0.2 and expected * change > 0:
        learned.append(
            f"the pace was {100 * change / expected:.0f} % of the plan's; start the next phase "
            "from the expenditure learned here, not from the formula"
        )
    return tuple(learned)


def _wanting(
    log: Log,
    start: dt.date,
    end: dt.date,
    scans: tuple[Change, ...],
    girths: tuple[Change, ...],
    tests: tuple[TestChange, ...],
) -> tuple[str, ...]:
    """Say what would have told more, and how to get it."""
    wanting = []
    if not scans:
        wanting.append(
            "a scan within three weeks of each end, at least eight weeks apart, on the same "
            "machine and after the same night: it tells fat from lean"
        )
    if not girths:
        wanting.append(
            "waist and two or three limb girths at both ends, by the same hand: they tell where a "
            "change went"
        )
    if not tests:
        wanting.append(
            "one strength and one endurance test at both ends, under the same name: they tell what "
            "the change was good for"
        )
    days = (end - start).days + 1
    eaten = len({r.on for r in log.between(start, end).of(IntakeRecord)})
    if eaten < days / 2:
        wanting.append(
            f"eating on record for half of the days at least ({eaten} of {days} are): one tap a "
            "day, as planned or not, is enough"
        )
    return tuple(wanting)
