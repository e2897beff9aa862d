"""
Reader for the physiological reference tables.

Each table is a CSV file in :mod:`mealplan.references`; every row carries its unit, its source and a
``provenance`` in one of five wordings: ``published``, ``confirmed by independent transcription``,
``worked by hand``, ``common practice`` or ``from memory`` (still to be checked against the
publication).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, cast, get_args

from mealplan.references.tables import Provenance, Sex, provenance, read_rows

if TYPE_CHECKING:
    from collections.abc import Mapping

TrainingKind = Literal["strength", "endurance", "mixed", "none"]
PROVENANCES: tuple[Provenance, ...] = get_args(Provenance)


@dataclass(frozen=True)
class Constant:
    """
    One reference value with where it comes from.

    Attributes
    ----------
    key : str
        Name, unique in its table.
    value : float
        The number. [``unit``]
    unit : str
        Its unit.
    source : str
        Publication, or the practice it stands for.
    provenance : str
        How well the value is attested.
    note : str
        What it means or where it stops holding.
    """

    key: str
    value: float
    unit: str
    source: str
    provenance: Provenance
    note: str


@dataclass(frozen=True)
class RestingEquation:
    """
    One linear equation for resting energy, for one sex and one age band.

    The coefficients multiply the quantity they are named after; ``unit`` is that of the result.
    """

    key: str
    equation: str
    year: int
    sex: Literal["male", "female", "any"]
    age_min: float
    age_max: float
    intercept: float
    weight_kg: float
    height_cm: float
    age_years: float
    ffm_kg: float
    fm_kg: float
    see_kcal: float | None
    population: str
    unit: Literal["kcal/day", "MJ/day"]
    source: str
    provenance: Provenance


@dataclass(frozen=True)
class RequirementEquation:
    """
    One energy-requirement equation [kcal/day] for one sex, age band and activity category.

    The value is ``intercept + age_years·age + pa·(height_cm·height + weight_kg·weight) +
    growth_kcal``; the age band includes its lower end and excludes its upper end.
    """

    key: str
    system: str
    sex: Sex
    age_min: float
    age_max: float
    activity: str
    pal_min: float
    pal_max: float
    intercept: float
    age_years: float
    height_cm: float
    weight_kg: float
    pa: float
    growth_kcal: float
    source: str
    provenance: Provenance


@dataclass(frozen=True)
class Activity:
    """One activity of the compendium with its gross metabolic equivalent [MET]."""

    code: str
    activity: str
    category: str
    kind: TrainingKind
    """What it trains; none is everyday movement and stretching."""
    met: float
    source: str
    provenance: Provenance


@dataclass(frozen=True)
class ActivityBand:
    """
    One named activity level of one system.

    Attributes
    ----------
    system : str
        Short name of the system; the same words mean different bands in different systems.
    label : str
        The system's own word for the level.
    age_min, age_max : float
        Ages the band holds for; the upper end is excluded. [years]
    pal_min, pal_max : float
        Total over resting energy; the upper end is excluded. A single legacy factor has both equal.
    source, provenance : str
        Where it comes from.
    """

    system: str
    label: str
    age_min: float
    age_max: float
    pal_min: float
    pal_max: float
    source: str
    provenance: Provenance


@cache
def constants(name: str) -> Mapping[str, Constant]:
    """
    Load a table of single values.

    Parameters
    ----------
    name : str
        File name without ``.csv``.

    Returns
    -------
    mapping of str to Constant
        By key, in file order.
    """
    return MappingProxyType(
        {
            row["key"]: Constant(
                key=row["key"],
                value=float(row["value"]),
                unit=row["unit"],
                source=row["source"],
                provenance=provenance(row["provenance"]),
                note=row["note"],
            )
            for row in read_rows(f"{name}.csv")
        }
    )


@cache
def resting_equations() -> Mapping[str, RestingEquation]:
    """
    Load every resting-energy equation.

    Returns
    -------
    mapping of str to RestingEquation
        By key, in file order.
    """
    table: dict[str, RestingEquation] = {}
    for row in read_rows("rmr_equations.csv"):
        sex: Literal["male", "female", "any"] = (
            "male" if row["sex"] == "male" else "female" if row["sex"] == "female" else "any"
        )
        table[row["id"]] = RestingEquation(
            key=row["id"],
            equation=row["equation"],
            year=int(row["year"]),
            sex=sex,
            age_min=float(row["age_min"]),
            age_max=float(row["age_max"]),
            intercept=float(row["intercept"]),
            weight_kg=float(row["weight_kg"]),
            height_cm=float(row["height_cm"]),
            age_years=float(row["age_years"]),
            ffm_kg=float(row["ffm_kg"]),
            fm_kg=float(row["fm_kg"]),
            see_kcal=float(row["see_kcal"]) if row["see_kcal"] else None,
            population=row["population"],
            unit="MJ/day" if row["unit"] == "MJ/day" else "kcal/day",
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
    return MappingProxyType(table)


@cache
def requirement_equations() -> Mapping[str, RequirementEquation]:
    """
    Load every energy-requirement equation.

    Returns
    -------
    mapping of str to RequirementEquation
        By key, in file order.
    """
    return MappingProxyType(
        {
            row["id"]: RequirementEquation(
                key=row["id"],
                system=row["system"],
                sex="male" if row["sex"] == "male" else "female",
                age_min=float(row["age_min"]),
                age_max=float(row["age_max"]),
                activity=row["activity"],
                pal_min=float(row["pal_min"]),
                pal_max=float(row["pal_max"]),
                intercept=float(row["intercept"]),
                age_years=float(row["age_years"]),
                height_cm=float(row["height_cm"]),
                weight_kg=float(row["weight_kg"]),
                pa=float(row["pa"]),
                growth_kcal=float(row["growth_kcal"]),
                source=row["source"],
                provenance=provenance(row["provenance"]),
            )
            for row in read_rows("eer_equations.csv")
        }
    )


def _training_kind(row: dict[str, str]) -> TrainingKind:
    for kind in get_args(TrainingKind):
        if row["kind"] == kind:
            return cast(TrainingKind, kind)
    raise ValueError(f"exercise_mets.csv: {row['code']} has kind {row['kind']!r}")


@cache
def activities() -> Mapping[str, Activity]:
    """
    Load the compendium extract.

    Returns
    -------
    mapping of str to Activity
        By five-digit code, in file order.
    """
    return MappingProxyType(
        {
            row["code"]: Activity(
                code=row["code"],
                activity=row["activity"],
                category=row["category"],
                kind=_training_kind(row),
                met=float(row["met"]),
                source=row["source"],
                provenance=provenance(row["provenance"]),
            )
            for row in read_rows("exercise_mets.csv")
        }
    )


@cache
def activity_bands() -> tuple[ActivityBand, ...]:
    """
    Load the named activity levels of every system.

    Returns
    -------
    tuple of ActivityBand
        In file order.
    """
    return tuple(
        ActivityBand(
            system=row["system"],
            label=row["label"],
            age_min=float(row["age_min"]),
            age_max=float(row["age_max"]),
            pal_min=float(row["pal_min"]),
            pal_max=float(row["pal_max"]),
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for row in read_rows("activity_levels.csv")
    )
