"""
When the data says move: the rule itself, in numbers only.

The gap is what the client should be eating less what the plan says, both on the logging scale. It
is never acted on because of one reading, nor before there is enough to go by, nor in large steps.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

Verdict = Literal["move", "hold", "wait"]

SURE_ENOUGH = 0.95
"""Chance that the gap has the sign it seems to have before anything moves (assumption)."""
SURE_WITHOUT_NEWEST = 0.90
"""The newest weigh-in may tip the balance but not carry it: that sure without it (assumption)."""
SMALLEST_GAP_KCAL = 100.0
"""A gap below this is not worth a change of menu: half of it is a spoonful. [kcal/day]"""
TOLERANCE_KCAL = 200.0
"""When the 90 % band of the gap lies within this of zero, the plan stands. [kcal/day]"""
LARGEST_STEP_KCAL = 150.0
"""No step is larger (common practice). [kcal/day]"""
SHARE_OF_GAP = 0.5
"""Nor larger than this share of the gap (common practice)."""
STEP_UNIT_KCAL = 10.0
DAYS_BETWEEN_MOVES = 14
"""Common practice. [days]"""
FEWEST_WEIGH_INS = 10
"""In the last 28 days, outside sickness and travel (common practice)."""
FEWEST_LOGGED_DAYS = 10
DAYS_AFTER_PHASE_CHANGE = 10
"""Water settles first (common practice). [days]"""
BAND_SD = 1.645


@dataclass(frozen=True)
class Evidence:
    """
    What a decision rests on.

    Attributes
    ----------
    gap_kcal, gap_sd_kcal : float
        Needed less planned. [kcal/day]
    gap_without_newest_kcal, gap_sd_without_newest_kcal : float
        The same had the newest weigh-in not been taken. [kcal/day]
    weigh_ins, logged_days : int
        In the last 28 days, outside sickness and travel.
    days_in_phase : int
    days_since_move : int or None
        None before the first move.
    disturbed : bool
        Today belongs to a sick spell or a journey, or to the few days after.
    """

    gap_kcal: float
    gap_sd_kcal: float
    gap_without_newest_kcal: float
    gap_sd_without_newest_kcal: float
    weigh_ins: int
    logged_days: int
    days_in_phase: int
    days_since_move: int | None
    disturbed: bool = False


@dataclass(frozen=True)
class Rail:
    """One guard rail, whether it is kept, and in words what it asks."""

    key: str
    kept: bool
    text: str


@dataclass(frozen=True)
class Decision:
    """
    The outcome.

    Attributes
    ----------
    verdict : {"move", "hold", "wait"}
    step_kcal : float
        Change of the daily target; 0 unless the verdict is to move. [kcal/day]
    chance : float
        That the gap has the sign it seems to have.
    rails : tuple of Rail
    """

    verdict: Verdict
    step_kcal: float
    chance: float
    rails: tuple[Rail, ...]


def chance_of_sign(gap_kcal: float, gap_sd_kcal: float) -> float:
    """Return the chance that the gap has the sign it seems to have, from 0.5 to 1."""
    return NormalDist().cdf(abs(gap_kcal) / gap_sd_kcal)


def check_rails(evidence: Evidence) -> tuple[Rail, ...]:
    """Return every guard rail with whether it is kept."""
    since = evidence.days_since_move
    stands = _stands_without_newest(evidence)
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
            "phase",
            evidence.days_in_phase >= DAYS_AFTER_PHASE_CHANGE,
            f"day {evidence.days_in_phase} of this phase; water settles for "
            f"{DAYS_AFTER_PHASE_CHANGE} days",
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
            "sick or travelling days do not count, nor the few after them"
            if evidence.disturbed
            else "no sickness or travel just now",
        ),
        Rail(
            "one reading",
            stands,
            "the verdict does not hang on the newest weigh-in"
            if stands
            else "the verdict would hang on the newest weigh-in",
        ),
    )


def _stands_without_newest(evidence: Evidence) -> bool:
    """Return whether a clear gap is nearly as clear, and on the same side, without the newest."""
    side = _clear(evidence.gap_kcal, evidence.gap_sd_kcal)
    without, sd = evidence.gap_without_newest_kcal, evidence.gap_sd_without_newest_kcal
    if side == 0:
        return True
    return without * side > 0 and chance_of_sign(without, sd) >= SURE_WITHOUT_NEWEST


def _clear(gap_kcal: float, gap_sd_kcal: float) -> int:
    """Return the sign of a gap that is large and sure enough, 0 otherwise."""
    if abs(gap_kcal) < SMALLEST_GAP_KCAL or chance_of_sign(gap_kcal, gap_sd_kcal) < SURE_ENOUGH:
        return 0
    return 1 if gap_kcal > 0 else -1


def is_clear(gap_kcal: float, gap_sd_kcal: float) -> bool:
    """Return whether a gap is large and sure enough to act on, guard rails aside."""
    return _clear(gap_kcal, gap_sd_kcal) != 0


def step_for(gap_kcal: float) -> float:
    """Return the step towards a gap: half of it, 150 kcal at most, in tens."""
    size = min(LARGEST_STEP_KCAL, SHARE_OF_GAP * abs(gap_kcal))
    return math.copysign(STEP_UNIT_KCAL * math.floor(size / STEP_UNIT_KCAL + 1e-9), gap_kcal)


def decide(evidence: Evidence) -> Decision:
    """
    Say whether to move, hold or wait.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    Decision
    """
    rails = check_rails(evidence)
    chance = chance_of_sign(evidence.gap_kcal, evidence.gap_sd_kcal)
    if not all(rail.kept for rail in rails):
        return Decision("wait", 0.0, chance, rails)
    if _clear(evidence.gap_kcal, evidence.gap_sd_kcal):
        return Decision("move", step_for(evidence.gap_kcal), chance, rails)
    widest = abs(evidence.gap_kcal) + BAND_SD * evidence.gap_sd_kcal
    return Decision("hold" if widest <= TOLERANCE_KCAL else "wait", 0.0, chance, rails)
