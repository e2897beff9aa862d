"""
A price list: what a pack costs in the client's shop, read from CSV (RFC 4180).

Columns: ``food`` (catalogue key or the name on the shopping list), ``size_g``, ``price``,
``currency`` (ISO 4217). A food without a row has no price, and that is said: it is never free.
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from importlib.resources import files

from foods.composition.catalogue import Catalogue, KitchenFood
from mealplan.client.household import PackPrice, ShopOptions
from mealplan.errors import IntakeError
from mealplan.market.packs import PackCount

MAX_ROWS = 5_000
"""A price list longer than this is the wrong file."""
COLUMNS = ("food", "size_g", "price", "currency")

DEMO_PRICES = "demo_prices.csv"
DEMO_NOTE = "Prices are invented for the demonstration; they are no shop's."


@dataclass(frozen=True)
class PriceList:
    """Prices of packs by bought name and size."""

    by_name: Mapping[str, Mapping[float, float]]
    currency: str
    note: str = ""
    unknown: tuple[str, ...] = field(default=())
    """Rows whose food is not in the catalogue, as they were written."""

    def packs(self, food: KitchenFood) -> Mapping[float, float]:
        """
        Give the prices of a food's packs.

        Parameters
        ----------
        food : KitchenFood

        Returns
        -------
        mapping of float to float
            Price by size; empty when none is known.
        """
        return self.by_name.get(food.bought_name, {})

    def per_gram(self, food: KitchenFood) -> float | None:
        """
        Give the lowest price of a gram of a food.

        Parameters
        ----------
        food : KitchenFood

        Returns
        -------
        float or None
            [currency/g]; None when no price is known.
        """
        known = self.packs(food)
        return min(price / size for size, price in known.items()) if known else None

    def cost(self, food: KitchenFood, packs: Sequence[PackCount], buy_g: float) -> float | None:
        """
        Price what is bought of a food.

        Parameters
        ----------
        food : KitchenFood
        packs : sequence of PackCount
            Packs bought; empty when it is sold loose.
        buy_g : float
            Grams bought loose. [g]

        Returns
        -------
        float or None
            None when a size has no price and none can be scaled from another.
        """
        known = self.packs(food)
        if not known:
            return None
        if not packs:
            rate = self.per_gram(food)
            return None if rate is None else round(rate * buy_g, 2)
        total = 0.0
        for pack in packs:
            price = known.get(pack.size_g)
            if price is None:
                nearest = min(known, key=lambda size: abs(math.log(size / pack.size_g)))
                price = known[nearest] * pack.size_g / nearest
            total += price * pack.count
        return round(total, 2)


def read_prices(text: str, note: str = "", catalogue: Catalogue | None = None) -> PriceList:
    """
    Read a price list.

    Parameters
    ----------
    text : str
        CSV with the columns food, size_g, price, currency.
    note : str
        Said wherever the prices are used.
    catalogue : Catalogue, optional
        With foods of one's own; the shipped one when left out.

    Returns
    -------
    PriceList

    Raises
    ------
    IntakeError
        When a column is missing, a number cannot be read, or currencies are mixed.
    """
    return _known_names(*_read_rows(text), note, catalogue)


def price_list(options: ShopOptions, catalogue: Catalogue | None = None) -> PriceList | None:
    """
    Give the household's own prices.

    Parameters
    ----------
    options : ShopOptions
    catalogue : Catalogue, optional
        With foods of one's own; the shipped one when left out.

    Returns
    -------
    PriceList or None
        None when it gave none.
    """
    if not options.prices:
        return None
    return _known_names(options.prices, options.currency, "", catalogue)


def with_prices(options: ShopOptions, text: str) -> ShopOptions:
    """
    Put a price list in place of a household's prices.

    Parameters
    ----------
    options : ShopOptions
    text : str
        As for :func:`read_prices`.

    Returns
    -------
    ShopOptions

    Raises
    ------
    IntakeError
        As :func:`read_prices`.
    """
    rows, currency = _read_rows(text)
    return options.model_copy(update={"prices": rows, "currency": currency})


def with_budget(options: ShopOptions, budget_per_week: float) -> ShopOptions:
    """
    Put a budget in place of a household's.

    Parameters
    ----------
    options : ShopOptions
    budget_per_week : float
        For everyone who eats together. [currency/week]

    Returns
    -------
    ShopOptions

    Raises
    ------
    IntakeError
        When it is no amount above 0, or there are no prices to count it in.
    """
    if not 0 < budget_per_week < 1e6:
        raise IntakeError(
            f"a budget of {budget_per_week:g} is no amount of money a week; give a number above 0, "
            "such as 55"
        )
    if not options.prices:
        raise IntakeError(
            "a budget needs prices to be counted in; give a price list with `--prices FILE`, or "
            "prices in the intake's kitchen.shop"
        )
    return options.model_copy(update={"budget_per_week": budget_per_week})


def _known_names(
    rows: Sequence[PackPrice], currency: str, note: str, catalogue: Catalogue | None
) -> PriceList:
    """Sort rows by the name a food is bought under; what is not known is kept apart."""
    foods = (catalogue or Catalogue.load()).foods
    names = {food.key: food.bought_name for food in foods}
    names |= {food.bought_name.lower(): food.bought_name for food in foods}
    prices: dict[str, dict[float, float]] = {}
    unknown: list[str] = []
    for row in rows:
        name = names.get(row.food) or names.get(row.food.lower())
        if name is None:
            unknown.append(row.food)
        else:
            prices.setdefault(name, {})[row.size_g] = row.price
    return PriceList(
        by_name=prices, currency=currency, note=note, unknown=tuple(dict.fromkeys(unknown))
    )


def _read_rows(text: str) -> tuple[tuple[PackPrice, ...], str]:
    """Read the rows of a price list and the one currency they are in."""
    rows = list(csv.DictReader(io.StringIO(text.lstrip("\ufeff"))))
    if not rows or any(column not in rows[0] for column in COLUMNS):
        raise IntakeError(
            f"the price list needs the columns {', '.join(COLUMNS)} in its first line and a row "
            "below it, such as: chickpeas_canned,400,0.90,EUR"
        )
    if len(rows) > MAX_ROWS:
        raise IntakeError(f"the price list has {len(rows):,} rows; give {MAX_ROWS:,} at most")
    read = tuple(
        PackPrice(
            food=(row["food"] or "").strip()[:80] or "?",
            size_g=_positive(row, "size_g", line, most=100_000),
            price=_positive(row, "price", line, most=1_000_000),
        )
        for line, row in enumerate(rows, start=2)
    )
    currencies = sorted({(row["currency"] or "").strip().upper() for row in rows})
    if len(currencies) > 1:
        raise IntakeError(
            f"the price list mixes the currencies {', '.join(currencies)}; sums would mean "
            "nothing, so convert all prices to one"
        )
    if re.fullmatch(r"[A-Z]{3}", currencies[0]) is None:
        raise IntakeError(
            f"the price list's currency {currencies[0]!r} should be three letters (ISO 4217), such "
            "as EUR"
        )
    return read, currencies[0]


def _positive(row: Mapping[str, str], column: str, line: int, *, most: float) -> float:
    said = (row[column] or "").strip()
    try:
        value = float(said)
    except ValueError:
        value = math.nan
    if not (0 < value < most):
        raise IntakeError(
            f"price list line {line} ({row['food']}): {column}={said!r} should be a number above 0 "
            f"and below {most:,.0f}, with a decimal point, such as 2.50"
        )
    return value


def demo_prices() -> PriceList:
    """
    Load the invented prices of the demonstration.

    Returns
    -------
    PriceList
    """
    text = files("mealplan.references").joinpath(DEMO_PRICES).read_text(encoding="utf-8")
    return read_prices(text, note=DEMO_NOTE)
