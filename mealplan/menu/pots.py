"""What earlier days cooked that can still be eaten, and what one more portion of it takes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from mealplan.client.intake import WEEKDAYS, Weekday
from mealplan.kitchen.method import kept_days, minutes_kept
from mealplan.menu.candidates import hands_on
from mealplan.menu.context import Context
from mealplan.menu.served import Served
from mealplan.rules.preferences.base import MAINS

SHORT_MIN = 15
"""A day with fewer minutes leaves none for cooking a main meal (common practice). [min]"""


@dataclass(frozen=True)
class PotLeft:
    """A dish cooked on an earlier day of which a portion can still be eaten."""

    day: int
    """Index of the day it was cooked."""
    served: Served
    """The portion eaten fresh."""
    free: int
    """Portions that can still be had of it."""
    last: int
    """Index of the last day it keeps."""
    frozen: bool = field(default=False, kw_only=True)
    """True for portions of earlier weeks; what they hold is fixed."""
    over_min: float
    """Minutes that one more portion takes beyond those of the day it was cooked. [min]"""


def pots_on(
    context: Context, day: int, weekday: Weekday, history: Mapping[int, Sequence[Served]]
) -> dict[str, PotLeft]:
    """
    Gather what can be eaten kept on a day.

    Parameters
    ----------
    context : Context
    day : int
        Index of the day in the plan.
    weekday : str
        Of that day.
    history : mapping of int to sequence of Served
        What the other days serve.

    Returns
    -------
    dict of str to PotLeft
        By dish, the pot cooked last.
    """
    found: dict[str, PotLeft] = {}
    for cooked in sorted((other for other in history if other < day), reverse=True):
        pots: list[tuple[float, str, PotLeft]] = []
        for served in history[cooked]:
            dish = context.by_key.get(served.dish)
            if dish is None or served.kept_from is not None or served.dish in found:
                continue
            last = cooked + kept_days(dish, freezer=context.intake.kitchen.living.freezer)
            boxes = boxes_of(served.dish, cooked, history)
            free = dish.batch_portions - 1 - boxes
            if last < day or free < 1:
                continue
            used = frozenset(served.grams)
            more = hands_on(dish, used, 2 + boxes, {}) - hands_on(dish, used, 1 + boxes, {})
            pots.append((more, served.dish, PotLeft(cooked, served, free, last, 0.0)))
        limit = context.intake.kitchen.hands_on_min.get(
            WEEKDAYS[(WEEKDAYS.index(weekday) + cooked - day) % 7]
        )
        spare = math.inf
        if pots and limit is not None:
            spare = limit - minutes_on(context, cooked, history)
        for more, key, pot in sorted(pots, key=lambda one: one[:2]):
            # A day may eat from several pots of one day: what is left is shared among them.
            spare -= more
            found[key] = replace(pot, over_min=min(more, max(0.0, -spare)))
    for key, (cooked, served, portions) in context.frozen.items():
        free = portions - boxes_of(key, cooked, history)
        if free > 0 and key not in found:
            found[key] = PotLeft(cooked, served, free, day, 0.0, frozen=True)
    return found


def boxes_of(dish: str, day: int, history: Mapping[int, Sequence[Served]]) -> int:
    """
    Count the portions of a pot that other days eat.

    Parameters
    ----------
    dish : str
        Key.
    day : int
        Index of the day it was cooked.
    history : mapping of int to sequence of Served
        What the days serve.

    Returns
    -------
    int
    """
    return sum(
        meal.dish == dish and meal.kept_from == day for meals in history.values() for meal in meals
    )


def minutes_on(context: Context, day: int, history: Mapping[int, Sequence[Served]]) -> float:
    """
    Add up how long hands are busy on a day, pots for later days and boiling ahead included.

    Parameters
    ----------
    context : Context
    day : int
        Index of the day in the plan.
    history : mapping of int to sequence of Served
        What the days serve.

    Returns
    -------
    float
        [min]
    """
    total = 0.0
    for served in history[day]:
        dish = context.by_key.get(served.dish)
        if dish is None:
            continue
        used = frozenset(served.grams)
        if served.kept_from is not None:
            total += minutes_kept(dish, used, day - served.kept_from).hands
        else:
            boxes = boxes_of(served.dish, day, history)
            total += hands_on(dish, used, 1 + boxes, context.ahead_min)
    return total


def minutes_for_mains(context: Context, weekday: Weekday, days: int) -> list[float]:
    """
    Say what each short day after a cooking day has for one of its main meals.

    Parameters
    ----------
    context : Context
    weekday : str
        The cooking day.
    days : int
        Days it cooks for, this one included; 0 where it is none. [days]

    Returns
    -------
    list of float
        One entry a short day: its minutes, less one for each meal that is no main, shared by the
        mains; empty where every day has time to cook. [min]
    """
    here = WEEKDAYS.index(weekday)
    limits = context.intake.kitchen.hands_on_min
    mains = sum(slot.occasion in MAINS for slot in context.slots)
    after = (WEEKDAYS[(here + ahead) % 7] for ahead in range(1, days))
    found = (limits.get(day, SHORT_MIN) for day in after)
    return [(least - len(context.slots)) / mains + 1 for least in found if least < SHORT_MIN]


def cooks_pot(context: Context, occasion: str, weekday: Weekday, days: int) -> bool:
    """
    Say whether a meal of a cooking day is cooked for the days after it.

    Parameters
    ----------
    context : Context
    occasion : str
    weekday : str
        The cooking day.
    days : int
        Days it cooks for, this one included; 0 where it is none. [days]

    Returns
    -------
    bool
        True of every dinner, and of the midday meal where one of those days is short.
    """
    if not days or occasion not in MAINS:
        return False
    return occasion == "evening" or bool(minutes_for_mains(context, weekday, days))


def spare_for_lunch(dish: str, pots: Mapping[str, PotLeft], dinners: range) -> bool:
    """
    Say whether a kept portion may be eaten before dinner without a later dinner lacking one.

    Parameters
    ----------
    dish : str
        Key of the pot.
    pots : mapping of str to PotLeft
        What there is.
    dinners : range
        Days whose dinners come from these pots, today's first.

    Returns
    -------
    bool
    """
    if not any(other != dish for other in pots):
        return False
    lasts = [pot.last for key, pot in pots.items() for _ in range(pot.free - (key == dish))]
    return all(sum(last >= day for last in lasts) >= dinners.stop - day for day in dinners)
