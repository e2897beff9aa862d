"""What a look-up in the food table hands back: small frozen records, no data frames."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

PlantBased = Literal["yes", "label", "no", "unclear"]
"""
Whether a food is free of animal ingredients.

``yes`` is offered. ``label`` is made both ways in the trade, with a plant composition in the
release: its values are kept, and only the kitchen catalogue offers it, with the word that the
package has to confirm it.
"""

INFANT_GROUP = "0300"
"""Food group made for infants: may be plant-based, is never offered."""


class Food(BaseModel):
    """One food of the release, whether or not it is plant-based."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    ndb: str
    """Number in the release: five digits, leading zeros kept."""
    description: str
    common_names: str
    """Other names the release gives; may be empty."""
    group: str
    """Name of the release's food group."""
    group_code: str
    plant_based: PlantBased
    reason: str
    """The rule that decided ``plant_based``, in words."""
    scientific_name: str = ""
    refuse_pct: float | None = None
    """Share of the food as bought that is thrown away. [% by weight]"""
    refuse_description: str = ""
    nitrogen_factor: float | None = None
    """Protein per nitrogen. [g/g]"""
    protein_kcal_per_g: float | None = None
    """Energy factor used for the energy value, where the release states it. [kcal/g]"""
    fat_kcal_per_g: float | None = None
    carbohydrate_kcal_per_g: float | None = None

    @property
    def offered(self) -> bool:
        """True when the food may be offered; unclear and infants' foods never are."""
        return self.plant_based == "yes" and self.group_code != INFANT_GROUP


class Portion(BaseModel):
    """One household measure of a food."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    ndb: str
    sequence: int
    amount: float
    """How many of the measure the grams belong to; not always 1."""
    measure: str
    """Words of the release, such as ``cup, chopped``."""
    grams: float

    @property
    def grams_each(self) -> float:
        """Weight of one of the measure, in grams."""
        return self.grams / self.amount
