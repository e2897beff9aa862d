"""The stable door to the shopping list; the work is in :mod:`mealplan.shop`."""

from __future__ import annotations

from mealplan.household import Eater, ShopOptions
from mealplan.shop.build import shopping_list
from mealplan.shop.cupboard import Leftover, leftovers, next_cupboard
from mealplan.shop.lines import DishUse, ListLine, Section, ShoppingList, weight_text
from mealplan.shop.packs import PackCount, choose_packs
from mealplan.shop.prices import (
    PriceList,
    demo_prices,
    price_list,
    read_prices,
    with_budget,
    with_prices,
)
from mealplan.shop.uses import NOT_BOUGHT
from mealplan.shop.writing import list_csv, list_json, list_text

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
