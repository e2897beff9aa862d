"""Dishes of which a portion can be put into the freezer, where the household has room there."""

from __future__ import annotations

from typing import ClassVar

from mealplan.rules.preferences.base import MAINS, Table
from mealplan.rules.weights import weight

FOR_FREEZER = weight("for_freezer")


class ForFreezer:
    """A main dish that freezes, while the freezer has room."""

    name: ClassVar[str] = "freezer"

    def price(self, dish: str, table: Table) -> float:
        """
        Welcome it.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        if not table.facts.room_to_freeze or table.slot.occasion not in MAINS:
            return 0.0
        found = table.facts.by_key[dish]
        return FOR_FREEZER if found.freezes and found.steps else 0.0

    def sentence(self, dish: str, table: Table) -> str:
        """
        Say so.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        return "a portion can go into the freezer" if self.price(dish, table) else ""
