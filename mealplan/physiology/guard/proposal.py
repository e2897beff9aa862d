"""A step of energy as it is proposed, before it is held to its limits."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class EnergyProposal:
    """
    What a plan would do.

    Attributes
    ----------
    intake_kcal : float
        Planned intake. [kcal/day]
    rmr_kcal, maintenance_kcal : float
        Resting and total energy. [kcal/day]
    percent_per_week : float
        Planned rate, positive for gain. [%/week]
    weeks : float
        How long. [week]
    gaining : bool
        The phase is meant to gain.
    availability : float or None
        Energy availability; None without fat-free mass. [kcal/kg/day]
    protein_g_per_kg : float or None
        Planned protein. [g/kg]
    much_fat : bool
        Fat above the usual range: larger deficits are ordinary care, with someone watching.
    set_by_team : bool
        The energy is a surgical team's own after bariatric surgery.
    """

    intake_kcal: float
    rmr_kcal: float
    maintenance_kcal: float
    percent_per_week: float
    weeks: float
    gaining: bool = False
    availability: float | None = None
    protein_g_per_kg: float | None = None
    much_fat: bool = False
    set_by_team: bool = False

    @property
    def deficit_percent(self) -> float:
        """Deficit as a share of maintenance, negative for a surplus [%]."""
        return 100.0 * (1.0 - self.intake_kcal / self.maintenance_kcal)
