"""A portion kept from one of the days before: when it may be had, and its price."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from foods.dishes.model import Dish
from mealplan.client.intake import Intake
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.kitchen.method import minutes_kept, put_in_at_plate
from mealplan.lp.daymodel import Choice
from mealplan.menu.pots import PotLeft
from mealplan.menu.served import Served, grams_in
from mealplan.rules.preferences.base import Table
from mealplan.rules.preferences.minutes import OVER_MINUTE, PER_MINUTE
from mealplan.rules.weights import weight

KEPT_RANGE = (0.75, 1.3)
"""A kept portion may differ from the one served fresh by these factors."""

ONE_POT = 0.2
"""Foods of one pot differ from portion to portion by no more than this. [1]"""

KEPT_AT = ("midday", "small", "evening")
"""Meals a kept portion may fill: a box, something ready between meals, dinner from the pot."""


def may_keep(intake: Intake, occasion: str, weekday: str) -> bool:
    """Say whether a meal may be a kept portion; a breakfast is where the day is short of time."""
    if occasion == "breakfast":
        return intake.kitchen.leftovers and weekday in intake.kitchen.hands_on_min
    return intake.kitchen.leftovers and occasion in KEPT_AT


KEPT = weight("kept")
FROM_FREEZER = weight("from_freezer")


def kept_portion(
    choice: Choice,
    table: Table,
    pot: PotLeft,
    history: Mapping[int, Sequence[Served]],
    space: FoodSpace,
) -> Choice | None:
    """Offer a dish cooked on one of the last days as a kept portion, if not served too often."""
    dish = table.facts.by_key[choice.dish]
    others = sum(1 for meals in history.values() for meal in meals if meal.dish == choice.dish)
    if others >= table.most_kept:
        return None
    if pot.frozen:
        return _from_freezer(choice, pot, table, space)
    before = grams_in(space, choice, pot.served)
    least = np.ceil(before * KEPT_RANGE[0] / choice.step - 1e-9) * choice.step
    most = np.floor(before * KEPT_RANGE[1] / choice.step + 1e-9) * choice.step
    cooked = before > 0
    free = choice.optional
    low = np.where(cooked & ~free, np.clip(least, choice.low, choice.high), choice.low)
    high = np.where(cooked & ~free, np.clip(most, low, choice.high), choice.high)
    typical = np.where(cooked, np.clip(before, low, high), choice.typical)
    days = table.day - pot.day
    return replace(
        choice,
        low=low,
        high=np.maximum(high, typical),
        typical=typical,
        near=np.maximum(ONE_POT * typical, choice.step),
        far=choice.far * choice.typical / typical,
        cost=kept_cost(choice, dish) + choice.away(before) + OVER_MINUTE * pot.over_min,
        minutes=float(minutes_kept(dish, _eaten(choice, pot, space), days).hands),
        ratios=(),
    )


def _from_freezer(choice: Choice, pot: PotLeft, table: Table, space: FoodSpace) -> Choice | None:
    """Offer a portion as it was frozen, with what goes on the plate fresh; None if it cannot be."""
    dish = table.facts.by_key[choice.dish]
    keys = [space.foods[food].key for food in choice.foods]
    before = grams_in(space, choice, pot.served)
    fixed = np.array([key not in put_in_at_plate(dish) for key in keys])
    gone = fixed & (before <= 0)
    if not set(pot.served.grams) <= set(keys) or (gone & ~choice.optional).any():
        return None
    whole = np.maximum(np.round(before / choice.step), 1.0) * choice.step
    amount = np.where(np.abs(whole - before) < 1e-3 * choice.step, whole, before)
    kept = replace(
        choice,
        low=np.where(fixed, amount, choice.low),
        typical=np.where(fixed, amount, choice.typical),
        high=np.where(fixed, amount, choice.high),
        optional=choice.optional & ~fixed,
        far=np.where(fixed, 0.0, choice.far),
        cost=kept_cost(choice, dish) + FROM_FREEZER,
        minutes=float(minutes_kept(dish, frozenset(keys), table.day - pot.day).hands),
        ratios=(),
    )
    return kept.without(gone)


def _eaten(choice: Choice, pot: PotLeft, space: FoodSpace) -> frozenset[str]:
    """Name what a kept portion may hold: what was cooked, and add-ons."""
    return frozenset(pot.served.grams) | {space.foods[food].key for food in choice.foods}


def kept_cost(choice: Choice, dish: Dish) -> float:
    """Price a dish without the cooking."""
    return max(0.0, choice.cost + KEPT - PER_MINUTE * dish.hands_on_min)
