"""
A linear state-space filter and smoother on a daily grid, for many models side by side.

Nothing here knows of bodies or diets. A *bank* holds ``B`` models of the same shape that see the
same kind of data: candidate noise levels of one client, or many clients at once. Every array has
the bank first. Missing readings are NaN.

The state follows ``x[t+1] = F x[t] + c[t] + w[t]`` and is read through ``y[t] = h[t]·x[t] + v[t]``.
Readings far outside what was expected are set aside; three in a row on the same side are believed
as a step of the first state, the level.

References
----------
.. [1] Durbin and Koopman, Time Series Analysis by State Space Methods, 2nd ed., Oxford 2012,
   sections 4.3 (filter) and 4.4 (smoother without inverting a matrix).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

LEVEL = 0
"""Place of the level in every state."""
STEP_AFTER = 3
"""This many set-aside readings in a row on one side are a step, not errors."""
STEP_VARIANCE = 25.0
"""Variance added to the level when a step is believed; so large that the level starts afresh."""
OUTLIER_LOG_DENSITY = math.log(0.01 / 10.0)
"""One reading in a hundred is a mistake, anywhere within 10 units: its log density."""


@dataclass(frozen=True)
class Bank:
    """
    Models side by side.

    Attributes
    ----------
    transition : (B, k, k)
        ``F``, one day ahead.
    process_variance : (B, k)
        Variance of ``w``, one day; independent between states.
    reading_variance : (B,)
        Variance of ``v``.
    initial_mean : (B, k)
        State on the first day before its reading.
    initial_variance : (B, k)
        Its variance; independent between states.
    gate_sd : float
        Readings further than this from what was expected are set aside. [standard deviations]
    """

    transition: Floats
    process_variance: Floats
    reading_variance: Floats
    initial_mean: Floats
    initial_variance: Floats
    gate_sd: float = 3.0

    @property
    def size(self) -> int:
        """Number of models."""
        return int(self.initial_mean.shape[0])

    def pick(self, which: Bools) -> Bank:
        """Return the bank of some of its models."""
        return Bank(
            self.transition[which],
            self.process_variance[which],
            self.reading_variance[which],
            self.initial_mean[which],
            self.initial_variance[which],
            self.gate_sd,
        )


@dataclass(frozen=True)
class State:
    """What the bank believes on one day."""

    mean: Floats
    covariance: Floats
    log_likelihood: Floats
    side: Floats
    """Sign of the last set-aside reading, 0 when the last one was believed."""
    streak: Floats
    """Set-aside readings in a row on that side."""


@dataclass(frozen=True)
class Seen:
    """How one day's reading was taken; arrays over the bank."""

    error: Floats
    """Reading minus expectation; NaN without a reading."""
    variance: Floats
    believed: Bools
    prior_mean: Floats
    """State expected before the reading, any believed step included."""
    prior_covariance: Floats


def begin(bank: Bank) -> State:
    """Return the state of the first day before any reading."""
    size, states = bank.initial_mean.shape
    covariance = np.zeros((size, states, states))
    index = np.arange(states)
    covariance[:, index, index] = bank.initial_variance
    return State(
        mean=bank.initial_mean.copy(),
        covariance=covariance,
        log_likelihood=np.zeros(size),
        side=np.zeros(size),
        streak=np.zeros(size),
    )


def advance(
    bank: Bank,
    state: State,
    known_input: Floats | None = None,
    extra_variance: Floats | None = None,
) -> State:
    """
    Carry the state one day ahead.

    Parameters
    ----------
    bank : Bank
    state : State
        Belief on the day before.
    known_input : (B, k), optional
        ``c``: what is known to be added to the states overnight.
    extra_variance : (k,) or (B, k), optional
        Added to the states' variance, for days on which they may jump.

    Returns
    -------
    State
    """
    forward = bank.transition
    mean = np.einsum("bij,bj->bi", forward, state.mean)
    if known_input is not None:
        mean = mean + known_input
    covariance = forward @ state.covariance @ forward.transpose(0, 2, 1)
    index = np.arange(mean.shape[1])
    covariance[:, index, index] += bank.process_variance
    if extra_variance is not None:
        covariance[:, index, index] += extra_variance
    return replace(state, mean=mean, covariance=covariance)


def take(bank: Bank, state: State, row: Floats, reading: ArrayLike) -> tuple[State, Seen]:
    """
    Let the bank see one reading, or none where it is NaN.

    Parameters
    ----------
    bank : Bank
    state : State
        Belief before the reading.
    row : (B, k) or (k,)
        ``h``: how the states add up to the reading.
    reading : float or (B,)

    Returns
    -------
    State, Seen
        Belief after the reading, and how the reading was taken.
    """
    row = np.broadcast_to(row, state.mean.shape)
    values = np.broadcast_to(np.asarray(reading, dtype=float), state.mean.shape[:1])
    present = ~np.isnan(values)
    error = values - np.einsum("bi,bi->b", row, state.mean)
    shared = np.einsum("bij,bj->bi", state.covariance, row)
    variance = np.einsum("bi,bi->b", row, shared) + bank.reading_variance
    near = error * error <= bank.gate_sd**2 * variance

    sign = np.where(present, np.sign(error), 0.0)
    away = present & ~near
    streak = np.where(away, np.where(sign == state.side, state.streak + 1, 1.0), state.streak)
    step = away & (streak >= STEP_AFTER)
    covariance = state.covariance
    if step.any():
        covariance = covariance.copy()
        covariance[:, LEVEL, LEVEL] += np.where(step, STEP_VARIANCE, 0.0)
        shared = np.einsum("bij,bj->bi", covariance, row)
        variance = np.einsum("bi,bi->b", row, shared) + bank.reading_variance
    believed = present & (near | step)

    normal = -0.5 * (np.log(2 * math.pi * variance) + error * error / variance)
    added = np.where(near, normal, OUTLIER_LOG_DENSITY)
    gain = np.where(believed[:, None], shared / variance[:, None], 0.0)
    # The gain is 0 where nothing is believed; NaN errors must not reach the mean.
    clean = np.where(believed, error, 0.0)
    after = State(
        mean=state.mean + gain * clean[:, None],
        covariance=covariance - gain[:, :, None] * shared[:, None, :],
        log_likelihood=state.log_likelihood + np.where(present, added, 0.0),
        side=np.where(away & ~step, sign, np.where(present, 0.0, state.side)),
        streak=np.where(believed, 0.0, streak),
    )
    return after, Seen(error, variance, believed, state.mean, covariance)


@dataclass(frozen=True)
class Course:
    """
    The filter's way through ``T`` days.

    Attributes
    ----------
    mean, covariance : (T, B, k), (T, B, k, k)
        Belief after each day's reading.
    seen : tuple of Seen
        How each reading was taken.
    rows : (T, B, k)
    log_likelihood : (T, B)
        Up to and including each day.
    """

    mean: Floats
    covariance: Floats
    seen: tuple[Seen, ...]
    rows: Floats
    log_likelihood: Floats

    def pick(self, which: Bools) -> Course:
        """Return the course of some of the models."""
        return Course(
            self.mean[:, which],
            self.covariance[:, which],
            tuple(
                Seen(
                    how.error[which],
                    how.variance[which],
                    how.believed[which],
                    how.prior_mean[which],
                    how.prior_covariance[which],
                )
                for how in self.seen
            ),
            self.rows[:, which],
            self.log_likelihood[:, which],
        )


def run(
    bank: Bank,
    readings: Floats,
    rows: Floats,
    known_inputs: Floats | None = None,
    extra_variance: Floats | None = None,
) -> Course:
    """
    Filter a whole series.

    Parameters
    ----------
    bank : Bank
    readings : (T,) or (T, B)
        NaN where there is none.
    rows : (T, k) or (T, B, k)
        ``h`` a day.
    known_inputs : (T, B, k), optional
        Entry ``t`` is added on the way from day ``t - 1`` to day ``t``; entry 0 is not used.
    extra_variance : (T, k) or (T, B, k), optional
        Added on the way into each day; entry 0 to the initial variance.

    Returns
    -------
    Course
    """
    days, (size, states) = len(readings), bank.initial_mean.shape
    full_rows = np.empty((days, size, states))
    full_rows[:] = rows if rows.ndim == 3 else rows[:, None, :]
    state = begin(bank)
    if extra_variance is not None:
        index = np.arange(states)
        state.covariance[:, index, index] += extra_variance[0]
    means, covariances, likelihoods = [], [], []
    seen: list[Seen] = []
    for day in range(days):
        if day:
            state = advance(
                bank,
                state,
                None if known_inputs is None else known_inputs[day],
                None if extra_variance is None else extra_variance[day],
            )
        state, how = take(bank, state, full_rows[day], readings[day])
        seen.append(how)
        means.append(state.mean)
        covariances.append(state.covariance)
        likelihoods.append(state.log_likelihood)
    return Course(
        np.stack(means), np.stack(covariances), tuple(seen), full_rows, np.stack(likelihoods)
    )


def smooth(bank: Bank, course: Course) -> tuple[Floats, Floats]:
    """
    Look back over a filtered series with everything that was seen later.

    Parameters
    ----------
    bank : Bank
    course : Course
        From :func:`run` with the same bank.

    Returns
    -------
    mean : (T, B, k)
    covariance : (T, B, k, k)
    """
    days, size, states = course.mean.shape
    mean = np.empty_like(course.mean)
    covariance = np.empty_like(course.covariance)
    pull = np.zeros((size, states))
    weight = np.zeros((size, states, states))
    identity = np.eye(states)
    for day in range(days - 1, -1, -1):
        if day < days - 1:
            pull = np.einsum("bji,bj->bi", bank.transition, pull)
            weight = bank.transition.transpose(0, 2, 1) @ weight @ bank.transition
        how = course.seen[day]
        row = course.rows[day]
        used = how.believed.astype(float)
        scaled = np.where(how.believed, np.nan_to_num(how.error) / how.variance, 0.0)
        shared = np.einsum("bij,bj->bi", how.prior_covariance, row)
        precision = (used / how.variance)[:, None, None]
        keep = identity - precision * shared[:, :, None] * row[:, None, :]
        pull = row * scaled[:, None] + np.einsum("bji,bj->bi", keep, pull)
        weight = (
            row[:, :, None] * row[:, None, :] * precision + keep.transpose(0, 2, 1) @ weight @ keep
        )
        prior = how.prior_covariance
        mean[day] = how.prior_mean + np.einsum("bij,bj->bi", prior, pull)
        covariance[day] = prior - prior @ weight @ prior
    return mean, covariance
