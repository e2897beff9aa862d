"""
Indispensable amino acids: daily minimums, and how well a mixture of proteins meets a pattern.

Daily minimums are absolute amounts (mg a kg of body mass a day) and stay linear in the foods; plan
with those. Scores (PDCAAS, DIAAS) are for reporting. Two rules keep scores honest: patterns are per
gram of nitrogen times 6.25, so protein stated with another factor is converted first; and amino
acids are mixed before a score is taken, never scores averaged.

References
----------
.. [1] WHO/FAO/UNU 2007, Protein and amino acid requirements in human nutrition, TRS 935.
.. [2] FAO 2013, Dietary protein quality evaluation in human nutrition, Paper 92.
.. [3] FAO/WHO 1991, Protein quality evaluation, Paper 51.
.. [4] Institute of Medicine 2005, Dietary Reference Intakes for energy ... protein and amino acids.
"""

from __future__ import annotations

from functools import cache
from typing import Literal, get_args

from mealplan.errors import TargetError
from mealplan.references.tables import Provenance, weakest
from mealplan.references.uptake_tables import (
    AminoAcidKind,
    AminoAcidRow,
    DigestibilityDefault,
    amino_acid_rows,
    digestibility_defaults,
)
from mealplan.science.equations import equation

Pattern = Literal["WHO2007", "FAO2013", "FAO2013_child", "IOM2005", "FAOWHO1991"]
"""Selectable patterns; FAOWHO1991 is for comparison with published PDCAAS only."""

INDISPENSABLE = (
    "histidine_g",
    "isoleucine_g",
    "leucine_g",
    "lysine_g",
    "methionine_cystine_g",
    "phenylalanine_tyrosine_g",
    "threonine_g",
    "tryptophan_g",
    "valine_g",
)
"""The nine groups every pattern holds; two are pairs because one member spares the other."""

AVERAGE_PROTEIN_G_PER_KG = 0.66
SAFE_PROTEIN_G_PER_KG = 0.83
"""Average requirement and safe level of protein for adults (WHO/FAO/UNU 2007)."""

SAFE_OVER_AVERAGE = SAFE_PROTEIN_G_PER_KG / AVERAGE_PROTEIN_G_PER_KG
"""Amino-acid requirements are taken to vary among people as much as that for protein does."""

Level = Literal["average", "safe"]
Mode = Literal["faecal", "strict"]
ProteinBasis = Literal["nitrogen x 6.25", "as stated"]


def crude_protein_g(protein_g: float, nitrogen_factor: float) -> float:
    """
    Restate protein as nitrogen times 6.25, the basis of every scoring pattern.

    Parameters
    ----------
    protein_g : float
        Protein as the food table states it. [g]
    nitrogen_factor : float
        Protein per nitrogen that the table used for this food, 5.18 to 6.38. [g/g]

    Returns
    -------
    float
        Crude protein. [g]

    References
    ----------
    .. [1] Jones 1941, USDA Circular 183, for the factors by food.
    """
    if not 4.5 <= nitrogen_factor <= 6.5:
        raise TargetError(
            f"nitrogen_factor={nitrogen_factor:g} is outside 4.5 to 6.5; published factors run "
            "from 5.18 (almonds) to 6.38 (milk): check the food's row"
        )
    return protein_g * 6.25 / nitrogen_factor


@cache
def _rows(pattern: str, kind: AminoAcidKind, age: int) -> dict[str, AminoAcidRow]:
    """Rows of one pattern for an age; the youngest or oldest band stands in outside its range."""
    rows = [row for row in amino_acid_rows() if row.pattern == pattern and row.kind == kind]
    fitting = [row for row in rows if row.age_low_years <= age <= row.age_high_years]
    if not fitting and rows:
        edge = min((row.age_low_years for row in rows), key=lambda low: (abs(low - age), low))
        fitting = [row for row in rows if row.age_low_years == edge]
    return {row.nutrient: row for row in fitting}


def _check_pattern(pattern: str) -> None:
    if pattern not in get_args(Pattern):
        raise TargetError(
            f"amino-acid pattern {pattern!r} is not known; choose one of "
            f"{', '.join(get_args(Pattern))}"
        )


def scoring_pattern_mg_per_g(
    pattern: Pattern = "FAO2013", age_years: float = 30
) -> dict[str, float]:
    """
    Return a scoring pattern.

    Parameters
    ----------
    pattern : Pattern
        Which publication.
    age_years : float
        Picks the band where the publication has several. [years]

    Returns
    -------
    dict of str to float
        By nutrient key, in the order of ``INDISPENSABLE``. [mg/g of nitrogen x 6.25]
    """
    _check_pattern(pattern)
    rows = _rows(pattern, "score", int(age_years))
    return {nutrient: rows[nutrient].value for nutrient in INDISPENSABLE}


def requirement_mg_per_kg(
    pattern: Pattern = "WHO2007", age_years: float = 30, level: Level = "average"
) -> dict[str, float]:
    """
    Return amino-acid requirements by body mass.

    Parameters
    ----------
    pattern : {"WHO2007", "IOM2005"}
        The two publications that state requirements by body mass.
    age_years : float
        Picks the band; WHO2007 has bands from 11 years, IOM2005 adults only. [years]
    level : {"average", "safe"}
        ``average`` meets the needs of half of people; ``safe`` of nearly all. IOM2005 publishes
        both (EAR and RDA); for WHO2007 the safe level scales the average as that of protein does.

    Returns
    -------
    dict of str to float
        By nutrient key. [mg/kg/day]
    """
    _check_pattern(pattern)
    average = _rows(pattern, "requirement", int(age_years))
    if not average:
        raise TargetError(
            f"pattern {pattern!r} is stated per gram of protein, not per kg of body mass; "
            "use WHO2007 or IOM2005, or give protein_target_g to minimums_g"
        )
    if level == "average":
        return {nutrient: average[nutrient].value for nutrient in INDISPENSABLE}
    safe = _rows(pattern, "safe", int(age_years))
    if safe:
        return {nutrient: safe[nutrient].value for nutrient in INDISPENSABLE}
    return {nutrient: average[nutrient].value * SAFE_OVER_AVERAGE for nutrient in INDISPENSABLE}


def minimums_g(
    pattern: Pattern,
    body_mass_kg: float,
    protein_target_g: float | None = None,
    *,
    age_years: float = 30,
    level: Level = "safe",
) -> dict[str, float]:
    """
    Work out the least digestible amount of each amino-acid group a day.

    Compare it with *digestible* amounts: grams of food x content x digestibility.

    Parameters
    ----------
    pattern : Pattern
        Publication.
    body_mass_kg : float
        Body mass. [kg]
    protein_target_g : float, optional
        When given, the day's protein must also be of full quality: each minimum is at least the
        scoring pattern times this protein. For patterns without requirements by body mass
        (FAO2013, FAO2013_child, FAOWHO1991) the pattern times this protein is all there is, and
        without it the safe level of protein, 0.83 g/kg, is used. [g/day]
    age_years : float
        Picks the age band. [years]
    level : {"average", "safe"}
        See :func:`requirement_mg_per_kg`; plan one person to ``safe``.

    Returns
    -------
    dict of str to float
        Nine minimums by nutrient key. [g/day]

    Examples
    --------
    >>> round(minimums_g("IOM2005", 75)["lysine_g"], 3)
    2.85
    """
    _check_pattern(pattern)
    if not body_mass_kg > 0:
        raise TargetError(f"body_mass_kg={body_mass_kg:g} must be above 0")
    if protein_target_g is not None and not protein_target_g > 0:
        raise TargetError(f"protein_target_g={protein_target_g:g} must be above 0, or left out")
    per_gram = scoring_pattern_mg_per_g(pattern, age_years)
    if not _rows(pattern, "requirement", int(age_years)):
        protein = protein_target_g or SAFE_PROTEIN_G_PER_KG * body_mass_kg
        return {nutrient: value * protein / 1000 for nutrient, value in per_gram.items()}
    per_kg = requirement_mg_per_kg(pattern, age_years, level)
    floor = {nutrient: value * body_mass_kg / 1000 for nutrient, value in per_kg.items()}
    if protein_target_g is None:
        return floor
    return {
        nutrient: max(amount, per_gram[nutrient] * protein_target_g / 1000)
        for nutrient, amount in floor.items()
    }


def pattern_source(pattern: Pattern, age_years: float = 30) -> tuple[str, Provenance]:
    """
    Say where a pattern's numbers come from.

    Parameters
    ----------
    pattern : Pattern
        Publication.
    age_years : float
        Picks the band. [years]

    Returns
    -------
    tuple of (source, provenance)
        The weakest provenance among the rows used.
    """
    _check_pattern(pattern)
    age = int(age_years)
    rows = [
        *_rows(pattern, "score", age).values(),
        *_rows(pattern, "requirement", age).values(),
        *_rows(pattern, "safe", age).values(),
    ]
    return rows[0].source, weakest(row.provenance for row in rows)


def digestibility_default(protein_class: str) -> DigestibilityDefault:
    """
    Look up how much of a class of protein food is digested.

    Parameters
    ----------
    protein_class : str
        Such as ``lentils`` or ``wheat_whole``; ``mixed_plant_default`` when nothing closer fits.

    Returns
    -------
    DigestibilityDefault
    """
    try:
        return digestibility_defaults()[protein_class]
    except KeyError:
        raise TargetError(
            f"no digestibility for protein class {protein_class!r}; use 'mixed_plant_default' "
            f"or one of {', '.join(digestibility_defaults())}"
        ) from None


@equation("protein")
def digestibility(protein_class: str, mode: Mode = "faecal") -> float:
    """
    Return the digestibility to plan by.

    Parameters
    ----------
    protein_class : str
        See :func:`digestibility_default`.
    mode : {"faecal", "strict"}
        ``faecal`` is the usual basis. ``strict`` takes the lower of the faecal and ileal values:
        measured in people, pulses come out much lower at the ileum (chickpeas 0.745, yellow peas
        0.715, mung beans 0.63).

    Returns
    -------
    float
        Fraction from 0 to 1.
    """
    row = digestibility_default(protein_class)
    return row.faecal if mode == "faecal" else min(row.faecal, row.ileal)
