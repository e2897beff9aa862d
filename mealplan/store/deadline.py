"""
By when whoever asks must have had an answer; each question to a store looks at it.

A thread cannot be ended from outside, but one whose asker has gone gets no further: its next
question raises, and one under way in the database is broken off.
"""

from __future__ import annotations

import time
from contextvars import ContextVar

from mealplan.errors import StoreError

_UNTIL: ContextVar[float | None] = ContextVar("until", default=None)


class OutOfTime(StoreError):  # noqa: N818  (reads as what happened)
    """Whoever asked has been answered without a result."""


def answer_within(seconds: float) -> None:
    """
    Give what is asked from here on, in this context, so long.

    Parameters
    ----------
    seconds : float
        From now. [s]
    """
    _UNTIL.set(time.monotonic() + seconds)


def left_s() -> float | None:
    """
    Say how much time is left.

    Returns
    -------
    float or None
        Negative once it is over; None where nobody waits. [s]
    """
    until = _UNTIL.get()
    return None if until is None else until - time.monotonic()


def go_on() -> None:
    """
    Stop where the time is over.

    Raises
    ------
    OutOfTime
    """
    left = left_s()
    if left is not None and left <= 0:
        raise OutOfTime("the answer took longer than anyone waits; ask for less, or again later")
