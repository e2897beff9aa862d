"""
How much protein a day and a meal, from body mass or fat-free mass, by phase and kind of training.

Ranges come from sports-nutrition positions and reviews; each result names the one it used. All are
for healthy people: kidney disease stops the computation elsewhere, before this module is called.
"""

from __future__ import annotations

from math import erf, exp, pi, sqrt
from typing import get_args

from mealplan.errors import TargetError
from mealplan.nutrition.protein_told import (
    MealProtein,
    Phase,
    PlantAllowance,
    ProteinTarget,
    ReferenceMass,
    Training,
)
from mealplan.references.tables import Sex, sport_range, sport_ranges
from mealplan.references.uptake_tables import plant_adjustment_rows
from mealplan.science.equations import equation

OLDER_FROM_YEARS = 65
TEEN_TO_YEARS = 18
MAIN_MEALS = 3
MAIN_MEALS_SHARE = 0.9
"""Share of the day's protein that main meals are asked to hold. [fraction] (common practice)"""
LEUCINE_OF_PLANT_PROTEIN = 0.075
"""Leucine in mixed plant protein, the middle of 6 to 9 %. [fraction] (release 28, staples)"""


def _check_mass(name: str, value: float) -> None:
    if not 20 <= value <= 350:
        raise TargetError(
            f"{name}={value:g} is outside 20 to 350 kg; was it pounds? 165 lb is 74.8 kg"
        )


SAME_MASS = 0.002
"""A mass this close to body mass is body mass. [fraction]"""


def _above(value: float, sd: float, edge: float) -> float:
    """How far a normal variable lies above an edge on average, nothing below it counted."""
    if sd <= 0:
        return max(0.0, value - edge)
    z = (value - edge) / sd
    below = 0.5 * (1 + erf(z / sqrt(2)))
    return (value - edge) * below + sd * exp(-z * z / 2) / sqrt(2 * pi)


def expected_share(value: float, sd: float, start: float, full: float) -> float:
    """
    Give the mean of a share that rises from 0 at one value to 1 at another.

    Where the value is sure this is the share itself; the less sure it is, the flatter the rise, so
    that weak evidence moves a target little and no reading makes it jump.

    Parameters
    ----------
    value, sd : float
        Mean and standard deviation, normal. [any unit]
    start, full : float
        Where the share leaves 0 and reaches 1. [the same unit]

    Returns
    -------
    float
        [fraction]
    """
    return (_above(value, sd, start) - _above(value, sd, full)) / (full - start)


def protein_mass(
    body_mass_kg: float, height_cm: float, fat_percent: float, sex: Sex, fat_sd: float = 0.0
) -> ReferenceMass:
    """
    Give the mass that protein is set by: body mass, less most of the fat that is too much.

    Protein serves lean tissue. Where fat lies above the usual upper end for the sex, the mass at a
    body mass index of 25 and a quarter of what lies above it count; between the usual and the high
    share the two are blended, so that a heavy lifter keeps body mass. The error of the fat is
    averaged over: a home scale's reading counts for what it is, and nothing jumps.

    Parameters
    ----------
    body_mass_kg, height_cm : float
        Size. [kg] [cm]
    fat_percent : float
        Fat of body mass, measured or estimated. [%]
    sex : {"male", "female"}
        Picks the row.
    fat_sd : float
        Standard deviation of the fat. [points of %]

    Returns
    -------
    ReferenceMass

    References
    ----------
    .. [1] Adjusted mass, ideal mass + 0.25 x (mass - ideal mass), as tabulated in
       Sci Rep 13, 2023, article 39371, table 1.
    """
    _check_mass("body_mass_kg", body_mass_kg)
    above, usual, high = sport_range(f"fat_high_{'men' if sex == 'male' else 'women'}")
    share = expected_share(fat_percent, fat_sd, usual, high)
    lean = 1 - expected_share(fat_percent, fat_sd, above, usual)
    ideal = sport_range("reference_bmi")[1] * (height_cm / 100) ** 2
    adjusted = ideal + sport_range("excess_counted")[1] * (body_mass_kg - ideal)
    mass = share * adjusted + (1 - share) * body_mass_kg
    if body_mass_kg <= ideal or mass > (1 - SAME_MASS) * body_mass_kg:
        return ReferenceMass(body_mass_kg, "", lean)
    sure = f" give or take {fat_sd:.0f}" if fat_sd else ""
    words = (
        f"set by {mass:.0f} kg, not by body mass: at {fat_percent:.0f}{sure} % fat part of what "
        f"lies above {ideal:.0f} kg (body mass index 25) does not count"
    )
    return ReferenceMass(mass, words, lean)


def _choose(phase: Phase, training: Training, age_years: float, ffm_known: bool) -> tuple[str, str]:
    """Key of the range to use and the reason in words."""
    if int(age_years) <= TEEN_TO_YEARS:
        return "protein_teen", "14 to 18 years: range for young athletes"
    if phase == "cut" and training in ("strength", "mixed") and ffm_known:
        return "protein_helms", "training with weights in a deficit: range by fat-free mass"
    if phase == "cut" and training != "none":
        return "protein_hector", "training in a deficit: range for athletes losing weight"
    if age_years >= OLDER_FROM_YEARS and training == "none":
        return "protein_older", "65 years or more: range for active older people"
    if training == "none":
        return "protein_older" if phase == "cut" else "protein_rda", (
            "deficit without training: 1.2 to 1.6 g/kg spares lean mass"
            if phase == "cut"
            else "no training: the allowance for everyone"
        )
    if phase == "endurance" or training == "endurance":
        return "protein_endurance", "endurance training"
    return "protein_issn", "training to build or keep muscle"


LEAN_RANGES = frozenset({"protein_helms", "protein_hector"})
"""Ranges found in lean athletes losing weight."""


def _less_lean(
    key: str, grams: list[float], reference: ReferenceMass
) -> tuple[list[float], tuple[str, ...]]:
    """Lead the ranges of lean athletes in a deficit over to that of all who train, by fat."""
    if key not in LEAN_RANGES or reference.lean > 1 - SAME_MASS:
        return grams, ()
    usual = [per_kg * reference.mass_kg for per_kg in sport_range("protein_issn")]
    blended = [
        reference.lean * one + (1 - reference.lean) * other
        for one, other in zip(grams, usual, strict=True)
    ]
    row = sport_ranges()["protein_issn"]
    return blended, (
        f"that range was found in lean athletes: it counts for {reference.lean:.0%}, the range of "
        f"all who train ({row.low:g} to {row.high:g} g/kg; {row.source}) for the rest",
    )


def _check_asked(
    body_mass_kg: float, ffm_kg: float | None, phase: str, training: str, allowance: str
) -> None:
    _check_mass("body_mass_kg", body_mass_kg)
    if ffm_kg is not None and not 0 < ffm_kg <= body_mass_kg:
        raise TargetError(
            f"ffm_kg={ffm_kg:g} cannot exceed body_mass_kg={body_mass_kg:g} or be 0; check the scan"
        )
    for name, value, words in (
        ("phase", phase, get_args(Phase)),
        ("training", training, get_args(Training)),
        ("allowance", allowance, get_args(PlantAllowance)),
    ):
        if value not in words:
            raise TargetError(f"{name}={value!r} is not one of {', '.join(words)}")


@equation("protein")
def protein_target(
    body_mass_kg: float,
    phase: Phase,
    training: Training = "mixed",
    *,
    ffm_kg: float | None = None,
    age_years: float = 30,
    allowance: PlantAllowance = "digestible amino acids",
    reference: ReferenceMass | None = None,
) -> ProteinTarget:
    """
    Set a day's protein range.

    Parameters
    ----------
    body_mass_kg : float
        Body mass. [kg]
    phase : {"gain", "hold", "cut", "endurance"}
        What the season's phase is for.
    training : {"strength", "endurance", "mixed", "none"}
        Kind of training in the usual week.
    ffm_kg : float, optional
        Fat-free mass; on a cut with weights the range is then set by it. [kg]
    age_years : float
        14 or more. [years]
    allowance : PlantAllowance
        ``digestible amino acids`` (default) keeps the published range because amino-acid minimums
        are checked after digestibility; ``uplift`` raises low, aim and high by a tenth instead.
    reference : ReferenceMass, optional
        Mass the range is multiplied with, from :func:`protein_mass`; body mass when left out.

    Returns
    -------
    ProteinTarget
        low <= aim <= high, never above 2.5 g/kg of body mass at the aim.

    References
    ----------
    .. [1] Jäger et al. 2017, J Int Soc Sports Nutr 14:20, doi:10.1186/s12970-017-0177-8.
    .. [2] Helms et al. 2014, Int J Sport Nutr Exerc Metab 24:127, doi:10.1123/ijsnem.2013-0054.
    .. [3] Hector and Phillips 2018, Int J Sport Nutr Exerc Metab 28:170,
       doi:10.1123/ijsnem.2017-0273.
    """
    _check_asked(body_mass_kg, ffm_kg, phase, training, allowance)
    reference = reference or ReferenceMass(body_mass_kg, "")
    key, reason = _choose(phase, training, age_years, ffm_kg is not None)
    row = sport_ranges()[key]
    low, aim, high = sport_range(key)
    if key == "protein_rda":
        high = sport_range("protein_issn")[0]
        reason += f"; up to {high:g} g/kg leaves room for menus"
    working = [f"{reason} ({low:g} to {high:g} {row.unit}, aim {aim:g}; {row.source})"]
    older_low = sport_range("protein_older")[0]
    if age_years >= OLDER_FROM_YEARS and row.unit == "g/kg" and low < older_low:
        low, aim, high = older_low, max(aim, older_low), max(high, older_low)
        working.append(f"65 years or more: at least {older_low:g} g/kg")
    by_ffm = row.unit == "g/kg FFM" and ffm_kg is not None
    mass = ffm_kg if by_ffm and ffm_kg is not None else reference.mass_kg
    grams, more = _less_lean(key, [per_kg * mass for per_kg in (low, aim, high)], reference)
    working += more
    if reference.adjusted:
        working.append(reference.words)
    if allowance == "uplift":
        factor = plant_adjustment_rows()["protein_uplift"].value
        grams = [factor * value for value in grams]
        working.append(f"x {factor:g} for the lower digestibility of plant protein")
    elif allowance == "digestible amino acids":
        working.append("not raised: amino acids are counted after digestibility instead")
    ceiling_g = sport_range("protein_ceiling")[1] * reference.mass_kg
    if grams[2] > ceiling_g:
        grams = [min(value, ceiling_g) for value in grams]
        working.append(f"held to {ceiling_g:.0f} g, 2.5 g/kg of body mass, without a clinician")
    return ProteinTarget(
        low_g=grams[0],
        aim_g=grams[1],
        high_g=grams[2],
        low_g_per_kg=grams[0] / mass,
        aim_g_per_kg=grams[1] / mass,
        high_g_per_kg=grams[2] / mass,
        per="fat-free mass" if by_ffm else "adjusted mass" if reference.adjusted else "body mass",
        reference_mass_kg=mass,
        allowance=allowance,
        source=row.source,
        provenance=row.provenance,
        working=tuple(working),
    )


@equation("protein")
def meal_protein(
    reference_mass_kg: float,
    meals: int = 4,
    *,
    day_protein_g: float | None = None,
    age_years: float = 30,
) -> MealProtein:
    """
    Set a soft protein and leucine goal for each main meal.

    The two agree: leucine is what that protein holds at 7.5 % leucine, up to its threshold. From 65
    on protein rises toward what the threshold takes, as far as the published range and the day's
    share of a main meal go.

    Parameters
    ----------
    reference_mass_kg : float
        Body mass, or the mass protein is set by. [kg]
    meals : int
        Eating occasions a day, 3 to 6; three of them are main meals. [meals/day]
    day_protein_g : float, optional
        The day's aim; main meals share it evenly, small meals take what is left. [g/day]
    age_years : float
        65 and over needs more per meal. [years]

    Returns
    -------
    MealProtein

    References
    ----------
    .. [1] Schoenfeld and Aragon 2018, J Int Soc Sports Nutr 15:10,
       doi:10.1186/s12970-018-0215-1.
    """
    _check_mass("reference_mass_kg", reference_mass_kg)
    if not 3 <= meals <= 6:
        raise TargetError(f"meals={meals} is outside 3 to 6; protein is spread over 3 to 6 meals")
    older = age_years >= OLDER_FROM_YEARS
    row = sport_ranges()["meal_protein_older" if older else "meal_protein_schoenfeld"]
    _, usual, high = (value * reference_mass_kg for value in sport_range(row.key))
    threshold = sport_range("leucine_threshold")[2 if older else 1]
    working = [f"{row.usual:g} g/kg a meal, up to {row.high:g} ({row.source})"]
    wish = min(high, max(usual, threshold / LEUCINE_OF_PLANT_PROTEIN)) if older else usual
    if day_protein_g is not None:
        share = MAIN_MEALS_SHARE * day_protein_g / MAIN_MEALS
        if wish > share:
            wish = share
            working.append(f"no more than the day's protein gives a main meal, {share:.0f} g")
    leucine = min(threshold, LEUCINE_OF_PLANT_PROTEIN * wish)
    words = f"leucine {leucine:.1f} g a meal is what {wish:.0f} g of plant protein holds"
    if leucine < threshold:
        words += f"; {threshold:g} g would be better and takes more protein a day"
    working.append(words)
    return MealProtein(
        low_g=min(wish, usual),
        aim_g=wish,
        high_g=max(wish, high),
        leucine_g=leucine,
        source=row.source,
        provenance=row.provenance,
        working=tuple(working),
    )
