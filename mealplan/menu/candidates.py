"""
From dishes to choices: what this client may be served at each meal, scaled and on the kitchen grid.

Exclusions work by leaving things out: a dish whose required food is excluded is not offered, an
optional food that is excluded is left off. What is merely disliked stays, at a price.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping

import numpy as np

from foods.composition.catalogue import KitchenFood
from foods.dishes.kinds import dish_kinds
from foods.dishes.line import DishLine
from foods.dishes.model import Dish
from foods.dishes.taste import NAMED_AT_LEAST, most_of, naming_lines, seasons
from mealplan.client.intake import Intake
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.kitchen.method import minutes_for
from mealplan.kitchen.preferences import Exclusions
from mealplan.lp.daymodel import Choice, Floats
from mealplan.rules.preferences.minutes import PER_MINUTE
from mealplan.rules.preferences.proportion import ASTRAY, AWAY, NEAR
from mealplan.rules.preferences.taste import PLAIN, taste_price
from mealplan.rules.rows.base import Slot
from mealplan.rules.rows.plate import filled_g

SCALE_LEAST, SCALE_MOST = 0.6, 1.8
"""Portions of a recipe are scaled to the meal's energy inside these."""
WETTER = 1.5
"""
Drink keeps two thirds to half again its usual proportion to what it is stirred into (common
practice).
"""


def suits(dish: Dish, slot: Slot, intake: Intake, exclusions: Exclusions) -> bool:
    """
    Say whether a dish may be offered at a meal at all.

    Parameters
    ----------
    dish : Dish
    slot : Slot
    intake : Intake
    exclusions : Exclusions

    Returns
    -------
    bool
    """
    if slot.occasion not in dish.occasions or dish.key in exclusions.dishes_never:
        return False
    if dish.heat > intake.tastes.heat_max:
        return False
    if any(not line.optional and line.food in exclusions.foods for line in dish.lines):
        return False
    have = intake.kitchen.equipment
    return have is None or all(tool == "none" or tool in have for tool in dish.equipment)


def make_choice(
    dish: Dish,
    slot: Slot,
    meal_energy_kcal: float,
    space: FoodSpace,
    exclusions: Exclusions,
    ahead_min: Mapping[str, int] | None = None,
) -> Choice | None:
    """
    Scale a dish to a meal and put it on the kitchen grid.

    Parameters
    ----------
    dish : Dish
        One that :func:`suits`.
    slot : Slot
        The meal.
    meal_energy_kcal : float
        Energy the meal usually carries. [kcal]
    space : FoodSpace
        Steps and ceilings.
    exclusions : Exclusions
        Drops excluded optional lines and prices dislikes.
    ahead_min : mapping of str to int, optional
        Hands-on minutes of what is boiled before the dish begins, by catalogue key. [min]

    Returns
    -------
    Choice or None
        None when no kitchen measure fits inside a required line's range.
    """
    lines = [line for line in dish.lines if line.food not in exclusions.foods]
    lines = [line for line in lines if not (line.optional and line.food in exclusions.disliked)]
    places = np.array([space.index[line.food] for line in lines], dtype=np.int64)
    energy = space.per_gram("energy_kcal")[places]
    usual = sum(
        line.typical_g * e for line, e in zip(lines, energy, strict=True) if not line.optional
    )
    weighs = sum(line.typical_g for line in lines if not line.optional)
    # A light dish fills the plate before it fills the meal; add-ons bring the rest.
    most = max(1.0, filled_g(meal_energy_kcal) / weighs)
    stretch = float(np.clip(meal_energy_kcal / max(usual, 1.0), SCALE_LEAST, SCALE_MOST))
    scale = min(stretch, most)
    named = frozenset(line.food for line in naming_lines(dish))
    grid = [
        _on_grid(dish, line, scale, stretch, space, place, named=line.food in named)
        for line, place in zip(lines, places, strict=True)
    ]
    kept = [i for i, amounts in enumerate(grid) if amounts is not None]
    if any(grid[i] is None and not line.optional for i, line in enumerate(lines)):
        return None
    amounts = np.array([grid[i] for i in kept], dtype=float).reshape(-1, 3)
    optional = np.array([lines[i].optional for i in kept], dtype=bool)
    steps = space.step_g[places[kept]]
    typical = amounts[:, 1]
    kept_foods = [lines[i].food for i in kept]
    roles = [space.foods[place].role for place in places[kept]]
    near = np.array([NEAR[role] for role in roles]) * typical
    return Choice(
        dish=dish.key,
        foods=places[kept],
        low=amounts[:, 0],
        typical=typical,
        high=amounts[:, 2],
        step=steps,
        optional=optional,
        cost=PLAIN + PER_MINUTE * dish.hands_on_min + taste_price(dish, exclusions),
        deviation=AWAY / typical,
        near=np.maximum(near, steps),
        far=ASTRAY / typical,
        ratios=_ratios(dish, kept_foods, typical, roles),
        families=dish_families(dish, space),
        minutes=hands_on(dish, frozenset(kept_foods), 1, ahead_min or {}),
    )


def hands_on(
    dish: Dish, served: frozenset[str], portions: int, ahead_min: Mapping[str, int]
) -> float:
    """
    Say how long hands are busy with a dish, what is boiled before it included.

    Parameters
    ----------
    dish : Dish
    served : frozenset of str
        Catalogue keys.
    portions : int
        Portions cooked at once.
    ahead_min : mapping of str to int
        Minutes of boiling ahead, by catalogue key. [min]

    Returns
    -------
    float
        [min]
    """
    ahead = sum(ahead_min.get(key, 0) for key in served if key not in dish.cooks_from_dry)
    return float(minutes_for(dish, served, portions).hands + ahead)


def needing(
    dishes: Iterable[Dish], foods: Iterable[KitchenFood], test: Callable[[KitchenFood], bool]
) -> frozenset[str]:
    """
    Name the dishes that cannot do without some food.

    Parameters
    ----------
    dishes : iterable of Dish
    foods : iterable of KitchenFood
        Those they are made of.
    test : callable
        Says whether a food is meant.

    Returns
    -------
    frozenset of str
        Keys.
    """
    meant = {food.key for food in foods if test(food)}
    return frozenset(
        dish.key
        for dish in dishes
        if any(line.food in meant and not line.optional for line in dish.lines)
    )


NAMING = ("vegetable", "fruit", "fat", "topping")
"""Roles of what leads a dish named for it; nuts and their butters are of the last two."""
FAMILY_SHARE = 0.2
"""A starch that brings this share of a dish's usual energy gives it its character."""


def dish_families(dish: Dish, space: FoodSpace) -> frozenset[str]:
    """
    Name what gives a dish its character: its protein base, main starches, kind, and what names it.

    Parameters
    ----------
    dish : Dish
    space : FoodSpace

    Returns
    -------
    frozenset of str
        Such as ``tofu``, ``rice`` and ``curry``; rice, rice noodles and rice cakes are one family.
    """
    energy = space.per_gram("energy_kcal")
    parts = {
        line.food: line.typical_g * float(energy[space.index[line.food]])
        for line in dish.lines
        if not line.optional
    }
    whole = sum(parts.values()) or 1.0
    starches = {
        key.split("_")[0]
        for key, kcal in parts.items()
        if space.foods[space.index[key]].role == "starch" and kcal >= FAMILY_SHARE * whole
    }
    named = {
        line.food.split("_")[0]
        for line in naming_lines(dish)
        if space.foods[space.index[line.food]].role in NAMING
    }
    kind = dish_kinds()[dish.kind].family if dish.kind else ""
    return frozenset({*starches, *named, dish.protein_base, kind} - {""})


def fading_days(dish: Dish, space: FoodSpace) -> tuple[int, ...]:
    """
    Give the days that the perishable foods a dish cannot do without keep cold, as bought.

    Parameters
    ----------
    dish : Dish
    space : FoodSpace

    Returns
    -------
    tuple of int
        [days]
    """
    return tuple(
        days
        for line in dish.lines
        if not line.optional
        and (days := space.foods[space.index[line.food]].fridge_days) is not None
    )


def _on_grid(
    dish: Dish,
    line: DishLine,
    scale: float,
    stretch: float,
    space: FoodSpace,
    place: int,
    *,
    named: bool,
) -> tuple[float, float, float] | None:
    """
    Range of one line in whole kitchen steps, typical at the scale, stretched, under the ceilings.

    What names the dish stays most of its usual amount however small the meal, salt grows with the
    meal, and no line passes what a plate or a glass holds.
    """
    step = float(space.step_g[place])
    food = space.foods[place]
    ceiling = min(float(space.max_g_day[place]), max(most_of(dish, food), line.typical_g))
    salts = seasons(line, food, float(space.per_gram("sodium_mg")[place]) / 1000)
    low = max(1, round(line.low_g * (scale if salts else min(1.0, scale)) / step))
    if named:
        low = max(low, math.ceil(NAMED_AT_LEAST * line.typical_g / step - 1e-9))
    high = min(round(line.high_g * max(1.0, stretch) / step), int(ceiling / step + 1e-9))
    typical = min(max(round(line.typical_g * scale / step), low), max(high, low))
    high = max(high, typical) if typical * step <= ceiling + 1e-9 else high
    if high < low:
        return None
    return low * step, typical * step, high * step


def _ratios(
    dish: Dish, foods: list[str], typical: Floats, roles: list[str]
) -> tuple[tuple[int, int, float, float], ...]:
    """
    Ratios between kept lines, opened just enough to admit the rounded typical amounts.

    Those the dish says, and of a drink to the starch it is stirred into.
    """
    found = []
    for ratio in dish.ratios:
        if ratio.food in foods and ratio.to in foods:
            a, b = foods.index(ratio.food), foods.index(ratio.to)
            usual = float(typical[a] / typical[b])
            found.append((a, b, min(ratio.low, usual), max(ratio.high, usual)))
    said = {frozenset((a, b)) for a, b, _, _ in found}
    starches = [place for place, role in enumerate(roles) if role == "starch"]
    drinks = [place for place, role in enumerate(roles) if role == "liquid"]
    if starches and drinks:
        b = max(starches, key=lambda place: typical[place])
        a = max(drinks, key=lambda place: typical[place])
        if frozenset((a, b)) not in said:
            usual = float(typical[a] / typical[b])
            found.append((a, b, usual / WETTER, usual * WETTER))
    return tuple(found)
