"""A plain Kalman filter for many clients side by side, for the observers of the study."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass
class Bank:
    """Models side by side: transition, process, reading and initial variances."""

    transition: np.ndarray
    process_variance: np.ndarray
    reading_variance: np.ndarray
    initial_mean: np.ndarray
    initial_variance: np.ndarray


@dataclass
class State:
    """Mean and covariance of every model."""

    mean: np.ndarray
    covariance: np.ndarray


def begin(bank):
    """Return the state of the first day before any reading."""
    size, states = bank.initial_mean.shape
    covariance = np.zeros((size, states, states))
    index = np.arange(states)
    covariance[:, index, index] = bank.initial_variance
    return State(bank.initial_mean.copy(), covariance)


def advance(bank, state, known_input, extra_variance):
    """Carry the states one day ahead."""
    forward = bank.transition
    mean = np.einsum("bij,bj->bi", forward, state.mean) + known_input
    covariance = forward @ state.covariance @ forward.transpose(0, 2, 1)
    index = np.arange(mean.shape[1])
    covariance[:, index, index] += bank.process_variance + extra_variance
    return State(mean, covariance)


def take(bank, state, row, readings):
    """Let every model see its reading, or none where it is NaN."""
    present = ~np.isnan(readings)
    error = np.where(present, readings - np.einsum("bi,bi->b", row, state.mean), 0.0)
    shared = np.einsum("bij,bj->bi", state.covariance, row)
    variance = np.einsum("bi,bi->b", row, shared) + bank.reading_variance
    gain = np.where(present[:, None], shared / variance[:, None], 0.0)
    return State(
        state.mean + gain * error[:, None],
        state.covariance - gain[:, :, None] * shared[:, None, :],
    )
