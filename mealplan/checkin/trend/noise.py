"""
What a weight series is made of, as a bank of candidate models.

The state is level, drive, passing water, a water step still to come, six weekday contrasts and,
where asked for, a monthly pattern. The drive is either a slope (the trend from weights alone) or an
expenditure (when intake is known). How noisy this client is cannot be known beforehand: every
candidate noise runs side by side, its prior is multiplied by its likelihood, and answers are
averaged over the candidates.

References
----------
.. [1] Orsama et al., Obes Facts 7(1), 2014, doi:10.1159/000356147: weight over the week.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from mealplan.checkin.trend.series import SETTLING_TIME_DAYS
from mealplan.checkin.trend.state_space import Bank, Floats

Monthly = Literal["none", "logged", "unlogged"]
"""No monthly pattern; one by logged cycle day; or one of unknown timing."""

DRIVE, WATER, SETTLING, WEEK = 1, 2, 3, 4
"""Places in the state; the level comes first, six weekday contrasts from ``WEEK``.

``SETTLING`` is the part of a water step that is still to come after a change of phase.
"""
MONTH = WEEK + 6

NOISE_FRACTION = 0.006
"""Usual noise of one weigh-in as a fraction of body mass (0.6 %, worked from published counts)."""
NOISE_FACTORS = (0.5, 0.7, 1.0, 1.4, 2.0, 2.8)
NOISE_LOG_SD = 0.4
"""Spread of that noise between people, natural log (assumption)."""
CORRELATIONS = (0.1, 0.3, 0.5, 0.7)
CORRELATION_WEIGHTS = (0.2, 0.45, 0.25, 0.1)
"""Neighbouring days' noise correlates 0.2 to 0.4 (common practice), more while salt drifts."""
WANDERS_KG = (0.0, 0.03, 0.07)
WANDER_WEIGHTS = (0.7, 0.25, 0.05)
"""Slow wander of the level beside fat and lean, per root day (assumption). [kg]"""
WEEKDAY_SD_FRACTION = 0.002
"""Spread of each weekday's shift as a fraction of body mass (week pattern about 0.35 % in all)."""
MONTHLY_SD_KG: dict[Monthly, float] = {"none": 0.0, "logged": 0.2, "unlogged": 0.15}
"""Spread of each term of the monthly pattern (about 0.5 kg in all on average). [kg]

Less where nobody says whether there is one at all.
"""
READING_SD_KG = 0.05
"""Rounding of the scale. [kg]"""
CYCLE_LENGTH_DAYS = 28.0
INITIAL_LEVEL_SD_KG = 2.0

SLOPE_SD_KG_PER_DAY = 0.1
"""Before any data a slope is anything up to about 1 kg a week either way. [kg/day]"""
SLOPE_DRIFT_KG_PER_DAY = 0.001
"""How fast the slope may change, per root day; the square is the usual 1e-6. [kg/day]"""


def _contrasts() -> Floats:
    """Return an orthonormal basis (7, 6) of weekday shifts that sum to zero."""
    rows = np.zeros((7, 6))
    for column in range(6):
        rows[: column + 1, column] = 1.0
        rows[column + 1, column] = -(column + 1.0)
        rows[:, column] /= np.linalg.norm(rows[:, column])
    return rows


WEEKDAY_CONTRASTS = _contrasts()


@dataclass(frozen=True)
class Candidates:
    """
    Candidate noises of one client; arrays of length G.

    Attributes
    ----------
    noise_fraction : (G,)
        Noise of one weigh-in as a fraction of body mass.
    correlation : (G,)
        Lag-1 correlation of the noise.
    wander_kg : (G,)
        Slow wander of the level per root day. [kg]
    log_prior : (G,)
    """

    noise_fraction: Floats
    correlation: Floats
    wander_kg: Floats
    log_prior: Floats


def usual_candidates() -> Candidates:
    """Return the grid of candidates with its prior."""
    noise_weights = [math.exp(-0.5 * (math.log(f) / NOISE_LOG_SD) ** 2) for f in NOISE_FACTORS]
    grid = list(
        itertools.product(
            zip(NOISE_FACTORS, noise_weights, strict=True),
            zip(CORRELATIONS, CORRELATION_WEIGHTS, strict=True),
            zip(WANDERS_KG, WANDER_WEIGHTS, strict=True),
        )
    )
    prior = np.array([a[1] * b[1] * c[1] for a, b, c in grid])
    return Candidates(
        noise_fraction=np.array([a[0] * NOISE_FRACTION for a, _, _ in grid]),
        correlation=np.array([b[0] for _, b, _ in grid]),
        wander_kg=np.array([c[0] for _, _, c in grid]),
        log_prior=np.log(prior / prior.sum()),
    )


def width(monthly: Monthly) -> int:
    """Return the number of states."""
    return MONTH + {"none": 0, "logged": 4, "unlogged": 2}[monthly]


def build_bank(
    mass_kg: ArrayLike,
    candidates: Candidates,
    *,
    drive_mean: ArrayLike,
    drive_sd: ArrayLike,
    drive_drift: float,
    drive_to_level: ArrayLike = 1.0,
    drive_keeps: ArrayLike = 1.0,
    monthly: Monthly = "none",
) -> Bank:
    """
    Build the candidates of one or more clients; client after client, candidates within.

    Parameters
    ----------
    mass_kg : float or (C,)
        Body mass before the first reading is taken into account. [kg]
    candidates : Candidates
    drive_mean, drive_sd : float or (C,)
        Prior of the drive.
    drive_drift : float
        Standard deviation of its change per root day.
    drive_to_level : float or (C,)
        What one unit of drive adds to the level in a day. [kg]
    drive_keeps : float or (C,)
        Share of the drive that is still there the next day.
    monthly : {"none", "logged", "unlogged"}

    Returns
    -------
    Bank
        Of ``C * G`` models.
    """
    masses = np.atleast_1d(np.asarray(mass_kg, dtype=float))
    clients, grid, states = len(masses), len(candidates.log_prior), width(monthly)

    def each(values: ArrayLike) -> Floats:
        return np.repeat(np.broadcast_to(np.asarray(values, dtype=float), (clients,)), grid)

    mass = each(masses)
    noise = np.tile(candidates.noise_fraction, clients) * mass
    correlation = np.tile(candidates.correlation, clients)
    size = clients * grid
    transition = np.tile(np.eye(states), (size, 1, 1))
    transition[:, 0, DRIVE] = each(drive_to_level)
    transition[:, DRIVE, DRIVE] = each(drive_keeps)
    transition[:, WATER, WATER] = correlation
    stays = math.exp(-1.0 / SETTLING_TIME_DAYS)
    transition[:, 0, SETTLING] = 1.0 - stays
    transition[:, SETTLING, SETTLING] = stays
    process = np.zeros((size, states))
    process[:, 0] = np.tile(candidates.wander_kg, clients) ** 2
    process[:, DRIVE] = drive_drift**2
    process[:, WATER] = noise**2 * (1 - correlation**2)
    mean = np.zeros((size, states))
    mean[:, 0] = mass
    mean[:, DRIVE] = each(drive_mean)
    variance = np.zeros((size, states))
    variance[:, 0] = INITIAL_LEVEL_SD_KG**2
    variance[:, DRIVE] = each(drive_sd) ** 2
    variance[:, WATER] = noise**2
    # sd of each day's shift is sqrt(6/7) of a contrast's sd
    variance[:, WEEK:MONTH] = ((WEEKDAY_SD_FRACTION * mass) ** 2)[:, None]
    variance[:, MONTH:] = MONTHLY_SD_KG[monthly] ** 2
    return Bank(transition, process, np.full(size, READING_SD_KG**2), mean, variance)


def build_rows(
    weekdays: ArrayLike, cycle_day: Floats | None = None, monthly: Monthly = "none"
) -> Floats:
    """
    Build how the states add up to each day's reading.

    Parameters
    ----------
    weekdays : (T,)
        0 for Monday to 6 for Sunday.
    cycle_day : (T,), optional
        Day of the cycle, NaN where unknown; needed when ``monthly`` is "logged".
    monthly : {"none", "logged", "unlogged"}

    Returns
    -------
    (T, k)
    """
    days = np.asarray(weekdays, dtype=int)
    rows = np.zeros((len(days), width(monthly)))
    rows[:, 0] = 1.0
    rows[:, WATER] = 1.0
    rows[:, WEEK:MONTH] = WEEKDAY_CONTRASTS[days]
    if monthly == "unlogged":
        angle = 2 * math.pi * np.arange(len(days)) / CYCLE_LENGTH_DAYS
        rows[:, MONTH] = np.cos(angle)
        rows[:, MONTH + 1] = np.sin(angle)
    elif monthly == "logged" and cycle_day is not None:
        known = ~np.isnan(cycle_day)
        # Days past the usual length stay at the end of the cycle instead of starting a new one.
        place = np.clip(np.nan_to_num(cycle_day) - 1, 0, CYCLE_LENGTH_DAYS)
        angle = 2 * math.pi * place / CYCLE_LENGTH_DAYS
        for column, value in enumerate(
            (np.cos(angle), np.sin(angle), np.cos(2 * angle), np.sin(2 * angle))
        ):
            rows[:, MONTH + column] = np.where(known, value, 0.0)
    return rows


def weigh_candidates(log_likelihood: Floats, candidates: Candidates) -> Floats:
    """
    Weigh the candidates of each client by prior and likelihood.

    Parameters
    ----------
    log_likelihood : (C * G,)

    Returns
    -------
    (C, G)
        Each row sums to 1.
    """
    score = log_likelihood.reshape(-1, len(candidates.log_prior)) + candidates.log_prior
    score = score - score.max(axis=1, keepdims=True)
    weight = np.exp(score)
    return np.asarray(weight / weight.sum(axis=1, keepdims=True))


def blend(weights: Floats, means: Floats, variances: Floats) -> tuple[Floats, Floats]:
    """
    Average one number over the candidates.

    Parameters
    ----------
    weights : (..., C, G)
    means, variances : (..., C * G)

    Returns
    -------
    mean : (..., C)
    sd : (..., C)
        Spread within and between candidates.
    """
    shape = (*means.shape[:-1], *weights.shape[-2:])
    m = means.reshape(shape)
    v = variances.reshape(shape)
    mean = (weights * m).sum(axis=-1)
    total = (weights * (v + m * m)).sum(axis=-1) - mean * mean
    return mean, np.sqrt(np.maximum(total, 0.0))
