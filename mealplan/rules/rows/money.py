"""What the food may cost, when prices and a budget are given."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import ClassVar

import numpy as np

from mealplan.rules.rows.base import Row, Scope
from mealplan.rules.weights import weight

FILLING_KCAL_PER_G = 0.5
"""Foods below this are not eaten for their energy. [kcal/g]"""
OVER_BUDGET = weight("over_budget")


def usual_worth(scope: Scope) -> float:
    """
    Say what a day's food costs at the middle price of energy.

    Parameters
    ----------
    scope : Scope
        With ``worth_per_gram``.

    Returns
    -------
    float
        [currency/day]
    """
    assert scope.worth_per_gram is not None
    energy = scope.space.per_gram("energy_kcal")
    fills = (energy >= FILLING_KCAL_PER_G) & (scope.worth_per_gram > 0)
    per_kcal = float(np.median(scope.worth_per_gram[fills] / energy[fills]))
    return per_kcal * scope.day.meal_kcal


class Spending:
    """The food eaten on a day is worth its part of the week's budget at most."""

    name: ClassVar[str] = "spending"

    def rows(self, scope: Scope) -> Iterator[Row]:
        """
        Yield one row, or none without a budget.

        Parameters
        ----------
        scope : Scope
            The day's meals, foods and targets.
        """
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
            price_high=scope.dear * OVER_BUDGET / max(scope.budget, usual_worth(scope)),
            tier="comfort",
            why=(
                f"the food eaten should be worth {scope.budget:.2f} "
                f"{scope.intake.kitchen.shop.currency} a day at most, for the week's budget"
            ),
        )
