"""Another protein base and another starch than the meals around."""

from __future__ import annotations

from typing import ClassVar

from mealplan.rules.preferences.base import Table
from mealplan.rules.weights import weight

SAME_DAY = weight("same_family")
NEXT_DAY = weight("family_near")


class Family:
    """Meals of the day before and after with the same protein base or main starch."""

    name: ClassVar[str] = "family"

    def price(self, dish: str, table: Table) -> float:
        """
        Price each meal and family.

        Parameters
        ----------
        dish : str
            Key of the dish.
        table : Table
            The meal, its day and what is around them.
        """
        return NEXT_DAY * sum(
            table.around.near.get(family, 0) for family in table.facts.families[dish]
        )

    def sentence(self, dish: str, table: Table) -> str:
        """
        Name the families.

        Parameters
        ----------
        dish : str
            Key of the dish.
        table : Table
            The meal, its day and what is around them.
        """
        same = sorted(f for f in table.facts.families[dish] if table.around.near.get(f))
        return f"{' and '.join(same)} on the day before or after as well" if same else ""
