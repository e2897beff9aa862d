"""
From dishes to choices: what this client may be served at each meal, scaled and on the kitchen grid.

Exclusions work by leaving things out: a dish whose required food is excluded is not offered, an
optional food that is excluded is left off. What is merely disliked stays, at a price.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from foods import FoodError
from foods.catalogue import Catalogue
from foods.dishes import Dish, DishLine
from mealplan.errors import IntakeError
from mealplan.foodspace import FoodSpace
from mealplan.intake import Intake
from mealplan.lp.daymodel import Choice
from mealplan.rules.base import Slot

COST_PLAIN = 0.05
"""Serving any dish that is not expressly liked."""
GAIN_LIKED = 0.02
"""Off that price for a dish, or a required food, the client likes."""
COST_DISLIKED = 0.6
"""Serving a required food, or a dish, the client dislikes."""
COST_PER_MINUTE = 0.0008
"""Hands-on time."""
COST_AWAY = 0.006
"""Moving a line all the way from typical to nothing or to double."""

SCALE_LEAST, SCALE_MOST = 0.6, 1.8
"""Portions of a recipe are scaled to the meal's energy inside these."""


@dataclass(frozen=True)
class Exclusions:
    """What this client's words mean in catalogue foods and dishes."""

    foods: frozenset[str]
    """Never served."""
    disliked: frozenset[str]
    liked: frozenset[str]
    dishes_never: frozenset[str]
    dishes_disliked: frozenset[str]
    dishes_liked: frozenset[str]
    words: Mapping[str, int] = field(default_factory=dict)
    """Each word of the client with the number of foods or dishes it matched."""


def _resolve(
    words: Iterable[str],
    catalogue: Catalogue,
    dishes: Mapping[str, Dish],
    what: str,
    *,
    strict: bool = False,
) -> tuple[set[str], set[str], dict[str, int]]:
    foods: set[str] = set()
    named: set[str] = set()
    counts: dict[str, int] = {}
    for word in words:
        if word in dishes:
            named.add(word)
            counts[word] = 1
            continue
        try:
            matched = {food.key for food in catalogue.match(word, strict=strict)}
        except FoodError as error:
            raise IntakeError(f"tastes.{what}: {error}") from None
        foods |= matched
        counts[word] = len(matched)
    return foods, named, counts


def read_exclusions(intake: Intake, catalogue: Catalogue, dishes: Sequence[Dish]) -> Exclusions:
    """
    Turn the client's words into foods and dishes.

    Parameters
    ----------
    intake : Intake
        Allergies, never, dislikes and likes.
    catalogue : Catalogue
        Foods and their allergens.
    dishes : sequence of Dish
        All dishes.

    Returns
    -------
    Exclusions

    Raises
    ------
    IntakeError
        When a word matches no food, group, allergen or dish; the message offers near words.
    """
    by_key = {dish.key: dish for dish in dishes}
    tastes = intake.tastes
    # With a history of anaphylaxis, foods whose labels often carry the allergen go as well.
    strict = "anaphylaxis" in intake.health
    allergic, _, count_a = _resolve(tastes.allergies, catalogue, {}, "allergies", strict=strict)
    if "coeliac disease" in intake.health:
        allergic |= {food.key for food in catalogue.match("gluten")}
    if tastes.oats_ok_when_gluten_free:
        other = [a for a in tastes.allergies if a != "gluten"]
        kept, _, _ = _resolve(other, catalogue, {}, "allergies", strict=strict)
        oats = {food.key for food in catalogue.match("oats")}
        gluten_grains = {
            food.key for food in catalogue.foods if {"wheat", "rye", "barley"} & set(food.allergens)
        }
        allergic -= oats - kept - gluten_grains
    never, dishes_never, count_n = _resolve(tastes.never, catalogue, by_key, "never")
    disliked, dishes_disliked, count_d = _resolve(tastes.dislikes, catalogue, by_key, "dislikes")
    liked, dishes_liked, count_l = _resolve(tastes.likes, catalogue, by_key, "likes")
    for word, matched in count_l.items():
        if not matched:
            raise IntakeError(
                f"tastes.likes: {word!r} is known but no plant food here is it; leave it out"
            )
    return Exclusions(
        foods=frozenset(allergic | never),
        disliked=frozenset(disliked - allergic - never),
        liked=frozenset(liked - allergic - never - disliked),
        dishes_never=frozenset(dishes_never),
        dishes_disliked=frozenset(dishes_disliked),
        dishes_liked=frozenset(dishes_liked),
        words={**count_a, **count_n, **count_d, **count_l},
    )


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
    scale = float(np.clip(meal_energy_kcal / max(usual, 1.0), SCALE_LEAST, SCALE_MOST))
    grid = [_on_grid(line, scale, space, place) for line, place in zip(lines, places, strict=True)]
    kept = [i for i, amounts in enumerate(grid) if amounts is not None]
    if any(grid[i] is None and not line.optional for i, line in enumerate(lines)):
        return None
    amounts = np.array([grid[i] for i in kept], dtype=float).reshape(-1, 3)
    typical = amounts[:, 1]
    cost = COST_PLAIN + COST_PER_MINUTE * dish.hands_on_min
    required = {line.food for line in dish.lines if not line.optional}
    cost += COST_DISLIKED * len(required & exclusions.disliked)
    cost += COST_DISLIKED * (dish.key in exclusions.dishes_disliked)
    if dish.key in exclusions.dishes_liked or required & exclusions.liked:
        cost -= GAIN_LIKED
    kept_foods = [lines[i].food for i in kept]
    return Choice(
        dish=dish.key,
        foods=places[kept],
        low=amounts[:, 0],
        typical=typical,
        high=amounts[:, 2],
        step=space.step_g[places[kept]],
        optional=np.array([lines[i].optional for i in kept], dtype=bool),
        cost=cost,
        deviation=COST_AWAY / typical,
        ratios=_ratios(dish, kept_foods, typical),
        families=dish_families(dish, space),
    )


FAMILY_SHARE = 0.2
"""A starch that brings this share of a dish's usual energy gives it its character."""


def dish_families(dish: Dish, space: FoodSpace) -> frozenset[str]:
    """
    Name what gives a dish its character: its protein base and its main starches.

    Parameters
    ----------
    dish : Dish
    space : FoodSpace

    Returns
    -------
    frozenset of str
        Such as ``tofu`` and ``rice``; rice, rice noodles and rice cakes are one family.
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
    return frozenset(starches | ({dish.protein_base} if dish.protein_base else set()))


def _on_grid(
    line: DishLine, scale: float, space: FoodSpace, place: int
) -> tuple[float, float, float] | None:
    """Range of one line in whole kitchen steps, stretched to the scale, under the ceiling."""
    step = float(space.step_g[place])
    ceiling = float(space.max_g_day[place])
    low = max(1, round(line.low_g * min(1.0, scale) / step))
    high = min(round(line.high_g * max(1.0, scale) / step), int(ceiling / step + 1e-9))
    typical = min(max(round(line.typical_g * scale / step), low), max(high, low))
    high = max(high, typical) if typical * step <= ceiling + 1e-9 else high
    if high < low:
        return None
    return low * step, typical * step, high * step


def _ratios(
    dish: Dish, foods: list[str], typical: np.ndarray
) -> tuple[tuple[int, int, float, float], ...]:
    """Ratios between kept lines, opened just enough to admit the rounded typical amounts."""
    found = []
    for ratio in dish.ratios:
        if ratio.food in foods and ratio.to in foods:
            a, b = foods.index(ratio.food), foods.index(ratio.to)
            usual = float(typical[a] / typical[b])
            found.append((a, b, min(ratio.low, usual), max(ratio.high, usual)))
    return tuple(found)
