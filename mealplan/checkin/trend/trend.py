"""
The trend of a client's weight: level, slope and how sure they are.

Level and slope come from the same filter that learns expenditure, looked back over with everything
that was seen later. Without eating on record it reads the scale alone. Days without a reading
widen the band instead of bending the line.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, replace

import numpy as np

from mealplan.checkin.energy import states as at
from mealplan.checkin.energy.bank_jumps import collapse
from mealplan.checkin.energy.expenditure import slope
from mealplan.checkin.energy.log_reading import LogReading, Morning
from mealplan.checkin.energy.partition import Energetics
from mealplan.checkin.energy.reading import read
from mealplan.checkin.energy.setup import set_up
from mealplan.checkin.log.days import Day, Days, daily
from mealplan.checkin.log.entries import WeighIn
from mealplan.checkin.log.log import Log
from mealplan.checkin.log.questions import ReadingQuestion
from mealplan.checkin.trend.simple import (
    SLOPE_SE_FLOOR_KG_PER_WEEK,
    exponential_average,
    least_squares_slope,
    median_slope,
)
from mealplan.errors import TooLittleDataError
from mealplan.science.quantity import NINETY_PERCENT

FEWEST_READINGS = 3
"""Below this there is no trend to speak of."""
SIMPLE_WINDOW_DAYS = 28
LONGEST_SPAN_DAYS = 365
"""The trend looks back this far; older days no longer matter to today."""
ANY_BODY = Energetics(0.65, 0.65)
"""Stands in where only the scale is read: density then cancels."""
ANY_INTAKE = (2500.0, 700.0)
"""Likewise; the spread allows for about 0.7 kg a week either way. [kcal/day]"""
UNEVEN_SD_KCAL = 150.0
"""How unevenly somebody eats whose eating is not known, beside passing water. [kcal/day]"""


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
    slope_kg_per_week, slope_low_kg_per_week, slope_high_kg_per_week : float
        Of tissue over the last week, with its 90 % band. [kg/week]
    noise_sd_kg : float
        Learned noise of one weigh-in. [kg]
    weekday_shift_kg : tuple of float
        Monday to Sunday, summing to 0. [kg]
    questions : tuple of ReadingQuestion
    simple : SimpleTrend
    with_eating : bool
        Whether eating on record was read beside the scale.
    """

    days: tuple[TrendDay, ...]
    slope_kg_per_week: float
    slope_low_kg_per_week: float
    slope_high_kg_per_week: float
    noise_sd_kg: float
    weekday_shift_kg: tuple[float, ...]
    questions: tuple[ReadingQuestion, ...]
    simple: SimpleTrend
    with_eating: bool = False

    @property
    def level_kg(self) -> float:
        """Level on the last day, in kg."""
        return self.days[-1].level_kg


def weight_trend(log: Log, first: dt.date | None = None, last: dt.date | None = None) -> Trend:
    """
    Tell level and slope from water by the scale alone.

    Parameters
    ----------
    log : Log
    first, last : date, optional
        Span to use, by default the last year of weigh-ins. ``last`` may lie after the last one.

    Returns
    -------
    Trend

    Raises
    ------
    TooLittleDataError
        With fewer than three days weighed.
    """
    days = daily(log, first or _year_before(log, last), last)
    check_enough(days)
    alone = tuple(_scale_alone(day) for day in days.rows)
    return trend_of(read(alone, set_up(alone, ANY_INTAKE, ANY_BODY)), days)


def _scale_alone(day: Day) -> Day:
    return replace(
        day,
        intake_kcal=None,
        planned_kcal=None,
        intake_sd_kcal=UNEVEN_SD_KCAL,
        training_kcal=None,
        training_change_kcal=None,
        steps=None,
        scan=None,
        direction=0,
    )


def _year_before(log: Log, last: dt.date | None) -> dt.date | None:
    weighed = [w.on for w in log.of(WeighIn) if last is None or w.on <= last]
    if not weighed:
        return None
    oldest = (last or weighed[-1]) - dt.timedelta(days=LONGEST_SPAN_DAYS)
    return next((on for on in weighed if on >= oldest), None)


def check_enough(days: Days) -> None:
    """
    Refuse a trend of next to nothing.

    Parameters
    ----------
    days : Days

    Raises
    ------
    TooLittleDataError
        With fewer than three days weighed.
    """
    readings = sum(day.mass_kg is not None for day in days.rows)
    if readings < FEWEST_READINGS:
        raise TooLittleDataError(
            f"{readings} usable weigh-ins make no trend; it takes {FEWEST_READINGS} at least and "
            "about four weeks of daily ones to tell a slow gain from water",
            readings,
        )


def trend_of(reading: LogReading, days: Days, first: dt.date | None = None) -> Trend:
    """
    Lay out the trend that a reading of a log holds.

    Parameters
    ----------
    reading : LogReading
    days : Days
        What was read, for its questions.
    first : date, optional
        First day of the trend; a year back when left out.

    Returns
    -------
    Trend
    """
    shown = [m for m in reading.mornings if first is None or m.day.on >= first]
    pace = slope(reading)
    low, high = pace.band
    floor = NINETY_PERCENT * SLOPE_SE_FLOOR_KG_PER_WEEK
    mean, _ = collapse(reading.belief)
    angle = 2.0 * math.pi * np.arange(7) / 7.0
    week = mean[at.WEEK_COS] * np.cos(angle) + mean[at.WEEK_SIN] * np.sin(angle)
    shares = reading.belief.weights.sum(axis=0)
    return Trend(
        days=tuple(
            _laid_out(morning, level, sd)
            for morning, (level, sd) in zip(shown, smooth(tuple(shown)), strict=True)
        ),
        slope_kg_per_week=pace.mean,
        slope_low_kg_per_week=min(low, pace.mean - floor),
        slope_high_kg_per_week=max(high, pace.mean + floor),
        noise_sd_kg=float(shares @ reading.characters.noise_kg),
        weekday_shift_kg=tuple(float(shift) for shift in week),
        questions=days.questions,
        simple=simple_trend(days),
        with_eating=any(day.intake_kcal is not None for day in reading.rows),
    )


def _laid_out(morning: Morning, level: float, sd: float) -> TrendDay:
    return TrendDay(
        on=morning.day.on,
        reading_kg=morning.day.mass_kg,
        level_kg=level,
        low_kg=level - NINETY_PERCENT * sd,
        high_kg=level + NINETY_PERCENT * sd,
        set_aside=morning.taken is not None and morning.taken.set_aside > 0.5,
        disturbed=morning.day.disturbed,
    )


def smooth(mornings: tuple[Morning, ...]) -> list[tuple[float, float]]:
    """
    Look back over the mornings with everything that was seen later.

    Parameters
    ----------
    mornings : tuple of Morning
        One a day, oldest first.

    Returns
    -------
    list of (float, float)
        Level and its standard deviation. [kg]

    References
    ----------
    .. [1] Rauch, Tung and Striebel, AIAA J 3(8), 1965.
    """
    mean, covariance = mornings[-1].mean, mornings[-1].covariance
    found = [(float(mean[at.MASS]), math.sqrt(covariance[at.MASS, at.MASS]))]
    for now, following in zip(mornings[-2::-1], mornings[:0:-1], strict=True):
        ahead = now.transition @ now.covariance
        # States that nothing moves have no spread of their own: a trace of one keeps it solvable.
        trace = 1e-9 * np.eye(len(mean))
        pull = np.linalg.solve(following.before_covariance + trace, ahead).T
        mean = now.mean + pull @ (mean - following.before)
        covariance = now.covariance + pull @ (covariance - following.before_covariance) @ pull.T
        spread = max(float(covariance[at.MASS, at.MASS]), 1e-6)
        found.append((float(mean[at.MASS]), math.sqrt(spread)))
    return found[::-1]


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
    weighed = [(n, day.mass_kg) for n, day in enumerate(days.rows) if day.mass_kg is not None]
    usable = set(days.usable)
    fine = [(n, mass) for n, mass in weighed if n in usable] or weighed
    recent = [(n, mass) for n, mass in fine if n > fine[-1][0] - SIMPLE_WINDOW_DAYS]
    when = [float(n) for n, _ in recent]
    masses = [mass for _, mass in recent]
    enough = len(recent) >= FEWEST_READINGS
    return SimpleTrend(
        readings=len(recent),
        exponential_average_kg=exponential_average(masses, share, when)[-1],
        least_squares_kg_per_week=least_squares_slope(when, masses) if enough else None,
        median_slope_kg_per_week=median_slope(when, masses) if enough else None,
    )
