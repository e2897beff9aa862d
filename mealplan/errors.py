"""
Everything that can go wrong in the domain, as one small tree.

MealPlanError
    IntakeError       what the client or coach typed cannot be used; says how to mend it
    TargetError       targets cannot be worked out from a sound intake
    SafetyRefusal     targets could be worked out but must not be acted on without a professional
    NoPlanError       no plan exists; holds the rules that clash
    SolverError       the solver stopped without an answer that can be trusted
    StoreError        something could not be kept or found
    CheckInError      a logged record or a decision cannot be used; says how to mend it
        TooLittleDataError    the log is too short for what was asked

Food look-ups raise :class:`foods.FoodError`, which lives beside the table.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Literal

    from mealplan.targets.ranges import Notice


class MealPlanError(Exception):
    """Base of every error this package raises on purpose."""


class IntakeError(MealPlanError):
    """An intake cannot be used; the message says what, why and how to mend it."""


class TargetError(MealPlanError):
    """Targets cannot be worked out from this intake."""


class SafetyRefusal(MealPlanError):  # noqa: N818  (a refusal is not a fault of the program)
    """
    Acting on these targets could hurt the client.

    Parameters
    ----------
    message : str
        One line: what is refused, why, whom to see.
    findings : sequence of Notice
        Every finding that led to the refusal, gravest first.
    """

    def __init__(self, message: str, findings: Sequence[Notice] = ()) -> None:
        super().__init__(message)
        self.findings = tuple(findings)

    @property
    def severity(self) -> Literal["refuse", "override"]:
        """Whether this is refused whoever asks, or waits for a professional's decision."""
        waits = bool(self.findings) and all(one.severity != "refuse" for one in self.findings)
        return "override" if waits else "refuse"


class NoPlanError(MealPlanError):
    """
    No plan satisfies the hard rules.

    Parameters
    ----------
    message : str
        One line: what clashes and what would help.
    clashing : sequence of str
        Sentences, one a rule that takes part in the clash.
    """

    def __init__(self, message: str, clashing: Sequence[str] = ()) -> None:
        super().__init__(message)
        self.clashing = tuple(clashing)


class SolverError(MealPlanError):
    """The solver gave no answer that can be trusted."""


class StoreError(MealPlanError):
    """A record could not be kept, found or changed."""


class CheckInError(MealPlanError):
    """A logged record or a decision cannot be used; says what, why and how to mend it."""


class TooLittleDataError(CheckInError):
    """
    The log is too short for what was asked.

    Parameters
    ----------
    message : str
        One line: what is missing and how much more it takes.
    weigh_ins : int
        Usable weigh-ins there are.
    """

    def __init__(self, message: str, weigh_ins: int = 0) -> None:
        super().__init__(message)
        self.weigh_ins = weigh_ins
