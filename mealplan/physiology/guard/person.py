"""When to stop: findings on a person's health, before any target is made."""

from __future__ import annotations

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
from mealplan.physiology.guard.mass import mass_findings, no_deficit
from mealplan.physiology.guard.screen import Screen
from mealplan.physiology.tables import constants

_T = constants("safety_thresholds")


def _eating(screen: Screen, *, deficit: bool) -> list[Finding]:
    found = []
    reason = (
        "numbers about food and weight can feed disordered eating; a clinician has published "
        "questionnaires (SCOFF, LEAF-Q, EDE-Q) to look closer. Counting, weighing or leaving meals "
        "out again, training in secret or through injury, or new fear of foods: pause the plan and "
        "go back to the clinician"
    )
    if screen.eating_disorder:
        found.append(
            practice(
                "eating_disorder",
                "override",
                f"a history of disordered eating{no_deficit(deficit)}; calories and weight are "
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
                f"food groups are left out from fear{no_deficit(deficit)}",
                reason,
                EATING,
            )
        )
    return found


BONE_FIRST = "; until then the bone is not loaded; vitamin D, calcium and bone density are tested"


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
                    "it can be a sign of too little energy or of something graver"
                    + (BONE_FIRST if code == "stress_fracture" else ""),
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
            f"{' and '.join(states)}{no_deficit(deficit)}",
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


YOUNG_DEFICIT = (
    "; sweating, saunas, leaving out drinks or meals to make a weight class have killed: change "
    "the class, and ask a physician about eating disorders where weight or shape is on the mind"
)
TOO_YOUNG = (
    "; a paediatrician and a paediatric dietitian see to vitamin B12, iodine, vitamin D and iron "
    "first where only plants are eaten"
)


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
            "evidence used here is on adults"
            + (YOUNG_DEFICIT if deficit else "")
            + (TOO_YOUNG if too_young else "")
            + "; no creatine, caffeine tablets or fat burners",
            BOTH,
            _T["adult_age"],
        )
    ]


def _old(screen: Screen, *, deficit: bool) -> list[Finding]:
    if screen.age_years < limit("older"):
        return []
    if not deficit:
        return [
            finding(
                "older_watch",
                "note",
                f"{screen.age_years:g} years: before hard training begins, blood pressure, heart "
                "and medicines are looked at",
                "vitamin B12 is taken up less well and measured each year or two, vitamin D and "
                "bone are looked at, thirst tells less, and protein is spread over the meals; "
                "falls, weak legs or unmeant loss are told to the physician",
                PHYSICIAN,
                _T["older"],
            )
        ]
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
    for family in (_young, _carrying, _eating, mass_findings, _signs, _old, _any_loss):
        found += family(screen, deficit=deficit)
    found += _undecided_deficit(found, deficit=deficit)
    return ordered(found)
