"""
Plain ways to read a weight series, kept beside the state-space trend for checking it.

Exponential smoothing, straight lines by least squares and by median of slopes, and how precise
such a slope can be at best.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median

import numpy as np

DAYS_PER_WEEK = 7
SLOPE_SE_FLOOR_KG_PER_WEEK = 0.05
"""Slow wander of water keeps every reported slope at least this unsure (common practice)."""


def exponential_average(
    masses_kg: Sequence[float], share: float, days: Sequence[float] | None = None
) -> list[float]:
    """
    Smooth a series by moving a share of the way to each new value.

    Parameters
    ----------
    masses_kg : sequence of float
        Readings in order. [kg]
    share : float
        Share of the way moved in one day, above 0 and up to 1.
    days : sequence of float, optional
        Day of each reading; a gap of ``d`` days moves ``1 - (1 - share)**d``. Daily when left out.

    Returns
    -------
    list of float
        Starts at the first reading. [kg]
    """
    when = list(range(len(masses_kg))) if days is None else list(days)
    smoothed = [masses_kg[0]]
    for index in range(1, len(masses_kg)):
        moved = 1 - (1 - share) ** (when[index] - when[index - 1])
        smoothed.append(smoothed[-1] + moved * (masses_kg[index] - smoothed[-1]))
    return smoothed


def exponential_average_lag_days(share: float) -> float:
    """
    Return how far an exponential average trails a steady ramp, in days.

    Parameters
    ----------
    share : float
        Weight of the newest value, 0 to 1. [fraction]
    """
    return (1 - share) / share


def exponential_average_noise_ratio(share: float) -> float:
    """
    Return the standard deviation of its output over that of white noise put in.

    Parameters
    ----------
    share : float
        Weight of the newest value, 0 to 1. [fraction]
    """
    return math.sqrt(share / (2 - share))


def exponential_average_half_life_days(share: float) -> float:
    """
    Return the days after which half of an old reading's weight is gone, in days.

    Parameters
    ----------
    share : float
        Weight of the newest value, 0 to 1. [fraction]
    """
    return math.log(0.5) / math.log(1 - share)


def least_squares_slope(days: Sequence[float], masses_kg: Sequence[float]) -> float:
    """
    Return the least-squares slope, in kg/week.

    Parameters
    ----------
    days : Sequence[float]
        Day of each mass, counted from any. [days]
    masses_kg : Sequence[float]
        Body mass of each day. [kg]
    """
    x = np.asarray(days, dtype=float)
    y = np.asarray(masses_kg, dtype=float)
    x = x - x.mean()
    return float(DAYS_PER_WEEK * (x @ y) / (x @ x))


def median_slope(days: Sequence[float], masses_kg: Sequence[float]) -> float:
    """
    Return the median of the slopes between all pairs of readings, in kg/week.

    Up to 29 % of the readings may be wrong before it breaks down.

    Parameters
    ----------
    days : Sequence[float]
        Day of each mass, counted from any. [days]
    masses_kg : Sequence[float]
        Body mass of each day. [kg]

    References
    ----------
    .. [1] Sen, J Am Stat Assoc 63(324), 1968, doi:10.1080/01621459.1968.10480934.
    """
    pairs = [
        (masses_kg[j] - masses_kg[i]) / (days[j] - days[i])
        for i in range(len(days))
        for j in range(i + 1, len(days))
        if days[j] != days[i]
    ]
    return DAYS_PER_WEEK * median(pairs)


def slope_se_white(noise_sd_kg: float, readings: int, spacing_days: float = 1.0) -> float:
    """
    Precision of a slope from equally spaced readings with independent noise.

    Parameters
    ----------
    noise_sd_kg : float
        Standard deviation of one reading. [kg]
    readings : int
        At least 2.
    spacing_days : float
        Days between readings.

    Returns
    -------
    float
        Standard error. [kg/week]
    """
    spread = readings * (readings**2 - 1) / 12
    return DAYS_PER_WEEK * noise_sd_kg / math.sqrt(spread) / spacing_days


def slope_se_at(days: Sequence[float], noise_sd_kg: float) -> float:
    """
    Precision of a slope from readings on given days, with independent noise.

    Parameters
    ----------
    days : sequence of float
        Day of each reading; at least two different ones. [days]
    noise_sd_kg : float
        Standard deviation of one reading. [kg]

    Returns
    -------
    float
        Standard error. [kg/week]
    """
    x = np.asarray(days, dtype=float)
    x = x - x.mean()
    return float(DAYS_PER_WEEK * noise_sd_kg / math.sqrt(x @ x))


def slope_se_correlated(
    noise_sd_kg: float, readings: int, lag1_correlation: float, spacing_days: float = 1.0
) -> float:
    """
    Precision of the least-squares slope when neighbouring readings resemble each other.

    The noise is first-order autoregressive; the straight line is still fitted by ordinary least
    squares, so this is the error such a line really has.

    Parameters
    ----------
    noise_sd_kg, readings, spacing_days
        As in :func:`slope_se_white`.
    lag1_correlation : float
        Correlation of neighbouring readings, from 0 to below 1.

    Returns
    -------
    float
        Standard error. [kg/week]
    """
    x = np.arange(readings, dtype=float) * spacing_days
    x -= x.mean()
    lag = np.abs(np.subtract.outer(np.arange(readings), np.arange(readings)))
    covariance = noise_sd_kg**2 * lag1_correlation**lag
    weights = x / (x @ x)
    return float(DAYS_PER_WEEK * math.sqrt(weights @ covariance @ weights))


def glycogen_water_swing_kg(glycogen_kg: float, water_per_glycogen: float = 2.7) -> float:
    """
    Return the mass that comes or goes with glycogen and the water it binds, in kg.

    Parameters
    ----------
    glycogen_kg : float
        Change of glycogen. [kg]
    water_per_glycogen : float
        [g/g]
    """
    return glycogen_kg * (1 + water_per_glycogen)


def sodium_water_shift_l(
    sodium_change_mg_per_day: float, response_mg_per_l_day: float = 3000.0
) -> float:
    """
    Return the lasting change of extracellular water after a change in sodium intake, in L.

    Parameters
    ----------
    sodium_change_mg_per_day : float
        [mg/day]
    response_mg_per_l_day : float
        [mg/L/day]
    """
    return sodium_change_mg_per_day / response_mg_per_l_day
