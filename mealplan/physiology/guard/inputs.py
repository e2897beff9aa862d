"""When to look twice: findings on typed numbers that can hardly be an adult's."""

from __future__ import annotations

from mealplan.physiology.guard.findings import NOBODY, Finding, finding, limit
from mealplan.physiology.tables import constants
from mealplan.references.tables import Sex

_T = constants("safety_thresholds")

WORDS = {
    "weight_kg": "body mass",
    "height_cm": "height",
    "age_years": "age",
    "fat_percent": "body fat",
    "rmr_kcal": "resting energy",
    "rmr_per_ffm": "resting energy for each kilogram of fat-free mass",
}
"""What a checked number is called in a sentence."""


def check_inputs(
    *,
    weight_kg: float | None = None,
    height_cm: float | None = None,
    age_years: float | None = None,
    sex: Sex | None = None,
    fat_percent: float | None = None,
    rmr_kcal: float | None = None,
    ffm_kg: float | None = None,
    resting_vo2_ml_min: float | None = None,
    last_weight_kg: float | None = None,
) -> tuple[Finding, ...]:
    """
    Check that typed numbers can be an adult's; what is None is not checked.

    Parameters
    ----------
    weight_kg, height_cm, age_years, sex, fat_percent : optional
        The client. [kg] [cm] [years] [%]
    rmr_kcal, ffm_kg, resting_vo2_ml_min : float, optional
        Measurements. [kcal/day] [kg] [mL/min]
    last_weight_kg : float, optional
        The weight before this one; a jump is to be confirmed. [kg]

    Returns
    -------
    tuple of Finding
        Warnings only: the number may be right, but must be looked at.
    """
    group = "men" if sex == "male" else "women"
    per_ffm = None if rmr_kcal is None or not ffm_kg or ffm_kg < 0 else rmr_kcal / ffm_kg
    numbers = (
        ("weight_kg", weight_kg, "weight_kg_low", "weight_kg_high", "kg", "Pounds or stones?"),
        ("height_cm", height_cm, "height_cm_low", "height_cm_high", "cm", "Metres or inches?"),
        ("age_years", age_years, "adult_age", "age_years_high", "years", "Check the birth date"),
        (
            "fat_percent",
            None if sex is None else fat_percent,
            f"fat_{group}_low",
            f"fat_{group}_high",
            "%",
            "A share such as 0.15?",
        ),
        ("rmr_kcal", rmr_kcal, "rmr_low", "rmr_high", "kcal", "Kilojoules?"),
        (
            "rmr_per_ffm",
            per_ffm,
            "rmr_per_ffm_low",
            "rmr_per_ffm_high",
            "kcal/kg",
            "Check resting energy and fat-free mass against each other",
        ),
    )
    return (
        *(one for number in numbers for one in _outside(*number)),
        *_outside_at_rest(resting_vo2_ml_min),
        *_jumped(weight_kg, last_weight_kg),
    )


def _outside(
    name: str, value: float | None, low: str, high: str, unit: str, mend: str
) -> tuple[Finding, ...]:
    ends = (limit(low), limit(high))
    if value is None or ends[0] <= value <= ends[1]:
        return ()
    return (
        finding(
            f"window_{name}",
            "warn",
            f"{WORDS[name]} of {value:.4g} {unit} is outside {ends[0]:g} to {ends[1]:g} {unit}",
            f"adults rarely lie outside. {mend}",
            NOBODY,
            _T[low],
        ),
    )


def _outside_at_rest(vo2_ml_min: float | None) -> tuple[Finding, ...]:
    gas = constants("calorimetry")
    low, high = gas["rest_vo2_low"], gas["rest_vo2_high"]
    if vo2_ml_min is None or low.value <= vo2_ml_min <= high.value:
        return ()
    return (
        finding(
            "window_vo2",
            "warn",
            f"resting VO2 {vo2_ml_min:g} mL/min is outside {low.value:g} to {high.value:g}",
            "adults at rest rarely lie outside. Litres a minute?",
            NOBODY,
            low,
        ),
    )


def _jumped(weight_kg: float | None, last_weight_kg: float | None) -> tuple[Finding, ...]:
    if weight_kg is None or last_weight_kg is None or last_weight_kg <= 0:
        return ()
    ratio = weight_kg / last_weight_kg
    jump = 100.0 * (ratio - 1.0)
    if abs(jump) <= limit("weight_jump"):
        return ()
    pounds = 2.1 <= ratio <= 2.3 or 2.1 <= 1.0 / ratio <= 2.3
    return (
        finding(
            "weight_jump",
            "warn",
            f"weight changed by {jump:+.1f} % since the last reading",
            "it looks like pounds in place of kilograms"
            if pounds
            else "more than 3 % is rarely real; weigh again",
            NOBODY,
            _T["weight_jump"],
        ),
    )
