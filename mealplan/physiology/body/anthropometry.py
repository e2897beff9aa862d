"""
Body fat from girths and skinfolds, and body mass index.

Typical error is three to four points of %fat. For tracking, raw girths and skinfold sums tell more
than the converted percentage.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from mealplan.errors import IntakeError
from mealplan.physiology.checks import require_between, require_positive
from mealplan.physiology.tables import constants
from mealplan.references.tables import Sex
from mealplan.science.equations import equation

_C = {key: constant.value for key, constant in constants("body_composition").items()}

SITES_7 = ("chest", "axilla", "triceps", "subscapular", "abdomen", "suprailiac", "thigh")
"""Sites of the seven-site sum."""
SITES_3_MEN = ("chest", "abdomen", "thigh")
"""Sites of the men's three-site sum."""
SITES_3_WOMEN = ("triceps", "suprailiac", "thigh")
"""Sites of the women's three-site sum."""


@equation("body size")
def body_mass_index(weight_kg: float, height_cm: float) -> float:
    """
    Divide body mass by height squared.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]
    height_cm : float
        Height. [cm]

    Returns
    -------
    float
        Body mass index. [kg/m²]
    """
    require_positive("weight_kg", weight_kg, "kg", mend="Weigh the client.")
    require_positive("height_cm", height_cm, "cm", mend="Measure height in centimetres.")
    return weight_kg / (height_cm / 100.0) ** 2


@dataclass(frozen=True)
class BmiReading:
    """
    Body mass index with what it can say.

    Attributes
    ----------
    bmi : float
        Body mass index. [kg/m²]
    group : str
        WHO group.
    note : str
        Why it says little in muscular people; empty where it does say something.
    """

    bmi: float
    group: Literal["underweight", "normal", "overweight", "obese"]
    note: str


@equation("body size")
def read_bmi(weight_kg: float, height_cm: float) -> BmiReading:
    """
    Group a body mass index and say what it is worth.

    Parameters
    ----------
    weight_kg : float
        Body mass. [kg]
    height_cm : float
        Height. [cm]

    Returns
    -------
    BmiReading
    """
    bmi = body_mass_index(weight_kg, height_cm)
    if bmi < _C["bmi_under"]:
        return BmiReading(bmi, "underweight", "low enough to matter whatever the build")
    if bmi < _C["bmi_over"]:
        return BmiReading(bmi, "normal", "")
    note = "cannot tell muscle from fat; judge by fat mass index or waist"
    return BmiReading(bmi, "overweight" if bmi < _C["bmi_obese"] else "obese", note)


@equation("body fat")
def fat_percent_siri(density_g_ml: float) -> float:
    """
    Turn body density into %fat by Siri.

    Parameters
    ----------
    density_g_ml : float
        Whole-body density. [g/mL]

    Returns
    -------
    float
        Fat of body mass. [%]

    References
    ----------
    .. [1] Siri, in Brozek and Henschel (eds), Techniques for Measuring Body Composition, 1961.
    """
    _density(density_g_ml)
    return _C["siri_slope"] / density_g_ml - _C["siri_offset"]


@equation("body fat")
def fat_percent_brozek(density_g_ml: float) -> float:
    """
    Turn body density into %fat by Brozek.

    Parameters
    ----------
    density_g_ml : float
        Whole-body density. [g/mL]

    Returns
    -------
    float
        Fat of body mass. [%]

    References
    ----------
    .. [1] Brozek et al., Ann N Y Acad Sci 110, 1963, pages 113-140.
    """
    _density(density_g_ml)
    return _C["brozek_slope"] / density_g_ml - _C["brozek_offset"]


def _density(density_g_ml: float) -> float:
    return require_between(
        "density_g_ml",
        density_g_ml,
        0.9,
        1.12,
        "g/mL",
        reason="pure fat is 0.90 and lean tissue 1.10",
        mend="Check the measurements behind it.",
    )


def _log10_girth(girth_cm: float, what: str) -> float:
    if not (math.isfinite(girth_cm) and girth_cm > 0):
        raise IntakeError(
            f"{what} is {girth_cm:g} cm: it must be above 0 for this equation. "
            "Check which girth is which; the neck is taken off, never added."
        )
    return math.log10(girth_cm)


@equation("body fat")
def density_girths_men(height_cm: float, neck_cm: float, abdomen_cm: float) -> float:
    """
    Estimate a man's body density from neck and abdomen.

    Parameters
    ----------
    height_cm : float
        Height. [cm]
    neck_cm : float
        Neck below the larynx. [cm]
    abdomen_cm : float
        Abdomen at the navel. [cm]

    Returns
    -------
    float
        Density; standard error 3.5 points of %fat. [g/mL]

    References
    ----------
    .. [1] Hodgdon and Beckett, Naval Health Research Center report 84-11, 1984.
    """
    require_positive("height_cm", height_cm, "cm", mend="Measure height in centimetres.")
    return (
        _C["navy_men_intercept"]
        + _C["navy_men_girth"] * _log10_girth(abdomen_cm - neck_cm, "abdomen less neck")
        + _C["navy_men_height"] * math.log10(height_cm)
    )


@equation("body fat")
def density_girths_women(height_cm: float, neck_cm: float, waist_cm: float, hip_cm: float) -> float:
    """
    Estimate a woman's body density from neck, waist and hip.

    Parameters
    ----------
    height_cm : float
        Height. [cm]
    neck_cm : float
        Neck below the larynx. [cm]
    waist_cm : float
        Waist at its narrowest. [cm]
    hip_cm : float
        Hip at its widest. [cm]

    Returns
    -------
    float
        Density; standard error 3.7 points of %fat. [g/mL]

    References
    ----------
    .. [1] Hodgdon and Beckett, Naval Health Research Center report 84-29, 1984.
    """
    require_positive("height_cm", height_cm, "cm", mend="Measure height in centimetres.")
    girth = _log10_girth(waist_cm + hip_cm - neck_cm, "waist and hip less neck")
    return (
        _C["navy_women_intercept"]
        + _C["navy_women_girth"] * girth
        + _C["navy_women_height"] * math.log10(height_cm)
    )


@equation("body fat")
def fat_percent_girths_men_inches(height_in: float, neck_in: float, abdomen_in: float) -> float:
    """
    Estimate a man's %fat by the inches form of the girth equation.

    Parameters
    ----------
    height_in, neck_in, abdomen_in : float
        As in :func:`density_girths_men`. [in]

    Returns
    -------
    float
        Fat of body mass; within 0.1 point of the centimetre form. [%]
    """
    require_positive("height_in", height_in, "in", mend="Measure height in inches.")
    return (
        _C["navy_inch_men_girth"] * _log10_girth(abdomen_in - neck_in, "abdomen less neck")
        + _C["navy_inch_men_height"] * math.log10(height_in)
        + _C["navy_inch_men_intercept"]
    )


@equation("body fat")
def fat_percent_girths_women_inches(
    height_in: float, neck_in: float, waist_in: float, hip_in: float
) -> float:
    """
    Estimate a woman's %fat by the inches form of the girth equation.

    Parameters
    ----------
    height_in, neck_in, waist_in, hip_in : float
        As in :func:`density_girths_women`. [in]

    Returns
    -------
    float
        Fat of body mass. [%]
    """
    require_positive("height_in", height_in, "in", mend="Measure height in inches.")
    girth = _log10_girth(waist_in + hip_in - neck_in, "waist and hip less neck")
    return (
        _C["navy_inch_women_girth"] * girth
        + _C["navy_inch_women_height"] * math.log10(height_in)
        + _C["navy_inch_women_intercept"]
    )


@dataclass(frozen=True)
class FatEstimate:
    """
    %fat from a field method.

    Attributes
    ----------
    fat_percent : float
        Fat of body mass. [%]
    sd : float
        Standard error of the method. [%]
    density_g_ml : float
        Density behind it. [g/mL]
    method : str
        In words.
    """

    fat_percent: float
    sd: float
    density_g_ml: float
    method: str


@equation("body fat")
def fat_from_girths(
    sex: Sex,
    height_cm: float,
    neck_cm: float,
    *,
    abdomen_cm: float | None = None,
    waist_cm: float | None = None,
    hip_cm: float | None = None,
) -> FatEstimate:
    """
    Estimate %fat from the girths the sex's equation needs.

    Parameters
    ----------
    sex : str
        ``"male"`` needs the abdomen; ``"female"`` needs waist and hip.
    height_cm, neck_cm : float
        Height and neck. [cm]
    abdomen_cm, waist_cm, hip_cm : float, optional
        The other girths. [cm]

    Returns
    -------
    FatEstimate

    Raises
    ------
    IntakeError
        When a girth the equation needs is missing.
    """
    if sex == "male":
        if abdomen_cm is None:
            raise IntakeError("abdomen_cm is missing: the men's equation takes it at the navel.")
        density = density_girths_men(height_cm, neck_cm, abdomen_cm)
        error = _C["navy_men_see"]
    else:
        if waist_cm is None or hip_cm is None:
            raise IntakeError("waist_cm and hip_cm are both needed by the women's equation.")
        density = density_girths_women(height_cm, neck_cm, waist_cm, hip_cm)
        error = _C["navy_women_see"]
    return FatEstimate(
        fat_percent_siri(density), error, density, "girths (Hodgdon-Beckett 1984), Siri 1961"
    )


@equation("body fat")
def density_skinfolds(sum_mm: float, age_years: float, sex: Sex, sites: Literal[3, 7]) -> float:
    """
    Estimate body density from a sum of skinfolds.

    Parameters
    ----------
    sum_mm : float
        Sum over :data:`SITES_7`, :data:`SITES_3_MEN` or :data:`SITES_3_WOMEN`. [mm]
    age_years : float
        Age; fitted on men of 18 to 61 and women of 18 to 55. [years]
    sex : str
        ``"male"`` or ``"female"``.
    sites : int
        3 or 7.

    Returns
    -------
    float
        Density. [g/mL]

    References
    ----------
    .. [1] Jackson and Pollock, Br J Nutr 40(3), 1978, pages 497-504.
    .. [2] Jackson et al., Med Sci Sports Exerc 12(3), 1980, pages 175-182.
    """
    require_positive("sum_mm", sum_mm, "mm", mend="Add up the sites in millimetres.")
    require_positive("age_years", age_years, "years", mend="Give the age in years.")
    if sites not in (3, 7):
        raise IntakeError(f"sites={sites} has no equation here: use the 3-site or the 7-site sum.")
    key = f"jp{sites}_{'men' if sex == 'male' else 'women'}"
    return (
        _C[f"{key}_intercept"]
        + _C[f"{key}_sum"] * sum_mm
        + _C[f"{key}_sum2"] * sum_mm**2
        + _C[f"{key}_age"] * age_years
    )


@equation("body fat")
def fat_from_skinfolds(
    sum_mm: float, age_years: float, sex: Sex, sites: Literal[3, 7]
) -> FatEstimate:
    """
    Estimate %fat from a sum of skinfolds.

    Parameters
    ----------
    sum_mm, age_years, sex, sites
        As in :func:`density_skinfolds`.

    Returns
    -------
    FatEstimate
    """
    density = density_skinfolds(sum_mm, age_years, sex, sites)
    return FatEstimate(
        fat_percent_siri(density),
        _C["skinfold_see"],
        density,
        f"{sites} skinfolds (Jackson-Pollock), Siri 1961",
    )
