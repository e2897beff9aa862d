"""
How much of each of its foods a dish holds at a meal: ranges in whole kitchen steps.

A dish is scaled to its meal as one, and each food stays near its own part of it. What a plate, a
glass or a slice of bread holds bounds the whole, and the starch of a main never shrinks to a taste.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from foods.composition.catalogue import KitchenFood
from foods.dishes.line import DishLine
from foods.dishes.model import Dish
from foods.dishes.plate import PlateLimit, limits_of, load_of
from foods.dishes.taste import NAMED_AT_LEAST, naming_lines, seasons
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.rules.preferences.base import MAINS
from mealplan.rules.preferences.proportion import BAND
from mealplan.rules.rows.plate import filled_g

SCALE_LEAST, SCALE_MOST = 0.6, 1.8
"""Portions of a recipe are scaled to the meal's energy inside these."""
PLATE_KCAL = 1000.0
"""A meal above this holds more in proportion. [kcal] (common practice)"""
BASE_STARCHES = frozenset(
    {"breads", "whole grains", "refined grains", "potatoes and starchy roots"}
)
"""Food groups that are the base of a main."""
BASE_KCAL = 160.0
"""Starch of a main that has any: 45 g of dry grain or two slices. [kcal] (common practice)"""
BASED_FROM_KCAL = 600.0
"""Smaller mains hold less of it in proportion, and may be without. [kcal] (common practice)"""
BASE_FROM_KCAL = 60.0
"""What usually brings less thickens or coats and is no base. [kcal] (common practice)"""


@dataclass
class PortionLine:
    """One line of a dish while its portion is worked out, in whole steps."""

    line: DishLine
    food: KitchenFood
    step_g: float
    kcal_per_g: float
    ceiling_g: float
    """Most of it in a day. [g]"""
    optional: bool
    low: int = 0
    typical: int = 0
    high: int = -1

    @property
    def possible(self) -> bool:
        """Whether any whole number of steps is left."""
        return 0 < self.low <= self.high

    @property
    def is_powder(self) -> bool:
        """Whether it is protein that only a drink makes edible."""
        return self.food.role == "protein" and self.food.texture == "powder"

    def keep_under(self, most: int) -> None:
        """
        Bring all amounts under a limit.

        Parameters
        ----------
        most : int
            [steps]
        """
        self.high = min(self.high, most)
        self.typical = min(self.typical, self.high)
        if not self.optional:
            self.low = min(self.low, self.typical)


def portion(
    dish: Dish,
    lines: Sequence[DishLine],
    occasion: str,
    meal_kcal: float,
    space: FoodSpace,
) -> tuple[list[PortionLine], list[tuple[list[PortionLine], float]]]:
    """
    Scale a dish to a meal and put each line on the kitchen grid.

    Parameters
    ----------
    dish : Dish
    lines : sequence of DishLine
        What of it may be served.
    occasion : str
        Of the meal.
    meal_kcal : float
        Energy the meal usually carries. [kcal]
    space : FoodSpace
        Steps and ceilings.

    Returns
    -------
    parts : list of PortionLine
        One a line, in order; not :attr:`PortionLine.possible` where no kitchen measure fits.
    limits : list of tuple
        Lines, and the most of them together. [g]
    """
    energy = space.per_gram("energy_kcal")
    parts = []
    for line in lines:
        place = space.index[line.food]
        food = space.foods[place]
        step, most = float(space.step_g[place]), float(space.max_g_day[place])
        parts.append(PortionLine(line, food, step, float(energy[place]), most, line.optional))
    if occasion in MAINS and meal_kcal >= BASED_FROM_KCAL:
        _based(parts)
    limits = _limits(dish, parts)
    scale, stretch = _scales(parts, limits, meal_kcal)
    named = frozenset(line.food for line in naming_lines(dish))
    for part in parts:
        place = space.index[part.line.food]
        salts = seasons(part.line, part.food, float(space.per_gram("sodium_mg")[place]) / 1000)
        _on_grid(part, scale, stretch, named=part.line.food in named, salts=salts)
    if occasion in MAINS:
        _fill_base(parts, BASE_KCAL * min(1.0, meal_kcal / BASED_FROM_KCAL))
    together = [(inside, _most(limit, inside, meal_kcal)) for limit, inside in limits]
    together += _on_bread(dish, parts, stretch)
    for inside, most in together:
        _share(inside, most)
    return parts, together


def _based(parts: list[PortionLine]) -> None:
    """Make the starch of a main part of it where the dish leaves it open."""
    bases = [part for part in parts if is_base(part)]
    if bases and all(part.optional for part in bases):
        max(bases, key=lambda part: part.kcal_per_g * part.line.typical_g).optional = False


def is_base(part: PortionLine) -> bool:
    """
    Say whether a line is the base of a main.

    Parameters
    ----------
    part : PortionLine
    """
    usual = part.kcal_per_g * part.line.typical_g
    return part.food.group in BASE_STARCHES and usual >= BASE_FROM_KCAL


def _limits(dish: Dish, parts: list[PortionLine]) -> list[tuple[PlateLimit, list[PortionLine]]]:
    """Name the limits that foods of a dish count toward, with those foods."""
    found: dict[int, tuple[PlateLimit, list[PortionLine]]] = {}
    for part in parts:
        for limit in limits_of(part.food.group):
            if limit.counts(dish, part.food):
                found.setdefault(id(limit), (limit, []))[1].append(part)
    return list(found.values())


def _most(limit: PlateLimit, parts: list[PortionLine], meal_kcal: float) -> float:
    """Most of some foods at a meal; a dish as it is written is let through."""
    grows = max(1.0, meal_kcal / PLATE_KCAL) if limit.grows else 1.0
    usual = sum(part.line.typical_g for part in parts if not part.line.optional)
    return max(limit.most_g * grows, usual)


def _scales(
    parts: list[PortionLine], limits: list[tuple[PlateLimit, list[PortionLine]]], meal_kcal: float
) -> tuple[float, float]:
    """Say by how much a dish is scaled, and by how much the meal's energy alone would scale it."""
    required = [part for part in parts if not part.optional]
    kcal = sum(part.line.typical_g * part.kcal_per_g for part in required)
    weighs = sum(part.line.typical_g for part in required)
    stretch = min(max(meal_kcal / max(kcal, 1.0), SCALE_LEAST), SCALE_MOST)
    # A light dish fills the plate before it fills the meal; add-ons bring the rest.
    scale = min(stretch, max(1.0, filled_g(meal_kcal) / weighs))
    for limit, inside in limits:
        usual = sum(part.line.typical_g for part in inside if not part.optional)
        if usual:
            scale = min(scale, max(_most(limit, inside, meal_kcal) / usual, SCALE_LEAST))
    return scale, stretch


def _on_grid(part: PortionLine, scale: float, stretch: float, *, named: bool, salts: bool) -> None:
    """
    Range of one line in whole kitchen steps, typical at the scale, within its role's band of it.

    What names the dish stays most of its usual amount however small the meal, and salt grows with
    the meal.
    """
    line, step, ceiling = part.line, part.step_g, part.ceiling_g
    low = max(1, round(line.low_g * (scale if salts else min(1.0, scale)) / step))
    if named:
        low = max(low, math.ceil(NAMED_AT_LEAST * line.typical_g / step - 1e-9))
    high = min(round(line.high_g * max(1.0, stretch) / step), int(ceiling / step + 1e-9))
    if part.food.role in BAND and not part.optional:
        least, most = BAND[part.food.role]
        usual = line.typical_g / step
        low = max(low, min(math.ceil(least * max(scale * usual, low) - 1e-9), high))
        high = min(high, max(math.floor(most * max(scale, 1.0) * usual + 1e-9), low))
    typical = min(max(round(line.typical_g * scale / step), low), max(high, low))
    if typical * step <= ceiling + 1e-9:
        high = max(high, typical)
    part.low, part.typical, part.high = low, typical, high


def _fill_base(parts: list[PortionLine], least_kcal: float) -> None:
    """Keep the starch of a main at what makes it a main."""
    bases = [part for part in parts if not part.optional and is_base(part) and part.possible]
    if not bases:
        return
    first = max(bases, key=lambda part: part.kcal_per_g * part.step_g * part.typical)
    others = sum(p.low * p.step_g * p.kcal_per_g for p in bases if p is not first)
    least = math.ceil((least_kcal - others) / (first.kcal_per_g * first.step_g) - 0.25)
    first.low = max(first.low, min(least, max(first.high, first.typical)))
    first.typical = max(first.typical, first.low)
    first.high = max(first.high, first.typical)


def _share(parts: list[PortionLine], most_g: float) -> None:
    """Bring the usual amounts of some lines under one limit, and no line above it alone."""
    required = [part for part in parts if not part.optional]
    over = sum(part.typical * part.step_g for part in required) - most_g
    while over > 1e-6:
        some = [part for part in required if part.typical > 1]
        if not some:
            break
        # Whatever is most above the recipe's own proportions goes first.
        part = max(some, key=lambda part: part.typical * part.step_g / part.line.typical_g)
        part.typical -= 1
        part.low = min(part.low, part.typical)
        over -= part.step_g
    least = sum(part.low * part.step_g for part in required)
    for part in parts:
        if not part.possible:
            continue
        beside = least - (0.0 if part.optional else part.low * part.step_g)
        part.keep_under(max(int((most_g - beside) / part.step_g + 1e-9), 0))


def _on_bread(
    dish: Dish, parts: list[PortionLine], stretch: float
) -> list[tuple[list[PortionLine], float]]:
    """Count bread in whole pieces, and put no more on them than they hold."""
    load = load_of(dish)
    bread = next((p for p in parts if load and p.line.food == load.carrier and p.possible), None)
    if load is None or bread is None:
        return []
    piece_g = bread.food.measure_g
    on = [p for p in parts if p.line.food in load.foods and p.food.role != "flavour"]
    heavy = sum(p.typical * p.step_g for p in on if not p.optional)
    most_g = min(bread.line.high_g * max(1.0, stretch), bread.ceiling_g)
    most = max(1, int(most_g / piece_g + 1e-9))
    usual = max(1, round(bread.typical * bread.step_g / piece_g))
    pieces = min(max(usual, math.ceil(heavy / load.per_piece_g - 0.25)), most)
    bread.step_g = piece_g
    bread.low = bread.typical = pieces
    bread.high = max(pieces, min(most, math.floor(BAND["starch"][1] * pieces + 1e-9)))
    return [(on, pieces * load.per_piece_g)]
