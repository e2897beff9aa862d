"""
Energy and substrate use from gas exchange: single sets of volumes, no time course.

Volumes are STPD. Resting functions take mL/min and g of nitrogen a day, as resting reports print
them; substrate functions take L/min, as exercise reports do. Rates may come out negative: that is
net fat synthesis or over-breathing, and is shown rather than hidden.
"""

from __future__ import annotations

from dataclasses import dataclass

from mealplan.physiology.checks import require_not_negative, require_positive
from mealplan.physiology.tables import constants
from mealplan.science.equations import equation
from mealplan.science.units import MINUTES_PER_DAY, kcal_from_kj

_C = {key: constant.value for key, constant in constants("calorimetry").items()}
ML_PER_L = 1000.0
_GASES = "Copy both gas volumes from the report, in the unit asked for."


@dataclass(frozen=True)
class Substrates:
    """
    What is being burnt.

    Attributes
    ----------
    carbohydrate_g_per_min, fat_g_per_min : float
        Net rates of use; negative means net synthesis. [g/min]
    protein_g_per_min : float or None
        From urinary nitrogen; None when nitrogen was not measured. [g/min]
    method : str
        Whose coefficients.
    apparent : bool
        True when protein was left out, which inflates both other rates.
    """

    carbohydrate_g_per_min: float
    fat_g_per_min: float
    protein_g_per_min: float | None
    method: str
    apparent: bool


@equation("gas exchange")
def respiratory_exchange_ratio(vo2: float, vco2: float) -> float:
    """
    Divide carbon dioxide produced by oxygen used.

    Parameters
    ----------
    vo2, vco2 : float
        Gas volumes in one and the same unit, such as [mL/min].

    Returns
    -------
    float
        Respiratory exchange ratio; near 0.70 for fat and 1.00 for glucose. [ratio]

    Raises
    ------
    IntakeError
        When a volume is not above zero.
    """
    require_positive("vo2", vo2, "(gas volume)", mend=_GASES)
    require_positive("vco2", vco2, "(gas volume)", mend=_GASES)
    return vco2 / vo2


def _per_day(vo2_ml_min: float, vco2_ml_min: float) -> tuple[float, float]:
    require_positive("vo2_ml_min", vo2_ml_min, "mL/min", mend=_GASES)
    require_positive("vco2_ml_min", vco2_ml_min, "mL/min", mend=_GASES)
    litres = MINUTES_PER_DAY / ML_PER_L
    return vo2_ml_min * litres, vco2_ml_min * litres


@equation("gas exchange")
def energy_weir_full(vo2_ml_min: float, vco2_ml_min: float, nitrogen_g_per_day: float) -> float:
    """
    Work out energy from both gases and measured urinary nitrogen.

    Parameters
    ----------
    vo2_ml_min, vco2_ml_min : float
        Oxygen used and carbon dioxide produced, STPD. [mL/min]
    nitrogen_g_per_day : float
        Urinary nitrogen. [g/day]

    Returns
    -------
    float
        Energy expenditure. [kcal/day]

    References
    ----------
    .. [1] Weir, J Physiol 109, 1949, pages 1-9.
    """
    vo2, vco2 = _per_day(vo2_ml_min, vco2_ml_min)
    require_not_negative(
        "nitrogen_g_per_day", nitrogen_g_per_day, "g/day", mend="Leave it out if not measured."
    )
    gases = _C["weir_vo2"] * vo2 + _C["weir_vco2"] * vco2
    return gases + _C["weir_nitrogen"] * nitrogen_g_per_day


@equation("gas exchange")
def energy_weir_protein_built_in(vo2_ml_min: float, vco2_ml_min: float) -> float:
    """
    Work out energy from both gases, taking protein as 12.5 % of the energy.

    This is the form to use when nitrogen was not measured.

    Parameters
    ----------
    vo2_ml_min, vco2_ml_min : float
        Oxygen used and carbon dioxide produced, STPD. [mL/min]

    Returns
    -------
    float
        Energy expenditure. [kcal/day]

    References
    ----------
    .. [1] Weir, J Physiol 109, 1949, pages 1-9.
    """
    vo2, vco2 = _per_day(vo2_ml_min, vco2_ml_min)
    return _C["weir_protein_vo2"] * vo2 + _C["weir_protein_vco2"] * vco2


@equation("gas exchange")
def energy_weir_nitrogen_dropped(vo2_ml_min: float, vco2_ml_min: float) -> float:
    """
    Work out energy with the nitrogen term simply left off; about 1 % too high.

    Kept to reproduce reports that were made this way; never the default.

    Parameters
    ----------
    vo2_ml_min, vco2_ml_min : float
        Oxygen used and carbon dioxide produced, STPD. [mL/min]

    Returns
    -------
    float
        Energy expenditure. [kcal/day]
    """
    return energy_weir_full(vo2_ml_min, vco2_ml_min, 0.0)


@equation("gas exchange")
def energy_brouwer(vo2_l_per_day: float, vco2_l_per_day: float, nitrogen_g_per_day: float) -> float:
    """
    Work out energy from a day's gas volumes and nitrogen, in kilojoules.

    Parameters
    ----------
    vo2_l_per_day, vco2_l_per_day : float
        Oxygen used and carbon dioxide produced, STPD. [L/day]
    nitrogen_g_per_day : float
        Urinary nitrogen. [g/day]

    Returns
    -------
    float
        Energy expenditure. [kJ/day]

    References
    ----------
    .. [1] Brouwer, European Association for Animal Production, Publication 11, 1965.
    """
    require_positive("vo2_l_per_day", vo2_l_per_day, "L/day", mend=_GASES)
    require_positive("vco2_l_per_day", vco2_l_per_day, "L/day", mend=_GASES)
    require_not_negative(
        "nitrogen_g_per_day", nitrogen_g_per_day, "g/day", mend="Measure it or use another form."
    )
    return (
        _C["brouwer_vo2"] * vo2_l_per_day
        + _C["brouwer_vco2"] * vco2_l_per_day
        + _C["brouwer_nitrogen"] * nitrogen_g_per_day
    )


@equation("gas exchange")
def energy_brouwer_kcal(vo2_ml_min: float, vco2_ml_min: float, nitrogen_g_per_day: float) -> float:
    """
    Work out energy by Brouwer's coefficients in the units of a resting report.

    Parameters
    ----------
    vo2_ml_min, vco2_ml_min : float
        Oxygen used and carbon dioxide produced, STPD. [mL/min]
    nitrogen_g_per_day : float
        Urinary nitrogen. [g/day]

    Returns
    -------
    float
        Energy expenditure. [kcal/day]
    """
    vo2, vco2 = _per_day(vo2_ml_min, vco2_ml_min)
    return kcal_from_kj(energy_brouwer(vo2, vco2, nitrogen_g_per_day))


@equation("gas exchange")
def substrates_frayn(
    vo2_l_min: float, vco2_l_min: float, nitrogen_g_per_min: float | None = None
) -> Substrates:
    """
    Split gas exchange into carbohydrate, fat and protein by Frayn's coefficients.

    Parameters
    ----------
    vo2_l_min, vco2_l_min : float
        Oxygen used and carbon dioxide produced, STPD. [L/min]
    nitrogen_g_per_min : float, optional
        Urinary nitrogen; without it the rates are apparent ones. [g/min]

    Returns
    -------
    Substrates

    References
    ----------
    .. [1] Frayn, J Appl Physiol 55(2), 1983, pages 628-634.
    """
    respiratory_exchange_ratio(vo2_l_min, vco2_l_min)
    nitrogen = 0.0
    if nitrogen_g_per_min is not None:
        nitrogen = require_not_negative(
            "nitrogen_g_per_min", nitrogen_g_per_min, "g/min", mend="Leave it out if not measured."
        )
    return Substrates(
        carbohydrate_g_per_min=_C["frayn_cho_vco2"] * vco2_l_min
        + _C["frayn_cho_vo2"] * vo2_l_min
        + _C["frayn_cho_nitrogen"] * nitrogen,
        fat_g_per_min=_C["frayn_fat_vo2"] * vo2_l_min
        + _C["frayn_fat_vco2"] * vco2_l_min
        + _C["frayn_fat_nitrogen"] * nitrogen,
        protein_g_per_min=(
            None if nitrogen_g_per_min is None else _C["protein_per_nitrogen"] * nitrogen
        ),
        method="Frayn 1983",
        apparent=nitrogen_g_per_min is None,
    )


@equation("gas exchange")
def substrates_peronnet_massicotte(vo2_l_min: float, vco2_l_min: float) -> Substrates:
    """
    Split gas exchange into carbohydrate and fat, protein taken as nil.

    Parameters
    ----------
    vo2_l_min, vco2_l_min : float
        Oxygen used and carbon dioxide produced, STPD. [L/min]

    Returns
    -------
    Substrates

    References
    ----------
    .. [1] Peronnet and Massicotte, Can J Sport Sci 16(1), 1991, pages 23-29.
    """
    respiratory_exchange_ratio(vo2_l_min, vco2_l_min)
    return Substrates(
        carbohydrate_g_per_min=_C["peronnet_cho_vco2"] * vco2_l_min
        + _C["peronnet_cho_vo2"] * vo2_l_min,
        fat_g_per_min=_C["peronnet_fat_vo2"] * vo2_l_min + _C["peronnet_fat_vco2"] * vco2_l_min,
        protein_g_per_min=None,
        method="Peronnet-Massicotte 1991",
        apparent=True,
    )


@equation("gas exchange")
def substrates_jeukendrup_wallis(vo2_l_min: float, vco2_l_min: float) -> Substrates:
    """
    Split gas exchange at 50-75 % of VO2max, where glycogen gives part of the carbohydrate.

    Parameters
    ----------
    vo2_l_min, vco2_l_min : float
        Oxygen used and carbon dioxide produced, STPD. [L/min]

    Returns
    -------
    Substrates

    References
    ----------
    .. [1] Jeukendrup and Wallis, Int J Sports Med 26(Suppl 1), 2005, pages S28-S37.
    """
    respiratory_exchange_ratio(vo2_l_min, vco2_l_min)
    return Substrates(
        carbohydrate_g_per_min=_C["jeukendrup_cho_vco2"] * vco2_l_min
        + _C["jeukendrup_cho_vo2"] * vo2_l_min,
        fat_g_per_min=_C["jeukendrup_fat_vo2"] * vo2_l_min + _C["jeukendrup_fat_vco2"] * vco2_l_min,
        protein_g_per_min=None,
        method="Jeukendrup-Wallis 2005",
        apparent=True,
    )
