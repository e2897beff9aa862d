"""What the client would rather not, now and then, gladly or most of all have."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from foods.dishes.model import Dish
from mealplan.kitchen.preferences import GRADES, Exclusions, Grade
from mealplan.rules.preferences.base import MAINS, Table
from mealplan.rules.weights import weight

PLAIN = weight("plain")
OTHER_MAIN = weight("other_main")
WEEK_MAINS = 14
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


class LikedMains:
    """Main meals of a tradition, kind or food that is liked: at least its share of the week."""

    name: ClassVar[str] = "liked main meals"

    def price(self, dish: str, table: Table) -> float:
        """Mind another main meal while the week is behind its share."""
        share, around = table.facts.liked_mains, table.around
        if table.slot.occasion not in MAINS or not share or dish in table.facts.liked:
            return 0.0
        behind = around.liked_mains < share * min(around.mains + 1, WEEK_MAINS) / WEEK_MAINS
        return OTHER_MAIN if behind else 0.0

    def sentence(self, dish: str, table: Table) -> str:
        """Say that it is another."""
        return "not of what is liked for main meals" if self.price(dish, table) else ""
