"""
A linear or mixed-integer problem as plain data: variables, rows, objective.

Nothing here knows a solver, so a problem can be built and looked at in a test.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum


@dataclass(frozen=True)
class Variable:
    """One decision: bounds, price in the objective, whole numbers or not."""

    name: str
    low: float = 0.0
    high: float = math.inf
    price: float = 0.0
    whole: bool = False


@dataclass(frozen=True)
class LinearRow:
    """``low <= sum(coefficient * variable) <= high`` with the sentence that says why."""

    name: str
    coefficients: Mapping[str, float]
    low: float = -math.inf
    high: float = math.inf
    why: str = ""


@dataclass(frozen=True)
class Problem:
    """Minimise the priced variables over the rows."""

    name: str
    variables: tuple[Variable, ...]
    rows: tuple[LinearRow, ...]
    constant: float = 0.0


class Outcome(Enum):
    """How a solve ended."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    """A plan in hand when time ran out; not proven best."""
    INFEASIBLE = "infeasible"
    UNBOUNDED = "unbounded"
    NO_ANSWER = "no answer"
    """Time ran out with nothing in hand, or the solver gave up."""


@dataclass(frozen=True)
class Solution:
    """Outcome, objective and amounts; amounts are empty unless there is a plan."""

    outcome: Outcome
    objective: float = math.nan
    amounts: Mapping[str, float] = field(default_factory=dict)

    @property
    def has_plan(self) -> bool:
        """True when the amounts may be read."""
        return self.outcome in (Outcome.OPTIMAL, Outcome.FEASIBLE)
