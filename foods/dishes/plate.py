"""
What a plate, a glass and a slice of bread hold: the most of some foods in one portion of a dish.

Limits are for everything of some groups together, so that two kinds of beans share one. What lies
on bread is read from the steps of a dish; what is served beside it is not.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from foods.composition.catalogue import KitchenFood
from foods.dishes.actions import table
from foods.dishes.model import Dish
from foods.dishes.walk import walk

PUT_ON = frozenset({"spread", "fill", "wrap", "pile on"})
"""Verbs that put food on or into what carries it."""
HEAPED = "pile on"
"""The one after which a knife and a fork are needed."""
ASIDE = frozenset({"serve with", "eat after", "drink with", "pack"})
"""Verbs that put food beside it."""


@dataclass(frozen=True)
class PlateLimit:
    """The most of some food groups together that one portion of a dish holds."""

    groups: frozenset[str]
    only: frozenset[str]
    """Kinds of dish or food it holds for; empty for all."""
    but: frozenset[str]
    """Kinds it does not hold for."""
    most_g: float
    """At a meal of 1,000 kcal and below. [g]"""
    grows: bool
    """Whether larger meals hold more in proportion."""
    why: str

    def counts(self, dish: Dish, food: KitchenFood) -> bool:
        """
        Say whether a food of a dish counts toward it.

        Parameters
        ----------
        dish : Dish
        food : KitchenFood
        """
        if food.group not in self.groups:
            return False
        kinds = _kinds(dish, food)
        return not kinds & self.but and (not self.only or bool(kinds & self.only))


def _kinds(dish: Dish, food: KitchenFood) -> frozenset[str]:
    yogurt = "yogurt" in food.key
    found = {
        "soupy": dish.texture == "soupy",
        "shake": "blender" in dish.equipment and dish.texture != "soupy",
        "fuel": dish.only_fuel,
        "yogurt": yogurt,
        "tofu": food.group == "soy foods" and not yogurt,
        "dry": food.state == "dry",
    }
    return frozenset(kind for kind, holds in found.items() if holds)


@cache
def plate_limits() -> tuple[PlateLimit, ...]:
    """
    Load the limits.

    Returns
    -------
    tuple of PlateLimit
    """
    return tuple(
        PlateLimit(
            groups=frozenset(row["groups"].split(";")),
            only=frozenset(filter(None, row["only"].split(";"))),
            but=frozenset(filter(None, row["except"].split(";"))),
            most_g=float(row["most_g"]),
            grows=row["grows"] == "yes",
            why=row["why"],
        )
        for row in table("plate_limits.csv")
    )


@cache
def limits_of(group: str) -> tuple[PlateLimit, ...]:
    """
    Choose the limits of a food group.

    Parameters
    ----------
    group : str

    Returns
    -------
    tuple of PlateLimit
    """
    return tuple(limit for limit in plate_limits() if group in limit.groups)


@dataclass(frozen=True)
class Carrier:
    """What a piece of bread holds."""

    holds_g: float
    """As a sandwich, rolled up or spread. [g/piece]"""
    heaped_g: float
    """Eaten with knife and fork. [g/piece]"""


@cache
def carriers() -> Mapping[str, Carrier]:
    """
    Load what holds other food, by catalogue key.

    Returns
    -------
    mapping of str to Carrier
    """
    return {
        food: Carrier(float(row["holds_g"]), float(row["heaped_g"]))
        for row in table("carriers.csv")
        for food in row["foods"].split(";")
    }


@dataclass(frozen=True)
class Load:
    """What of a dish lies on or in its bread."""

    carrier: str
    """Catalogue key of the bread."""
    foods: frozenset[str]
    """What it carries, catalogue keys."""
    per_piece_g: float
    """What a piece holds of them. [g]"""


_LOADS: dict[str, tuple[Dish, Load | None]] = {}


def load_of(dish: Dish) -> Load | None:
    """
    Read from the steps of a dish what its bread carries.

    Parameters
    ----------
    dish : Dish

    Returns
    -------
    Load or None
        None where nothing lies on bread, or the method is plain sentences.
    """
    if not any(line.food in carriers() for line in dish.lines):
        return None
    known = _LOADS.get(dish.key)
    if known is None or known[0] is not dish:
        known = _LOADS[dish.key] = (dish, _read_load(dish))
    return known[1]


def _read_load(dish: Dish) -> Load | None:
    foods = {line.called: line.food for line in dish.lines}
    carrier, heaped = "", False
    aside: set[str] = set()
    for moment in walk(dish.lines, dish.steps):
        if moment.verb.key in PUT_ON:
            under = [foods[name] for name in moment.step.on if foods.get(name) in carriers()]
            carrier = carrier or next(iter(under), "")
            heaped |= moment.verb.key == HEAPED
        if moment.verb.key in ASIDE:
            aside |= {foods[name] for part in moment.take for name, _ in part.lines}
    if not carrier:
        return None
    holds = carriers()[carrier]
    return Load(
        carrier,
        frozenset(foods.values()) - aside - {carrier},
        holds.heaped_g if heaped else holds.holds_g,
    )
