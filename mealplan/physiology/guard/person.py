"""When to stop: findings on a person's health, before any target is made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from mealplan.physiology.guard.energy_deficiency import deficiency_findings, screen_deficiency
from mealplan.physiology.guard.findings import (
    BOTH,
    EATING,
    PHYSICIAN,
    Finding,
    finding,
    limit,
    ordered,
    practice,
)
from mealplan.physiology.tables import constants
from mealplan.references.tables import Sex

_T = constants("safety_thresholds")


@dataclass(frozen=True)
class Screen:
    """
    What is known of a client's health; None means not asked, which is not the same as no.

    Attributes
    ----------
    age_years : float
        Age. [years]
    sex : str
        ``"male"`` or ``"female"``.
    weight_kg, height_cm : float
        Size. [kg] [cm]
    fat_percent : float or None
        Fat of body mass as measured. [%]
    guardian : bool
        A guardian of a client under 18 agrees.
    pregnant, lactating : bool
        Now.
    trimester : int or None
        Of the pregnancy, 1 to 3; None when it was not said.
    months_postpartum : float or None
        Since birth; None when that does not apply. [month]
    eating_disorder : bool
        Now or ever.
    fears_foods : bool
        Leaves out food groups from fear.
    missed_periods_months : float
        Months without a period. [month]
    fainting, heart_symptoms, stress_fracture : bool
        Now or lately.
    signs : mapping of str to bool or None
        Answers to the questions on relative energy deficiency, by indicator.
    kidney, kidney_disease : bool
        Any kidney condition; kidney disease itself.
    trains : bool
        Has sessions in the usual week.
    sits : bool
        Uses a wheelchair or has lost a limb, so that equations on height and mass do not hold.
    chronic_disease : bool
        Disease tied to body mass, such as diabetes or high blood pressure.
    unintended_loss_month_percent, unintended_loss_half_year_percent : float
        Unwanted loss. [%]
    """

    age_years: float
    sex: Sex
    weight_kg: float
    height_cm: float
    fat_percent: float | None = None
    guardian: bool = False
    pregnant: bool = False
    lactating: bool = False
    trimester: int | None = None
    months_postpartum: float | None = None
    eating_disorder: bool = False
    fears_foods: bool = False
    missed_periods_months: float = 0.0
    fainting: bool = False
    heart_symptoms: bool = False
    stress_fracture: bool = False
    signs: Mapping[str, bool | None] = field(default_factory=dict)
    kidney: bool = False
    kidney_disease: bool = False
    trains: bool = False
    sits: bool = False
    chronic_disease: bool = False
    unintended_loss_month_percent: float = 0.0
    unintended_loss_half_year_percent: float = 0.0


def _no_deficit(deficit: bool) -> str:
    return ": no deficit" if deficit else ""


def _eating(screen: Screen, *, deficit: bool) -> list[Finding]:
    found = []
    reason = (
        "numbers about food and weight can feed disordered eating; a clinician has published "
        "questionnaires (SCOFF, LEAF-Q, EDE-Q) to look closer"
    )
    if screen.eating_disorder:
        found.append(
            practice(
                "eating_disorder",
                "override",
                f"a history of disordered eating{_no_deficit(deficit)}; calories and weight are "
                "hidden from the client",
                reason,
                EATING,
            )
        )
    if screen.fears_foods:
        found.append(
            practice(
                "fears_foods",
                "override",
                f"food groups are left out from fear{_no_deficit(deficit)}",
                reason,
                EATING,
            )
        )
    return found


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
                f"{_no_deficit(deficit)}",
                f"bone, hormones and heart suffer at this mass; {refeeding}",
                BOTH,
                _T["bmi_moderate"],
            )
        ]
    return [
        finding(
            "bmi_low",
            "refuse" if deficit else "warn",
            f"body mass index {bmi:.1f} is below {limit('bmi_low'):g}{_no_deficit(deficit)}",
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
            + (_no_deficit(deficit) if old else ""),
            "it is one sign of malnutrition: ask whether mass fell without being meant to, whether "
            "appetite, chewing or swallowing has changed, and have strength looked at"
            if old
            else "little is there to lose: bone, periods or libido, immunity and training suffer "
            "first",
            BOTH,
            _T[key],
        )
    ]


def _body(screen: Screen, *, deficit: bool) -> list[Finding]:
    bmi = screen.weight_kg / (screen.height_cm / 100.0) ** 2
    found = [] if screen.sits else _low_mass(screen, bmi, deficit=deficit)
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
    elif deficit and bmi >= limit("bmi_high_disease"):
        found.append(
            finding(
                "bmi_high_loss",
                "warn",
                f"a deficit at a body mass index of {bmi:.1f}",
                "a physician looks before it begins: blood pressure, blood sugar, liver, sleep "
                "apnoea and medicines whose dose falls with mass; quick loss makes gallstones "
                "(pain under the right ribs after meals: be seen)",
                BOTH,
                _T["bmi_high_disease"],
            )
        )
    key = "fat_low_men" if screen.sex == "male" else "fat_low_women"
    if screen.fat_percent is not None and screen.fat_percent < limit(key):
        found.append(
            finding(
                "fat_low",
                "refuse" if deficit else "warn",
                f"body fat {screen.fat_percent:.1f} % is below {limit(key):g} %"
                f"{_no_deficit(deficit)}",
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
    if screen.sits:
        measured = screen.fat_percent is not None
        found.append(
            practice(
                "sitting_body",
                "warn" if measured else "override",
                "wheelchair use or a lost limb: "
                + (
                    "resting energy is set by the measured fat-free mass"
                    if measured
                    else "without a measured fat-free mass neither resting energy nor body mass "
                    "index says anything here (limb_lost says which part is missing)"
                ),
                "costs of walking people's activities do not hold: give each session its own met; "
                "skin, bowel, bladder and heat need their own advice",
                BOTH,
            )
        )
    return found


def _signs(screen: Screen, *, deficit: bool) -> list[Finding]:
    found = []
    if screen.missed_periods_months >= limit("missed_periods"):
        found.append(
            finding(
                "missed_periods",
                "override",
                f"no period for {screen.missed_periods_months:g} months",
                "a leading sign of too little energy for the training done, whatever the numbers: "
                "eat more than now and train less until they come back; bone density and iron are "
                "tested, and a pregnancy ruled out. The pill brings a bleed and mends neither "
                "energy nor bone",
                BOTH,
                _T["missed_periods"],
            )
        )
    for code, present, words in (
        ("heart_symptoms", screen.heart_symptoms, "heart symptoms"),
        ("fainting", screen.fainting, "fainting"),
        ("stress_fracture", screen.stress_fracture, "a stress fracture"),
    ):
        if present:
            found.append(
                finding(
                    code,
                    "override",
                    f"{words} reported" + (": no deficit until seen" if deficit else ""),
                    "it can be a sign of too little energy or of something graver",
                    PHYSICIAN,
                    _T["missed_periods"],
                )
            )
    return found


def _carrying(screen: Screen, *, deficit: bool) -> list[Finding]:
    months = screen.months_postpartum
    states = [
        word
        for word, present in (
            ("pregnant", screen.pregnant),
            ("breastfeeding", screen.lactating),
            (
                "within six months of birth",
                months is not None and months <= limit("postpartum_months"),
            ),
        )
        if present
    ]
    if not states:
        return []
    found = [
        finding(
            "pregnancy",
            "refuse" if deficit else "override",
            f"{' and '.join(states)}{_no_deficit(deficit)}",
            "needs are higher and differ by stage; folic acid, iodine, iron, choline and vitamin "
            "B12 are set together with a clinician",
            BOTH,
            _T["postpartum_months"],
        )
    ]
    if screen.pregnant and screen.trimester is None:
        found.append(
            practice(
                "trimester_unknown",
                "refuse",
                "pregnant, but the trimester is not said",
                "the energy to add differs by 450 kcal between the first and the last; write "
                "pregnancy_trimester 1, 2 or 3",
                BOTH,
            )
        )
    return found


def _young(screen: Screen, *, deficit: bool) -> list[Finding]:
    if screen.age_years >= limit("adult_age"):
        return []
    too_young = screen.age_years < limit("youngest")
    refused = deficit or too_young or not screen.guardian
    why = (
        f"below {limit('youngest'):g} no values here reach"
        if too_young
        else "no weight loss for growing bodies"
        if deficit
        else "a guardian must agree first (guardian_agrees)"
        if not screen.guardian
        else "maintenance or gain only, with growth watched"
    )
    return [
        finding(
            "under_18",
            "refuse" if refused else "override",
            f"age {screen.age_years:g} is below 18: {why}",
            "growing bodies need energy to spare and their growth followed on charts; most of the "
            "evidence used here is on adults",
            BOTH,
            _T["adult_age"],
        )
    ]


def _old(screen: Screen, *, deficit: bool) -> list[Finding]:
    if screen.age_years < limit("older") or not deficit:
        return []
    return [
        finding(
            "older_loss",
            "warn",
            f"a deficit at {screen.age_years:g} years",
            "muscle and bone go with the fat: keep the loss to half a per cent a week, train with "
            "weights, spread protein over the meals, have vitamin D and bone looked at",
            BOTH,
            _T["older"],
        )
    ]


def _any_loss(screen: Screen, *, deficit: bool) -> list[Finding]:
    """Say with every deficit what should end it."""
    if not deficit:
        return []
    periods = screen.sex == "female" and screen.age_years < limit("periods_until")
    own = "periods that stop or change, " if periods else "loss of libido, "
    if screen.age_years >= limit("older"):
        own = "falls, weakness, "
    return [
        practice(
            "loss_watch",
            "note",
            f"while losing weight, stop and see a physician for {own}bone pain, fainting, illness "
            "after illness, or loss that runs ahead of plan",
            "they are signs of too little energy left for the body after training",
            "",
        )
    ]


NO_DEFICIT = frozenset(
    {
        "eating_disorder",
        "fears_foods",
        "missed_periods",
        "heart_symptoms",
        "fainting",
        "stress_fracture",
        "energy_deficiency_signs",
    }
)
"""Findings that let a professional go on, though not to a deficit."""


def _undecided_deficit(found: list[Finding], *, deficit: bool) -> list[Finding]:
    """Ask for a decision on the deficit itself: one on a finding behind it does not cover it."""
    behind = [
        one.message.partition(":")[0]
        for one in found
        if one.code in NO_DEFICIT and one.severity == "override"
    ]
    if not deficit or not behind:
        return []
    return [
        practice(
            "deficit_despite",
            "override",
            f"a deficit despite {'; '.join(behind)}",
            "a decision on the finding lets a plan at need go on; a deficit takes a decision of "
            "its own that names it, else hold (goal phase hold)",
            BOTH,
        )
    ]


def check_person(screen: Screen, *, deficit: bool) -> tuple[Finding, ...]:
    """
    Check a client's health before any target.

    Parameters
    ----------
    screen : Screen
        What is known.
    deficit : bool
        True when the plan would be below maintenance.

    Returns
    -------
    tuple of Finding
        Gravest first.
    """
    signs = screen_deficiency(screen.sex, screen.signs)
    found: list[Finding] = list(deficiency_findings(signs, deficit=deficit))
    for family in (_young, _carrying, _eating, _body, _signs, _old, _any_loss):
        found += family(screen, deficit=deficit)
    found += _undecided_deficit(found, deficit=deficit)
    return ordered(found)
