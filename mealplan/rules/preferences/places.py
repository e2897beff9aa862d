"""Where a meal is eaten: what can be carried there, and what can be heated there."""

from __future__ import annotations

from typing import ClassVar

from foods.dishes.model import Dish
from mealplan.client.household import Place
from mealplan.rules.preferences.base import Table
from mealplan.rules.weights import weight

NOT_THERE = weight("not_there")
HEATED_THERE = frozenset({"none", "kettle", "microwave"})
"""What a dish may need that is eaten beside a kettle and a microwave."""
FROM_A_BOWL = frozenset({"soupy", "creamy"})
"""Textures that nobody eats while moving."""


def can_be_eaten(dish: Dish, place: Place) -> bool:
    """
    Say whether a dish can be eaten at a place.

    Parameters
    ----------
    dish : Dish
    place : {"home", "kettle or microwave", "nothing", "on the move"}

    Returns
    -------
    bool
    """
    tools = frozenset(dish.equipment)
    if place == "home":
        return True
    if place == "kettle or microwave":
        return dish.portable or tools <= HEATED_THERE
    cold = dish.kept == "cold" or tools <= {"none"}
    carried = dish.portable and cold
    return carried and (place == "nothing" or dish.texture not in FROM_A_BOWL)


class EatenWhere:
    """A dish that cannot be eaten where the meal is."""

    name: ClassVar[str] = "place"

    def price(self, dish: str, table: Table) -> float:
        """
        Price it.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        return 0.0 if can_be_eaten(table.facts.by_key[dish], table.place) else NOT_THERE

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
