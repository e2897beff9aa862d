"""Meals that hold more than sits well so shortly before a session, and how that is said."""

from __future__ import annotations

from collections.abc import Mapping

from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.menu.adequacy import WISH_TOLERANCE
from mealplan.plan import Meal
from mealplan.rules.rows.training import LIMITS
from mealplan.targets.ranges import DayTargets

WORDS: Mapping[str, str] = {"fibre_g": "fibre", "fat_g": "fat", "energy_kcal": "food"}


def over_before(meal: Meal, asked: DayTargets, space: FoodSpace) -> tuple[str, ...]:
    """
    Name of what a meal holds more than is printed for it before a session.

    Parameters
    ----------
    meal : Meal
    asked : DayTargets
        With the fuel of the day's sessions.
    space : FoodSpace
        Composition.

    Returns
    -------
    tuple of str
        Nutrient keys; empty where no session follows.
    """
    found = []
    for key, _, _, named in LIMITS:
        limits = [
            most
            for item in asked.fuel
            if item.when == "before" and item.meal == meal.slot
            for most in (getattr(item, named),)
            if most is not None
        ]
        per_gram = space.per_gram(key)
        held = sum(one.grams * float(per_gram[space.index[one.food]]) for one in meal.servings)
        if limits and held > min(limits) * (1 + WISH_TOLERANCE):
            found.append(key)
    return tuple(found)


def said_over(meal: Meal) -> tuple[str, ...]:
    """
    Say that a meal is more than sits well before training.

    Parameters
    ----------
    meal : Meal

    Returns
    -------
    tuple of str
        One sentence at most.
    """
    if not meal.over_before:
        return ()
    *first, last = [WORDS[key] for key in meal.over_before]
    what = f"{', '.join(first)} and {last}" if first else last
    return (
        f"{meal.time} {meal.label.lower()} brings more {what} than sits well so shortly before "
        "training: eat part of it before and the rest after",
    )
