"""What each dish costs in errands: foods few shops have, and fresh ones out of their season."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from foods.dishes.model import Dish
from mealplan.client.wishes import Kitchen
from mealplan.market.purchase_habits import hard_to_find, in_large_shops, out_of_season
from mealplan.rules.weights import weight

FAR_FETCHED = weight("far_fetched")
LARGE_SHOP = weight("large_shop")
OUT_OF_SEASON = weight("out_of_season")


def errands(
    dishes: Iterable[Dish],
    kitchen: Kitchen,
    month: int,
    *,
    at_home: Collection[str],
    liked: Collection[str],
) -> dict[str, float]:
    """
    Price the errands of each dish.

    Parameters
    ----------
    dishes : iterable of Dish
    kitchen : Kitchen
        Its shops and measures.
    month : int
        1 to 12.
    at_home : collection of str
        Catalogue keys.
    liked : collection of str
        Catalogue keys; what is liked is worth the way, in its season.

    Returns
    -------
    dict of str to float
        By dish, those without any left out. [score]
    """
    prices = _prices(kitchen, month, liked)
    found = {
        dish.key: sum(
            prices.get(line.food, 0.0)
            for line in dish.lines
            if not line.optional and line.food not in at_home
        )
        for dish in dishes
    }
    return {key: price for key, price in found.items() if price}


def _prices(kitchen: Kitchen, month: int, liked: Collection[str]) -> Mapping[str, float]:
    """Price each food that is an errand; a well stocked place has all but the season."""
    prices = dict.fromkeys(out_of_season(month), OUT_OF_SEASON)
    if not kitchen.shop.well_stocked:
        prices |= dict.fromkeys(in_large_shops(kitchen.units).difference(liked), LARGE_SHOP)
        prices |= dict.fromkeys(hard_to_find(kitchen.units).difference(liked), FAR_FETCHED)
    return prices
