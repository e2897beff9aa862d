"""Protein of a day and of a meal, as told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from mealplan.references.tables import Provenance

Phase = Literal["gain", "hold", "cut", "endurance"]
Training = Literal["strength", "endurance", "mixed", "none"]
PlantAllowance = Literal["digestible amino acids", "uplift", "none"]
"""
How the lower digestibility of plant protein is allowed for, in exactly one way: by counting
digestible amino acids against their minimums (then the protein target stays as published), or by
raising the protein target by a tenth. Never both.
"""


@dataclass(frozen=True)
class ProteinTarget:
    """
    A day's protein; amounts in grams of protein as food tables state it.

    ``reference_mass_kg`` is the mass ``*_g_per_kg`` are multiplied with, body mass or fat-free mass
    as ``per`` says; ``working`` says in words what was chosen and why.
    """

    low_g: float
    aim_g: float
    high_g: float
    low_g_per_kg: float
    aim_g_per_kg: float
    high_g_per_kg: float
    per: Literal["body mass", "fat-free mass", "adjusted mass"]
    reference_mass_kg: float
    allowance: PlantAllowance
    source: str
    provenance: Provenance
    working: tuple[str, ...]


@dataclass(frozen=True)
class MealProtein:
    """
    Protein and leucine a meal; soft goals, in grams.

    ``leucine_g`` takes 28 to 42 g of plant protein, so it is a wish and never a floor.
    """

    low_g: float
    aim_g: float
    high_g: float
    leucine_g: float
    source: str
    provenance: Provenance
    working: tuple[str, ...]


@dataclass(frozen=True)
class ReferenceMass:
    """Mass that grams a kilogram are multiplied with, and how lean the body is. [kg]."""

    mass_kg: float
    words: str
    """Why it is not body mass; empty when it is."""
    lean: float = 1.0
    """
    How far ranges for lean people in a deficit hold: 1 up to the usual share of fat, 0 where fat is
    above it. [fraction]
    """

    @property
    def adjusted(self) -> bool:
        """Whether it differs from body mass."""
        return bool(self.words)
