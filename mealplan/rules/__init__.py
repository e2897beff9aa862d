"""
What a day should satisfy, one family a file.

How a day is found that satisfies it is in :mod:`mealplan.lp` and :mod:`mealplan.menu`.

To add a family: write a class with ``name`` and ``rows`` and put it in :data:`RULES`.
"""

from __future__ import annotations

from mealplan.rules.rows.base import Row, Rule, Scope, Slot
from mealplan.rules.rows.energy import DailyEnergy, MealEnergy
from mealplan.rules.rows.gut import Gut
from mealplan.rules.rows.money import Spending
from mealplan.rules.rows.nutrients import DailyNutrients, ProteinPerMeal, Wishes
from mealplan.rules.rows.plate import PlateFilled
from mealplan.rules.rows.training import AroundTraining

__all__ = ["RULES", "Row", "Rule", "Scope", "Slot", "day_rows"]

RULES: tuple[Rule, ...] = (
    DailyEnergy(),
    DailyNutrients(),
    Wishes(),
    MealEnergy(),
    ProteinPerMeal(),
    PlateFilled(),
    AroundTraining(),
    Gut(),
    Spending(),
)


def day_rows(scope: Scope) -> tuple[Row, ...]:
    """
    Collect every rule's rows for one day.

    Parameters
    ----------
    scope : Scope
        Client, targets, meals and foods.

    Returns
    -------
    tuple of Row
        In the order of :data:`RULES`; names are unique.
    """
    return tuple(row for rule in RULES for row in rule.rows(scope))
