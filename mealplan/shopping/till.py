"""What is paid at the till for a plan, what of it is for later, and what came from home."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from foods.composition.catalogue import Catalogue
from mealplan.client.household import ShopOptions
from mealplan.client.intake import CupboardItem
from mealplan.market.price_list import PriceList
from mealplan.shopping.lines import ListLine, ShoppingList

CENT = 0.005
"""Sums nearer than this are the same amount. [currency]"""


@dataclass(frozen=True)
class Till:
    """What the list of some days comes to."""

    paid: float
    """Whole packs and pieces on the list, staples to check left out. [currency]"""
    stays: float
    """Part of it that is left over and keeps beyond these days. [currency]"""
    from_home: float
    """Worth of what the cupboard gives, which is not paid again. [currency]"""


def till_of(shopping: ShoppingList, prices: PriceList, catalogue: Catalogue) -> Till:
    """
    Add up a priced list.

    Parameters
    ----------
    shopping : ShoppingList
        Made with these prices.
    prices : PriceList
    catalogue : Catalogue
        With foods of one's own.

    Returns
    -------
    Till
        What has no price counts in none of the sums.
    """
    after = shopping.start + dt.timedelta(days=shopping.days)
    from_home = sum(
        line.from_cupboard_g * (prices.per_gram(catalogue.food(line.bought)) or 0.0)
        for line in shopping.lines
        if line.from_cupboard_g
    )
    return Till(
        paid=round(sum(line.price or 0.0 for line in shopping.to_buy), 2),
        stays=round(sum(_stays(line, after) for line in shopping.to_buy), 2),
        from_home=round(from_home, 2),
    )


def _stays(line: ListLine, after: dt.date) -> float:
    """Give the price of what is left of a line and still keeps after these days."""
    if not line.price or not line.buy_g or (line.use_by is not None and line.use_by < after):
        return 0.0
    return line.price * min(line.left_over_g, line.buy_g) / line.buy_g


def worth_at_home(
    cupboard: Iterable[CupboardItem], prices: PriceList, catalogue: Catalogue
) -> float:
    """
    Price what is at home.

    Parameters
    ----------
    cupboard : iterable of CupboardItem
    prices : PriceList
    catalogue : Catalogue
        With foods of one's own.

    Returns
    -------
    float
        [currency]; what has no price counts nothing.
    """
    return sum(
        item.grams * (prices.per_gram(catalogue.food(item.food)) or 0.0) for item in cupboard
    )


def allowed_for(options: ShopOptions, days: int) -> float | None:
    """
    Give what some days may cost.

    Parameters
    ----------
    options : ShopOptions
    days : int
        How many. [days]

    Returns
    -------
    float or None
        None without a budget. Packs are bought for a week, so fewer than seven days may cost a
        week's budget at the till. [currency]
    """
    if options.budget_per_week is None:
        return None
    weeks = days / 7
    return options.budget_per_week * (max(1.0, weeks) if options.budget_counts == "till" else weeks)
