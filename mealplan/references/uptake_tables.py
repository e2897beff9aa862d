"""Rows on protein and minerals of plants: digestibility, adjustments, calcium and zinc taken up."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

from mealplan.references.tables import Provenance, Sex, number, provenance, read_rows

AMINO_ACID_FILES = (
    "amino_acids_who_2007.csv",
    "amino_acids_fao_2013.csv",
    "amino_acids_iom_2005.csv",
    "amino_acids_fao_who_1991.csv",
)
AminoAcidKind = Literal["requirement", "safe", "score"]


@dataclass(frozen=True)
class AminoAcidRow:
    """
    One indispensable amino acid (or pair) of one pattern and age band.

    ``kind`` is ``requirement`` (average, mg/kg/day), ``safe`` (covers nearly all people, mg/kg/day)
    or ``score`` (mg/g protein).
    """

    pattern: str
    kind: AminoAcidKind
    nutrient: str
    value: float
    unit: str
    population: str
    age_low_years: float
    age_high_years: float
    source: str
    provenance: Provenance


@cache
def amino_acid_rows() -> tuple[AminoAcidRow, ...]:
    """Return every amino-acid pattern, publication by publication."""
    return tuple(
        AminoAcidRow(
            pattern=row["pattern"],
            kind=cast(AminoAcidKind, row["kind"]),
            nutrient=row["nutrient"],
            value=float(row["value"]),
            unit=row["unit"],
            population=row["population"],
            age_low_years=float(row["age_low_years"]),
            age_high_years=float(row["age_high_years"]),
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for name in AMINO_ACID_FILES
        for row in read_rows(name)
    )


@dataclass(frozen=True)
class DigestibilityDefault:
    """
    Digestibility of one class of protein food; fractions from 0 to 1.

    ``ileal_basis`` says what the strict value rests on: ``measured`` on this class, ``proxy`` (the
    nearest class measured) or ``faecal`` (nothing better known, the faecal value stands in).
    """

    protein_class: str
    label: str
    faecal: float
    ileal: float
    ileal_basis: Literal["measured", "proxy", "faecal"]
    species: str
    source: str
    provenance: Provenance
    ileal_source: str
    ileal_provenance: Provenance


@cache
def digestibility_defaults() -> dict[str, DigestibilityDefault]:
    """Return the digestibility to plan by, per class of protein food."""
    return {
        row["protein_class"]: DigestibilityDefault(
            protein_class=row["protein_class"],
            label=row["label"],
            faecal=float(row["faecal"]),
            ileal=float(row["ileal"]),
            ileal_basis=cast(Literal["measured", "proxy", "faecal"], row["ileal_basis"]),
            species=row["species"],
            source=row["source"],
            provenance=provenance(row["provenance"]),
            ileal_source=row["ileal_source"],
            ileal_provenance=provenance(row["ileal_provenance"]),
        )
        for row in read_rows("digestibility_defaults.csv")
    }


@dataclass(frozen=True)
class PlantAdjustmentRow:
    """One number behind a plant-based adjustment; its use is coded in ``plant_adjustments``."""

    key: str
    nutrient: str
    value: float
    unit: str
    source: str
    provenance: Provenance
    note: str


@cache
def plant_adjustment_rows() -> dict[str, PlantAdjustmentRow]:
    """Return the numbers behind the plant-based adjustments, by key."""
    return {
        row["key"]: PlantAdjustmentRow(
            key=row["key"],
            nutrient=row["nutrient"],
            value=float(row["value"]),
            unit=row["unit"],
            source=row["source"],
            provenance=provenance(row["provenance"]),
            note=row["note"],
        )
        for row in read_rows("plant_adjustments.csv")
    }


@dataclass(frozen=True)
class CalciumAbsorptionRow:
    """Share of a food's calcium that adults absorbed at a serving's load; fraction from 0 to 1."""

    food: str
    fraction: float
    serving_g: float | None
    load_mg: float | None
    source: str
    provenance: Provenance


@cache
def calcium_absorption_rows() -> dict[str, CalciumAbsorptionRow]:
    """Return fractional calcium absorption by food."""
    return {
        row["food"]: CalciumAbsorptionRow(
            food=row["food"],
            fraction=float(row["fraction"]),
            serving_g=number(row["serving_g"]),
            load_mg=number(row["load_mg"]),
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for row in read_rows("calcium_absorption.csv")
    }


@dataclass(frozen=True)
class ZincByPhytateRow:
    """Zinc intake that covers nearly all adults at one level of phytate."""

    sex: Sex
    phytate_mg: float
    zinc_mg: float
    source: str
    provenance: Provenance


@cache
def zinc_by_phytate_rows() -> tuple[ZincByPhytateRow, ...]:
    """Return zinc population reference intakes by dietary phytate."""
    return tuple(
        ZincByPhytateRow(
            sex=cast(Sex, row["sex"]),
            phytate_mg=float(row["phytate_mg"]),
            zinc_mg=float(row["zinc_mg"]),
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for row in read_rows("zinc_efsa_2014.csv")
    )
