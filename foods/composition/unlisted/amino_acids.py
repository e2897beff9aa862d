"""
Amino acids taken from a kindred food: same protein, another amount of it.

They are shown beside a plan and never counted toward a floor.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict

if TYPE_CHECKING:
    from foods.composition.table import FoodTable

AMINO_ACIDS = (
    "tryptophan_g", "threonine_g", "isoleucine_g", "leucine_g", "lysine_g", "methionine_g",
    "cystine_g", "phenylalanine_g", "tyrosine_g", "valine_g", "histidine_g",
)  # fmt: skip
"""The indispensable ones with cystine and tyrosine, which spare two of them."""

AMINO_ACID_PAIRS: Mapping[str, tuple[str, str]] = {
    "methionine_cystine_g": ("methionine_g", "cystine_g"),
    "phenylalanine_tyrosine_g": ("phenylalanine_g", "tyrosine_g"),
}

DEFAULT_NITROGEN_FACTOR = 6.25
"""Protein per nitrogen where the release states none, as labels do. [g/g]"""


def _split(value: object) -> object:
    return tuple(part for part in value.split(";") if part) if isinstance(value, str) else value


class Imputation(BaseModel):
    """Amino acids a food has no values for, taken from a named reference food."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    ndb: str
    reference_ndb: str
    amino_acids: Annotated[tuple[str, ...], BeforeValidator(_split)]
    """Keys to fill, or ``all``."""
    method: Literal["mg per g N scaled"]
    provenance: Literal["published", "worked by hand", "common practice", "from memory"]
    reason: str

    @property
    def keys(self) -> tuple[str, ...]:
        """Nutrient keys that are filled."""
        return AMINO_ACIDS if self.amino_acids == ("all",) else self.amino_acids


def nitrogen_g(table: FoodTable, ndb: str, amounts: Mapping[str, float]) -> float:
    """
    Work out the nitrogen behind a food's protein.

    Parameters
    ----------
    table : FoodTable
    ndb : str
        Number in the release, for its nitrogen factor.
    amounts : mapping of str to float
        Its composition. [per 100 g]

    Returns
    -------
    float
        [g/100 g]
    """
    return amounts["protein_g"] / (table.food(ndb).nitrogen_factor or DEFAULT_NITROGEN_FACTOR)


def acids_like(
    own: Mapping[str, float],
    nitrogen: float,
    reference_ndb: str,
    keys: Iterable[str],
    table: FoodTable,
) -> dict[str, float]:
    """
    Scale a reference food's amino acids to the nitrogen of another food.

    Parameters
    ----------
    own : mapping of str to float
        What is known of the food itself; known acids are not filled. [per 100 g]
    nitrogen : float
        [g/100 g]
    reference_ndb : str
        Number of the kindred food.
    keys : iterable of str
        Acids to fill.
    table : FoodTable

    Returns
    -------
    dict of str to float
        The acids that were missing, and the pairs that gain a member by them. [g/100 g]
    """
    other = table.per_100g(reference_ndb)
    scale = nitrogen / nitrogen_g(table, reference_ndb, other)
    filled = {key: other[key] * scale for key in keys if key not in own}
    known = {**own, **filled}
    for pair, members in AMINO_ACID_PAIRS.items():
        if any(member in filled for member in members) and all(m in known for m in members):
            filled[pair] = sum(known[member] for member in members)
    return filled


def imputed_acids(rows: Iterable[Imputation], table: FoodTable) -> dict[str, dict[str, float]]:
    """
    Work out the imputed amino acids of foods of the release.

    Each acid is the reference food's amount per gram of nitrogen times the nitrogen of the food, so
    the two proteins are taken to be alike and only their amount differs.

    Parameters
    ----------
    rows : iterable of Imputation
    table : FoodTable
        Composition.

    Returns
    -------
    dict of str to dict of str to float
        Release number to nutrient key to amount per 100 g: the acids the release lacks, and the
        pairs that gain a member by them, which replace the sum of the one member known.
    """
    found = {}
    for row in rows:
        own = table.per_100g(row.ndb)
        nitrogen = nitrogen_g(table, row.ndb, own)
        found[row.ndb] = acids_like(own, nitrogen, row.reference_ndb, row.keys, table)
    return found
