"""
When the data says move: the rule itself, in numbers only.

The gap is what the client should be eating less what the plan says, both on the logging scale.
Waiting costs mass off the wanted course every week; moving wrongly costs the client's and the
coach's trouble and the way back. A move is made when waiting costs more, in cuts as in gains, and
nothing moves for a gap too small to be worth a change of menu.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from mealplan.checkin.energy.mixture import Mixture

Verdict = Literal["move", "hold", "wait"]

WEEKS_A_WRONG_MOVE_COSTS = 9.0
"""A move the wrong way is as dear as waiting this many weeks at the same gap.

Chosen on the curve of false moves against weeks off in the study beside the check-in.
"""
SURE_ENOUGH = WEEKS_A_WRONG_MOVE_COSTS / (1.0 + WEEKS_A_WRONG_MOVE_COSTS)
"""Chance that the gap has the sign it seems to have from which a move costs less than a wait."""
SMALLEST_GAP_KCAL = 75.0
"""A gap below this is not worth a change of menu: its step is a spoonful. [kcal/day]"""
TOLERANCE_KCAL = 200.0
"""When the 90 % band of the gap lies within this of zero, the plan stands. [kcal/day]"""
LARGEST_STEP_KCAL = 300.0
"""No step is larger (common practice). [kcal/day]"""
SHARE_OF_GAP = 0.7
"""Of the gap that a step closes: the rest is left to what the next weeks tell."""
STEP_UNIT_KCAL = 10.0
DAYS_BETWEEN_MOVES = 7
"""A new plan is lived for a week before it is judged. [days]"""
FEWEST_WEIGH_INS = 6
"""In the last 28 days, outside sickness and travel (common practice)."""
FEWEST_LOGGED_DAYS = 6
REACH_SD, GRID = 5.0, 401


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
        How far off the plan is expected to be if it waits, and after the step that closes most of
        the gap. [kcal/day]
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
    z = np.linspace(-REACH_SD, REACH_SD, GRID)
    density = np.exp(-0.5 * z * z)
    left = np.abs(gap.means[:, None] + gap.sds[:, None] * z - step_kcal)
    return float(gap.weights @ (left @ density) / density.sum())


def is_clear(gap: Mixture) -> bool:
    """Return whether a gap is large and sure enough to act on, guard rails aside."""
    return abs(gap.mean) >= SMALLEST_GAP_KCAL and gap.chance_of_side() >= SURE_ENOUGH


def step_for(gap_kcal: float) -> float:
    """Return the step towards a gap: seven tenths of it, 300 kcal at most, in tens."""
    size = min(LARGEST_STEP_KCAL, SHARE_OF_GAP * abs(gap_kcal))
    return math.copysign(STEP_UNIT_KCAL * math.floor(size / STEP_UNIT_KCAL + 0.5), gap_kcal)


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
    step = step_for(gap.mean)
    costs = expected_distance(gap), expected_distance(gap, step)
    chance = gap.chance_of_side()
    if not all(rail.kept for rail in rails):
        return RuleOutcome("wait", 0.0, chance, *costs, rails)
    if is_clear(gap):
        return RuleOutcome("move", step, chance, *costs, rails)
    low, high = gap.band
    settled = max(-low, high) <= TOLERANCE_KCAL
    return RuleOutcome("hold" if settled else "wait", 0.0, chance, *costs, rails)
