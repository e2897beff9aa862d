"""
Fuel as foods: what brings the carbohydrate taken while training and between meals.

Foods are of the catalogue and allowed to the client; amounts come from their composition. Menu,
shopping list and cooking sheet all read the same packs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.kitchen.measures import Units, in_measures
from mealplan.nutrition.fluid import salt_g
from mealplan.plan import FuelFood, FuelPack
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
LONG_CHOICES: tuple[str, ...] = ("energy_gel", "bread_white", "rice_cakes", "dates")
"""What is eaten where dried fruit would bring more fibre than sits well, best first."""
MUCH_DRIED_FRUIT_G = 60.0
"""Carbohydrate from which that is. [g] (common practice)"""
STEP_G = 10.0
"""Fuel is told and bought to this. [g]"""
LEAST_G = 15.0
"""Less carbohydrate than this needs no food of its own. [g]"""
BOTTLE_ML = 750.0
"""A bottle as cages and belts hold it. [mL] (common practice)"""
SIP_MIN = 15.0
"""Drinks are shared out over intervals of this length. [min] (common practice)"""
LEAST_SALT_G = 0.3
"""Less salt than this is not measured. [g] (common practice)"""
DRINK_STEP_ML = 50.0


@dataclass(frozen=True)
class DayFuel:
    """A day's fuel as foods."""

    grams: dict[str, float]
    """By catalogue key. [g/day]"""
    told: tuple[str, ...]
    """One sentence an item, with the foods that bring what it asks for."""
    packs: tuple[FuelPack, ...]


def fuel_foods(
    items: Sequence[FuelItem],
    space: FoodSpace,
    allowed: frozenset[str],
    units: Units = "metric",
    disliked: frozenset[str] = frozenset(),
) -> DayFuel:
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
    units : str
        The household's measures.
    disliked : frozenset of str
        Foods the client would rather not eat: taken only where nothing else is allowed.

    Returns
    -------
    DayFuel
    """
    total: dict[str, float] = {}
    told, packs = [], []
    for item in items:
        foods = _foods(item, space, allowed, units, disliked)
        for food in foods:
            total[food.food] = total.get(food.food, 0.0) + food.grams
        parts = [f"{food.grams:,.0f} g {food.name.lower()}" for food in foods]
        told.append(
            f"{item.sentence()}; such as {' and '.join(parts)}" if parts else item.sentence()
        )
        pack = _pack(item, foods, space)
        if pack is not None:
            packs.append(pack)
    return DayFuel(total, tuple(told), tuple(packs))


def _foods(
    item: FuelItem,
    space: FoodSpace,
    allowed: frozenset[str],
    units: Units,
    disliked: frozenset[str],
) -> tuple[FuelFood, ...]:
    """Choose a drink and something to eat that bring an item's carbohydrate, half each."""
    groups = CHOICES.get("snack" if item.snack else item.when, ())
    if item.when == "during" and item.carbohydrate_aim_g > 2 * MUCH_DRIED_FRUIT_G:
        groups = (groups[0], LONG_CHOICES)
    offered = [[one for one in group if _usable(one, space, allowed)] for group in groups]
    chosen = [
        next((one for one in group if one not in disliked), group[0]) for group in offered if group
    ]
    if item.carbohydrate_aim_g < LEAST_G or not chosen:
        return ()
    carbohydrate = space.per_gram("net_carbohydrate_g")
    share = item.carbohydrate_aim_g / len(chosen)
    found = []
    for key in chosen:
        place = space.index[key]
        food = space.foods[place]
        grams = STEP_G * max(1, round(share / float(carbohydrate[place]) / STEP_G))
        measure = in_measures(food, grams, units)
        if food.state == "liquid":
            measure = f"about {_rounded(grams):,.0f} mL"
        phrase = f"{grams:,.0f} g {food.name.lower()} ({measure})"
        found.append(FuelFood(food=key, name=food.name, grams=grams, phrase=phrase))
    return tuple(found)


def _usable(key: str, space: FoodSpace, allowed: frozenset[str]) -> bool:
    if key not in allowed or key not in space.index:
        return False
    return float(space.per_gram("net_carbohydrate_g")[space.index[key]]) > 0


def _rounded(amount_ml: float) -> float:
    return DRINK_STEP_ML * round(amount_ml / DRINK_STEP_ML)


def _pack(item: FuelItem, foods: Sequence[FuelFood], space: FoodSpace) -> FuelPack | None:
    """Say what to mix and pack for one item; None where nothing is taken along."""
    if item.when == "between" and foods:
        parts = " and ".join(food.phrase for food in foods)
        return FuelPack(
            when="between",
            session=item.session,
            foods=tuple(foods),
            how=f"Put ready for between the meals: {parts}; a part at a time through the day.",
        )
    if item.when != "during":
        return None
    drinks = [food for food in foods if food.food in CHOICES["during"][0]]
    poured = sum(food.grams for food in drinks)
    asked = ((item.fluid_low_ml or 0.0) + (item.fluid_high_ml or 0.0)) / 2
    water = _rounded(max(0.0, asked - poured))
    drink = poured + water
    if not foods and not drink:
        return None
    salt = _salt(item, foods, space, drink / 1000)
    return FuelPack(
        when="during",
        session=item.session,
        time=item.time,
        minutes=item.minutes,
        foods=tuple(foods),
        water_ml=water,
        drink_ml=drink,
        salt_g=salt,
        how=_during_words(item, foods, drinks, water, drink, salt),
    )


def _salt(item: FuelItem, foods: Sequence[FuelFood], space: FoodSpace, litres: float) -> float:
    """Table salt for the sodium a drink is to hold, less what its foods bring. [g]."""
    if item.sodium_mg_per_l is None:
        return 0.0
    sodium = space.per_gram("sodium_mg")
    held = sum(food.grams * float(sodium[space.index[food.food]]) for food in foods)
    salt = round(salt_g(max(0.0, item.sodium_mg_per_l * litres - held)), 1)
    return salt if salt >= LEAST_SALT_G else 0.0


def _during_words(
    item: FuelItem,
    foods: Sequence[FuelFood],
    drinks: Sequence[FuelFood],
    water: float,
    drink: float,
    salt: float,
) -> str:
    said = []
    mixed = [food.phrase for food in drinks]
    if water:
        mixed.append(f"{water:,.0f} mL water")
    if mixed:
        bottles = ceil(drink / BOTTLE_ML)
        name = "1 bottle" if bottles == 1 else f"{bottles} bottles"
        said.append(
            f"Fill {name} of {BOTTLE_ML:.0f} mL: {' and '.join(mixed)}"
            + (f", with {salt:g} g table salt stirred in" if salt else "")
        )
    eaten = [food.phrase for food in foods if food not in drinks]
    if eaten:
        said.append(f"Pack {' and '.join(eaten)}")
    minutes = item.minutes or 0.0
    if drink and minutes > SIP_MIN:
        sip = 10 * max(1, round(drink * SIP_MIN / minutes / 10))
        said.append(
            f"Drink about {sip:.0f} mL every {SIP_MIN:.0f} minutes, by thirst, from the start"
        )
    if eaten and minutes > 60:
        said.append("Eat a little every 20 to 30 minutes, beginning in the first half hour")
    return ". ".join(said) + "."
