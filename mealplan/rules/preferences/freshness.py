"""What spoils is eaten soon after the shopping."""

from __future__ import annotations

from typing import ClassVar

from mealplan.rules.preferences.base import Table
from mealplan.rules.weights import weight

FADING = weight("fading")


class Freshness:
    """Foods that keep fewer cold days than have gone by since the shopping."""

    name: ClassVar[str] = "freshness"

    def price(self, dish: str, table: Table) -> float:
        """
        Price each.

        Parameters
        ----------
        dish : str
            Key of the dish.
        table : Table
            The meal, its day and what is around them.
        """
        return FADING * self._faded(dish, table)

    def sentence(self, dish: str, table: Table) -> str:
        """
        Count them.

        Parameters
        ----------
        dish : str
            Key of the dish.
        table : Table
            The meal, its day and what is around them.
        """
        faded = self._faded(dish, table)
        return f"{faded} of its foods would be past their best by then" if faded else ""

    def _faded(self, dish: str, table: Table) -> int:
        return sum(days < table.since_shopping for days in table.facts.fading[dish])
