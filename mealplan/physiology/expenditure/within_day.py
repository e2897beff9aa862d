"""
Energy through the day: what has been eaten less what has been used, hour by hour.

References
----------
.. [1] Fahrenholtz et al. 2018, Scand J Med Sci Sports 28:1139, doi:10.1111/sms.13030 (women).
.. [2] Torstveit et al. 2018, Int J Sport Nutr Exerc Metab 28:419, doi:10.1123/ijsnem.2017-0337
   (men).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mealplan.errors import IntakeError
from mealplan.references.tables import Sex

HOURS = 24
DEEP_KCAL: dict[Sex, float] = {"female": 300.0, "male": 400.0}
"""Deficits that the studies counted hours beyond. [kcal]"""


@dataclass(frozen=True)
class WithinDay:
    """
    How far energy runs behind through one day, starting level at midnight.

    Attributes
    ----------
    hours_deep : int
        Hours that end further behind than the studies' line. [h]
    lowest_kcal : float
        Deepest point, negative when behind. [kcal]
    lowest_hour : int
        Hour at whose end it is reached, 1 to 24. [h]
    line_kcal : float
        The studies' line for the sex. [kcal]
    """

    hours_deep: int
    lowest_kcal: float
    lowest_hour: int
    line_kcal: float


def energy_through_day(
    eaten_kcal: Sequence[float], used_kcal: Sequence[float], sex: Sex
) -> WithinDay:
    """
    Follow one day's energy from hour to hour.

    Parameters
    ----------
    eaten_kcal, used_kcal : sequence of float
        Of each of 24 hours from midnight. [kcal]
    sex : str
        ``"male"`` or ``"female"``; the studies' lines differ.

    Returns
    -------
    WithinDay
        A reading: no limit is agreed on, and everybody is behind before breakfast.

    Raises
    ------
    IntakeError
        When there are not 24 hours.
    """
    if len(eaten_kcal) != HOURS or len(used_kcal) != HOURS:
        raise IntakeError(
            f"energy through the day takes {HOURS} hours each of eating and use, not "
            f"{len(eaten_kcal)} and {len(used_kcal)}; give one number an hour"
        )
    line = DEEP_KCAL[sex]
    balance, course = 0.0, []
    for eaten, used in zip(eaten_kcal, used_kcal, strict=True):
        balance += eaten - used
        course.append(balance)
    lowest = min(course)
    return WithinDay(
        hours_deep=sum(point < -line for point in course),
        lowest_kcal=lowest,
        lowest_hour=course.index(lowest) + 1,
        line_kcal=line,
    )


def spread_over_hours(start_min: float, minutes: float, kcal: float) -> list[float]:
    """
    Lay energy that is used over some minutes into the hours of the day.

    Parameters
    ----------
    start_min : float
        Minutes after midnight. [min]
    minutes : float
        How long; what runs past midnight is laid into the day's first hours. [min]
    kcal : float
        Used in all. [kcal]

    Returns
    -------
    list of float
        Of each of 24 hours. [kcal]
    """
    hours = [0.0] * HOURS
    if minutes <= 0:
        hours[int(start_min // 60) % HOURS] += kcal
        return hours
    at, left = start_min, minutes
    while left > 1e-9:
        part = min(left, 60 - at % 60)
        hours[int(at // 60) % HOURS] += kcal * part / minutes
        at, left = at + part, left - part
    return hours
