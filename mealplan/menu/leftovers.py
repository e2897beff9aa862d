"""A portion kept from one of the days before: when it may be had, and its price."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from foods.dishes.model import Dish
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.kitchen.method import minutes_kept
from mealplan.lp.daymodel import Choice
from mealplan.menu.served import Served, grams_in
from mealplan.rules.preferences.base import Table
from mealplan.rules.preferences.minutes import PER_MINUTE
from mealplan.rules.weights import weight

KEPT_RANGE = (0.75, 1.3)
"""A kept portion may differ from the one served fresh by these factors."""

KEPT_AT = ("midday", "small", "evening")
"""Meals a kept portion may fill: a box, something ready between meals, dinner from the pot."""

KEPT = weight("kept")


def kept_portion(
    choice: Choice,
    table: Table,
    history: Mapping[int, Sequence[Served]],
    space: FoodSpace,
) -> tuple[Choice, int] | None:
    """Offer a dish cooked on one of the last days as a kept portion, if it keeps that long."""
    dish, day = table.facts.by_key[choice.dish], table.day
    for back in range(1, dish.keeps_days + 1):
        for served in history.get(day - back, ()):
            if served.dish != choice.dish or served.kept_from is not None:
                continue
            others = sum(
                1 for meals in history.values() for meal in meals if meal.dish == choice.dish
            )
            boxes = sum(
                1
                for meals in history.values()
                for meal in meals
                if meal.dish == choice.dish and meal.kept_from == day - back
            )
            if 1 + boxes >= dish.batch_portions or others >= table.most_kept:
                return None
            before = grams_in(space, choice, served)
            least = np.ceil(before * KEPT_RANGE[0] / choice.step - 1e-9) * choice.step
            most = np.floor(before * KEPT_RANGE[1] / choice.step + 1e-9) * choice.step
            cooked = before > 0
            free = choice.optional
            low = np.where(cooked & ~free, np.clip(least, choice.low, choice.high), choice.low)
            high = np.where(cooked & ~free, np.clip(most, low, choice.high), choice.high)
            typical = np.where(cooked, np.clip(before, low, high), choice.typical)
            kept = replace(
                choice,
                low=low,
                high=np.maximum(high, typical),
                typical=typical,
                cost=kept_cost(choice, dish),
                minutes=float(minutes_kept(dish, frozenset(served.grams), back).hands),
                ratios=(),
            )
            return kept, day - back
    return None


def kept_cost(choice: Choice, dish: Dish) -> float:
    """Price a dish without the cooking."""
    return max(0.0, choice.cost + KEPT - PER_MINUTE * dish.hands_on_min)
