"""What is at home is used first."""

from __future__ import annotations

from typing import ClassVar

from mealplan.rules.preferences.base import Table
from mealplan.rules.weights import weight

AT_HOME = weight("at_home")


class Cupboard:
    """Foods of a dish that are in the cupboard."""

    name: ClassVar[str] = "cupboard"

    def price(self, dish: str, table: Table) -> float:
        """Welcome each."""
        return AT_HOME * len(table.facts.bought[dish] & table.facts.cupboard)

    def sentence(self, dish: str, table: Table) -> str:
        """Name them."""
        there = sorted(table.facts.bought[dish] & table.facts.cupboard)
        return f"uses what is at home: {', '.join(there)}" if there else ""
