"""What is left after the week and how long it keeps: next week's cupboard."""

from __future__ import annotations

import datetime as dt

from pydantic import BaseModel, ConfigDict

from mealplan.client.intake import CupboardItem, Intake
from mealplan.kitchen.custom_foods import catalogue_of
from mealplan.shopping.lines import ShoppingList

WORTH_KEEPING_G = 1.0
"""Less than this is scraped out of the jar. [g]"""


class Leftover(BaseModel):
    """Something still there when the week is over."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    food: str
    """Catalogue key of the food bought."""
    name: str
    grams: float
    """As bought. [g]"""
    use_by: dt.date | None
    """Last day it keeps; none when it keeps for weeks."""
    keeps_until_next: bool
    """Whether it is still good on the first day after the plan."""


def leftovers(shopping: ShoppingList, intake: Intake) -> tuple[Leftover, ...]:
    """
    List what is left after a plan, the untouched cupboard included.

    What was to be checked at home is taken as bought, as the list then says.

    Parameters
    ----------
    shopping : ShoppingList
    intake : Intake
        The cupboard before the week.

    Returns
    -------
    tuple of Leftover
        By name.
    """
    catalogue = catalogue_of(intake)
    after = shopping.start + dt.timedelta(days=shopping.days)
    kept: dict[str, Leftover] = {}
    at_home: dict[str, tuple[str, float]] = {}
    for item in intake.kitchen.cupboard:
        food = catalogue.food(item.food)
        before = at_home.get(food.bought_name, (food.key, 0.0))[1]
        at_home[food.bought_name] = (food.key, before + item.grams)
    for line in shopping.lines:
        key, held = at_home.get(line.name, (line.bought, 0.0))
        at_home[line.name] = (key, held - line.from_cupboard_g)
    for line in shopping.lines:
        fresh = line.left_over_g if line.buy_g else 0.0
        if fresh < WORTH_KEEPING_G:
            continue
        before_g = kept[line.name].grams if line.name in kept else 0.0
        kept[line.name] = Leftover(
            food=line.bought,
            name=line.name,
            grams=round(fresh + before_g, 1),
            use_by=line.use_by,
            keeps_until_next=line.use_by is None or line.use_by >= after,
        )
    for name, (key, held) in at_home.items():
        if held < WORTH_KEEPING_G:
            continue
        before_g = kept[name].grams if name in kept else 0.0
        kept[name] = Leftover(
            food=kept[name].food if name in kept else key,
            name=name,
            grams=round(held + before_g, 1),
            use_by=kept[name].use_by if name in kept else None,
            keeps_until_next=True,
        )
    return tuple(kept[name] for name in sorted(kept))


def next_cupboard(shopping: ShoppingList, intake: Intake) -> tuple[CupboardItem, ...]:
    """
    Give the cupboard with which the next week's list begins.

    Parameters
    ----------
    shopping : ShoppingList
    intake : Intake

    Returns
    -------
    tuple of CupboardItem
        Only what still keeps on the first day after the plan.
    """
    return tuple(
        CupboardItem(food=item.food, grams=item.grams)
        for item in leftovers(shopping, intake)
        if item.keeps_until_next
    )
