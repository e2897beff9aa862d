"""When to stop: findings on a person's health, before any target is made."""

from __future__ import annotations

from dataclasses import dataclass

from mealplan.physiology.guard.findings import (
    BOTH,
    EATING,
    PHYSICIAN,
    Finding,
    Severity,
    finding,
    limit,
    ordered,
    practice,
)
from mealplan.physiology.tables import Sex, constants

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
        Fat of body mass. [%]
    pregnant, lactating : bool
        Now.
    months_postpartum : float or None
        Since birth; None when that does not apply. [month]
    eating_disorder : bool
        Now or ever.
    fears_foods : bool
        Leaves out food groups from fear.
    scoff, leaf_q : int or None
        Questionnaire scores.
    missed_periods_months : float
        Months without a period. [month]
    fainting, heart_symptoms, stress_fracture : bool
        Now or lately.
    frequent_illness, low_libido : bool
        Other signs of low energy.
    kidney : bool
        Kidney disease, one kidney, raised creatinine or stones.
    medicines : tuple of str
        Medicines or conditions that need a clinician before a large change.
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
    pregnant: bool = False
    lactating: bool = False
    months_postpartum: float | None = None
    eating_disorder: bool = False
    fears_foods: bool = False
    scoff: int | None = None
    leaf_q: int | None = None
    missed_periods_months: float = 0.0
    fainting: bool = False
    heart_symptoms: bool = False
    stress_fracture: bool = False
    frequent_illness: bool = False
    low_libido: bool = False
    kidney: bool = False
    medicines: tuple[str, ...] = ()
    chronic_disease: bool = False
    unintended_loss_month_percent: float = 0.0
    unintended_loss_half_year_percent: float = 0.0


def _eating(screen: Screen) -> list[Finding]:
    found = []
    reason = "numbers about food and weight can feed disordered eating"
    if screen.eating_disorder:
        found.append(
            practice(
                "eating_disorder",
                "override",
                "a history of disordered eating: no deficit; hide calories and weight",
                reason,
                EATING,
            )
        )
    if screen.fears_foods:
        found.append(
            practice(
                "fears_foods",
                "override",
                "food groups are left out from fear: no deficit",
                reason,
                EATING,
            )
        )
    for key, score in (("scoff", screen.scoff), ("leaf_q", screen.leaf_q)):
        if score is not None and score >= limit(key):
            name = key.upper().replace("_", "-")
            found.append(
                finding(
                    key,
                    "override",
                    f"{name} score of {score} is {limit(key):g} or more: no deficit",
                    "the score calls for a proper assessment",
                    EATING,
                    _T[key],
                )
            )
    return found


def _body(screen: Screen, *, deficit: bool) -> list[Finding]:
    found = []
    bmi = screen.weight_kg / (screen.height_cm / 100.0) ** 2
    severity: Severity = "refuse" if deficit else "warn"
    if bmi < limit("bmi_low"):
        found.append(
            finding(
                "bmi_low",
                severity,
                f"body mass index {bmi:.1f} is below 18.5: no deficit",
                "further loss at this mass risks bone, hormones and heart",
                BOTH,
                _T["bmi_low"],
            )
        )
    high = "bmi_high_disease" if screen.chronic_disease else "bmi_high"
    if bmi >= limit(high):
        found.append(
            finding(
                "bmi_high",
                "override",
                f"body mass index {bmi:.1f} is {limit(high):g} or more"
                + (" with disease" if screen.chronic_disease else ""),
                "weight care at this mass belongs with a clinician",
                PHYSICIAN,
                _T[high],
            )
        )
    key = "fat_low_men" if screen.sex == "male" else "fat_low_women"
    if screen.fat_percent is not None and screen.fat_percent < limit(key):
        found.append(
            finding(
                "fat_low",
                severity,
                f"body fat {screen.fat_percent:.1f} % is below {limit(key):g} %: no deficit",
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
                    "refuse",
                    f"unwanted loss of {percent:.1f} % in {span}, more than {limit(key):g} %",
                    "unwanted loss has a cause that must be found first",
                    PHYSICIAN,
                    _T[key],
                )
            )
    return found


def _signs(screen: Screen) -> list[Finding]:
    found = []
    if screen.missed_periods_months >= limit("missed_periods"):
        found.append(
            finding(
                "missed_periods",
                "override",
                f"no period for {screen.missed_periods_months:g} months",
                "a leading sign of too little energy for the training done, whatever the numbers",
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
                    f"{words} reported: no deficit until seen",
                    "it can be a sign of too little energy or of something graver",
                    PHYSICIAN,
                    _T["missed_periods"],
                )
            )
    for code, present, words in (
        ("frequent_illness", screen.frequent_illness, "repeated illness"),
        ("low_libido", screen.low_libido, "low libido"),
    ):
        if present:
            found.append(
                practice(
                    code,
                    "warn",
                    f"{words} reported",
                    "one of the signs of too little energy for the training done",
                    PHYSICIAN,
                )
            )
    return found


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
    found: list[Finding] = []
    if screen.age_years < limit("adult_age"):
        found.append(
            finding(
                "under_18",
                "refuse",
                f"age {screen.age_years:g} is below 18: no weight change, no composition shown",
                "growing bodies need growth, not targets; the evidence used here is on adults",
                BOTH,
                _T["adult_age"],
            )
        )
    months = screen.months_postpartum
    carrying = [
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
    if carrying:
        found.append(
            finding(
                "pregnancy",
                "refuse" if deficit else "override",
                f"{' and '.join(carrying)}: no deficit",
                "needs are higher and differ by stage; these equations do not hold",
                BOTH,
                _T["postpartum_months"],
            )
        )
    found += _eating(screen)
    found += _body(screen, deficit=deficit)
    found += _signs(screen)
    found.extend(
        practice(
            "medicine",
            "override",
            f"{medicine}: a clinician first, before any large change of diet",
            "blood sugar, drug levels or salt balance can shift with food",
            PHYSICIAN,
        )
        for medicine in screen.medicines
    )
    return ordered(found)
