"""
Fuel as foods: what brings the carbohydrate taken while training and between meals.

Foods are of the catalogue and allowed to the client; amounts come from their composition.
"""

from __future__ import annotations

from collections.abc import Sequence

from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.targets.ranges import FuelItem

CHOICES: dict[str, tuple[tuple[str, ...], ...]] = {
    "during": (
        ("sports_drink", "apple_juice"),
        ("energy_gel", "dates", "raisins", "banana"),
    ),
    "snack": (("banana", "dates", "raisins"), ("bread_white", "rice_cakes", "tortilla_corn")),
    "between": (
        ("orange_juice", "apple_juice", "grape_juice"),
        ("raisins", "dates", "bread_white", "rice_cakes"),
    ),
}
"""
A drink and something to eat, or fruit and bread for a snack before, best first: the first that is
allowed brings half each.
"""
STEP_G = 10.0
"""Fuel is told and bought to this. [g]"""
LEAST_G = 15.0
"""Less carbohydrate than this needs no food of its own. [g]"""


def fuel_foods(
    items: Sequence[FuelItem], space: FoodSpace, allowed: frozenset[str]
) -> tuple[dict[str, float], tuple[str, ...]]:
    """
    Choose foods for what a day takes beside its meals.

    Parameters
    ----------
    items : sequence of FuelItem
        Around the day's sessions.
    space : FoodSpace
        Composition.
    allowed : frozenset of str
        Foods the client may eat.

    Returns
    -------
    grams : dict of str to float
        By catalogue key, for the whole day. [g/day]
    sentences : tuple of str
        One an item, with what it asks for and the foods that bring it.
    """
    carbohydrate = space.per_gram("net_carbohydrate_g")
    total: dict[str, float] = {}
    told = []
    for item in items:
        choices = CHOICES.get("snack" if item.snack else item.when, ())
        chosen = [
            key
            for group in choices
            if (key := next((one for one in group if _usable(one, space, allowed)), None))
        ]
        if item.carbohydrate_aim_g < LEAST_G or not chosen:
            told.append(item.sentence())
            continue
        share = item.carbohydrate_aim_g / len(chosen)
        parts = []
        for key in chosen:
            place = space.index[key]
            grams = STEP_G * max(1, round(share / float(carbohydrate[place]) / STEP_G))
            total[key] = total.get(key, 0.0) + grams
            parts.append(f"{grams:,.0f} g {space.foods[place].name.lower()}")
        told.append(f"{item.sentence()}; such as {' and '.join(parts)}")
    return total, tuple(told)


def _usable(key: str, space: FoodSpace, allowed: frozenset[str]) -> bool:
    if key not in allowed or key not in space.index:
        return False
    return float(space.per_gram("net_carbohydrate_g")[space.index[key]]) > 0
