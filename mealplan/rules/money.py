"""What the food may cost, when prices and a budget are given."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import ClassVar

from mealplan.rules.base import Row, Scope

PRICE_OVER = 2.0
"""Price of spending double: above every wish of comfort and fuel, below every floor."""


class Spending:
    """The food eaten on a day is worth a seventh of the week's budget at most."""

    name: ClassVar[str] = "spending"

    def rows(self, scope: Scope) -> Iterator[Row]:
        """Yield one row, or none without a budget."""
        if scope.worth_per_gram is None or scope.budget is None:
            return
        yield Row(
            name="spending",
            label="Worth of the food",
            unit=scope.intake.kitchen.shop.currency,
            per_gram=scope.worth_per_gram,
            low=-math.inf,
            high=scope.budget,
            price_low=0.0,
            price_high=PRICE_OVER / scope.budget,
            tier="comfort",
            why=(
                f"the food eaten should be worth {scope.budget:.2f} "
                f"{scope.intake.kitchen.shop.currency} a day at most (the week's budget)"
            ),
        )
