"""
Published activity levels and energy-requirement equations, each system kept apart by name.

The same word means different things in different systems: "active" is 1.6 to 1.9 times resting
energy in one and 1.68 to 1.85 in another. A level is therefore always a system and a label
together. Requirement equations ignore body composition and stop at 2.5 times resting energy: they
are shown for comparison and are not the default for athletes.
"""

from __future__ import annotations

from typing import Literal

from mealplan.errors import IntakeError
from mealplan.physiology.checks import require_positive
from mealplan.physiology.tables import (
    ActivityBand,
    RequirementEquation,
    activity_bands,
    requirement_equations,
)
from mealplan.references.tables import Sex
from mealplan.science.equations import equation

PalSystem = Literal["fao2004", "nasem2023", "iom2005", "legacy"]
PAL_SYSTEMS: tuple[PalSystem, ...] = ("fao2004", "nasem2023", "iom2005", "legacy")


def bands(system: PalSystem, age_years: float = 30.0) -> tuple[ActivityBand, ...]:
    """
    List a system's levels for an age.

    Parameters
    ----------
    system : str
        One of :data:`PAL_SYSTEMS`.
    age_years : float
        Age. [years]

    Returns
    -------
    tuple of ActivityBand
        From least to most active.

    Raises
    ------
    IntakeError
        When the system is unknown or has no levels at that age.
    """
    found = tuple(
        b for b in activity_bands() if b.system == system and b.age_min <= age_years < b.age_max
    )
    if not found:
        raise IntakeError(
            f"no activity levels of system {system!r} at {age_years:g} years: "
            f"choose one of {', '.join(PAL_SYSTEMS)}."
        )
    return found


def classify(pal: float, system: PalSystem, age_years: float = 30.0) -> str | None:
    """
    Say what a system calls a given ratio of total to resting energy.

    Parameters
    ----------
    pal : float
        Total over resting energy. [ratio]
    system : str
        One of :data:`PAL_SYSTEMS`; legacy factors are points, not bands, so only equal ones match.
    age_years : float
        Age. [years]

    Returns
    -------
    str or None
        The label; None when the ratio lies outside every band.
    """
    for candidate in bands(system, age_years):
        if candidate.pal_min <= pal < candidate.pal_max or pal == candidate.pal_min:
            return candidate.label
    return None


def _requirement(system: str, sex: Sex, age_years: float, category: str) -> RequirementEquation:
    rows = [
        r
        for r in requirement_equations().values()
        if r.system == system and r.sex == sex and r.age_min <= age_years < r.age_max
    ]
    if not rows:
        raise IntakeError(
            f"{system} has no equation for sex={sex!r} at {age_years:g} years: "
            "its adult equations start at 19."
        )
    for row in rows:
        if row.activity == category:
            return row
    raise IntakeError(
        f"activity category {category!r} is not a word of {system}: "
        f"its categories are {', '.join(r.activity for r in rows)}."
    )


def _apply(row: RequirementEquation, weight_kg: float, height_cm: float, age_years: float) -> float:
    require_positive("weight_kg", weight_kg, "kg", mend="Weigh the client.")
    require_positive("height_cm", height_cm, "cm", mend="Measure height in centimetres.")
    size = row.height_cm * height_cm + row.weight_kg * weight_kg
    return row.intercept + row.age_years * age_years + row.pa * size + row.growth_kcal


@equation("energy requirement")
def requirement_iom_2005(
    weight_kg: float, height_cm: float, age_years: float, sex: Sex, category: str
) -> float:
    """
    Estimate the energy requirement of 2005, for a body mass index of 18.5 to 25.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]
    height_cm : float
        Height. [cm]
    age_years : float
        Age from 9; adult equations from 19. [years]
    sex : str
        ``"male"`` or ``"female"``.
    category : str
        ``"sedentary"``, ``"low active"``, ``"active"`` or ``"very active"``.

    Returns
    -------
    float
        Energy requirement. [kcal/day]

    References
    ----------
    .. [1] Institute of Medicine, Dietary Reference Intakes for Energy, Carbohydrate, Fiber, Fat,
       Fatty Acids, Cholesterol, Protein, and Amino Acids, 2005. The footnote of its table prints
       the women's activity coefficients only; men's are 1, 1.11, 1.25 and 1.48.
    """
    row = _requirement("IOM 2005", sex, age_years, category)
    return _apply(row, weight_kg, height_cm, age_years)


@equation("energy requirement")
def expenditure_iom_2005_overweight(
    weight_kg: float, height_cm: float, age_years: float, sex: Sex, category: str
) -> float:
    """
    Estimate total energy by the 2005 equation for a body mass index of 25 and more.

    Parameters
    ----------
    weight_kg, height_cm, age_years, sex, category
        As in :func:`requirement_iom_2005`; age from 19.

    Returns
    -------
    float
        Total energy expenditure. [kcal/day]

    References
    ----------
    .. [1] Institute of Medicine, Dietary Reference Intakes, 2005.
    """
    row = _requirement("IOM 2005 overweight", sex, age_years, category)
    return _apply(row, weight_kg, height_cm, age_years)


@equation("energy requirement")
def requirement_nasem_2023(
    weight_kg: float, height_cm: float, age_years: float, sex: Sex, category: str
) -> float:
    """
    Estimate the energy requirement of 2023, for any body mass index.

    Parameters
    ----------
    weight_kg, height_cm, sex
        As in :func:`requirement_iom_2005`.
    age_years : float
        Age from 14; adult equations from 19. [years]
    category : str
        ``"inactive"``, ``"low active"``, ``"active"`` or ``"very active"``.

    Returns
    -------
    float
        Energy requirement, growth included below 19. [kcal/day]

    References
    ----------
    .. [1] National Academies, Dietary Reference Intakes for Energy, 2023.
    """
    row = _requirement("NASEM 2023", sex, age_years, category)
    return _apply(row, weight_kg, height_cm, age_years)
