"""How much a plate, a bowl or a glass holds: a meal's food and drink by weight."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

import numpy as np

from mealplan.rules.rows.base import Row, Scope
from mealplan.rules.weights import weight

PLATE = "grams@"
"""How the rows of this family begin; the meal's index follows."""
FILLED_G, FILLED_G_PER_KCAL = 400.0, 0.4
"""
What a meal weighs with its drink before it is priced as too full: 600 g of 500 kcal, 800 g of
1,000 kcal (common practice: a full dinner plate holds some 600 g). [g, g/kcal]
"""


def filled_g(meal_kcal: float) -> float:
    """
    Say what a meal weighs with its drink when the plate is full.

    Parameters
    ----------
    meal_kcal : float
        Energy the meal usually carries. [kcal]

    Returns
    -------
    float
        [g]
    """
    return FILLED_G + FILLED_G_PER_KCAL * meal_kcal


class PlateFilled:
    """No meal is larger than a plate and a glass hold."""

    name: ClassVar[str] = "plate"

    def rows(self, scope: Scope) -> Iterator[Row]:
        """
        Yield one row a meal.

        Parameters
        ----------
        scope : Scope
            The day's meals, foods and targets.
        """
        for slot in scope.slots:
            most = filled_g(slot.energy_share * scope.day.meal_kcal)
            yield Row(
                name=f"{PLATE}{slot.index}",
                label=f"Weight of {slot.label}",
                unit="g",
                per_gram=np.ones(len(scope.space)),
                low=-np.inf,
                high=most,
                price_low=0.0,
                price_high=scope.plate_price * weight("heavy") / 100,
                tier="comfort",
                why=f"{slot.label} should not weigh more than about {most:.0f} g with its drink",
                slots=(slot.index,),
            )
