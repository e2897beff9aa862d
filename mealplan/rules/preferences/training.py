"""Dishes that suit before or after a session, and those that do not."""

from __future__ import annotations

from typing import ClassVar

from mealplan.rules.preferences.base import Table
from mealplan.rules.weights import weight

FIT = weight("fit")
UNFIT = weight("unfit")


class Training:
    """How a dish sits with the session near its meal."""

    name: ClassVar[str] = "training"

    def price(self, dish: str, table: Table) -> float:
        """Welcome what is made for it; mind what is heavy before it."""
        if table.training is None:
            return 0.0
        suits = table.facts.by_key[dish].training
        if suits == table.training:
            return FIT
        return UNFIT if table.training == "before" and suits == "away from training" else 0.0

    def sentence(self, dish: str, table: Table) -> str:
        """Say which."""
        price = self.price(dish, table)
        if price == 0:
            return ""
        return f"made for {table.training} training" if price < 0 else "heavy before training"
