"""The stable door to the shopping list; the work is in :mod:`mealplan.shop`."""

from __future__ import annotations

from mealplan.client.household import Eater, ShopOptions
from mealplan.market.packs import PackCount, choose_packs
from mealplan.market.price_list import (
    PriceList,
    demo_prices,
    price_list,
    read_prices,
    with_budget,
    with_prices,
)
from mealplan.shopping.build import shopping_list
from mealplan.shopping.left_over import Leftover, leftovers, next_cupboard
from mealplan.shopping.lines import DishUse, ListLine, Section, ShoppingList, weight_text
from mealplan.shopping.uses import NOT_BOUGHT
from mealplan.shopping.writing import list_csv, list_json, list_text

__all__ = [
    "NOT_BOUGHT",
    "DishUse",
    "Eater",
    "Leftover",
    "ListLine",
    "PackCount",
    "PriceList",
    "Section",
    "ShopOptions",
    "ShoppingList",
    "choose_packs",
    "demo_prices",
    "leftovers",
    "list_csv",
    "list_json",
    "list_text",
    "next_cupboard",
    "price_list",
    "read_prices",
    "shopping_list",
    "weight_text",
    "with_budget",
    "with_prices",
]
