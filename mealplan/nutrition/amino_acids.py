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

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Literal, get_args

from mealplan.errors import TargetError
from mealplan.references.tables import (
    AminoAcidKind,
    AminoAcidRow,
    DigestibilityDefault,
    Provenance,
    amino_acid_rows,
    digestibility_defaults,
    weakest,
)

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


@dataclass(frozen=True)
class ProteinPart:
    """
    One protein source in a mixture.

    Parameters
    ----------
    protein_g : float
        Protein as the food table states it. [g]
    nitrogen_factor : float
        Factor the table used. [g/g]
    amino_acids_g : mapping of str to float
        Amount of each amino-acid group in this portion; leave a key out when unknown. [g]
    digestibility : float
        Of the protein as a whole, 0 to 1.
    ileal : mapping of str to float
        Ileal digestibility per amino-acid group where known; others use ``digestibility``.
    partial : frozenset of str
        Pairs of which only one member was measured: their amount is a lower bound.
    """

    protein_g: float
    nitrogen_factor: float
    amino_acids_g: Mapping[str, float]
    digestibility: float
    ileal: Mapping[str, float] = field(default_factory=dict)
    partial: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        """Refuse amounts that cannot be."""
        if self.protein_g < 0:
            raise TargetError(f"protein_g={self.protein_g:g} is negative")
        for name, value in (("protein", self.digestibility), *self.ileal.items()):
            if not 0 <= value <= 1.1:  # single assays exceed 1 slightly
                raise TargetError(
                    f"digestibility of {name} is {value:g}; write it as a fraction from 0 to 1"
                )


_PAIRS: Mapping[str, tuple[str, str]] = {
    "methionine_cystine_g": ("methionine_g", "cystine_g"),
    "phenylalanine_tyrosine_g": ("phenylalanine_g", "tyrosine_g"),
}


def food_part(
    per_100g: Mapping[str, float],
    grams: float,
    nitrogen_factor: float | None,
    digestibility: float = 1.0,
) -> ProteinPart:
    """
    Make a protein part from a food's composition.

    Parameters
    ----------
    per_100g : mapping of str to float
        Nutrient key to amount; what was not measured is absent. [per 100 g]
    grams : float
        Portion. [g]
    nitrogen_factor : float or None
        The food's factor; 6.25 when the table states none. [g/g]
    digestibility : float
        Fraction from 0 to 1; see :func:`digestibility`.

    Returns
    -------
    ProteinPart
    """
    if "protein_g" not in per_100g:
        raise TargetError("protein_g is missing: a food without a protein value cannot be scored")
    amounts = {key: per_100g[key] * grams / 100 for key in INDISPENSABLE if key in per_100g}
    partial = {
        key
        for key, pair in _PAIRS.items()
        if key in amounts and not all(p in per_100g for p in pair)
    }
    return ProteinPart(
        protein_g=per_100g["protein_g"] * grams / 100,
        nitrogen_factor=6.25 if nitrogen_factor is None else nitrogen_factor,
        amino_acids_g=amounts,
        digestibility=digestibility,
        partial=frozenset(partial),
    )


@dataclass(frozen=True)
class ProteinScore:
    """
    How a mixture meets a pattern.

    ``value`` is the score as the method reports it: PDCAAS truncated at 1, DIAAS not. ``ratios``
    hold each amino acid over its pattern *before* digestibility for PDCAAS, after it for DIAAS.
    ``known_fraction`` says how much of the crude protein had a value for that amino acid: below 1
    the ratio is a lower bound, since what is unknown counts as nothing.
    """

    method: Literal["PDCAAS", "DIAAS"]
    pattern: str
    value: float
    untruncated: float
    limiting: str
    ratios: Mapping[str, float]
    digestibility: float
    protein_g: float
    known_fraction: Mapping[str, float]

    @property
    def lower_bound(self) -> bool:
        """True when an amino acid was unknown for some of the protein."""
        return any(share < 1 - 1e-9 for share in self.known_fraction.values())


def _pattern_over(
    pattern: Pattern | Mapping[str, float], age_years: float, over: Collection[str] | None
) -> tuple[str, dict[str, float]]:
    if isinstance(pattern, str):
        name, values = str(pattern), scoring_pattern_mg_per_g(pattern, age_years)
    else:
        name, values = "given", dict(pattern)
    chosen = {key: value for key, value in values.items() if over is None or key in over}
    if not chosen:
        raise TargetError(f"the pattern {name} holds none of {', '.join(sorted(over or ()))}")
    return name, chosen


def _basis_g(part: ProteinPart, basis: ProteinBasis) -> float:
    if basis == "as stated":
        return part.protein_g
    return crude_protein_g(part.protein_g, part.nitrogen_factor)


def _total(parts: Sequence[ProteinPart], basis: ProteinBasis) -> tuple[list[float], float]:
    bases = [_basis_g(part, basis) for part in parts]
    total = sum(bases)
    if total <= 0:
        raise TargetError("a protein score needs protein, and these parts hold none")
    return bases, total


def _known(
    parts: Sequence[ProteinPart], bases: Sequence[float], total: float, keys: Collection[str]
) -> dict[str, float]:
    def knows(part: ProteinPart, key: str) -> bool:
        return key in part.amino_acids_g and key not in part.partial

    return {
        key: sum(b for part, b in zip(parts, bases, strict=True) if knows(part, key)) / total
        for key in keys
    }


def pdcaas(
    parts: Sequence[ProteinPart],
    pattern: Pattern | Mapping[str, float] = "FAO2013",
    *,
    age_years: float = 30,
    over: Collection[str] | None = None,
    basis: ProteinBasis = "nitrogen x 6.25",
) -> ProteinScore:
    """
    Score a mixture by its scarcest amino acid times its faecal digestibility.

    Parameters
    ----------
    parts : sequence of ProteinPart
        The mixture.
    pattern : Pattern or mapping
        Publication, or a pattern in mg/g by nutrient key.
    age_years : float
        Picks the band of a publication. [years]
    over : collection of str, optional
        Amino-acid groups to look at; all in the pattern when left out.
    basis : {"nitrogen x 6.25", "as stated"}
        ``as stated`` overstates cereals and nuts by 7 to 21 %; for comparison only.

    Returns
    -------
    ProteinScore
        Its ``value`` is min(1, lowest ratio x digestibility).

    References
    ----------
    .. [1] FAO/WHO 1991, Paper 51, chapter 8.
    """
    name, chosen = _pattern_over(pattern, age_years, over)
    bases, total = _total(parts, basis)
    ratios = {
        key: sum(part.amino_acids_g.get(key, 0.0) for part in parts) * 1000 / total / value
        for key, value in chosen.items()
    }
    limiting = min(ratios, key=lambda key: ratios[key])
    digested = sum(part.digestibility * b for part, b in zip(parts, bases, strict=True)) / total
    score = ratios[limiting] * digested
    return ProteinScore(
        method="PDCAAS",
        pattern=name,
        value=min(1.0, score),
        untruncated=score,
        limiting=limiting,
        ratios=ratios,
        digestibility=digested,
        protein_g=total,
        known_fraction=_known(parts, bases, total, chosen),
    )


def diaas(
    parts: Sequence[ProteinPart],
    pattern: Pattern | Mapping[str, float] = "FAO2013",
    *,
    age_years: float = 30,
    over: Collection[str] | None = None,
    basis: ProteinBasis = "nitrogen x 6.25",
) -> ProteinScore:
    """
    Score a mixture by its scarcest digestible amino acid.

    Parameters
    ----------
    parts : sequence of ProteinPart
        The mixture; give ``ileal`` per amino acid where known.
    pattern, age_years, over, basis
        As for :func:`pdcaas`.

    Returns
    -------
    ProteinScore
        Its ``value`` is a fraction, 1 being a DIAAS of 100 %, and is not truncated.

    References
    ----------
    .. [1] FAO 2013, Paper 92, section 4.
    """
    name, chosen = _pattern_over(pattern, age_years, over)
    bases, total = _total(parts, basis)
    ratios = {
        key: sum(
            part.amino_acids_g.get(key, 0.0) * part.ileal.get(key, part.digestibility)
            for part in parts
        )
        * 1000
        / total
        / value
        for key, value in chosen.items()
    }
    limiting = min(ratios, key=lambda key: ratios[key])
    digested = sum(part.digestibility * b for part, b in zip(parts, bases, strict=True)) / total
    return ProteinScore(
        method="DIAAS",
        pattern=name,
        value=ratios[limiting],
        untruncated=ratios[limiting],
        limiting=limiting,
        ratios=ratios,
        digestibility=digested,
        protein_g=total,
        known_fraction=_known(parts, bases, total, chosen),
    )
