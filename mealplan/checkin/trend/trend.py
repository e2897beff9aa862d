"""
The trend of a client's weight: level, slope and how sure they are, from weigh-ins alone.

A local linear trend with passing water, weekdays and, where asked for, a monthly pattern; see
:mod:`mealplan.checkin.trend.noise`. Days without a reading widen the band instead of bending the
line.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from mealplan.checkin.log.entries import Log, WeighIn
from mealplan.checkin.trend.noise import (
    DRIVE,
    SETTLING,
    SLOPE_DRIFT_KG_PER_DAY,
    SLOPE_SD_KG_PER_DAY,
    WEEK,
    WEEKDAY_CONTRASTS,
    Monthly,
    blend,
    build_bank,
    build_rows,
    usual_candidates,
    weigh_candidates,
    width,
)
from mealplan.checkin.trend.series import Days, Question, daily
from mealplan.checkin.trend.simple import (
    DAYS_PER_WEEK,
    SLOPE_SE_FLOOR_KG_PER_WEEK,
    exponential_average,
    least_squares_slope,
    median_slope,
)
from mealplan.checkin.trend.state_space import Course, Floats, run, smooth
from mealplan.errors import TooLittleDataError
from mealplan.quantity import NINETY_PERCENT

FEWEST_READINGS = 3
"""Below this there is no trend to speak of."""
PHASE_SLOPE_SD_KG_PER_DAY = 0.05
"""A new phase may change the slope by this much. [kg/day]"""
SIMPLE_WINDOW_DAYS = 28
LONGEST_SPAN_DAYS = 365
"""Without a first day the trend looks back this far; older days no longer matter to today."""
UNLIKELY = 0.005


@dataclass(frozen=True)
class TrendDay:
    """One day of the trend; the band holds the level with a chance of 90 %."""

    on: dt.date
    reading_kg: float | None
    level_kg: float
    low_kg: float
    high_kg: float
    set_aside: bool
    disturbed: bool


@dataclass(frozen=True)
class SimpleTrend:
    """What plain methods say about the last four weeks, for checking."""

    readings: int
    exponential_average_kg: float
    least_squares_kg_per_week: float | None
    median_slope_kg_per_week: float | None


@dataclass(frozen=True)
class Trend:
    """
    The trend up to its last day.

    Attributes
    ----------
    days : tuple of TrendDay
    slope_kg_per_week, slope_sd_kg_per_week : float
        Now. [kg/week]
    noise_sd_kg : float
        Learned noise of one weigh-in. [kg]
    noise_correlation : float
        Learned likeness of neighbouring days' noise.
    weekday_shift_kg : tuple of float
        Monday to Sunday, summing to 0. [kg]
    questions : tuple of Question
    simple : SimpleTrend
    """

    days: tuple[TrendDay, ...]
    slope_kg_per_week: float
    slope_sd_kg_per_week: float
    noise_sd_kg: float
    noise_correlation: float
    weekday_shift_kg: tuple[float, ...]
    questions: tuple[Question, ...]
    simple: SimpleTrend

    @property
    def level_kg(self) -> float:
        """Level on the last day, in kg."""
        return self.days[-1].level_kg

    @property
    def slope_low_kg_per_week(self) -> float:
        """Lower end of the 90 % band of the slope, in kg/week."""
        return self.slope_kg_per_week - NINETY_PERCENT * self.slope_sd_kg_per_week

    @property
    def slope_high_kg_per_week(self) -> float:
        """Upper end of the 90 % band of the slope, in kg/week."""
        return self.slope_kg_per_week + NINETY_PERCENT * self.slope_sd_kg_per_week


def disturbances(days: Days, states: int, phase_slope_sd: float) -> Floats:
    """
    Lay out the extra variance of the states by day.

    Parameters
    ----------
    days : Days
    states : int
        Number of states.
    phase_slope_sd : float
        How far a new phase may move the drive; 0 when the drive is an expenditure.

    Returns
    -------
    (T, k)
    """
    extra = np.zeros((len(days), states))
    extra[:, 0] = days.level_variance
    extra[:, SETTLING] = days.settling_variance
    if phase_slope_sd:
        begins = days.settling & ~np.concatenate([[False], days.settling[:-1]])
        extra[begins, DRIVE] = phase_slope_sd**2
    return extra


def first_mass(days: Days) -> float:
    """Return the median of the first five readings, in kg."""
    seen = days.mass_kg[~np.isnan(days.mass_kg)]
    return float(np.median(seen[:5]))


def weekdays_of(days: Days) -> Floats:
    """Return each day's weekday, Monday being 0."""
    return np.asarray((days.first.weekday() + np.arange(len(days))) % 7, dtype=float)


def choose_monthly(days: Days, monthly: Monthly | None) -> Monthly:
    """Return the wanted pattern; without a wish, the logged one if a cycle day was ever logged."""
    if monthly is not None:
        return monthly
    return "logged" if (~np.isnan(days.cycle_day)).any() else "none"


def weight_trend(
    log: Log,
    first: dt.date | None = None,
    last: dt.date | None = None,
    *,
    monthly: Monthly | None = None,
) -> Trend:
    """
    Tell level and slope from water.

    Parameters
    ----------
    log : Log
    first, last : date, optional
        Span to use, by default the last year of weigh-ins. ``last`` may lie after the last one.
    monthly : {"none", "logged", "unlogged"}, optional
        By default the logged cycle, if any. "unlogged" allows for a cycle nobody logs.

    Returns
    -------
    Trend

    Raises
    ------
    TooLittleDataError
        With fewer than three days weighed.
    """
    days = daily(log, first or _year_before(log, last), last)
    readings = int((~np.isnan(days.mass_kg)).sum())
    if readings < FEWEST_READINGS:
        raise TooLittleDataError(
            f"{readings} usable weigh-ins make no trend; it takes {FEWEST_READINGS} at least and "
            "about four weeks of daily ones to tell a slow gain from water",
            readings,
        )
    pattern = choose_monthly(days, monthly)
    candidates = usual_candidates()
    bank = build_bank(
        first_mass(days),
        candidates,
        drive_mean=0.0,
        drive_sd=SLOPE_SD_KG_PER_DAY,
        drive_drift=SLOPE_DRIFT_KG_PER_DAY,
        monthly=pattern,
    )
    rows = build_rows(weekdays_of(days), days.cycle_day, pattern)
    extra = disturbances(days, width(pattern), PHASE_SLOPE_SD_KG_PER_DAY)
    course = run(bank, days.mass_kg, rows, extra_variance=extra)
    weights = weigh_candidates(course.log_likelihood[-1], candidates)
    # Candidates that the data has all but ruled out are not worth looking back over.
    likely = weights[0] >= UNLIKELY * weights[0].max()
    mean, covariance = smooth(bank.pick(likely), course.pick(likely))
    shares = weights[:, likely] / weights[:, likely].sum()
    level, level_sd = blend(shares, mean[:, :, 0], covariance[:, :, 0, 0])
    slope, slope_sd = blend(shares, mean[-1, :, DRIVE], covariance[-1, :, DRIVE, DRIVE])
    week = shares[0] @ mean[-1, :, WEEK : WEEK + 6] @ WEEKDAY_CONTRASTS.T
    return Trend(
        days=_lay_out(days, level[:, 0], level_sd[:, 0], set_aside(course, weights)),
        slope_kg_per_week=DAYS_PER_WEEK * float(slope[0]),
        slope_sd_kg_per_week=max(DAYS_PER_WEEK * float(slope_sd[0]), SLOPE_SE_FLOOR_KG_PER_WEEK),
        noise_sd_kg=float(weights[0] @ candidates.noise_fraction) * first_mass(days),
        noise_correlation=float(weights[0] @ candidates.correlation),
        weekday_shift_kg=tuple(float(shift) for shift in week),
        questions=days.questions,
        simple=simple_trend(days),
    )


def _year_before(log: Log, last: dt.date | None) -> dt.date | None:
    weighed = [w.on for w in log.of(WeighIn) if last is None or w.on <= last]
    if not weighed:
        return None
    oldest = (last or weighed[-1]) - dt.timedelta(days=LONGEST_SPAN_DAYS)
    return next((on for on in weighed if on >= oldest), None)


def set_aside(course: Course, weights: Floats) -> Floats:
    """Return for each day the weight of the candidates that set its reading aside, (T,)."""
    rejected = np.stack([~np.isnan(how.error) & ~how.believed for how in course.seen])
    return np.asarray(rejected @ weights[0])


def _lay_out(days: Days, level: Floats, sd: Floats, rejected: Floats) -> tuple[TrendDay, ...]:
    return tuple(
        TrendDay(
            on=on,
            reading_kg=None if np.isnan(days.mass_kg[i]) else float(days.mass_kg[i]),
            level_kg=float(level[i]),
            low_kg=float(level[i] - NINETY_PERCENT * sd[i]),
            high_kg=float(level[i] + NINETY_PERCENT * sd[i]),
            set_aside=bool(rejected[i] > 0.5),
            disturbed=bool(days.disturbed[i]),
        )
        for i, on in enumerate(days.dates)
    )


def simple_trend(days: Days, share: float = 0.1) -> SimpleTrend:
    """
    Apply the plain methods to the last four weeks outside sickness and travel.

    Parameters
    ----------
    days : Days
    share : float
        Of the exponential average.

    Returns
    -------
    SimpleTrend
    """
    place = np.flatnonzero(days.usable)
    if not len(place):
        place = np.flatnonzero(~np.isnan(days.mass_kg))
    recent = place[place > place[-1] - SIMPLE_WINDOW_DAYS]
    when = [float(i) for i in recent]
    masses = [float(days.mass_kg[i]) for i in recent]
    enough = len(recent) >= FEWEST_READINGS
    return SimpleTrend(
        readings=len(recent),
        exponential_average_kg=exponential_average(masses, share, when)[-1],
        least_squares_kg_per_week=least_squares_slope(when, masses) if enough else None,
        median_slope_kg_per_week=median_slope(when, masses) if enough else None,
    )
