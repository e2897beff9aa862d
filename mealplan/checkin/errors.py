"""Errors of the check-in: a record that cannot be true, or a question the record cannot answer."""

from __future__ import annotations

from mealplan.errors import MealPlanError


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
