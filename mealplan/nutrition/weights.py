"""
Weights between the shop, the shelf and the plate.

Food tables are per 100 g of edible part in a stated form, raw or cooked. Refuse only turns edible
grams into grams as bought, and only for the form that is actually bought.
"""

from __future__ import annotations

from mealplan.errors import TargetError
from mealplan.science.equations import equation


def _check_share(name: str, percent: float) -> None:
    if not 0 <= percent < 100:
        raise TargetError(
            f"{name}={percent:g} is outside 0 to 100 %; give a percentage, not a share"
        )


@equation("weights of food")
def purchased_g(edible_g: float, refuse_pct: float) -> float:
    """
    Work out what to buy for an amount of edible part.

    Parameters
    ----------
    edible_g : float
        Needed without skin, stones or stalks. [g]
    refuse_pct : float
        Share of the food as bought that is thrown away. [% by weight]

    Returns
    -------
    float
        As bought. [g]
    """
    _check_share("refuse_pct", refuse_pct)
    return edible_g / (1 - refuse_pct / 100)


@equation("weights of food")
def edible_g(purchased_g: float, refuse_pct: float) -> float:
    """
    Work out the edible part of what was bought.

    Parameters
    ----------
    purchased_g : float
        As bought. [g]
    refuse_pct : float
        Share thrown away. [% by weight]

    Returns
    -------
    float
        [g]
    """
    _check_share("refuse_pct", refuse_pct)
    return purchased_g * (1 - refuse_pct / 100)


@equation("weights of food")
def dry_matter_yield(water_dry_pct: float, water_cooked_pct: float) -> float:
    """
    Work out how many grams cooked come of one gram dry, dry matter being kept.

    Parameters
    ----------
    water_dry_pct, water_cooked_pct : float
        Water of the two table rows. [% by weight]

    Returns
    -------
    float
        Conserves nutrients between the rows; a kitchen scale may show another yield. [g/g]
    """
    _check_share("water_dry_pct", water_dry_pct)
    _check_share("water_cooked_pct", water_cooked_pct)
    return (100 - water_dry_pct) / (100 - water_cooked_pct)


@equation("weights of food")
def dry_g(cooked_g: float, cooking_yield: float) -> float:
    """
    Work out the dry weight to buy for a cooked amount.

    Parameters
    ----------
    cooked_g : float
        On the plate. [g]
    cooking_yield : float
        Grams cooked a gram dry. [g/g]

    Returns
    -------
    float
        [g]
    """
    if not cooking_yield > 0:
        raise TargetError(f"cooking_yield={cooking_yield:g} must be above 0")
    return cooked_g / cooking_yield
