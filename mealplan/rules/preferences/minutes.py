"""Hands-on minutes: few in any case, and not more than the day's cook has."""

from __future__ import annotations

from typing import ClassVar

from mealplan.rules.preferences.base import Table
from mealplan.rules.weights import weight

PER_MINUTE = weight("minute")
OVER_MINUTE = weight("over_minute")
SHARE_SLACK = 1.2
"""A meal may take this much more than its share of energy of the day's minutes [1]."""


class MealMinutes:
    """Hands-on work beyond what the day's cook has."""

    name: ClassVar[str] = "minutes"

    def price(self, dish: str, table: Table) -> float:
        """Price each minute over."""
        if table.minutes is None:
            return 0.0
        return OVER_MINUTE * self._over(dish, table)

    def sentence(self, dish: str, table: Table) -> str:
        """Say how many."""
        over = self._over(dish, table) if table.minutes is not None else 0.0
        return f"takes {over:.0f} min more than this meal's part of the day's" if over else ""

    def _over(self, dish: str, table: Table) -> float:
        # The day's minutes are shared by the meals cooked fresh, roughly by how long they take.
        assert table.minutes is not None
        most = table.minutes * table.slot.energy_share * SHARE_SLACK
        return max(0.0, table.facts.by_key[dish].hands_on_min - most)
