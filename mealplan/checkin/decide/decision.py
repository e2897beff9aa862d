"""
When the data says move: the rule itself, in numbers only.

The gap is what the client should be eating less what the plan says, both on the logging scale.
Waiting costs what the plan is off, week by week; a move that does not help costs the client's and
the coach's trouble and the way back. Of all steps the one that saves most, trouble counted, is
made, in cuts as in gains; none where none saves anything.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from mealplan.checkin.energy.mixture import Mixture, normal_cdf
from mealplan.science.quantity import NINETY_PERCENT

Verdict = Literal["move", "hold", "wait"]

FALSE_MOVE_COSTS_KCAL = 500.0
"""A move that does not help is as dear as a week with the plan this far off. [kcal/day]

Chosen on the curve of false moves against weeks off in the study beside the check-in.
"""
SMALLEST_GAP_KCAL = 75.0
"""A smaller gap is not worth a change of menu: its step is a spoonful. [kcal/day]"""
TOLERANCE_KCAL = 200.0
"""When the 90 % band of the gap lies within this of zero, the plan stands. [kcal/day]"""
LARGEST_STEP_KCAL = 300.0
"""No step is larger (common practice). [kcal/day]"""
STEP_UNIT_KCAL = 10.0
SMALLEST_STEP_KCAL = 50.0
"""A smaller step is lost in the kitchen's own spread (common practice). [kcal/day]"""
DAYS_BETWEEN_MOVES = 7
"""A new plan is lived for a week before it is judged. [days]"""
FEWEST_WEIGH_INS = 6
"""In the last 28 days, outside sickness and travel (common practice)."""
FEWEST_LOGGED_DAYS = 6


@dataclass(frozen=True)
class Evidence:
    """
    What a decision rests on.

    Attributes
    ----------
    gap : Mixture
        Needed less planned. [kcal/day]
    weigh_ins, logged_days : int
        In the last 28 days, outside sickness and travel.
    days_since_move : int or None
        None before the first move.
    disturbed : bool
        Today belongs to a sick spell or a journey, or to the few days after.
    """

    gap: Mixture
    weigh_ins: int
    logged_days: int
    days_since_move: int | None
    disturbed: bool = False


@dataclass(frozen=True)
class Rail:
    """One guard rail, whether it is kept, and in words what it asks."""

    key: str
    kept: bool
    text: str


@dataclass(frozen=True)
class RuleOutcome:
    """
    The outcome.

    Attributes
    ----------
    verdict : {"move", "hold", "wait"}
    step_kcal : float
        Change of the daily target; 0 unless the verdict is to move. [kcal/day]
    chance : float
        That the gap has the sign it seems to have.
    waiting_kcal, moving_kcal : float
        How far off the plan is expected to be if it waits, and after the step. [kcal/day]
    rails : tuple of Rail
    """

    verdict: Verdict
    step_kcal: float
    chance: float
    waiting_kcal: float
    moving_kcal: float
    rails: tuple[Rail, ...]


def check_rails(evidence: Evidence) -> tuple[Rail, ...]:
    """Return every guard rail with whether it is kept."""
    since = evidence.days_since_move
    return (
        Rail(
            "weigh-ins",
            evidence.weigh_ins >= FEWEST_WEIGH_INS,
            f"{evidence.weigh_ins} weigh-ins in the last 28 days; it takes {FEWEST_WEIGH_INS}",
        ),
        Rail(
            "logged days",
            evidence.logged_days >= FEWEST_LOGGED_DAYS,
            f"{evidence.logged_days} days of eating on record in the last 28; it takes "
            f"{FEWEST_LOGGED_DAYS}",
        ),
        Rail(
            "last move",
            since is None or since >= DAYS_BETWEEN_MOVES,
            "the target has not moved yet"
            if since is None
            else f"{since} days since the last move; {DAYS_BETWEEN_MOVES} at least between two",
        ),
        Rail(
            "disturbed",
            not evidence.disturbed,
            "sick or travelling days tell little, nor do the few after them"
            if evidence.disturbed
            else "no sickness or travel just now",
        ),
    )


def expected_distance(gap: Mixture, step_kcal: float = 0.0) -> float:
    """
    Say how far off the plan is expected to be after a step.

    Parameters
    ----------
    gap : Mixture
        [kcal/day]
    step_kcal : float
        [kcal/day]

    Returns
    -------
    float
        Mean size of what is left. [kcal/day]
    """
    off = gap.means - step_kcal
    z = off / gap.sds
    density = np.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    # The mean of a folded normal distribution.
    return float(gap.weights @ (2.0 * gap.sds * density + off * (2.0 * normal_cdf(z) - 1.0)))


def chance_of_help(gap: Mixture, step_kcal: float) -> float:
    """
    Say how likely a step is to help.

    It helps when the gap is on its side, large enough to be worth a change of menu, and more than
    half the step: else the plan is as far off on the other side.

    Parameters
    ----------
    gap : Mixture
        [kcal/day]
    step_kcal : float
        [kcal/day]

    Returns
    -------
    float
    """
    least = max(SMALLEST_GAP_KCAL, abs(step_kcal) / 2.0)
    return gap.chance_above(least) if step_kcal > 0 else 1.0 - gap.chance_above(-least)


def saving(gap: Mixture, step_kcal: float) -> float:
    """
    Say what a step is expected to save against a week of waiting, its trouble counted.

    Parameters
    ----------
    gap : Mixture
        [kcal/day]
    step_kcal : float
        [kcal/day]

    Returns
    -------
    float
        [kcal/day]
    """
    nearer = expected_distance(gap) - expected_distance(gap, step_kcal)
    return nearer - FALSE_MOVE_COSTS_KCAL * (1.0 - chance_of_help(gap, step_kcal))


def step_for(gap: Mixture) -> float:
    """
    Give the step that saves most; it never passes the best value of the gap, nor 300 kcal.

    Parameters
    ----------
    gap : Mixture
        [kcal/day]

    Returns
    -------
    float
        0 where none saves anything. [kcal/day]
    """
    largest = min(LARGEST_STEP_KCAL, abs(gap.mean))
    sizes = np.arange(SMALLEST_STEP_KCAL, largest + STEP_UNIT_KCAL / 2.0, STEP_UNIT_KCAL)
    steps = [math.copysign(float(size), gap.mean) for size in sizes]
    best = max(steps, key=lambda step: saving(gap, step), default=0.0)
    return best if best and saving(gap, best) > 0 else 0.0


def widest_settled(gap_kcal: float) -> float:
    """Give the largest spread at which a gap of this size is held; 0 or less for none."""
    return (TOLERANCE_KCAL - abs(gap_kcal)) / NINETY_PERCENT


def widest_clear(gap_kcal: float) -> float:
    """
    Give the largest spread at which a gap of this size moves the plan.

    Parameters
    ----------
    gap_kcal : float
        [kcal/day]

    Returns
    -------
    float
        0 where it moves at none. [kcal/day]
    """
    narrow, wide = 0.0, 1000.0
    for _ in range(12):
        middle = (narrow + wide) / 2.0
        as_known = Mixture(np.ones(1), np.array([gap_kcal]), np.array([middle]))
        narrow, wide = (middle, wide) if step_for(as_known) else (narrow, middle)
    return narrow


def decide(evidence: Evidence) -> RuleOutcome:
    """
    Say whether to move, hold or wait.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    RuleOutcome
    """
    rails, gap = check_rails(evidence), evidence.gap
    step = step_for(gap)
    costs = expected_distance(gap), expected_distance(gap, step)
    chance = gap.chance_of_side()
    if not all(rail.kept for rail in rails):
        return RuleOutcome("wait", 0.0, chance, *costs, rails)
    if step:
        return RuleOutcome("move", step, chance, *costs, rails)
    low, high = gap.band
    settled = max(-low, high) <= TOLERANCE_KCAL
    return RuleOutcome("hold" if settled else "wait", 0.0, chance, *costs, rails)
