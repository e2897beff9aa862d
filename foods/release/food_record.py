"""A food of the release as the plant-based rules look at it, and what they answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from foods.registry.models import PlantBased

CORE_GROUPS = frozenset({"0200", "0900", "1100", "1200", "1600", "2000"})
"""Spices, fruit, vegetables, nuts and seeds, legumes, grains."""


@dataclass(frozen=True, slots=True)
class FoodRecord:
    """
    What the rule may look at.

    Parameters
    ----------
    ndb : str
        Number in the release, used only for the listed exceptions.
    description : str
        Description as released.
    group_code : str
        Food group of the release, such as ``1100``.
    manufacturer : str
        Maker, where the release names one.
    notes : str
        Footnotes on the description, such as a recipe.
    langual : frozenset of str
        LanguaL codes; empty when the release gives none.
    amounts : mapping of int to float
        Nutrient number to amount per 100 g; a number that is absent was not measured.
    """

    ndb: str
    description: str
    group_code: str
    manufacturer: str = ""
    notes: str = ""
    langual: frozenset[str] = frozenset()
    amounts: Mapping[int, float] = field(default_factory=dict)

    def above_zero(self, number: int) -> bool:
        """
        Say whether a nutrient was measured and is above zero.

        Parameters
        ----------
        number : int
            Number of the nutrient.
        """
        return self.amounts.get(number, 0.0) > 0

    @property
    def in_core_group(self) -> bool:
        """True in the six groups of plant foods."""
        return self.group_code in CORE_GROUPS

    @property
    def text(self) -> str:
        """Description in lower case."""
        return self.description.lower()


@dataclass(frozen=True, slots=True)
class Verdict:
    """Answer of the rule and what decided it."""

    plant_based: PlantBased
    reason: str
