"""Another dish than what is liked, while the week is behind with it."""

from __future__ import annotations

from typing import ClassVar

from mealplan.rules.preferences.base import Table
from mealplan.rules.preferences.wanted import OTHER_MEAL


class LikedMeals:
    """Meals of a tradition, kind or food that is liked: each at least its share of the week."""

    name: ClassVar[str] = "liked meals"

    def price(self, dish: str, table: Table) -> float:
        """
        Mind a dish by how much less it catches up than the dish that catches up most.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        gains = table.catches_up
        return OTHER_MEAL * (1 - gains.get(dish, 0.0) / max(gains.values())) if gains else 0.0

    def sentence(self, dish: str, table: Table) -> str:
        """
        Name what the week is behind with.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        if not self.price(dish, table):
            return ""
        words = [word for wanted, _ in table.behind if dish not in wanted.dishes
                 for word in wanted.words]  # fmt: skip
        return f"the week is behind with {', '.join(words)}"
