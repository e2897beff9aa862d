"""Vitamin B12: how much of a dose is taken up, and what food would bring as much."""

from __future__ import annotations

from mealplan.errors import TargetError
from mealplan.references.uptake_tables import plant_adjustment_rows
from mealplan.science.equations import equation


@equation("vitamin B12")
def b12_absorbed_ug(dose_ug: float, receptor_cap_ug: float | None = None) -> float:
    """
    Estimate what is absorbed of one dose of vitamin B12.

    Parameters
    ----------
    dose_ug : float
        One dose, taken with water. [µg]
    receptor_cap_ug : float, optional
        Most that the receptor takes up; 1.0 when left out, which gives the 5 % that was measured
        at 25 µg. Other sources use 1.5 to 2. [µg]

    Returns
    -------
    float
        Half of it up to the cap, plus 1 % by diffusion. [µg]

    References
    ----------
    .. [1] Institute of Medicine 1998, vitamin B12, pages 308-310 and table 9-2.
    .. [2] Adams et al. 1971, Scand J Gastroenterol 6:249.
    """
    if dose_ug < 0:
        raise TargetError(f"dose_ug={dose_ug:g} is negative")
    rows = plant_adjustment_rows()
    share, cap, passive = (
        rows[key].value for key in ("b12_intrinsic_share", "b12_intrinsic_cap", "b12_passive_share")
    )
    limit = cap if receptor_cap_ug is None else receptor_cap_ug
    return min(dose_ug * share, limit) + passive * dose_ug


@equation("vitamin B12")
def b12_food_equivalent_ug(dose_ug: float, doses_per_week: float) -> float:
    """
    Restate a vitamin B12 regimen as the daily amount in food that would be absorbed alike.

    Parameters
    ----------
    dose_ug : float
        One dose. [µg]
    doses_per_week : float
        How often; doses in one day are taken hours apart. [1/week]

    Returns
    -------
    float
        Comparable with the recommended intake, which assumes that half is absorbed. [µg/day]
    """
    share = plant_adjustment_rows()["b12_intrinsic_share"].value
    return b12_absorbed_ug(dose_ug) * doses_per_week / 7 / share
