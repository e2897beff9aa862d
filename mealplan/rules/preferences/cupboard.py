"""What is at home is used first."""

from __future__ import annotations

from typing import ClassVar

from mealplan.rules.preferences.base import Table
from mealplan.rules.weights import weight

AT_HOME = weight("at_home")


class Cupboard:
    """Foods of a dish that are in the cupboard, as long as other days leave something of them."""

    name: ClassVar[str] = "cupboard"

    def price(self, dish: str, table: Table) -> float:
        """
        Welcome each.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        return AT_HOME * len(self._there(dish, table))

    def sentence(self, dish: str, table: Table) -> str:
        """
        Name them.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        there = sorted(self._there(dish, table))
        return f"uses what is at home: {', '.join(there)}" if there else ""

    def _there(self, dish: str, table: Table) -> frozenset[str]:
        left = table.around.left
        return table.facts.bought[dish] & (table.facts.cupboard if left is None else left)
