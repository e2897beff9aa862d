"""When to stop: findings on body mass, fat, unwanted loss, and bodies that equations do not fit."""

from __future__ import annotations

from mealplan.physiology.guard.findings import (
    BOTH,
    PHYSICIAN,
    Finding,
    finding,
    limit,
    practice,
)
from mealplan.physiology.guard.screen import Screen
from mealplan.physiology.tables import constants

_T = constants("safety_thresholds")


def no_deficit(deficit: bool) -> str:
    """Words that a finding ends with where it forbids a deficit."""
    return ": no deficit" if deficit else ""


def _low_mass(screen: Screen, bmi: float, *, deficit: bool) -> list[Finding]:
    """Tell the tiers of a low body mass index; from 16 down refeeding itself is a danger."""
    if screen.age_years < limit("adult_age"):
        return []
    if bmi >= limit("bmi_low"):
        return _lowish_mass(screen, bmi, deficit=deficit)
    if bmi < limit("bmi_emergency") or (bmi < limit("bmi_severe") and screen.trains):
        return [_emergency(bmi)]
    if bmi < limit("bmi_severe"):
        return [
            finding(
                "bmi_severe",
                "refuse",
                f"body mass index {bmi:.1f} is below {limit('bmi_severe'):g}",
                "eating more can itself be dangerous at this mass: refeeding shifts phosphate, "
                "potassium and magnesium and needs blood tests, thiamine and medical supervision, "
                "within days; an eating-disorder team helps where eating is part of it. "
                "If there is fainting, confusion, chest pain or swelling, seek emergency care",
                PHYSICIAN,
                _T["bmi_severe"],
            )
        ]
    refeeding = (
        "with weight lost quickly or little eaten for five days or more there is a risk of "
        "refeeding problems: bloods first, then food raised step by step"
    )
    if bmi < limit("bmi_moderate"):
        return [
            finding(
                "bmi_low",
                "refuse" if deficit else "override",
                f"body mass index {bmi:.1f} is below {limit('bmi_moderate'):g}"
                f"{no_deficit(deficit)}",
                f"bone, hormones and heart suffer at this mass; {refeeding}",
                BOTH,
                _T["bmi_moderate"],
            )
        ]
    return [
        finding(
            "bmi_low",
            "refuse" if deficit else "warn",
            f"body mass index {bmi:.1f} is below {limit('bmi_low'):g}{no_deficit(deficit)}",
            "further loss at this mass risks bone, hormones and heart; ask about periods, injuries "
            f"and why mass is low, and aim to gain; {refeeding}",
            BOTH,
            _T["bmi_low"],
        )
    ]


def _emergency(bmi: float) -> Finding:
    """Tell a mass at which the heart may stop: assessed today, training ended."""
    return finding(
        "bmi_severe",
        "refuse",
        f"body mass index {bmi:.1f} is severe underweight, a medical emergency: to be assessed for "
        "admission today, at an emergency department or by a physician, whether or not there are "
        "complaints; all training stops now",
        "the heart can fail without warning, and eating more is itself dangerous at this mass: "
        "refeeding shifts phosphate, potassium and magnesium and needs blood tests, an "
        "electrocardiogram, thiamine and medical supervision. An eating-disorder team belongs in "
        "it from the start unless another cause is known. Fainting, confusion, chest pain or "
        "swelling: call an ambulance",
        "a physician or emergency department today, and an eating-disorder team",
        _T["bmi_emergency"],
    )


def _lowish_mass(screen: Screen, bmi: float, *, deficit: bool) -> list[Finding]:
    """Tell a mass that is low for the age though not thin; a deficit needs a professional."""
    old = screen.age_years >= limit("bmi_older_age")
    key = "bmi_older" if old else "bmi_lowish"
    if bmi >= limit(key) or not (old or deficit):
        return []
    return [
        finding(
            "bmi_lowish",
            "override" if deficit and old else "warn",
            f"body mass index {bmi:.1f} is below {limit(key):g}"
            + (f" at {screen.age_years:g} years" if old else "")
            + (no_deficit(deficit) if old else ""),
            "it is one sign of malnutrition: ask whether mass fell without being meant to, whether "
            "appetite, chewing or swallowing has changed, and have strength looked at"
            if old
            else "little is there to lose: bone, periods or libido, immunity and training suffer "
            "first",
            BOTH,
            _T[key],
        )
    ]


def _high_mass(screen: Screen, bmi: float, *, deficit: bool) -> list[Finding]:
    """Tell a high body mass index: who decides, and what is looked at before and while losing."""
    found = []
    high = "bmi_high_disease" if screen.chronic_disease else "bmi_high"
    if bmi >= limit(high):
        found.append(
            finding(
                "bmi_high",
                "override",
                f"body mass index {bmi:.1f} is {limit(high):g} or more"
                + (" with disease" if screen.chronic_disease else ""),
                "care at this mass belongs with a clinician, who can record that it may go on here",
                PHYSICIAN,
                _T[high],
            )
        )
    looked_at = (
        "blood pressure, blood sugar, liver and sleep apnoea (loud snoring, breath that stops, "
        "sleepiness by day) are looked at first; joints are spared at the start: cycling, water, "
        "strength"
    )
    if deficit and bmi >= limit("bmi_obese"):
        found.append(
            finding(
                "bmi_high_loss",
                "warn",
                f"a deficit at a body mass index of {bmi:.1f}",
                f"{looked_at}. Medicines for blood pressure, diabetes or the thyroid, water "
                "tablets and blood thinners may need less as mass falls: the prescriber sets when "
                "they are checked. Quick loss makes gallstones, above 1.5 kg a week most of "
                "all: pain under the right ribs after meals, fever or yellow eyes are seen the "
                "same day",
                BOTH,
                _T["bmi_obese"],
            )
        )
    elif bmi >= limit("bmi_high_disease"):
        found.append(
            finding(
                "bmi_high_watch",
                "warn",
                f"body mass index {bmi:.1f}",
                looked_at,
                BOTH,
                _T["bmi_high_disease"],
            )
        )
    return found


def mass_findings(screen: Screen, *, deficit: bool) -> list[Finding]:
    """
    Check body mass, fat, unwanted loss, and whether equations fit the body.

    Parameters
    ----------
    screen : Screen
        What is known.
    deficit : bool
        True when the plan would be below maintenance.

    Returns
    -------
    list of Finding
        In no order.
    """
    bmi = screen.weight_kg / (screen.height_cm / 100.0) ** 2
    found = [] if screen.sits else _low_mass(screen, bmi, deficit=deficit)
    found += _high_mass(screen, bmi, deficit=deficit)
    key = "fat_low_men" if screen.sex == "male" else "fat_low_women"
    if screen.fat_percent is not None and screen.fat_percent < limit(key):
        found.append(
            finding(
                "fat_low",
                "refuse" if deficit else "warn",
                f"body fat {screen.fat_percent:.1f} % is below {limit(key):g} %"
                f"{no_deficit(deficit)}",
                "there is no fat left to lose safely",
                BOTH,
                _T[key],
            )
        )
    for key, percent, span in (
        ("loss_month", screen.unintended_loss_month_percent, "one month"),
        ("loss_half_year", screen.unintended_loss_half_year_percent, "six months"),
    ):
        if percent > limit(key):
            found.append(
                finding(
                    "unintended_loss",
                    "refuse" if deficit else "override",
                    f"unwanted loss of {percent:.1f} % in {span}, more than {limit(key):g} %",
                    "unwanted loss has a cause that must be found first, and eating more after it "
                    "can need blood tests",
                    PHYSICIAN,
                    _T[key],
                )
            )
    return [*found, *_unfitting(screen)]


def _unfitting(screen: Screen) -> list[Finding]:
    """Tell a body that equations on height and mass do not fit."""
    if screen.sits:
        measured = screen.fat_percent is not None
        return [
            practice(
                "sitting_body",
                "warn" if measured else "override",
                "wheelchair use: "
                + (
                    "resting energy is set by the measured fat-free mass"
                    if measured
                    else "without a measured fat-free mass neither resting energy nor body mass "
                    "index says anything here"
                ),
                "costs of walking people's activities do not hold: give each session its own met; "
                "skin, bowel, bladder and heat need their own advice",
                BOTH,
            )
        ]
    if screen.limb_unknown:
        return [
            practice(
                "limb_unknown",
                "warn",
                "which part of a limb is missing was not said (limb_lost)",
                "between a hand and a whole leg lie 1 to 16 % of body mass: until it is said, fat "
                "is estimated about the middle with a wider range, and body mass index by the "
                "scale alone reads too low",
                BOTH,
            )
        ]
    return []
