"""Errors of the check-in, from the one tree of errors, under the name the check-in uses."""

from __future__ import annotations

from mealplan.errors import CheckInError, TooLittleDataError

__all__ = ["CheckInError", "TooLittleDataError"]
