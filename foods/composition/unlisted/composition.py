"""What is known of a food that has no row of its own in the release, and what that rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

CompositionBasis = Literal["label", "recipe", "survey"]
"""A package label, a recipe of release rows, or what several products declare."""


@dataclass(frozen=True)
class OwnComposition:
    """What is known of a food that is not in the release."""

    per_100g: Mapping[str, float]
    """What is declared or worked out, by nutrient key; what is not known is absent."""
    sd_per_100g: Mapping[str, float]
    """Spread that a label's rounding or the difference between products leaves."""
    imputed_per_100g: Mapping[str, float]
    """Amino acids taken from a reference food."""
    source: str
    """Where it comes from, such as ``package label, entered 2026-11-25``."""
    basis: CompositionBasis = "label"
