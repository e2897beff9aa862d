"""Fewer things to buy, and none that takes an errand of its own."""

from __future__ import annotations

from typing import ClassVar

from mealplan.market.price_list import PriceList
from mealplan.rules.preferences.base import Table
from mealplan.rules.weights import weight

KIN = weight("kin")
PACK = weight("pack")


def pack_prices(prices: PriceList | None, budget: float | None) -> dict[str, float]:
    """
    Say what opening the smallest pack of each thing adds, where there are prices and a budget.

    Parameters
    ----------
    prices : PriceList or None
    budget : float or None
        [currency/week]

    Returns
    -------
    dict of str to float
        By bought name. [score]
    """
    if prices is None or budget is None:
        return {}
    return {name: PACK * min(packs.values()) / budget for name, packs in prices.by_name.items()}


class NewThings:
    """Things a dish needs that the other days do not use."""

    name: ClassVar[str] = "buying"

    def price(self, dish: str, table: Table) -> float:
        """
        Price each thing, dearer when another of its kind is there.

        Parameters
        ----------
        dish : str
            Key of the dish.
        table : Table
            The meal, its day and what is around them.
        """
        facts = table.facts
        new = facts.bought[dish].difference(table.around.at_home)
        return sum(
            facts.cost_to_open[name] + KIN * (facts.kin.get(name) in table.around.kinds)
            for name in new
        )

    def sentence(self, dish: str, table: Table) -> str:
        """
        Name them.

        Parameters
        ----------
        dish : str
            Key of the dish.
        table : Table
            The meal, its day and what is around them.
        """
        new = sorted(table.facts.bought[dish].difference(table.around.at_home))
        return f"buys {', '.join(new)}" if new else ""


class HardToFind:
    """Foods that few shops have."""

    name: ClassVar[str] = "hard to find"

    def price(self, dish: str, table: Table) -> float:
        """
        Give the price of them.

        Parameters
        ----------
        dish : str
            Key of the dish.
        table : Table
            The meal, its day and what is around them.
        """
        return table.facts.far_fetched.get(dish, 0.0)

    def sentence(self, dish: str, table: Table) -> str:
        """
        Say so.

        Parameters
        ----------
        dish : str
            Key of the dish.
        table : Table
            The meal, its day and what is around them.
        """
        far = table.facts.far_fetched.get(dish, 0.0)
        return "needs what few shops have, or none at this season" if far else ""
