"""
On which days one goes shopping: as few as keep everything fresh.

A perishable food must be bought no longer before its use than it keeps. That makes a window of days
for every use, and the fewest days that meet every window are found by always taking the last
possible day of the window that closes first, which is optimal for windows on a line.

References
----------
.. [1] Gavril, F., SIAM Journal on Computing 1(2), 1972, doi:10.1137/0201013: the fewest points that
   meet every interval.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from mealplan.client.intake import WEEKDAYS

SOME_SLACK_DAYS = 1
"""Whole fruit and vegetables last about a day past their usual days in a cold drawer. [days]"""


@dataclass(frozen=True)
class Window:
    """Days on which one use could have been bought."""

    first: dt.date
    last: dt.date


def trip_days(
    start: dt.date, windows: Iterable[Window], allowed: Sequence[str] = ()
) -> tuple[dt.date, ...]:
    """
    Choose the shopping days, the first day of the plan among them.

    Parameters
    ----------
    start : date
        First day; everything that keeps is bought then.
    windows : iterable of Window
        One for every use of a perishable food.
    allowed : sequence of str
        Weekdays on which one can shop again, such as ``("wed", "sat")``; empty allows all.

    Returns
    -------
    tuple of date
        Fewest days that meet every window that can be met, in order.
    """
    chosen = [start]
    for window in sorted(windows, key=lambda x: (x.last, x.first)):
        if any(window.first <= day <= window.last for day in chosen):
            continue
        days = (window.last - window.first).days
        options = [window.last - dt.timedelta(days=back) for back in range(days + 1)]
        possible = [
            day
            for day in options
            if day >= start and (not allowed or WEEKDAYS[day.weekday()] in allowed)
        ]
        if possible:
            chosen.append(possible[0])
    return tuple(sorted(chosen))


def trip_for(use: Window, trips: Sequence[dt.date]) -> tuple[dt.date, bool]:
    """
    Say on which trip a use is bought.

    Parameters
    ----------
    use : Window
    trips : sequence of date
        In order.

    Returns
    -------
    day : date
        The earliest trip inside the window; the last one before it when none is inside.
    fresh : bool
        False when the food will be past its usual days.
    """
    inside = [day for day in trips if use.first <= day <= use.last]
    if inside:
        return inside[0], True
    before = [day for day in trips if day <= use.last]
    return (before[-1] if before else trips[0]), False


def window_for(day: dt.date, keeps_days: int, start: dt.date) -> Window:
    """
    Make the window in which a food may be bought for a day.

    Parameters
    ----------
    day : date
        Day of use.
    keeps_days : int
        Days it keeps cold. [days]
    start : date
        First day of the plan.

    Returns
    -------
    Window
    """
    first = day - dt.timedelta(days=keeps_days)
    return Window(first=max(first, start), last=day)
