"""
What a kilogram of change is made of, and the energy it holds: by direction, body and training.

A cut and a gain of the same client differ: who lifts and eats enough protein loses mostly fat, and
gains less of it. The share is never known well; its spread is part of every band, and two scans
narrow it.

References
----------
.. [1] Forbes, Ann N Y Acad Sci 904, 2000, pages 359-365.
.. [2] Helms et al., J Int Soc Sports Nutr 11, 2014; Longland et al., Am J Clin Nutr 103(3), 2016:
   lifting and protein spare lean tissue in a deficit.
.. [3] Heymsfield et al., Obes Rev 15(4), 2014: about a quarter of a diet's loss is lean.
"""

from __future__ import annotations

from dataclasses import dataclass

from mealplan.physiology.weight_change.energy_balance import Baseline, linear_model
from mealplan.physiology.weight_change.stored_energy import (
    FAT_KCAL_PER_KG,
    LEAN_KCAL_PER_KG,
    forbes_fat_fraction,
    stored_kcal_per_kg,
    trained_fat_fraction,
)

LOSS_SHARE = 0.70
"""Fat share of a loss without lifting and protein, at any fatness (a little under [3]_)."""
LOSS_SHARE_PER_SUPPORT = 0.05
"""Added by lifting, and by enough protein (assumption within [2]_)."""
LEAST_LOSS_PROTEIN = 1.6
"""Protein that spares lean tissue in a deficit. [g/(kg day)]"""
SHARE_SD = 0.10
"""Spread of people's fat share about what is expected of them (assumption)."""
UNKNOWN_SHARE_SD = 0.15
"""The same where fat was never measured (assumption)."""
ASSUMED_FAT_FRACTION = 0.17
"""Fat of an athlete without a measurement (assumption)."""
THERMIC_FRACTION = 0.10
"""Share of extra intake spent at once."""


@dataclass(frozen=True)
class Energetics:
    """
    How this body turns an imbalance into mass, and how its spending answers.

    Attributes
    ----------
    losing_share, gaining_share : float
        Fat share of a kilogram lost and gained. [fraction]
    share_sd : float
        Spread of the truth about either. [fraction]
    per_kg_kcal : float
        Extra spending a day for each kilogram carried. [kcal/(kg day)]
    thermic_fraction : float
        Share of extra intake spent at once.
    """

    losing_share: float
    gaining_share: float
    share_sd: float = SHARE_SD
    per_kg_kcal: float = 25.0
    thermic_fraction: float = THERMIC_FRACTION

    def share(self, direction: int) -> float:
        """
        Give the fat share expected of a change.

        Parameters
        ----------
        direction : {-1, 0, 1}
            Which way mass is meant to go; 0 lies between.

        Returns
        -------
        float
            [fraction]
        """
        between = (self.losing_share + self.gaining_share) / 2.0
        return {-1: self.losing_share, 0: between, 1: self.gaining_share}[direction]

    def density_kcal_per_kg(self, direction: int) -> float:
        """
        Give the energy stored in a kilogram of change, in kcal/kg.

        Parameters
        ----------
        direction : int
            Below nought for a loss.
        """
        return stored_kcal_per_kg(self.share(direction))

    @property
    def density_sd_kcal_per_kg(self) -> float:
        """Spread of the stored energy, in kcal/kg."""
        return self.share_sd * (FAT_KCAL_PER_KG - LEAN_KCAL_PER_KG)


def energetics_of(
    fat_kg: float | None,
    lean_kg: float,
    rmr_kcal: float,
    pal: float,
    *,
    trained: bool = False,
    lifts: bool = False,
    protein_g_per_kg: float | None = None,
) -> Energetics:
    """
    Work out how a body turns an imbalance into mass.

    Parameters
    ----------
    fat_kg : float or None
        None when never measured. [kg]
    lean_kg : float
        Everything else; the whole body mass when ``fat_kg`` is None. [kg]
    rmr_kcal : float
        [kcal/day]
    pal : float
        Total over resting energy.
    trained : bool
        Holds the fat share of a gain within 0.3 to 0.6.
    lifts : bool
        Resistance training twice a week or more.
    protein_g_per_kg : float, optional
        As planned. [g/(kg day)]

    Returns
    -------
    Energetics
    """
    assumed = ASSUMED_FAT_FRACTION * lean_kg if fat_kg is None else fat_kg
    rest = lean_kg - assumed if fat_kg is None else lean_kg
    forbes = forbes_fat_fraction(assumed)
    gaining = trained_fat_fraction(assumed) if trained or lifts else forbes
    fed = protein_g_per_kg is not None and protein_g_per_kg >= LEAST_LOSS_PROTEIN
    losing = max(forbes, LOSS_SHARE + LOSS_SHARE_PER_SUPPORT * (lifts + fed))
    line = linear_model(Baseline(assumed, rest, rmr_kcal, pal), fat_fraction=forbes)
    answered = THERMIC_FRACTION + 0.14
    return Energetics(
        losing_share=losing,
        gaining_share=gaining,
        share_sd=UNKNOWN_SHARE_SD if fat_kg is None else SHARE_SD,
        per_kg_kcal=line.slope_kcal_per_kg * (1.0 - answered),
    )
