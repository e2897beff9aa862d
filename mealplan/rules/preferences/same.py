"""The same dish day after day, and the same leading food or kind at one meal of most days."""

from __future__ import annotations

from typing import ClassVar

from mealplan.rules.preferences.base import Table
from mealplan.rules.weights import weight

IN_A_ROW = weight("in_a_row")
SAME_MEAL = weight("same_meal")
FREE_DAYS = 2
"""Other days of a week on which the same food or kind may lead the same meal unnoticed. [days]"""


class InARow:
    """A dish on three days in a row, cooked or kept; a steady household does not mind."""

    name: ClassVar[str] = "in a row"

    def price(self, dish: str, table: Table) -> float:
        """
        Price the third day and every one after it.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        return IN_A_ROW * max(0, self._days(dish, table) - 1) if table.minds_repeats else 0.0

    def sentence(self, dish: str, table: Table) -> str:
        """
        Count the days.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        return f"{self._days(dish, table) + 1} days in a row" if self.price(dish, table) else ""

    def _days(self, dish: str, table: Table) -> int:
        """Count the days next to this one that serve it without a break."""
        served = frozenset(table.around.served_on.get(dish, ()))
        run = 0
        for step in (-1, 1):
            day = table.day + step
            while day in served:
                run += 1
                day += step
        return run


class SameMeal:
    """A food or kind that leads this meal on most days, unless it is liked."""

    name: ClassVar[str] = "same meal"

    def price(self, dish: str, table: Table) -> float:
        """
        Price each day beyond a few.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        return SAME_MEAL * sum(self._beyond(dish, table).values())

    def sentence(self, dish: str, table: Table) -> str:
        """
        Name what leads it too often.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        often = sorted(self._beyond(dish, table))
        return f"{' and '.join(often)} at this meal on most days" if often else ""

    def _beyond(self, dish: str, table: Table) -> dict[str, int]:
        if not table.minds_repeats or any(dish in one.dishes for one in table.facts.wanted):
            return {}
        led = table.around.led
        counts = {
            family: led.get((table.slot.index, family), 0) - FREE_DAYS
            for family in table.facts.families[dish]
        }
        return {family: beyond for family, beyond in counts.items() if beyond > 0}
