"""Dinners cooked in pots on the household's cooking days, for the days after."""

from __future__ import annotations

from typing import ClassVar

from foods.dishes.model import Dish
from mealplan.rules.preferences.base import MAINS, Table
from mealplan.rules.preferences.places import MADE_THERE
from mealplan.rules.weights import weight

NOT_COOKING_DAY = weight("not_cooking_day")
NO_POT = weight("no_pot")
LONG_DAYS = 3
"""Days that a dish which keeps well keeps cold. [days]"""


class PotDay:
    """A dinner cooked on another day than a cooking day, or one that will not keep on it."""

    name: ClassVar[str] = "cooking days"

    def price(self, dish: str, table: Table) -> float:
        """
        Price it where the household named cooking days.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        if table.pot_days is None or table.slot.occasion not in MAINS:
            return 0.0
        if table.pot_days == 0:
            of = table.facts.by_key[dish]
            away = table.place != "home" and frozenset(of.equipment) <= MADE_THERE[table.place]
            return NOT_COOKING_DAY if table.slot.occasion == "evening" and not away else 0.0
        return 0.0 if self._keeps(dish, table) else NO_POT

    def sentence(self, dish: str, table: Table) -> str:
        """
        Say which.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        if self.price(dish, table) == 0:
            return ""
        return (
            "cooked on a day that is no cooking day"
            if table.pot_days == 0
            else "does not keep until the next cooking day"
        )

    def _keeps(self, dish: str, table: Table) -> bool:
        return keeps_for(table.facts.by_key[dish], table.pot_days or 0)


def keeps_for(dish: Dish, days: int) -> bool:
    """
    Say whether one pot of a dish does for some days, or for as long as most dishes keep.

    Parameters
    ----------
    dish : Dish
    days : int
        Days to cook for, this one included. [days]

    Returns
    -------
    bool
    """
    return dish.keeps_days >= min(days - 1, LONG_DAYS) and dish.batch_portions >= min(
        days, LONG_DAYS + 1
    )
