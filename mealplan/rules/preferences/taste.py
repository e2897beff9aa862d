"""What the client would rather not, now and then, gladly or most of all have."""

from __future__ import annotations

from collections.abc import Mapping

from foods.dishes.model import Dish
from mealplan.kitchen.preferences import GRADES, Exclusions, Grade
from mealplan.rules.weights import weight

PLAIN = weight("plain")
GRADE_PRICE: Mapping[Grade, float] = {grade: weight(grade) for grade in GRADES}


def taste_price(dish: Dish, wishes: Exclusions) -> float:
    """
    Say what the client's liking adds to the price of a dish.

    Parameters
    ----------
    dish : Dish
    wishes : Exclusions
        What the client's words mean.

    Returns
    -------
    float
        Dislikes add up over required foods; liking counts once.
    """
    prices = [GRADE_PRICE[grade] for grade in wishes.grades(dish)]
    return sum(p for p in prices if p > 0) + min((p for p in prices if p < 0), default=0.0)
