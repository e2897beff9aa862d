"""Checks on single numbers that come in from outside, with messages a reader can act on."""

from __future__ import annotations

import math

from mealplan.errors import IntakeError


def require_between(
    name: str, value: float, low: float, high: float, unit: str, *, reason: str, mend: str
) -> float:
    """
    Return a number if it lies in a closed window, and say how to mend it if not.

    Parameters
    ----------
    name : str
        Name of the quantity as the reader typed or would type it.
    value : float
        The number. [``unit``]
    low, high : float
        Ends of the window, both allowed. [``unit``]
    unit : str
        Unit of all three.
    reason : str
        Why the window is what it is.
    mend : str
        What the reader should check or type instead.

    Returns
    -------
    float
        ``value`` unchanged.

    Raises
    ------
    IntakeError
        When the number is not finite or lies outside.
    """
    if not (math.isfinite(value) and low <= value <= high):
        raise IntakeError(
            f"{name}={value:g} {unit} is outside {low:g} to {high:g} {unit}: {reason}. {mend}"
        )
    return value


def require_positive(name: str, value: float, unit: str, *, mend: str) -> float:
    """
    Return a number if it is finite and above zero.

    Parameters
    ----------
    name : str
        Name of the quantity.
    value : float
        The number. [``unit``]
    unit : str
        Its unit.
    mend : str
        What the reader should check.

    Returns
    -------
    float
        ``value`` unchanged.

    Raises
    ------
    IntakeError
        When it is zero, negative or not a number.
    """
    if not (math.isfinite(value) and value > 0):
        raise IntakeError(f"{name}={value:g} {unit} must be above 0. {mend}")
    return value


def require_not_negative(name: str, value: float, unit: str, *, mend: str) -> float:
    """
    Return a number if it is finite and zero or more.

    Parameters
    ----------
    name : str
        Name of the quantity.
    value : float
        The number. [``unit``]
    unit : str
        Its unit.
    mend : str
        What the reader should check.

    Returns
    -------
    float
        ``value`` unchanged.

    Raises
    ------
    IntakeError
        When it is negative or not a number.
    """
    if not (math.isfinite(value) and value >= 0):
        raise IntakeError(f"{name}={value:g} {unit} cannot be negative. {mend}")
    return value
