"""
What a gram on the plate is worth, so that a plan can be made for a budget.

A food without a price is never taken for free: it is counted at what the dearer priced foods of
its kind cost.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from mealplan.client.household import ShopOptions
from mealplan.errors import IntakeError
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.market.forms import as_bought
from mealplan.market.price_list import PriceList
from mealplan.shopping.uses import NOT_BOUGHT

STAND_IN_QUANTILE = 0.75
"""Place among the priced foods of the same role that stands in for a price not known."""
FEWEST_OF_A_ROLE = 4
"""With fewer priced foods of a role, all priced foods are looked at."""


def rate_of(key: str, space: FoodSpace, prices: PriceList, options: ShopOptions) -> float | None:
    """
    Price a gram as eaten.

    Parameters
    ----------
    key : str
        Catalogue key.
    space : FoodSpace
    prices : PriceList
    options : ShopOptions
        The form the household buys it in.

    Returns
    -------
    float or None
        [currency/g eaten]; None when no price is known.
    """
    form = as_bought(space.foods[space.index[key]], options)
    per_gram = prices.per_gram(form.food)
    return None if per_gram is None else per_gram * form.bought_g(1.0)


def eaten_rates(space: FoodSpace, prices: PriceList, options: ShopOptions) -> NDArray[np.float64]:
    """
    Price a gram of every food as eaten, with stand-ins where no price is known.

    Parameters
    ----------
    space : FoodSpace
    prices : PriceList
    options : ShopOptions

    Returns
    -------
    array (foods,)
        [currency/g eaten]

    Raises
    ------
    IntakeError
        When the list prices none of the foods.
    """
    known: dict[str, float] = {}
    for food in space.foods:
        if food.key in NOT_BOUGHT:
            known[food.key] = 0.0
        elif (rate := rate_of(food.key, space, prices, options)) is not None:
            known[food.key] = rate
    paid = {key: rate for key, rate in known.items() if key not in NOT_BOUGHT}
    if not paid:
        raise IntakeError(
            "none of the foods in the price list is known, so no budget can be kept; name them as "
            "on the shopping list or by catalogue key (`mealplan food NAME` shows it)"
        )
    of_role: dict[str, list[float]] = {}
    for key, rate in paid.items():
        of_role.setdefault(space.foods[space.index[key]].role, []).append(rate)
    of_all = float(np.quantile(list(paid.values()), STAND_IN_QUANTILE))
    per_gram = np.zeros(len(space))
    for place, food in enumerate(space.foods):
        if food.key in known:
            per_gram[place] = known[food.key]
        else:
            alike = of_role.get(food.role, [])
            per_gram[place] = (
                float(np.quantile(alike, STAND_IN_QUANTILE))
                if len(alike) >= FEWEST_OF_A_ROLE
                else of_all
            )
    return per_gram
