"""Where a meal is eaten: what can be carried there, made there, and heated there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from foods.dishes.model import Dish
from mealplan.client.household import Place
from mealplan.rules.preferences.base import Table
from mealplan.rules.weights import weight

NOT_THERE = weight("not_there")
MADE_THERE: Mapping[Place, frozenset[str]] = {
    "microwave": frozenset({"none", "kettle", "microwave"}),
    "kettle": frozenset({"none", "kettle"}),
    "nothing": frozenset({"none"}),
    "on the move": frozenset({"none"}),
}
"""What a dish may need that is made where it is eaten; a microwave boils a jug of water too."""
FROM_A_BOWL = frozenset({"soupy", "creamy"})
"""Textures that nobody eats while moving."""


def can_be_eaten(dish: Dish, place: Place, *, kept: bool = False, kitchen: bool = True) -> bool:
    """
    Say whether a dish can be eaten at a place.

    Parameters
    ----------
    dish : Dish
    place : {"home", "microwave", "kettle", "nothing", "on the move"}
    kept : bool
        True of a portion that was cooked on an earlier day.
    kitchen : bool
        True where some meal of the day is eaten at home, so that a box can be packed there.

    Returns
    -------
    bool
    """
    if dish.only_moving:
        return place == "on the move"
    if place == "home":
        return True
    if place == "on the move" and not (dish.from_hand and dish.texture not in FROM_A_BOWL):
        return False
    tools = frozenset(dish.equipment)
    warmed = place == "microwave" or dish.kept == "cold" or tools <= {"none"}
    foams = "blender" in tools and dish.keeps_days == 0
    if dish.portable and warmed and (kept or (kitchen and not foams)):
        return True
    packed = place in ("nothing", "on the move") and kitchen and not dish.portable
    return not (kept or packed or dish.toasted) and tools <= MADE_THERE[place]


class EatenWhere:
    """A dish that cannot be eaten where the meal is."""

    name: ClassVar[str] = "place"

    def price(self, dish: str, table: Table) -> float:
        """
        Price it, a kept portion of it counting where it keeps.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        if table.place == "home":
            return 0.0
        of = table.facts.by_key[dish]
        if can_be_eaten(of, table.place, kitchen=table.kitchen):
            return 0.0
        kept = of.keeps_days > 0 and can_be_eaten(of, table.place, kept=True)
        return 0.0 if kept else NOT_THERE

    def sentence(self, dish: str, table: Table) -> str:
        """
        Say where.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        return f"cannot be eaten away ({table.place})" if self.price(dish, table) else ""
