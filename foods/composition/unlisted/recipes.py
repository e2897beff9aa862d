"""
Foods the release does not list: worked out by a recipe, or what several such products declare.

The recipes and surveys are ``data/unlisted_foods.toml``. A nutrient of a recipe is known when every
part that matters for it has a value; what surveys did not find is absent. Absent is not zero.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache, cached_property
from importlib.resources import files
from typing import TYPE_CHECKING, Annotated

from pydantic import BaseModel, ConfigDict, Field

from foods.composition.unlisted.amino_acids import (
    AMINO_ACIDS,
    DEFAULT_NITROGEN_FACTOR,
    Imputation,
    acids_like,
    imputed_acids,
)
from foods.composition.unlisted.composition import OwnComposition
from foods.registry.nutrients import nutrient

if TYPE_CHECKING:
    from foods.composition.table import FoodTable

HEAT_LABILE = (
    "vitamin_c_mg", "thiamin_mg", "folate_ug", "folic_acid_ug", "food_folate_ug",
    "folate_dfe_ug",
)  # fmt: skip
"""Vitamins that baking, frying and boiling destroy by amounts a recipe cannot tell."""

NEGLIGIBLE = 0.03
"""A part that brings less than this share of what carries a nutrient may lack it. [fraction]"""

_CARRIERS = {"amino acid": "protein_g", "fat": "fat_g"}
"""What a nutrient goes with: amino acids with protein, fatty acids with fat, others with weight."""

Per100g = Annotated[dict[str, float], Field(min_length=1)]


class Made(BaseModel):
    """One food worked out from rows of the release."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    food: str
    weight_g: float = Field(gt=0)
    """What the parts weigh in the end; what is gone is water. [g]"""
    parts: dict[str, Annotated[float, Field(gt=0)]] = Field(min_length=1)
    """Release number to grams."""
    heated: bool = False
    basis: str = Field(min_length=20)


class Surveyed(BaseModel):
    """One food as several products declare it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    food: str
    products: int = Field(ge=2)
    per_100g: Per100g
    sd: Per100g
    """Spread between products."""
    amino_acids_like: str = ""
    """Number of a kindred food whose amino acids stand in, shown and not counted."""
    where: str = Field(min_length=20)


def made_composition(
    made: Made, table: FoodTable, imputations: tuple[Imputation, ...]
) -> Mapping[str, Mapping[str, float]]:
    """
    Add up a recipe.

    Parameters
    ----------
    made : Made
    table : FoodTable
    imputations : tuple of Imputation
        Amino acids that stand in where a part has none of its own.

    Returns
    -------
    mapping of str to mapping of str to float
        ``measured`` and ``imputed`` amounts. [per 100 g]
    """
    parts = {ndb: table.per_100g(ndb) for ndb in made.parts}
    stand_in = imputed_acids((row for row in imputations if row.ndb in parts), table)
    filled = {ndb: {**own, **stand_in.get(ndb, {})} for ndb, own in parts.items()}
    measured = _added_up(made, parts)
    everything = _added_up(made, filled)
    imputed = {
        key: amount
        for key, amount in everything.items()
        if key not in measured or amount != measured[key]
    }
    return {"measured": measured, "imputed": imputed}


def _added_up(made: Made, parts: Mapping[str, Mapping[str, float]]) -> dict[str, float]:
    grams = made.parts
    found: dict[str, float] = {}
    for key in dict.fromkeys(key for amounts in parts.values() for key in amounts):
        if made.heated and key in HEAT_LABILE:
            continue
        carrier = _CARRIERS.get(nutrient(key).group, "")
        carried = {
            ndb: grams[ndb] * (parts[ndb].get(carrier, 0.0) if carrier else 1.0) for ndb in grams
        }
        unknown = sum(amount for ndb, amount in carried.items() if key not in parts[ndb])
        if unknown > NEGLIGIBLE * max(sum(carried.values()), 1e-12):
            continue
        total = sum(parts[ndb].get(key, 0.0) * grams[ndb] for ndb in grams)
        if key == "water_g":
            total = max(0.0, total - 100.0 * (sum(grams.values()) - made.weight_g))
        found[key] = total / made.weight_g
    return found


def surveyed_composition(food: Surveyed, table: FoodTable) -> OwnComposition:
    """
    Say what is known of a food from a survey of products.

    Parameters
    ----------
    food : Surveyed
    table : FoodTable

    Returns
    -------
    OwnComposition
    """
    known = food.per_100g
    imputed: Mapping[str, float] = {}
    if food.amino_acids_like:
        nitrogen = known["protein_g"] / DEFAULT_NITROGEN_FACTOR
        imputed = acids_like(known, nitrogen, food.amino_acids_like, AMINO_ACIDS, table)
    return OwnComposition(
        per_100g=known,
        sd_per_100g=food.sd,
        imputed_per_100g=imputed,
        source=f"survey of {food.products} products: {food.where}",
        basis="survey",
    )


@cache
def unlisted_foods() -> tuple[tuple[Made, ...], tuple[Surveyed, ...]]:
    """
    Read the recipes and surveys that ship.

    Returns
    -------
    tuple of tuple of Made, tuple of Surveyed
        In file order.
    """
    text = files("foods").joinpath("data", "unlisted_foods.toml").read_text(encoding="utf-8")
    document = tomllib.loads(text)
    return (
        tuple(Made.model_validate(table) for table in document["made"]),
        tuple(Surveyed.model_validate(table) for table in document["surveyed"]),
    )


class UnlistedCompositions(Mapping[str, OwnComposition]):
    """
    The composition of every food that ships and the release does not list, by catalogue key.

    Worked out when the first one is asked for: whoever only names foods need not read the table.

    Parameters
    ----------
    imputations : tuple of Imputation
        Amino acids filled from a reference food.
    """

    def __init__(self, imputations: tuple[Imputation, ...]) -> None:
        self._imputations = imputations
        made, surveyed = unlisted_foods()
        self._keys = (*(food.food for food in made), *(food.food for food in surveyed))

    def __iter__(self) -> Iterator[str]:
        """Go through the keys in file order."""
        return iter(self._keys)

    def __len__(self) -> int:
        """Count the foods."""
        return len(self._keys)

    def __getitem__(self, key: str) -> OwnComposition:
        """Give one food's composition."""
        return self._worked_out[key]

    @cached_property
    def _worked_out(self) -> dict[str, OwnComposition]:
        from foods.composition.table import FoodTable

        table = FoodTable.load()
        made, surveyed = unlisted_foods()
        found = {}
        for food in made:
            amounts = made_composition(food, table, self._imputations)
            found[food.food] = OwnComposition(
                per_100g=amounts["measured"],
                sd_per_100g={},
                imputed_per_100g=amounts["imputed"],
                source=f"worked out by recipe: {food.basis}",
                basis="recipe",
            )
        return found | {food.food: surveyed_composition(food, table) for food in surveyed}
