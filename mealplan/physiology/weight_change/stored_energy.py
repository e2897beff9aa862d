"""
What a kilogram of body mass holds and how a change divides into fat and the rest.

With rules of thumb that come from it; the model over time is in
:mod:`mealplan.physiology.weight_change.energy_balance`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mealplan.physiology.checks import require_between, require_positive
from mealplan.physiology.tables import constants
from mealplan.science.equations import equation
from mealplan.science.units import kcal_from_mj

_C = {key: constant.value for key, constant in constants("energy_balance").items()}

FAT_KCAL_PER_KG = kcal_from_mj(_C["fat_density_mj"])
"""Energy stored in body fat. [kcal/kg]"""
LEAN_KCAL_PER_KG = kcal_from_mj(_C["lean_density_mj"])
"""Energy stored in a change of lean tissue. [kcal/kg]"""
FORBES_KG = _C["forbes"]
"""Fat mass at which half of a small change is fat. [kg]"""


@equation("stored energy and weight")
def forbes_fat_fraction(fat_kg: float) -> float:
    """
    Give the fat share of a small change of body mass in untrained people.

    Parameters
    ----------
    fat_kg : float
        Fat mass now. [kg]

    Returns
    -------
    float
        Share of the change that is fat. [fraction]

    References
    ----------
    .. [1] Forbes, Ann N Y Acad Sci 904, 2000, pages 359-365.
    """
    require_positive("fat_kg", fat_kg, "kg", mend="Give fat mass from a scan or skinfolds.")
    return fat_kg / (fat_kg + FORBES_KG)


@equation("stored energy and weight")
def trained_fat_fraction(fat_kg: float) -> float:
    """
    Give the fat share of a trained, protein-fed lifter's gain: Forbes held within 0.3 to 0.6.

    Parameters
    ----------
    fat_kg : float
        Fat mass now. [kg]

    Returns
    -------
    float
        Share of the change that is fat. [fraction]
    """
    forbes = forbes_fat_fraction(fat_kg)
    return min(max(forbes, _C["trained_alpha_low"]), _C["trained_alpha_high"])


@equation("stored energy and weight")
def forbes_fat_after(fat_kg: float, change_kg: float) -> float:
    """
    Give fat mass after a change of body mass of any size.

    Solves ``F + 10.4·ln F = F0 + 10.4·ln F0 + change`` by Newton's method, which is the same as the
    Lambert-W form of the paper and does not overflow.

    Parameters
    ----------
    fat_kg : float
        Fat mass before. [kg]
    change_kg : float
        Change of body mass. [kg]

    Returns
    -------
    float
        Fat mass after, always above zero. [kg]

    References
    ----------
    .. [1] Hall, Br J Nutr 97(6), 2007, pages 1059-1063.
    """
    require_positive("fat_kg", fat_kg, "kg", mend="Give fat mass from a scan or skinfolds.")
    goal = fat_kg + FORBES_KG * math.log(fat_kg) + change_kg
    # In u = ln F the function e^u + c·u - goal is convex and rising: Newton converges from above.
    u = math.log(max(goal, 1.0))
    for _ in range(200):
        fat = math.exp(u)
        step = (fat + FORBES_KG * u - goal) / (fat + FORBES_KG)
        u -= step
        if abs(step) < 1e-14 * max(1.0, abs(u)):
            break
    return math.exp(u)


@equation("stored energy and weight")
def forbes_ffm_women(fat_kg: float) -> float:
    """
    Give the fat-free mass that goes with a woman's fat mass on Forbes's curve.

    Parameters
    ----------
    fat_kg : float
        Fat mass. [kg]

    Returns
    -------
    float
        Fat-free mass. [kg]
    """
    require_positive("fat_kg", fat_kg, "kg", mend="Give fat mass from a scan or skinfolds.")
    return FORBES_KG * math.log(fat_kg) + _C["forbes_intercept"]


@equation("stored energy and weight")
def stored_kcal_per_kg(fat_fraction: float) -> float:
    """
    Give the energy stored in a kilogram of change.

    Parameters
    ----------
    fat_fraction : float
        Share of the change that is fat. [fraction]

    Returns
    -------
    float
        Stored energy. [kcal/kg]
    """
    require_between(
        "fat_fraction",
        fat_fraction,
        0.0,
        1.0,
        "(fraction)",
        reason="it is a share",
        mend="Thirty per cent is 0.3.",
    )
    return FAT_KCAL_PER_KG * fat_fraction + LEAN_KCAL_PER_KG * (1.0 - fat_fraction)


@equation("stored energy and weight")
def energy_for_rate(weight_kg: float, percent_per_week: float, kcal_per_kg: float) -> float:
    """
    Turn a rate of change into the daily energy that goes with it at a given density.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]
    percent_per_week : float
        Rate, positive for gain. [%/week]
    kcal_per_kg : float
        Energy of a kilogram, stored or effective. [kcal/kg]

    Returns
    -------
    float
        Energy. [kcal/day]
    """
    require_positive("weight_kg", weight_kg, "kg", mend="Weigh the client.")
    return weight_kg * percent_per_week / 100.0 / 7.0 * kcal_per_kg


@dataclass(frozen=True)
class ScanBalance:
    """
    Expenditure told from intake and two scans.

    Attributes
    ----------
    expenditure_kcal : float
        On the scale the client logs on. [kcal/day]
    sd_kcal : float
        Standard deviation from the scans' precision alone. [kcal/day]
    long_enough : bool
        False when the interval is too short for scans to tell much.
    """

    expenditure_kcal: float
    sd_kcal: float
    long_enough: bool


@equation("stored energy and weight")
def expenditure_from_scans(
    intake_kcal: float,
    fat_change_kg: float,
    lean_change_kg: float,
    days: float,
    *,
    fat_rms_sd_kg: float = _C["scan_fat_rms_sd"],
    lean_rms_sd_kg: float = _C["scan_lean_rms_sd"],
) -> ScanBalance:
    """
    Tell expenditure from logged intake and the change between two scans.

    Parameters
    ----------
    intake_kcal : float
        Mean logged intake between the scans. [kcal/day]
    fat_change_kg, lean_change_kg : float
        Second scan less first. [kg]
    days : float
        Interval. [day]
    fat_rms_sd_kg, lean_rms_sd_kg : float
        Precision of one scan. [kg]

    Returns
    -------
    ScanBalance
        Logged intake usually runs low, so this is expenditure on the same low scale, which is the
        one to plan with as long as logging stays as it is.
    """
    require_positive("intake_kcal", intake_kcal, "kcal/day", mend="Log intake between the scans.")
    require_positive("days", days, "days", mend="Give both scan dates.")
    require_positive("fat_rms_sd_kg", fat_rms_sd_kg, "kg", mend="Leave it out if unknown.")
    require_positive("lean_rms_sd_kg", lean_rms_sd_kg, "kg", mend="Leave it out if unknown.")
    stored = FAT_KCAL_PER_KG * fat_change_kg + LEAN_KCAL_PER_KG * lean_change_kg
    spread = math.sqrt(2.0) * math.hypot(
        FAT_KCAL_PER_KG * fat_rms_sd_kg, LEAN_KCAL_PER_KG * lean_rms_sd_kg
    )
    return ScanBalance(intake_kcal - stored / days, spread / days, days >= _C["scan_least_days"])


@equation("stored energy and weight")
def rule_7700_change_kg(intake_change_kcal: float, days: float) -> float:
    """
    Apply the 7,700 kcal a kilogram rule, to show beside the model.

    Parameters
    ----------
    intake_change_kcal : float
        Change of intake. [kcal/day]
    days : float
        Time. [day]

    Returns
    -------
    float
        Change of body mass by the rule. [kg]
    """
    return intake_change_kcal * days / _C["rule_kcal_per_kg"]


@equation("stored energy and weight")
def rule_steady_change_kg(intake_change_kcal: float) -> float:
    """
    Apply the rule of 24 kcal a day for each kilogram of final change, for average adults.

    Parameters
    ----------
    intake_change_kcal : float
        Lasting change of intake. [kcal/day]

    Returns
    -------
    float
        Final change by the rule; lean active athletes change less. [kg]
    """
    return intake_change_kcal / _C["rule_steady_kcal_per_kg"]


@equation("stored energy and weight")
def rule_steady_change_kg_from_kj(intake_change_kj: float) -> float:
    """
    Apply the same rule in its published unit, 100 kJ a day for each kilogram.

    Parameters
    ----------
    intake_change_kj : float
        Lasting change of intake. [kJ/day]

    Returns
    -------
    float
        Final change by the rule. [kg]
    """
    return intake_change_kj / _C["rule_steady_kj_per_kg"]
