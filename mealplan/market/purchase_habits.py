"""What a household would rather not buy: a second thing of a kind, or what few shops have."""

from __future__ import annotations

from functools import cache

from mealplan.references.tables import read_rows


@cache
def kin_of() -> dict[str, str]:
    """
    Load the kinds of which a household keeps one at a time, such as firm tofu.

    Returns
    -------
    dict of str to str
        Catalogue key to kind; foods without near kin are not in it.
    """
    return {row["food"]: row["kin"] for row in read_rows("close_kin.csv")}


@cache
def hard_to_find(units: str = "metric") -> frozenset[str]:
    """
    Load the foods that only special shops have.

    Parameters
    ----------
    units : str
        ``us`` for a household with American kitchen measures, whose shops have other foods.

    Returns
    -------
    frozenset of str
        Catalogue keys.
    """
    return _sold_by("special", units)


@cache
def in_large_shops(units: str = "metric") -> frozenset[str]:
    """
    Load the foods that large supermarkets have and few small ones.

    Parameters
    ----------
    units : str
        ``us`` for a household with American kitchen measures.

    Returns
    -------
    frozenset of str
        Catalogue keys.
    """
    return _sold_by("large", units)


def _sold_by(shop: str, units: str) -> frozenset[str]:
    rows = read_rows("hard_to_find.csv")
    return frozenset(
        row["food"] for row in rows if row["shop"] == shop and row["ordinary_in"] != units
    )


@cache
def out_of_season(month: int) -> frozenset[str]:
    """
    Load the fresh foods that are imported, dear or not there in a month.

    Parameters
    ----------
    month : int
        1 to 12; seasons are those of Europe and North America.

    Returns
    -------
    frozenset of str
        Catalogue keys.
    """
    found = set()
    for row in read_rows("seasons.csv"):
        first, last = int(row["first_month"]), int(row["last_month"])
        there = first <= month <= last if first <= last else month >= first or month <= last
        if not there:
            found.add(row["food"])
    return frozenset(found)
