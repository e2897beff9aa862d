"""
As eaten to as bought: dry or canned, fresh or frozen, with yields, refuse and drained weight.

A planned food has one form it is usually bought in, with its yield from the composition release.
A household may buy a partner form instead; the eaten grams stay the same, so the menu and its
portions do not change, only what is carried home. What changes in the nutrients is said in words.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cache

from foods.composition.catalogue import Catalogue, KitchenFood
from foods.dishes.treatments import boiled_ahead
from mealplan.client.household import ShopOptions
from mealplan.errors import IntakeError
from mealplan.kitchen.boiling import boiling_of
from mealplan.references.tables import Provenance, number, provenance, read_rows

SODIUM_WORTH_SAYING_MG = 50
"""A change of form that adds this much sodium per 100 g eaten is pointed out. [mg]"""


@dataclass(frozen=True)
class FormPair:
    """Two forms of the same food that replace each other on the plate."""

    planned: str
    instead: str
    form: str
    """Form of the replacement: canned, dry, frozen or fresh."""
    drained_fraction: float | None
    """Drained weight per weight on the label, for cans. [g/g]"""
    source: str
    provenance: Provenance


@dataclass(frozen=True)
class BoughtForm:
    """What is carried home for one planned food."""

    food: KitchenFood
    """The food bought; the planned one itself unless a partner form was chosen."""
    planned: KitchenFood
    yield_factor: float
    """Grams eaten per edible gram bought. [g/g]"""
    yield_low: float
    yield_high: float
    refuse_fraction: float
    note: str = ""
    """What the change of form means, or nothing."""

    def bought_g(self, eaten_g: float) -> float:
        """
        Follow an amount eaten back to the amount bought.

        Parameters
        ----------
        eaten_g : float
            [g]

        Returns
        -------
        float
            As bought: with refuse, and with the liquid of a can. [g]
        """
        return eaten_g / self.yield_factor / (1 - self.refuse_fraction)

    def range_g(self, eaten_g: float) -> tuple[float, float]:
        """
        Say how little and how much it may take in different kitchens.

        Parameters
        ----------
        eaten_g : float
            [g]

        Returns
        -------
        tuple of float
            Least and most, as bought. [g]
        """
        keep = 1 - self.refuse_fraction
        return eaten_g / self.yield_high / keep, eaten_g / self.yield_low / keep


@cache
def form_pairs() -> tuple[FormPair, ...]:
    """
    Load the pairs of forms that replace each other.

    Returns
    -------
    tuple of FormPair
    """
    return tuple(
        FormPair(
            planned=row["planned"],
            instead=row["instead"],
            form=row["form"],
            drained_fraction=number(row["drained_fraction"]),
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for row in read_rows("bought_forms.csv")
    )


def partners(key: str) -> tuple[FormPair, ...]:
    """
    List the forms a planned food may be bought in instead of its usual one.

    Parameters
    ----------
    key : str
        Catalogue key of the planned food.

    Returns
    -------
    tuple of FormPair
    """
    return tuple(pair for pair in form_pairs() if pair.planned == key)


def as_bought(
    planned: KitchenFood,
    options: ShopOptions,
    *,
    time_to_boil: bool = True,
    home: Collection[str] = (),
) -> BoughtForm:
    """
    Choose the form a planned food is bought in.

    Parameters
    ----------
    planned : KitchenFood
        The food as the plan weighs it.
    options : ShopOptions
        The household's choices.
    time_to_boil : bool
        Whether the day it is cooked leaves time to boil dried pulses.
    home : collection of str
        Names of what is at home; a form that is there is used before another is bought.

    Returns
    -------
    BoughtForm

    Raises
    ------
    IntakeError
        When ``options.instead`` names a food that is no partner of the planned one.
    """
    pair = _chosen(planned, options, time_to_boil, home)
    if pair is None:
        return BoughtForm(
            food=planned,
            planned=planned,
            yield_factor=planned.yield_factor,
            yield_low=planned.yield_low,
            yield_high=planned.yield_high,
            refuse_fraction=planned.bought_refuse_pct / 100,
        )
    food = Catalogue.load().food(pair.instead)
    factor = pair.drained_fraction or food.yield_factor
    return BoughtForm(
        food=food,
        planned=planned,
        yield_factor=factor,
        yield_low=min(factor, food.yield_low),
        yield_high=factor if pair.drained_fraction else max(factor, food.yield_high),
        refuse_fraction=food.bought_refuse_pct / 100,
        note=_difference(planned, food, pair),
    )


def _chosen(
    planned: KitchenFood, options: ShopOptions, time_to_boil: bool, home: Collection[str]
) -> FormPair | None:
    offered = {pair.form: pair for pair in partners(planned.key)}
    if planned.key in options.instead:
        wanted = options.instead[planned.key]
        if wanted == planned.key:
            return None
        for pair in offered.values():
            if pair.instead == wanted:
                return pair
        names = ", ".join(pair.instead for pair in offered.values()) or "none"
        raise IntakeError(
            f"shop.instead: {wanted!r} cannot be bought for {planned.key!r}, because the amounts "
            f"would not be known; the forms it can be bought in instead are: {names}"
        )
    if planned.bought_name in home:
        return None
    if home:
        find = Catalogue.load().food
        there = [pair for pair in offered.values() if find(pair.instead).bought_name in home]
        if there:
            return there[0]
    by_minutes = options.pulses in ("as planned", "by minutes")
    if options.pulses == "canned" or (by_minutes and not time_to_boil):
        form = offered.get("canned")
    elif options.pulses in ("dry", "by minutes"):
        form = offered.get("dry")
    else:
        form = None
    if form is not None:
        return form
    return None if options.produce == "as planned" else offered.get(options.produce)


def boiling_ahead_min(
    planned: KitchenFood,
    options: ShopOptions,
    *,
    time_to_boil: bool = True,
    home: Collection[str] = (),
) -> int:
    """
    Say how long it takes to soak, boil and drain a pulse before a dish begins.

    Parameters
    ----------
    planned : KitchenFood
        The food as the plan weighs it.
    options : ShopOptions
    time_to_boil : bool
        False where what comes in tins is bought in tins.
    home : collection of str
        Names of what is at home.

    Returns
    -------
    int
        Hands-on; 0 for what is no pulse that is boiled ahead, or comes boiled. [min]
    """
    food = as_bought(planned, options, time_to_boil=time_to_boil, home=home).food
    row = boiling_of(food)
    if row is None or boiled_ahead(food) is None or food.aisle == "canned goods":
        return 0
    return row.hands_on_min


def _difference(planned: KitchenFood, food: KitchenFood, pair: FormPair) -> str:
    if planned.ndb is None or food.ndb is None:
        return ""
    from foods.composition.table import FoodTable

    per_100g = FoodTable.load().per_100g
    before, after = per_100g(planned.ndb), per_100g(food.ndb)
    if pair.form == "canned" and "sodium_mg" in before and "sodium_mg" in after:
        added = after["sodium_mg"] - before["sodium_mg"]
        if added > SODIUM_WORTH_SAYING_MG:
            return (
                f"Choose cans without added salt and rinse: the usual ones add up to "
                f"{added:.0f} mg sodium per 100 g over the planned boiled form."
            )
    return ""
