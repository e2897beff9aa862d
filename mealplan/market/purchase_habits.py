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
def hard_to_find() -> frozenset[str]:
    """
    Load the foods that most ordinary supermarkets do not have.

    Returns
    -------
    frozenset of str
        Catalogue keys.
    """
    return frozenset(row["food"] for row in read_rows("hard_to_find.csv"))
