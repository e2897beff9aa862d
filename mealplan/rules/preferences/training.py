"""Dishes that suit before or after a session, and those that do not."""

from __future__ import annotations

from typing import ClassVar

from mealplan.rules.preferences.base import Table
from mealplan.rules.weights import weight

FIT = weight("fit")
UNFIT = weight("unfit")
FUEL_AT_REST = weight("fuel_at_rest")


class Training:
    """How a dish sits with the session near its meal."""

    name: ClassVar[str] = "training"

    def price(self, dish: str, table: Table) -> float:
        """
        Welcome what is made for it; mind what is heavy before it, and fuel at rest.

        Parameters
        ----------
        dish : str
            Key of the dish.
        table : Table
            The meal, its day and what is around them.
        """
        facts = table.facts.by_key[dish]
        if facts.only_fuel and table.training != "before":
            return FUEL_AT_REST
        if table.training is None:
            return 0.0
        if facts.training == table.training:
            return FIT
        heavy = facts.training == "away from training"
        return UNFIT if table.training == "before" and heavy else 0.0

    def sentence(self, dish: str, table: Table) -> str:
        """
        Say which.

        Parameters
        ----------
        dish : str
            Key of the dish.
        table : Table
            The meal, its day and what is around them.
        """
        price = self.price(dish, table)
        if price == 0:
            return ""
        if price == FUEL_AT_REST:
            return "only fuel, and no session follows"
        return f"made for {table.training} training" if price < 0 else "heavy before training"
