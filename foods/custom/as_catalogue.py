"""
A food of one's own as the kitchen knows it: its composition, its catalogue row, what it lacks.

The food itself, and what is asked about it, is :mod:`foods.custom.food`.
"""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Iterable
from functools import lru_cache

from foods.composition.catalogue import Catalogue, KitchenFood
from foods.composition.unlisted.amino_acids import (
    AMINO_ACID_PAIRS,
    AMINO_ACIDS,
    DEFAULT_NITROGEN_FACTOR,
)
from foods.composition.unlisted.composition import OwnComposition
from foods.custom.food import OWN_GROUP, OwnFood, State, reference_of, with_families
from foods.custom.ingredients import ingredient_names
from foods.custom.label import NITROGEN_FACTOR, read_label
from foods.registry.errors import FoodError

CUP_ML = 240.0
"""[ml] (21 CFR 101.9(b)(5)(viii))"""

USUAL_MOST_G: dict[State, float] = {
    "ready": 300, "liquid": 750, "powder": 60, "frozen": 300, "canned": 300,
}  # fmt: skip
"""Most a person is given in a day where nothing is said (common practice). [g]"""

USUAL_AISLE: dict[State, str] = {
    "ready": "refrigerated", "liquid": "drinks", "powder": "dry goods", "frozen": "frozen",
    "canned": "canned goods",
}  # fmt: skip

USUAL_STEP = {"cup": 0.25, "scoop": 0.5, "block": 0.25, "piece": 0.5}
"""Smallest sensible part of a measure where nothing is said; whole burgers, slices and spoons."""

_STATES: dict[State, str] = {"powder": "dry"}
"""The catalogue's word for a state, where it differs."""


def imputed_amino_acids(food: OwnFood) -> dict[str, float]:
    """
    Scale a reference food's amino acids to a label's protein.

    Parameters
    ----------
    food : OwnFood

    Returns
    -------
    dict of str to float
        Nutrient key to amount per 100 g, the pairs included: the reference's amount per gram of
        nitrogen times the nitrogen behind the declared protein. Empty when no reference is named.
    """
    if not food.amino_acids_like:
        return {}
    ndb, _, _ = reference_of(food.amino_acids_like)
    from foods.composition.table import FoodTable

    table = FoodTable.load()
    amounts = table.per_100g(ndb)
    factor = table.food(ndb).nitrogen_factor or DEFAULT_NITROGEN_FACTOR
    nitrogen = read_label(food.label).per_100g["protein_g"] / NITROGEN_FACTOR
    scale = nitrogen / (amounts["protein_g"] / factor)
    found = {key: amounts[key] * scale for key in AMINO_ACIDS}
    for pair, members in AMINO_ACID_PAIRS.items():
        found[pair] = sum(found[member] for member in members)
    return found


@lru_cache(maxsize=512)
def named_ingredients(ingredients: str) -> tuple[str, ...]:
    """
    Find the foods of the catalogue that an ingredients list names.

    Parameters
    ----------
    ingredients : str
        As printed.

    Returns
    -------
    tuple of str
        In the list's own words; whoever avoids one of them is not served the food.
    """
    return ingredient_names(ingredients, lambda phrase: bool(_catalogue_keys(phrase)))


@lru_cache(maxsize=4096)
def _catalogue_keys(phrase: str) -> frozenset[str]:
    return Catalogue.load().named(phrase)


def composition(food: OwnFood) -> OwnComposition:
    """
    Say what is known of a food of one's own.

    Parameters
    ----------
    food : OwnFood

    Returns
    -------
    OwnComposition
    """
    reading = read_label(food.label)
    return OwnComposition(
        per_100g=reading.per_100g,
        sd_per_100g=reading.sd_per_100g,
        imputed_per_100g=imputed_amino_acids(food),
        source=food.source,
    )


MIXED_DIGESTIBILITY = 0.85
"""Of the protein of a mixed plant food where no reference food is named; as the catalogue's."""


def kitchen_food(food: OwnFood) -> KitchenFood:
    """
    Make the catalogue's record of a food of one's own.

    Parameters
    ----------
    food : OwnFood

    Returns
    -------
    KitchenFood
        Bought as it is eaten: a label states the food as sold, so nothing is lost or taken up.
    """
    digestibility = None
    if food.amino_acids_like:
        digestibility = reference_of(food.amino_acids_like)[2]
    measure, measure_g, step = _measure(food)
    most = food.max_g_day if food.max_g_day is not None else USUAL_MOST_G[food.state]
    return KitchenFood(
        key=food.key,
        name=food.name,
        ndb=None,
        shop_name=food.name,
        group=food.group or OWN_GROUP,
        role=food.role,
        state=_STATES.get(food.state, food.state),
        bought_name=food.name,
        bought_ndb="",
        yield_factor=1,
        yield_low=1,
        yield_high=1,
        yield_source="as sold, which is what a label states",
        yield_provenance="common practice",
        drained_fraction=None,
        bought_refuse_pct=0,
        refuse_provenance="common practice",
        allergens=with_families(food.allergens),
        label_check=tuple(word for word in food.traces if word not in food.allergens),
        aisle=food.aisle or USUAL_AISLE[food.state],
        pack_metric_g=food.pack_g,
        pack_us_g=food.pack_g,
        measure=measure,
        measure_g=measure_g,
        measure_seq=None,
        measure_divisor=None,
        measure_provenance="common practice",
        step_fraction=step,
        step_g=step * measure_g,
        max_g_day=max(most, step * measure_g),
        max_reason="",
        calcium_absorbable_factor=1,
        digestibility=digestibility or MIXED_DIGESTIBILITY,
        digestibility_class="reference food" if digestibility else "mixed",
        digestibility_provenance="common practice",
        fridge_days=food.fridge_days,
        freezes=food.freezes or food.state == "frozen",
        grind="",
        texture={"liquid": "liquid", "powder": "powder"}.get(food.state, food.texture),
        heat=food.heat,
        raw_ok=food.state in ("liquid", "powder", "canned", "ready"),
        caution="shake"
        if food.state == "liquid" and food.label.amounts | food.label.percent
        else "",
        enriched=False,
        fortified=(),
        words=food.words,
    )


def _measure(food: OwnFood) -> tuple[str, float, float]:
    """Give the household measure, its weight and its smallest part, in grams."""
    if food.measure and food.measure_g is not None:
        word = food.measure.partition(",")[0]
        return food.measure, food.measure_g, food.step or USUAL_STEP.get(word, 1.0)
    if food.state == "liquid":
        return "cup", CUP_ML * (food.label.density_g_per_ml or 1.0), food.step or 0.25
    # A spoon of powder weighs about half of what the same volume of water does.
    return "tbsp", 7.5, food.step or 1.0


@lru_cache(maxsize=64)
def _catalogue_with(own: tuple[OwnFood, ...]) -> Catalogue:
    shipped = Catalogue.load()
    if not own:
        return shipped
    keys = [food.key for food in own]
    doubled = sorted({key for key in keys if keys.count(key) > 1})
    if doubled:
        raise FoodError(f"two foods of your own are called {doubled[0]}; give one another name")
    names = {food.bought_name.casefold() for food in shipped}
    made = []
    for food in own:
        record = kitchen_food(food)
        if record.bought_name.casefold() in names:  # the shopping list must not mix them up
            record = record.model_copy(update={"bought_name": f"{food.name} (own label)"})
        names.add(record.bought_name.casefold())
        made.append(record)
    return Catalogue(
        (*shipped.foods, *made),
        shipped.imputations,
        ChainMap({food.key: composition(food) for food in own}, shipped.own),  # type: ignore[arg-type]
        {food.key: _made_of(food) for food in own},
    )


def _made_of(food: OwnFood) -> tuple[frozenset[str], ...]:
    """Give the keys each ingredient may mean, where one is called as foods of the catalogue are."""
    return tuple(_catalogue_keys(name) for name in named_ingredients(food.ingredients))


def catalogue_with(own: Iterable[OwnFood]) -> Catalogue:
    """
    Put foods of one's own behind those that ship.

    Parameters
    ----------
    own : iterable of OwnFood

    Returns
    -------
    Catalogue
        The same one each time for the same foods; the shipped one for none.

    Raises
    ------
    FoodError
        Two foods share a key.
    """
    return _catalogue_with(tuple(own))


def missing_of(food: OwnFood, wanted: Iterable[str]) -> tuple[str, ...]:
    """
    List nutrients a label says nothing about.

    Parameters
    ----------
    food : OwnFood
    wanted : iterable of str
        Nutrient keys that matter.

    Returns
    -------
    tuple of str
        In the order given.
    """
    declared = read_label(food.label).per_100g
    return tuple(key for key in wanted if key not in declared)
