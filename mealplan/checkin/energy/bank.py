"""
A bank of Kalman filters, one for each way a client's weeks may have gone.

Every member pairs a *character* of the client's noise (how far a reading scatters, how far slow
water goes, how fast expenditure drifts) with a hypothesis of when expenditure or level last
jumped. Real weeks are quiet with few and heavy jumps; one filter that lets everything wander a
little is too wide when nothing happens and too slow when something does. The weights follow Bayes;
what is old, and what jumps again, is merged by its moments.

Nothing here knows of logs. The first axis of every array is the hypothesis, the second the
character.

References
----------
.. [1] Ackerson and Fu, IEEE Trans Autom Control 15(1), 1970: filters in switching surroundings.
.. [2] Blom and Bar-Shalom, IEEE Trans Autom Control 33(8), 1988: mixing by moments.
.. [3] Adams and MacKay, arXiv:0710.3742, 2007: time since the last change.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mealplan.checkin.energy.states import (
    BASE,
    COMING,
    FAST,
    FAST_CORRELATION,
    MASS,
    SETTLING_TIME_DAYS,
    SLOW,
    SLOW_TIME_DAYS,
    STORE,
    Characters,
)

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

NEVER = -1
"""Birthday of a hypothesis that is not in use."""
GATE_SD = 3.5
"""Readings further than this from what was expected are set aside. [standard deviations]"""
STRAY_LOG_DENSITY = math.log(0.01 / 10.0)
"""One reading in a hundred is a mistake, anywhere within 10 kg: its log density."""


@dataclass(frozen=True)
class Belief:
    """
    What the bank believes on one morning.

    Attributes
    ----------
    day : int
    mean : (H, G, k)
    covariance : (H, G, k, k)
    log_weight : (H, G)
        Not normalised; minus infinity where a hypothesis is not in use.
    born : (H,)
        Day of the jump a hypothesis holds; ``NEVER`` for none. The first holds no jump.
    """

    day: int
    mean: Floats
    covariance: Floats
    log_weight: Floats
    born: Integers

    @property
    def weights(self) -> Floats:
        """Shares that sum to 1, (H, G)."""
        weight = np.exp(self.log_weight - self.log_weight.max())
        return np.asarray(weight / weight.sum())


@dataclass(frozen=True)
class Night:
    """
    What is known of the way from one morning to the next.

    Attributes
    ----------
    intake_kcal, intake_sd_kcal : float
        Eaten, on the logging scale. [kcal]
    answered_kcal : float
        Spent at once on eating more or less than usual. [kcal]
    spending : (k,)
        How the states add up to the day's other expenditure.
    store_kg_per_kcal : float
        Mass of one kilocalorie stored. [kg/kcal]
    per_kg_kcal : float
        Expenditure that comes with a kilogram. [kcal/(kg day)]
    water_kg, water_sd_kg : float
        Lasting water that begins to come or go. [kg]
    unrest_sd_kg : float
        Extra spread of slow water, sick or travelling. [kg]
    """

    intake_kcal: float
    intake_sd_kcal: float
    answered_kcal: float
    spending: Floats
    store_kg_per_kcal: float
    per_kg_kcal: float
    water_kg: float = 0.0
    water_sd_kg: float = 0.0
    unrest_sd_kg: float = 0.0


def initialise(mean: Floats, sd: Floats, characters: Characters, slots: int) -> Belief:
    """
    Begin the bank on the first morning, before any reading.

    Parameters
    ----------
    mean, sd : (k,)
        Of every state; slow and passing water take theirs from the characters.
    characters : Characters
    slots : int
        Room for hypotheses of a jump.

    Returns
    -------
    Belief
    """
    groups, states = len(characters), len(mean)
    covariance = np.zeros((1 + slots, groups, states, states))
    index = np.arange(states)
    covariance[..., index, index] = sd**2
    covariance[..., SLOW, SLOW] = characters.slow_kg**2
    covariance[..., FAST, FAST] = characters.noise_kg**2
    weight = np.full((1 + slots, groups), -np.inf)
    weight[0] = characters.log_prior
    born = np.full(1 + slots, NEVER)
    return Belief(0, np.tile(mean, (1 + slots, groups, 1)), covariance, weight, born)


def predict(belief: Belief, night: Night, characters: Characters) -> Belief:
    """
    Carry the bank to the next morning.

    Stored density is itself a state, so the day's balance times its error is linearised.

    Parameters
    ----------
    belief : Belief
    night : Night
    characters : Characters

    Returns
    -------
    Belief
    """
    mean = belief.mean
    states = mean.shape[-1]
    stays = math.exp(-1.0 / SETTLING_TIME_DAYS)
    slow_stays = math.exp(-1.0 / SLOW_TIME_DAYS)
    net = night.intake_kcal - night.answered_kcal - mean @ night.spending
    rate = night.store_kg_per_kcal * (1.0 + mean[..., STORE])
    drive = -rate[..., None] * night.spending
    drive[..., STORE] += night.store_kg_per_kcal * net
    after = mean.copy()
    after[..., MASS] += rate * net + (1.0 - stays) * mean[..., COMING]
    after[..., BASE] += night.per_kg_kcal * rate * net
    after[..., FAST] *= FAST_CORRELATION
    after[..., SLOW] *= slow_stays
    after[..., COMING] = stays * mean[..., COMING] + night.water_kg

    decay = np.ones(states)
    decay[[FAST, SLOW, COMING]] = FAST_CORRELATION, slow_stays, stays
    covariance = _carried(belief.covariance, decay, drive, 1.0 - stays, night.per_kg_kcal)
    covariance[..., MASS, MASS] += (night.intake_sd_kcal * night.store_kg_per_kcal) ** 2
    covariance[..., BASE, BASE] += characters.drift_kcal**2
    covariance[..., FAST, FAST] += characters.noise_kg**2 * (1.0 - FAST_CORRELATION**2)
    covariance[..., SLOW, SLOW] += (
        characters.slow_kg**2 * (1.0 - slow_stays**2) + night.unrest_sd_kg**2
    )
    covariance[..., COMING, COMING] += night.water_sd_kg**2
    return replace(belief, day=belief.day + 1, mean=after, covariance=covariance)


def _carried(
    before: Floats, decay: Floats, drive: Floats, settles: float, per_kg_kcal: float
) -> Floats:
    """
    Carry covariances over a night in which only mass and expenditure mix with the rest.

    ``drive`` is what each state adds to mass by the day's balance; the share ``settles`` of the
    water to come is added too, and expenditure rises with mass by ``per_kg_kcal``.
    """
    balance = (before @ drive[..., None])[..., 0]
    mass = balance + settles * before[..., COMING]
    base = per_kg_kcal * balance
    after = before * (decay[:, None] * decay)
    for state, share in ((MASS, mass), (BASE, base)):
        after[..., state, :] += decay * share
        after[..., :, state] += decay * share
    own = (drive * mass).sum(-1) + settles * mass[..., COMING]
    crossed = per_kg_kcal * (drive * mass).sum(-1)
    after[..., MASS, MASS] += own
    after[..., BASE, BASE] += per_kg_kcal * (drive * base).sum(-1)
    after[..., MASS, BASE] += crossed
    after[..., BASE, MASS] += crossed
    return after


def transition_of(mean: Floats, night: Night) -> Floats:
    """
    Give the linearised step of one night about a mean, for looking back.

    Parameters
    ----------
    mean : (k,)
    night : Night

    Returns
    -------
    (k, k)
    """
    stays = math.exp(-1.0 / SETTLING_TIME_DAYS)
    net = night.intake_kcal - night.answered_kcal - mean @ night.spending
    drive = -night.store_kg_per_kcal * (1.0 + mean[STORE]) * night.spending
    drive[STORE] += night.store_kg_per_kcal * net
    step = np.eye(len(mean))
    step[[FAST, SLOW, COMING], [FAST, SLOW, COMING]] = (
        FAST_CORRELATION,
        math.exp(-1.0 / SLOW_TIME_DAYS),
        stays,
    )
    step[MASS] += drive
    step[MASS, COMING] += 1.0 - stays
    step[BASE] += night.per_kg_kcal * drive
    return step


@dataclass(frozen=True)
class Innovation:
    """How one reading was taken: what it was off by, and the share that set it aside."""

    error: float
    set_aside: float


def update(
    belief: Belief, row: Floats, reading: float, variance: float
) -> tuple[Belief, Innovation]:
    """
    Let the bank see one reading.

    Parameters
    ----------
    belief : Belief
    row : (k,)
        How the states add up to the reading.
    reading : float
    variance : float
        Of the reading itself.

    Returns
    -------
    Belief
    Innovation
    """
    shared = belief.covariance @ row
    spread = shared @ row + variance
    error = reading - belief.mean @ row
    near = error**2 <= GATE_SD**2 * spread
    usual = -0.5 * (np.log(2.0 * math.pi * spread) + error**2 / spread)
    gain = np.where(near[..., None], shared / spread[..., None], 0.0)
    seen = replace(
        belief,
        mean=belief.mean + gain * error[..., None],
        covariance=belief.covariance - gain[..., :, None] * shared[..., None, :],
        log_weight=belief.log_weight + np.where(near, usual, STRAY_LOG_DENSITY),
    )
    before = belief.weights
    return seen, Innovation(float((before * error).sum()), float((seen.weights * ~near).sum()))
