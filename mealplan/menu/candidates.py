"""
From dishes to choices: what this client may be served at each meal, scaled and on the kitchen grid.

Exclusions work by leaving things out: a dish whose required food is excluded is not offered, an
optional food that is excluded is left off. What is merely disliked stays, at a price.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

import numpy as np

from foods.composition.catalogue import KitchenFood
from foods.dishes.kinds import dish_kinds
from foods.dishes.model import Dish
from foods.dishes.taste import naming_lines
from mealplan.client.intake import Intake
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.kitchen.method import minutes_for
from mealplan.kitchen.preferences import Exclusions
from mealplan.lp.daymodel import Choice, Floats
from mealplan.menu.portions import BASED_FROM_KCAL, PortionLine, is_base, portion
from mealplan.rules.preferences.base import MAINS
from mealplan.rules.preferences.minutes import PER_MINUTE
from mealplan.rules.preferences.proportion import ASTRAY, AWAY, NEAR, NO_STARCH
from mealplan.rules.preferences.taste import PLAIN, taste_price
from mealplan.rules.rows.base import Slot

WETTER = 2.0
"""
Drink keeps half to twice its usual proportion to what it is stirred into (common
practice).
"""
POWDER_MOST = 0.12
"""Protein powder to the drink it is stirred into: 30 g in 250 ml (common practice). [g/g]"""


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
    parts, limits = portion(dish, lines, slot.occasion, meal_energy_kcal, space)
    if not all(part.possible or part.optional for part in parts):
        return None
    parts = [part for part in parts if part.possible]
    places = np.array([space.index[part.line.food] for part in parts], dtype=np.int64)
    steps = np.array([part.step_g for part in parts])
    amounts = np.array([(part.low, part.typical, part.high) for part in parts]) * steps[:, None]
    typical = amounts[:, 1]
    kept_foods = [part.line.food for part in parts]
    bare = slot.occasion in MAINS and meal_energy_kcal >= BASED_FROM_KCAL
    bare = bare and not any(is_base(part) for part in parts)
    roles = [part.food.role for part in parts]
    near = np.array([NEAR[role] for role in roles]) * typical
    return Choice(
        dish=dish.key,
        foods=places,
        low=amounts[:, 0],
        typical=typical,
        high=amounts[:, 2],
        step=steps,
        optional=np.array([part.optional for part in parts], dtype=bool),
        cost=PLAIN
        + PER_MINUTE * dish.hands_on_min
        + taste_price(dish, exclusions)
        + (NO_STARCH if bare else 0.0),
        deviation=AWAY / typical,
        near=np.maximum(near, steps),
        far=ASTRAY / typical,
        ratios=_ratios(dish, kept_foods, typical, parts),
        limits=_limits(parts, limits),
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


def _ratios(
    dish: Dish, foods: list[str], typical: Floats, parts: list[PortionLine]
) -> tuple[tuple[int, int, float, float], ...]:
    """
    Ratios between kept lines, opened just enough to admit the rounded typical amounts.

    Those the dish says, of a drink to the starch it is stirred into, and of a powder to the drink.
    """
    found = []
    for ratio in dish.ratios:
        if ratio.food in foods and ratio.to in foods:
            a, b = foods.index(ratio.food), foods.index(ratio.to)
            usual = float(typical[a] / typical[b])
            found.append((a, b, min(ratio.low, usual), max(ratio.high, usual)))
    said = {frozenset((a, b)) for a, b, _, _ in found}
    starches = [place for place, part in enumerate(parts) if part.food.role == "starch"]
    drinks = [place for place, part in enumerate(parts) if part.food.role == "liquid"]
    if not drinks:
        return tuple(found)
    drink = max(drinks, key=lambda place: typical[place])
    if starches:
        b = max(starches, key=lambda place: typical[place])
        if frozenset((drink, b)) not in said:
            usual = float(typical[drink] / typical[b])
            found.append((drink, b, usual / WETTER, usual * WETTER))
    for a, part in enumerate(parts):
        if part.is_powder and not part.optional and frozenset((a, drink)) not in said:
            usual = float(typical[a] / typical[drink])
            found.append((a, drink, 0.0, max(POWDER_MOST, usual)))
    return tuple(found)


def _limits(
    parts: list[PortionLine], limits: list[tuple[list[PortionLine], float]]
) -> tuple[tuple[tuple[int, ...], float], ...]:
    """Keep the limits that some amounts of their lines would pass."""
    place = {id(part): number for number, part in enumerate(parts)}
    found = []
    for inside, most in limits:
        lines = tuple(place[id(part)] for part in inside if id(part) in place)
        if sum(parts[line].high * parts[line].step_g for line in lines) > most + 1e-6:
            usual = sum(p.typical * p.step_g for p in inside if not p.optional and p.possible)
            found.append((lines, max(most, usual)))
    return tuple(found)
