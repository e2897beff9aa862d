"""
Whether a dish tastes of something, and holds what a person would take of it.

Salt and acid by weight, what names a dish, the most of one food on a plate. Sums of kitchen
practice; whether a dish is safe stands in :mod:`foods.dishes.check`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from foods.composition.catalogue import Catalogue, KitchenFood
from foods.dishes.actions import table
from foods.dishes.line import DishLine
from foods.dishes.minutes import DRAINS
from foods.dishes.model import Dish
from foods.dishes.walk import MINOR, role_of, walk

SALT_PER_SODIUM = 2.54
"""Sodium chloride by the sodium it holds: 58.44 over 22.99. [g/g]"""
SALT_LOW, SALT_HIGH = 0.003, 0.007
"""Of a savoury main as eaten, salty sauces included; kitchen practice. [g/g]"""
SALT_BESIDE_BREAD = 0.002
"""Least in what is eaten with bread, the bread's own salt not counted; kitchen practice. [g/g]"""
SALT_BESIDE_MILD_BREAD = 0.003
"""The same where another pinch leaves the whole below :data:`SALT_HIGH`. [g/g]"""
PINCH_G = 0.75
"""The least salt a kitchen measures: an eighth of a teaspoon. [g]"""
SALTY = 0.05
"""Salt from which a seasoning counts as salty. [g/g]"""
SALT_AT_LEAST = 0.7
"""Salty seasonings are served at this share of their usual amount or more. [1]"""
NAMED_AT_LEAST = 0.7
"""What names a dish is served at this share of its usual amount or more. [1]"""
SPICED = 2
"""Least herbs, spices and other aromatic lines of a savoury main."""


@cache
def tastes_of() -> Mapping[str, frozenset[str]]:
    """
    Load what seasonings do: acid, salty, aromatic, moist; sprinkled, taken out before serving.

    Returns
    -------
    mapping of str to frozenset of str
        Catalogue key to what it brings.
    """
    return {row["food"]: frozenset(row["brings"].split(";")) for row in table("seasonings.csv")}


def sodium_g_per_g(food: str, catalogue: Catalogue) -> float:
    """
    Look up the sodium of a food.

    Parameters
    ----------
    food : str
        Catalogue key.
    catalogue : Catalogue

    Returns
    -------
    float
        [g/g]
    """
    from foods.composition.table import FoodTable

    return catalogue.per_100g(food, FoodTable.load()).get("sodium_mg", 0.0) / 100_000


def is_main(dish: Dish) -> bool:
    """
    Say whether a dish is a savoury main.

    Parameters
    ----------
    dish : Dish

    Returns
    -------
    bool
    """
    return dish.savoury and bool({"midday", "evening"} & set(dish.occasions))


def weight_as_eaten(dish: Dish, catalogue: Catalogue) -> float:
    """
    Weigh a typical portion without add-ons, with the water that stays in it.

    Parameters
    ----------
    dish : Dish
    catalogue : Catalogue

    Returns
    -------
    float
        [g]
    """
    required = {line.food for line in dish.lines if not line.optional}
    lines = sum(line.typical_g for line in dish.lines if line.food in required)
    return lines + sum(
        moment.step.water_ml
        for moment in walk(dish.lines, dish.steps, required)
        if moment.way in ("boil", "as before", "", "warm") and moment.verb.key not in DRAINS
    )


def salt_share(dish: Dish, catalogue: Catalogue) -> float:
    """
    Work out the salt of a typical portion by its weight as eaten, salty foods included.

    Parameters
    ----------
    dish : Dish
    catalogue : Catalogue

    Returns
    -------
    float
        [g/g]
    """
    sodium = sum(
        sodium_g_per_g(line.food, catalogue) * line.typical_g
        for line in dish.lines
        if not line.optional
    )
    return SALT_PER_SODIUM * sodium / weight_as_eaten(dish, catalogue)


def beside_bread(dish: Dish, catalogue: Catalogue) -> float | None:
    """
    Work out the salt of what is eaten with bread, without the bread.

    Parameters
    ----------
    dish : Dish
    catalogue : Catalogue

    Returns
    -------
    float or None
        None when the dish holds no bread. [g/g]
    """
    required = [line for line in dish.lines if not line.optional]
    other = [line for line in required if catalogue.food(line.food).group != "breads"]
    if len(other) == len(required):
        return None
    bread_g = sum(line.typical_g for line in required if line not in other)
    sodium = sum(sodium_g_per_g(line.food, catalogue) * line.typical_g for line in other)
    return SALT_PER_SODIUM * sodium / (weight_as_eaten(dish, catalogue) - bread_g)


def seasons(line: DishLine, food: KitchenFood, sodium_per_g: float) -> bool:
    """
    Say whether a line is what salts its dish.

    Parameters
    ----------
    line : DishLine
    food : KitchenFood
    sodium_per_g : float
        [g/g]

    Returns
    -------
    bool
    """
    salty = SALT_PER_SODIUM * sodium_per_g >= SALTY
    return salty and food.role == "flavour" and not line.optional


def _amounts(dish: Dish, catalogue: Catalogue) -> list[str]:
    """Hold salt to what makes a dish taste."""
    faults = []
    for line in dish.lines:
        food = catalogue.food(line.food)
        salts = dish.savoury and seasons(line, food, sodium_g_per_g(food.key, catalogue))
        if salts and line.low_g < SALT_AT_LEAST * line.typical_g - 1e-6:
            faults.append(
                f"{line.called} may fall to {line.low_g / line.typical_g:.0%} of its usual amount: "
                f"{SALT_AT_LEAST:.0%} is the least, or it tastes of nothing"
            )
    return faults


def naming_lines(dish: Dish) -> tuple[DishLine, ...]:
    """
    Find the lines a dish is named after.

    Parameters
    ----------
    dish : Dish

    Returns
    -------
    tuple of DishLine
        Required ones whose name, or its last word, stands in the dish's before what it comes
        with.
    """
    name = _stems(re.split(r" (?:with|on|over|in) ", dish.name)[0])
    return tuple(
        line
        for line in dish.lines
        if not line.optional
        and role_of(line) not in MINOR
        and (_stems(line.called) <= name or _stems(line.called.split()[-1]) <= name)
    )


def _stems(text: str) -> frozenset[str]:
    return frozenset(word.removesuffix("s") for word in re.findall(r"[a-zà-ÿ]+", text.lower()))


def _names(dish: Dish) -> list[str]:
    """Hold what names a dish to most of its usual amount, and its name to what is always in it."""
    name = _stems(dish.name)
    always = frozenset().union(*(_stems(line.called) for line in dish.lines if not line.optional))
    promised = [
        f"{line.called} stands in the name and may be left out"
        for line in dish.lines
        if line.optional and _stems(line.called) <= name - always
    ]
    return promised + [
        f"{line.called} names the dish and may fall to {line.low_g / line.typical_g:.0%} of its "
        f"usual amount: {NAMED_AT_LEAST:.0%} is the least"
        for line in naming_lines(dish)
        if line.low_g < NAMED_AT_LEAST * line.typical_g - 1e-6
    ]


def _seasoning(dish: Dish, catalogue: Catalogue) -> list[str]:
    if not is_main(dish):
        return []
    faults = []
    share = salt_share(dish, catalogue)
    if not SALT_LOW <= share <= SALT_HIGH:
        weight = weight_as_eaten(dish, catalogue)
        faults.append(
            f"salt is {share:.2%} of {weight:.0f} g as eaten, outside {SALT_LOW:.1%} to "
            f"{SALT_HIGH:.1%}: {(0.004 - share) * weight:+.1f} g salt would make 0.4 %"
        )
    beside = beside_bread(dish, catalogue)
    room = share + PINCH_G / weight_as_eaten(dish, catalogue) <= SALT_HIGH
    least = SALT_BESIDE_MILD_BREAD if room else SALT_BESIDE_BREAD
    if beside is not None and beside < least:
        faults.append(
            f"salt is {beside:.2%} of what is eaten with the bread: it would taste flat, "
            f"{least:.2%} is the least"
        )
    foods = [line.food for line in dish.lines if not line.optional]
    if not any("acid" in tastes_of().get(food, ()) for food in foods):
        faults.append("nothing sour: a squeeze of citrus, vinegar, tomato or a pickle is lacking")
    aromatic = [food for food in foods if "aromatic" in tastes_of().get(food, ())]
    if len(aromatic) < SPICED:
        faults.append(f"only {len(aromatic)} herbs, spices or aromatics: it would taste flat")
    return faults


def taste_faults(dish: Dish, catalogue: Catalogue) -> list[str]:
    """
    List what a cook would mend in the seasoning, the name and the amounts of a dish.

    Parameters
    ----------
    dish : Dish
    catalogue : Catalogue

    Returns
    -------
    list of str
    """
    return [*_seasoning(dish, catalogue), *_names(dish), *_amounts(dish, catalogue)]
