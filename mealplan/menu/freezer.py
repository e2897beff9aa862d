"""Portions in the freezer: what is there when days begin, what they add, and what is left."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import replace

from foods.dishes.model import Dish
from mealplan.client.household import FrozenPot
from mealplan.client.intake import WEEKDAYS, Intake
from mealplan.kitchen.food_safety import keeping
from mealplan.kitchen.method import put_in_at_plate
from mealplan.menu.candidates import hands_on
from mealplan.menu.context import Context
from mealplan.menu.pots import boxes_of, minutes_on
from mealplan.menu.served import Served
from mealplan.plan import Plan
from mealplan.rules.preferences.base import MAINS

MOST_OF_A_POT = 2
"""Portions of one pot that are frozen, so that later weeks have several dishes to choose from."""
IN_FREEZER_DAYS = 28
"""A portion put into the freezer is told as one eaten so much later. [days]"""
MOST_A_WEEK = 4
"""Portions frozen in seven days; more would be a week of cooking for others (common practice)."""


def in_freezer(plan: Plan, intake: Intake) -> tuple[FrozenPot, ...]:
    """
    Say what was in the freezer when a plan was made.

    Parameters
    ----------
    plan : Plan
    intake : Intake
        Whose freezer counts where the plan does not follow another.

    Returns
    -------
    tuple of FrozenPot
    """
    return intake.kitchen.frozen if plan.frozen is None else plan.frozen


def with_freezer(context: Context, pots: Sequence[FrozenPot], start: dt.date) -> Context:
    """
    Let days eat from the freezer.

    Parameters
    ----------
    context : Context
    pots : sequence of FrozenPot
        What is there.
    start : date
        First of the days.

    Returns
    -------
    Context
        With the oldest pot of each dish it knows and that is still good.
    """
    if not context.intake.kitchen.living.freezer:
        return context
    found: dict[str, tuple[int, Served, int]] = {}
    for pot in sorted(pots, key=lambda one: one.cooked_on):
        age = (start - pot.cooked_on).days
        dish = context.by_key.get(pot.dish)
        good = 0 < age <= keeping("cooked").freezer_days - 7
        known = all(food in context.space.index and food in context.allowed for food in pot.grams)
        if dish is not None and good and known and pot.dish not in found:
            found[pot.dish] = (-age, Served(pot.dish, dict(pot.grams), None), pot.portions)
    return replace(context, frozen=found) if found else context


def after(plan: Plan, intake: Intake, dishes: Mapping[str, Dish]) -> tuple[FrozenPot, ...]:
    """
    Say what is in the freezer once a plan was cooked and eaten.

    Parameters
    ----------
    plan : Plan
    intake : Intake
    dishes : mapping of str to Dish
        By key.

    Returns
    -------
    tuple of FrozenPot
        The oldest first.
    """
    meals = [(day.date, meal) for day in plan.days for meal in day.meals]
    taken = [(meal.dish, meal.leftover_from) for _, meal in meals if meal.from_freezer]
    left = [
        pot.model_copy(update={"portions": rest})
        for pot in in_freezer(plan, intake)
        if (rest := pot.portions - taken.count((pot.dish, pot.cooked_on))) > 0
    ]
    added = [
        FrozenPot(
            dish=meal.dish,
            cooked_on=date,
            portions=meal.freeze_portions,
            grams={
                serving.food: serving.grams
                for serving in meal.servings
                if serving.food not in put_in_at_plate(dishes[meal.dish])
            },
        )
        for date, meal in meals
        if meal.freeze_portions and meal.dish in dishes
    ]
    return tuple(sorted((*left, *added), key=lambda pot: (pot.cooked_on, pot.dish)))


def to_freeze(
    context: Context, history: Mapping[int, Sequence[Served]], start: dt.date
) -> dict[tuple[int, int], int]:
    """
    Choose the pots of which some portions go into the freezer.

    Parameters
    ----------
    context : Context
    history : mapping of int to sequence of Served
        What the days serve.
    start : date
        First of the days.

    Returns
    -------
    dict of (int, int) to int
        Portions by day and meal: of main dishes that freeze, whose pot has room for them on a day
        with the minutes, the least work first, until the freezer is full.
    """
    living = context.intake.kitchen.living
    there = sum(portions for _, _, portions in context.frozen.values())
    eaten = sum(
        served.kept_from is not None and served.kept_from < 0
        for meals in history.values()
        for served in meals
    )
    room = living.freezer_portions - there + eaten if living.freezer else 0
    room = min(room, -(-MOST_A_WEEK * len(history) // 7))
    chances: list[tuple[float, int, int, int]] = []
    for day, meals in history.items():
        weekday = WEEKDAYS[(start + dt.timedelta(days=day)).weekday()]
        limit = context.intake.kitchen.hands_on_min.get(weekday)
        spare = None if limit is None else limit - minutes_on(context, day, history)
        for slot, served in zip(context.slots, meals, strict=True):
            dish = context.by_key.get(served.dish)
            if slot.occasion not in MAINS or served.kept_from is not None or dish is None:
                continue
            portions, work = _more_of(dish, served, boxes_of(served.dish, day, history), room)
            if portions and served.dish not in context.frozen and (spare is None or work <= spare):
                chances.append((work / portions, day, slot.index, portions))
    found: dict[tuple[int, int], int] = {}
    of_dish: set[str] = set()
    for _, day, slot_index, portions in sorted(chances):
        dish_key = history[day][slot_index].dish
        if room <= 0 or dish_key in of_dish or any(other == day for other, _ in found):
            continue
        found[day, slot_index] = min(portions, room)
        room -= found[day, slot_index]
        of_dish.add(dish_key)
    return found


def _more_of(dish: Dish, served: Served, boxes: int, room: int) -> tuple[int, float]:
    """Say how many portions of a pot can be frozen, and the minutes they take."""
    if not (dish.freezes and dish.steps):
        return 0, 0.0
    portions = min(MOST_OF_A_POT, room, dish.batch_portions - 1 - boxes)
    if portions < 1:
        return 0, 0.0
    used = frozenset(served.grams)
    more = hands_on(dish, used, 1 + boxes + portions, {}) - hands_on(dish, used, 1 + boxes, {})
    return portions, more
