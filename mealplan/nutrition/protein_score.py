"""How well protein meets a pattern of amino acids, by faecal and by ileal digestibility."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from mealplan.errors import TargetError
from mealplan.nutrition.amino_acids import (
    INDISPENSABLE,
    Pattern,
    ProteinBasis,
    crude_protein_g,
    scoring_pattern_mg_per_g,
)

ScoreMethod = Literal["PDCAAS", "DIAAS"]


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

    method: ScoreMethod
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


def score_protein(
    method: ScoreMethod,
    parts: Sequence[ProteinPart],
    pattern: Pattern | Mapping[str, float] = "FAO2013",
    *,
    age_years: float = 30,
    over: Collection[str] | None = None,
    basis: ProteinBasis = "nitrogen x 6.25",
) -> ProteinScore:
    """
    Score a mixture by its scarcest amino acid.

    Parameters
    ----------
    method : {"PDCAAS", "DIAAS"}
        PDCAAS multiplies the lowest ratio by the faecal digestibility of the protein as a whole and
        cuts it at 1; DIAAS counts what is digested of each amino acid (give ``ileal`` where it is
        known) and is not cut.
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
        Its ``value`` is a fraction, 1 being 100 %.

    References
    ----------
    .. [1] FAO/WHO 1991, Paper 51, chapter 8 (PDCAAS).
    .. [2] FAO 2013, Paper 92, section 4 (DIAAS).
    """
    name, chosen = _pattern_over(pattern, age_years, over)
    bases, total = _total(parts, basis)

    def counted(part: ProteinPart, key: str) -> float:
        held = part.amino_acids_g.get(key, 0.0)
        return held if method == "PDCAAS" else held * part.ileal.get(key, part.digestibility)

    ratios = {
        key: sum(counted(part, key) for part in parts) * 1000 / total / value
        for key, value in chosen.items()
    }
    limiting = min(ratios, key=lambda key: ratios[key])
    digested = sum(part.digestibility * b for part, b in zip(parts, bases, strict=True)) / total
    score = ratios[limiting] * digested if method == "PDCAAS" else ratios[limiting]
    return ProteinScore(
        method=method,
        pattern=name,
        value=min(1.0, score) if method == "PDCAAS" else score,
        untruncated=score,
        limiting=limiting,
        ratios=ratios,
        digestibility=digested,
        protein_g=total,
        known_fraction=_known(parts, bases, total, chosen),
    )
