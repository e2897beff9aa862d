"""
Definitions that turn forms of a nutrient into the unit its reference intake is in.

Use them for labels and supplements, which print international units or folic acid.

References
----------
.. [1] Institute of Medicine 1998, folate and niacin. [2]_ 2001, vitamin A. [3]_ 2011, vitamin D.
"""

from __future__ import annotations

from mealplan.errors import TargetError
from mealplan.science.equations import equation

KJ_PER_KCAL = 4.184
"""Thermochemical calorie, as food tables use it. [kJ/kcal]"""

_FACTOR_WINDOWS = {"protein": (0.9, 4.4), "fat": (8.2, 9.1), "carbohydrate": (1.2, 4.3)}


@equation("forms of a nutrient")
def folate_dfe_ug(food_folate_ug: float, folic_acid_ug: float) -> float:
    """
    Add food folate and folic acid as dietary folate equivalents.

    Parameters
    ----------
    food_folate_ug, folic_acid_ug : float
        Folate of the food itself; folic acid eaten with food. [µg]

    Returns
    -------
    float
        Folic acid counts 1.7 times. [µg DFE]
    """
    return food_folate_ug + 1.7 * folic_acid_ug


@equation("forms of a nutrient")
def vitamin_a_rae_ug(
    retinol_ug: float,
    beta_carotene_ug: float,
    alpha_carotene_ug: float = 0.0,
    beta_cryptoxanthin_ug: float = 0.0,
) -> float:
    """
    Add retinol and the provitamins as retinol activity equivalents.

    Parameters
    ----------
    retinol_ug, beta_carotene_ug, alpha_carotene_ug, beta_cryptoxanthin_ug : float
        Amounts in food. [µg]

    Returns
    -------
    float
        12 µg of beta-carotene, or 24 of the other two, count as 1 of retinol. [µg RAE]
    """
    others = (alpha_carotene_ug + beta_cryptoxanthin_ug) / 24
    return retinol_ug + beta_carotene_ug / 12 + others


@equation("forms of a nutrient")
def vitamin_d_ug(international_units: float) -> float:
    """
    Turn international units of vitamin D into micrograms: 40 IU are 1 µg.

    Parameters
    ----------
    international_units : float
        [IU]
    """
    return international_units / 40


@equation("forms of a nutrient")
def niacin_ne_mg(niacin_mg: float, tryptophan_g: float) -> float:
    """
    Add niacin and tryptophan as niacin equivalents.

    Parameters
    ----------
    niacin_mg : float
        Preformed niacin. [mg]
    tryptophan_g : float
        60 mg of it count as 1 mg of niacin. [g]

    Returns
    -------
    float
        [mg NE]
    """
    return niacin_mg + tryptophan_g * 1000 / 60


def energy_kcal(
    protein_g: float,
    fat_g: float,
    carbohydrate_g: float,
    factors: tuple[float, float, float] = (4.0, 9.0, 4.0),
    alcohol_g: float = 0.0,
) -> float:
    """
    Work out energy from its carriers.

    Parameters
    ----------
    protein_g, fat_g, carbohydrate_g : float
        Carbohydrate by difference, fibre included. [g]
    factors : tuple of float
        Kilocalories a gram of the three: the food's own, or the general 4, 9, 4. [kcal/g]
    alcohol_g : float
        At 6.93 kcal/g. [g]

    Returns
    -------
    float
        [kcal]

    References
    ----------
    .. [1] Merrill and Watt 1973, USDA Agriculture Handbook 74.
    """
    for (name, (low, high)), factor in zip(_FACTOR_WINDOWS.items(), factors, strict=True):
        if factor != 0 and not low <= factor <= high:
            raise TargetError(
                f"{name} factor {factor:g} kcal/g is outside {low:g} to {high:g}: the published "
                "energy value is safer than recomputing it"
            )
    protein, fat, carbohydrate = factors
    return protein * protein_g + fat * fat_g + carbohydrate * carbohydrate_g + 6.93 * alcohol_g


@equation("forms of a nutrient")
def energy_kj(kcal: float) -> float:
    """
    Turn kilocalories into kilojoules.

    Parameters
    ----------
    kcal : float
        [kcal]
    """
    return kcal * KJ_PER_KCAL
