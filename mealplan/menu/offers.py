"""The dishes each meal may be, priced by what the client wants and what the other days serve."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import cast

from mealplan.client.intake import WEEKDAYS, Weekday
from mealplan.lp.daymodel import Choice
from mealplan.menu.context import Context
from mealplan.menu.leftovers import KEPT_AT, kept_portion
from mealplan.menu.served import Served
from mealplan.rules import Slot
from mealplan.rules.preferences import FRESH, OWN, SHARED
from mealplan.rules.preferences.base import Around, Table
from mealplan.rules.preferences.repeat import WINDOW_DAYS, Repeat
from mealplan.targets.ranges import DayTargets

_REPEAT = Repeat()


def around(context: Context, day: int, history: Mapping[int, Sequence[Served]]) -> Around:
    """
    Gather what the days around one day serve and buy.

    Parameters
    ----------
    context : Context
    day : int
        Index of the day in the plan.
    history : mapping of int to sequence of Served
        What the other days serve.

    Returns
    -------
    Around
    """
    served_on: dict[str, list[int]] = {}
    for other, meals in history.items():
        if other != day and abs(other - day) < WINDOW_DAYS:
            for served in meals:
                served_on.setdefault(served.dish, []).append(other)
    near = Counter(
        family
        for other in (day - 1, day + 1)
        for served in history.get(other, ())
        for family in context.families.get(served.dish, ())
    )
    at_home = context.cupboard | {
        context.name_bought[food]
        for meals in history.values()
        for served in meals
        for food in served.grams
    }
    return Around(served_on, near, at_home, context.kinds_of(at_home))


def table_at(
    context: Context,
    day: int,
    targets: DayTargets,
    slot: Slot,
    avoid: Mapping[str, float],
    others: Around | None = None,
) -> Table:
    """
    Show preferences one meal of one day.

    Parameters
    ----------
    context : Context
    day : int
        Index of the day in the plan.
    targets : DayTargets
        Its ranges.
    slot : Slot
        The meal.
    avoid : mapping of str to float
        Extra price by dish key.
    others : Around, optional
        From :func:`around`; nothing served on other days when left out.

    Returns
    -------
    Table
    """
    return Table(
        facts=context,
        day=day,
        slot=slot,
        short_of_time=targets.weekday in context.intake.kitchen.hands_on_min,
        pot_days=pot_days(context.intake.kitchen.living.cooking_days, targets.weekday),
        training=context.clock.near_training(targets.weekday).get(slot.index),
        since_shopping=context.days_since_shopping(day, targets.weekday),
        shunned=avoid,
        around=others or Around(),
        habits=context.habits,
    )


def pot_days(cooking: Sequence[str], weekday: str) -> int | None:
    """
    Count the days for which a cooking day cooks.

    Parameters
    ----------
    cooking : sequence of str
        Weekdays named as cooking days.
    weekday : str

    Returns
    -------
    int or None
        0 on a day that is none; None where none is named. [days]
    """
    if not cooking:
        return None
    if weekday not in cooking:
        return 0
    here = WEEKDAYS.index(cast("Weekday", weekday))
    return min((WEEKDAYS.index(cast("Weekday", d)) - here - 1) % 7 + 1 for d in cooking)


def own_price(dish: str, table: Table) -> float:
    """
    Price what makes a dish fit a day's meal or not, whatever the other days serve.

    Parameters
    ----------
    dish : str
        Key.
    table : Table

    Returns
    -------
    float
    """
    price = 0.0
    for preference in OWN:
        price += preference.price(dish, table)
    return price


def offer_at(
    context: Context,
    table: Table,
    base: tuple[Choice, ...],
    history: Mapping[int, Sequence[Served]],
) -> tuple[tuple[Choice, ...], tuple[int | None, ...]]:
    """
    Price a meal's dishes by what other days serve and by minutes, those used up left out.

    Parameters
    ----------
    context : Context
    table : Table
        The meal among the other days.
    base : tuple of Choice
        The dishes that suit it, variety aside.
    history : mapping of int to sequence of Served
        What the other days serve, for kept portions.

    Returns
    -------
    offer : tuple of Choice
    origin : tuple of int or None
        For each, the day it was cooked; None when cooked fresh.
    """
    may_keep = context.intake.kitchen.leftovers and table.slot.occasion in KEPT_AT
    offer: list[Choice] = []
    origin: list[int | None] = []
    for choice in base:
        key = choice.dish
        extra = own_price(key, table)
        for preference in SHARED:
            extra += preference.price(key, table)
        kept = kept_portion(choice, table, history, context.space) if may_keep else None
        if kept is not None:
            offer.append(replace(kept[0], cost=kept[0].cost + extra))
            origin.append(kept[1])
            continue
        if _REPEAT.used_up(key, table):
            continue
        cost = choice.cost
        for preference in FRESH:
            cost += preference.price(key, table)
        offer.append(replace(choice, cost=cost + extra))
        origin.append(None)
    return tuple(offer), tuple(origin)
