"""Serving a dish again: how often, how soon, and what somebody wants passed over."""

from __future__ import annotations

from typing import ClassVar

from mealplan.rules.preferences.base import MAINS, Table
from mealplan.rules.weights import weight

COOKED_AGAIN = weight("cooked_again")
WINDOW_DAYS = 7
"""Repeats are counted over this many days."""
SOON_DAYS = 2
"""A dish is back soon when it comes within so many days. [days]"""


class Repeat:
    """A dish served not long before or after."""

    name: ClassVar[str] = "repeat"

    def used_up(self, dish: str, table: Table) -> bool:
        """
        Say whether a dish has been served as often as it may.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        return len(table.around.served_on.get(dish, ())) >= table.most

    def price(self, dish: str, table: Table) -> float:
        """
        Price a dish by its other servings; what is liked most of all may come often.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        soon, later = table.habits.again_soon, table.habits.again
        if dish in table.facts.favourites:
            soon, later = later, 0.0
        elif table.slot.occasion in MAINS:
            soon += COOKED_AGAIN
        return sum(
            soon if abs(other - table.day) <= SOON_DAYS else later
            for other in table.around.served_on.get(dish, ())
        )

    def sentence(self, dish: str, table: Table) -> str:
        """
        Say how often it comes.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        times = len(table.around.served_on.get(dish, ()))
        return f"served {times} more time{'s' * (times > 1)} within the week" if times else ""


class Shunned:
    """A dish that was turned down."""

    name: ClassVar[str] = "turned down"

    def price(self, dish: str, table: Table) -> float:
        """
        Give the extra price it was put at.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        return table.shunned.get(dish, 0.0)

    def sentence(self, dish: str, table: Table) -> str:
        """
        Say that it was turned down.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        return "was turned down before" if table.shunned.get(dish) else ""
