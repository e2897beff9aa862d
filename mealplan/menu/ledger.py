"""
What a day must still bring of floors that hold over a week, given what the other days bring.

Weeks are counted from the first day of a plan; a plan's last days may be fewer than seven.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.menu.served import Served
from mealplan.plan import PlanDay, WeekMean
from mealplan.targets.ranges import DayTargets

WEEK_DAYS = 7
"""Floors of vitamins and minerals are means of so many days (this program's choice). [days]"""


def week_of(day: int, days: int) -> range:
    """
    Give the days of the week a day belongs to.

    Parameters
    ----------
    day : int
        Index of the day in the plan.
    days : int
        Days of the plan. [days]

    Returns
    -------
    range
    """
    first = day // WEEK_DAYS * WEEK_DAYS
    return range(first, min(first + WEEK_DAYS, days))


def floors_for(
    space: FoodSpace,
    day: int,
    targets: Sequence[DayTargets],
    history: Mapping[int, Sequence[Served]],
) -> dict[str, float]:
    """
    Say what a day must bring of each weekly floor.

    What other days bring beyond their part may be left out here, down to the least of a day; what
    they lack is shared by this day and those not planned yet.

    Parameters
    ----------
    space : FoodSpace
        Composition.
    day : int
        Index of the day in the plan.
    targets : sequence of DayTargets
        Of every day of the plan.
    history : mapping of int to sequence of Served
        Days planned so far; this one does not count.

    Returns
    -------
    dict of str to float
        By nutrient. [nutrient unit]
    """
    week = week_of(day, len(targets))
    planned = [other for other in week if other in history and other != day]
    open_days = len(week) - len(planned)
    grams = np.zeros(len(space))
    unknown = {
        other: sum(one.other_kcal for one in history[other]) / targets[other].energy_kcal
        for other in planned
    }
    for other in planned:
        for served in history[other]:
            for key, amount in served.grams.items():
                grams[space.index[key]] += amount
    floors = {}
    for key, target in targets[day].ranges.items():
        if target.over == "day" or target.low is None or target.from_supplement_only:
            continue
        wanted = {other: targets[other].ranges[key] for other in planned}
        toward = space.toward(key, digestible=target.digestible)
        ahead = float(toward @ grams) + sum(
            one.supplied + unknown[other] * one.usual - (one.low or 0.0)
            for other, one in wanted.items()
        )
        needed = target.low - ahead if ahead > 0 else target.low - ahead / open_days
        floors[key] = max(needed, target.each_day or 0.0)
    return floors


def week_means(
    days: Sequence[PlanDay], targets: Sequence[DayTargets], tolerance: float
) -> tuple[WeekMean, ...]:
    """
    Compare the means of a plan's weeks with the floors that hold over them.

    Parameters
    ----------
    days : sequence of PlanDay
        All days of the plan.
    targets : sequence of DayTargets
        Of each.
    tolerance : float
        Relative slack of a floor. [fraction]

    Returns
    -------
    tuple of WeekMean
        Week by week, in the order of the targets.
    """
    found = []
    for first in range(0, len(days), WEEK_DAYS):
        week = days[first : first + WEEK_DAYS]
        ranges = targets[first].ranges
        by_key = [{line.key: line for line in day.adequacy} for day in week]
        for key, line in by_key[0].items():
            lines = [lines[key] for lines in by_key if key in lines]
            lows = [one.low for one in lines if one.day_low is not None and one.low is not None]
            if len(lows) < len(week) or ranges[key].low_tier == "comfort":
                continue
            mean = sum(one.total for one in lines) / len(week)
            low = sum(lows) / len(week)
            found.append(
                WeekMean(
                    start=week[0].date,
                    days=len(week),
                    key=key,
                    label=line.label,
                    unit=line.unit,
                    mean=mean,
                    low=low,
                    met=mean >= low * (1 - tolerance),
                )
            )
    return tuple(found)
