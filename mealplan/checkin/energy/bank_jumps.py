"""How a bank of beliefs opens to a sudden change, and closes again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from mealplan.checkin.energy.bank import NEVER, Belief, Floats
from mealplan.checkin.energy.states import (
    BASE,
    JUMP,
)


def jump(
    belief: Belief, slots: range, chance: float | Floats, spreads: tuple[tuple[int, float], ...]
) -> Belief:
    """
    Let something have jumped this morning; the oldest of the slots makes room.

    Parameters
    ----------
    belief : Belief
    slots : range
        Hypotheses that hold jumps of this kind.
    chance : float or (G,)
        That there was one, for each character.
    spreads : tuple of (int, float)
        States that jump, each with the standard deviation of its jump.

    Returns
    -------
    Belief
    """
    mean, covariance = belief.mean.copy(), belief.covariance.copy()
    weight, born = belief.log_weight.copy(), belief.born.copy()
    oldest = min(slots, key=lambda slot: born[slot])
    # What jumped before is part of the base for whoever jumps again.
    folded, folded_covariance = _fold(mean, covariance)
    every = _merge(folded, folded_covariance, weight)
    if born[oldest] != NEVER:
        pair = [0, oldest]
        mean[0], covariance[0], weight[0] = _merge(
            folded[pair], folded_covariance[pair], weight[pair]
        )
    mean[oldest], covariance[oldest], weight[oldest] = every
    for state, sd in spreads:
        covariance[oldest, :, state, state] += sd**2
    others = np.arange(len(born)) != oldest
    weight[others] += np.log1p(-np.asarray(chance))
    weight[oldest] += np.log(chance)
    born[oldest] = belief.day
    return replace(belief, mean=mean, covariance=covariance, log_weight=weight, born=born)


def _fold(mean: Floats, covariance: Floats) -> tuple[Floats, Floats]:
    """Put the jump into the base: ``base + jump`` and nothing."""
    mean, covariance = mean.copy(), covariance.copy()
    mean[..., BASE] += mean[..., JUMP]
    covariance[..., BASE, :] += covariance[..., JUMP, :]
    covariance[..., :, BASE] += covariance[..., :, JUMP]
    mean[..., JUMP] = 0.0
    covariance[..., JUMP, :] = 0.0
    covariance[..., :, JUMP] = 0.0
    return mean, covariance


def _merge(mean: Floats, covariance: Floats, log_weight: Floats) -> tuple[Floats, Floats, Floats]:
    """Merge hypotheses into one by weight, mean and spread, each character by itself."""
    top = log_weight.max(axis=0)
    weight = np.exp(log_weight - top)
    total = weight.sum(axis=0)
    share = weight / total
    middle = (share[..., None] * mean).sum(axis=0)
    apart = mean - middle
    spread = (share[..., None, None] * covariance).sum(axis=0)
    weighted = (share[..., None] * apart).transpose(1, 2, 0)
    spread += weighted @ apart.transpose(1, 0, 2)
    return middle, spread, np.log(total) + top


def collapse(belief: Belief) -> tuple[Floats, Floats]:
    """
    Give the mean and covariance of the whole bank.

    Parameters
    ----------
    belief : Belief

    Returns
    -------
    mean : (k,)
    covariance : (k, k)
    """
    states = belief.mean.shape[-1]
    weights = belief.weights.ravel()
    means = belief.mean.reshape(-1, states)
    mean = weights @ means
    apart = means - mean
    covariance = weights @ belief.covariance.reshape(-1, states * states)
    return mean, covariance.reshape(states, states) + (weights[:, None] * apart).T @ apart
