"""
Typed readers for the reference tables in this folder.

One CSV per publication or family of findings; every row carries its unit, its source and how far
that source was checked (``provenance``). Readers are cached and return tuples of frozen records,
so that nothing downstream can change a published number. What the numbers mean for a person is
decided in :mod:`mealplan.nutrition`, not here.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal, cast, get_args

Sex = Literal["male", "female"]
Condition = Literal["none", "pregnancy", "lactation"]
Provenance = Literal[
    "published",
    "confirmed by independent transcription",
    "worked by hand",
    "common practice",
    "from memory",
]
"""How far a number was checked, best first."""

INTAKE_FILES = (
    "dri_iom_1997.csv",
    "dri_iom_1998.csv",
    "dri_iom_2000.csv",
    "dri_iom_2001.csv",
    "dri_iom_2005_macronutrients.csv",
    "dri_iom_2005_water.csv",
    "dri_iom_2011.csv",
    "dri_nasem_2019.csv",
)


@cache
def read_rows(name: str) -> tuple[dict[str, str], ...]:
    """
    Read one table of this folder as text.

    Parameters
    ----------
    name : str
        File name, such as ``dri_iom_2011.csv``.

    Returns
    -------
    tuple of dict
        One dict a row, column name to cell; blank cells are empty strings.
    """
    text = files("mealplan.references").joinpath(name).read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def number(text: str) -> float | None:
    """
    Turn a cell into a number; a blank cell means "none set", never zero.

    Parameters
    ----------
    text : str
        A cell; empty where there is no value.
    """
    return float(text) if text else None


def provenance(text: str) -> Provenance:
    """
    Check that a provenance cell uses one of the words agreed for the whole project.

    Parameters
    ----------
    text : str
        A cell.
    """
    if text not in get_args(Provenance):
        words = ", ".join(get_args(Provenance))
        raise ValueError(f"unknown provenance {text!r} is not one of {words}")
    return cast(Provenance, text)


def weakest(words: Iterable[Provenance]) -> Provenance:
    """
    Return the least checked of several provenances.

    Parameters
    ----------
    words : Iterable[Provenance]
        Provenances, one at least.
    """
    order: tuple[Provenance, ...] = get_args(Provenance)
    return max(words, key=order.index)


@dataclass(frozen=True)
class IntakeRow:
    """One nutrient for one sex, age band and condition; amounts a day in ``unit``."""

    nutrient: str
    unit: str
    sex: Sex
    age_low_years: int
    age_high_years: int
    condition: Condition
    ear: float | None
    rda: float | None
    ai: float | None
    ul: float | None
    cdrr: float | None
    source: str
    provenance: Provenance
    ul_provenance: Provenance | None


@cache
def intake_rows() -> tuple[IntakeRow, ...]:
    """Return every reference intake, report by report."""
    return tuple(
        IntakeRow(
            nutrient=row["nutrient"],
            unit=row["unit"],
            sex=cast(Sex, row["sex"]),
            age_low_years=int(row["age_low_years"]),
            age_high_years=int(row["age_high_years"]),
            condition=cast(Condition, row["condition"]),
            ear=number(row["ear"]),
            rda=number(row["rda"]),
            ai=number(row["ai"]),
            ul=number(row["ul"]),
            cdrr=number(row["cdrr"]),
            source=row["source"],
            provenance=provenance(row["provenance"]),
            ul_provenance=provenance(row["ul_provenance"]) if row["ul_provenance"] else None,
        )
        for name in INTAKE_FILES
        for row in read_rows(name)
    )


Scope = Literal["all sources", "preformed", "added forms", "supplements"]
Strength = Literal["hard", "soft"]


@dataclass(frozen=True)
class UpperLimitScopeRow:
    """
    What a nutrient's upper limit applies to.

    ``limits`` is the nutrient key whose daily sum the limit caps, empty when no food column can be
    compared with it and only supplement lines count; ``supplement_key`` is the key under which
    supplement lines carry the amount that counts.
    """

    nutrient: str
    scope: Scope
    limits: str
    supplement_key: str
    strength: Strength
    reason: str
    source: str
    provenance: Provenance


@cache
def upper_limit_scopes() -> dict[str, UpperLimitScopeRow]:
    """Return what each upper limit applies to, by nutrient key."""
    return {
        row["nutrient"]: UpperLimitScopeRow(
            nutrient=row["nutrient"],
            scope=cast(Scope, row["scope"]),
            limits=row["limits"],
            supplement_key=row["supplement_key"],
            strength=cast(Strength, row["strength"]),
            reason=row["reason"],
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for row in read_rows("upper_limit_scopes.csv")
    }


@dataclass(frozen=True)
class EnergyShareRow:
    """Acceptable share of energy for one macronutrient; fractions from 0 to 1."""

    nutrient: str
    sex: Sex
    age_low_years: int
    age_high_years: int
    condition: Condition
    low_fraction: float | None
    high_fraction: float
    source: str
    provenance: Provenance


@cache
def energy_share_rows() -> tuple[EnergyShareRow, ...]:
    """Return the acceptable macronutrient distribution ranges of 2005."""
    return tuple(
        EnergyShareRow(
            nutrient=row["nutrient"],
            sex=cast(Sex, row["sex"]),
            age_low_years=int(row["age_low_years"]),
            age_high_years=int(row["age_high_years"]),
            condition=cast(Condition, row["condition"]),
            low_fraction=number(row["low_fraction"]),
            high_fraction=float(row["high_fraction"]),
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for row in read_rows("energy_shares_iom_2005.csv")
    )


@dataclass(frozen=True)
class SportRange:
    """A range from sports nutrition: low, usual choice and high, each None when not given."""

    key: str
    topic: str
    population: str
    low: float | None
    usual: float | None
    high: float | None
    unit: str
    per: str
    source: str
    provenance: Provenance
    note: str


@cache
def sport_ranges() -> dict[str, SportRange]:
    """Return the ranges of the sports-nutrition positions, by key."""
    return {
        row["key"]: SportRange(
            key=row["key"],
            topic=row["topic"],
            population=row["population"],
            low=number(row["low"]),
            usual=number(row["usual"]),
            high=number(row["high"]),
            unit=row["unit"],
            per=row["per"],
            source=row["source"],
            provenance=provenance(row["provenance"]),
            note=row["note"],
        )
        for row in read_rows("sport_ranges.csv")
    }


def sport_range(key: str) -> tuple[float, float, float]:
    """
    Return low, usual and high of one sports-nutrition range that has all three.

    Parameters
    ----------
    key : str
        Key in ``sport_ranges.csv``.

    Returns
    -------
    tuple of float
        (low, usual, high). [unit of the row]
    """
    row = sport_ranges()[key]
    if row.low is None or row.usual is None or row.high is None:
        raise ValueError(f"sport range {key!r} is open on a side; read sport_ranges()[{key!r}]")
    return row.low, row.usual, row.high


@dataclass(frozen=True)
class SupplementRow:
    """One nutrient of one way of taking one supplement."""

    line: str
    regimen: str
    label: str
    nutrient: str
    dose: float
    unit: str
    doses_per_week: float
    dose_steps: tuple[float, ...]
    usual: bool
    source: str
    provenance: Provenance


@cache
def supplement_rows() -> tuple[SupplementRow, ...]:
    """Return every supplement regimen, one row a nutrient."""
    return tuple(
        SupplementRow(
            line=row["line"],
            regimen=row["regimen"],
            label=row["label"],
            nutrient=row["nutrient"],
            dose=float(row["dose"]),
            unit=row["unit"],
            doses_per_week=float(row["doses_per_week"]),
            dose_steps=tuple(float(step) for step in row["dose_steps"].split(";") if step),
            usual=row["usual"] == "yes",
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for row in read_rows("supplements.csv")
    )
