"""
Floors, ceilings and refusals: what the intake and its targets must be asked before anyone acts.

The thresholds and sentences live in :mod:`mealplan.physiology.guard.door`; this module turns an
intake into its questions, adds what only the intake knows, and applies professional overrides,
which are kept in the open as notes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from mealplan.client.health import health_words
from mealplan.client.intake import Intake, Override
from mealplan.errors import SafetyRefusal
from mealplan.physiology.guard.energy_deficiency import screen_deficiency
from mealplan.physiology.guard.findings import PHYSICIAN, Finding, finding, limit
from mealplan.physiology.guard.inputs import check_inputs
from mealplan.physiology.guard.person import check_person
from mealplan.physiology.guard.plan import check_energy, loss_allowed
from mealplan.physiology.guard.proposal import EnergyProposal
from mealplan.physiology.guard.screen import Screen
from mealplan.physiology.tables import constants
from mealplan.targets.bloods import blood_notices, latest, sides
from mealplan.targets.body import whole_mass_kg
from mealplan.targets.conditions import DIABETES_FLAGS, kidney_protein
from mealplan.targets.medicines import carbohydrate_notices
from mealplan.targets.ranges import Notice

CHRONIC_FLAGS = DIABETES_FLAGS | {"high blood pressure", "sleep apnoea"}
"""Conditions tied to body mass."""
LICENSED = (
    *("physician", "doctor", "dietitian", "dietician", "medical", "general practitioner"),
    *("paediatrician", "pediatrician", "obstetrician", "geriatrician", "psychiatrist"),
    *("surgeon", "internist", "nephrologist", "cardiologist", "endocrinologist"),
    *("diabetologist", "gastroenterologist", "hepatologist", "gynaecologist", "gynecologist"),
    *("haematologist", "hematologist", "oncologist", "neurologist", "rheumatologist"),
    *("pulmonologist", "urologist"),
)
"""Words one of which the role of an overriding professional must hold."""

PHASE_WEEKS = 12.0
"""Length assumed for a phase whose goal names no weeks. [week]"""


@dataclass(frozen=True)
class Situation:
    """What the guard rails look at once targets exist."""

    intake: Intake
    energy_kcal: float
    expenditure_kcal: float
    resting_kcal: float
    rate_percent_per_week: float
    fat_percent: float | None
    availability: float | None
    protein_g_per_kg: float
    resting_ratio: float | None = None
    much_fat: bool = False


def _screen(
    intake: Intake, fat_percent: float | None, resting_ratio: float | None = None
) -> Screen:
    health = frozenset(intake.health)
    kidney = kidney_protein(intake)
    return Screen(
        age_years=intake.age_years,
        sex=intake.sex,
        weight_kg=whole_mass_kg(intake),
        height_cm=intake.height_cm,
        fat_percent=fat_percent,
        guardian=intake.guardian_agrees,
        pregnant="pregnant" in health,
        trimester=intake.pregnancy_trimester,
        lactating="breastfeeding" in health,
        months_postpartum=0.0 if "postpartum 6 months" in health else None,
        eating_disorder="eating disorder history" in health,
        fears_foods="fear of food groups" in health,
        missed_periods_months=3.0 if "missed periods 3 months" in health else 0.0,
        fainting="fainting" in health,
        heart_symptoms="heart symptoms" in health,
        stress_fracture="stress fracture" in health,
        signs=deficiency_answers(intake, resting_ratio),
        kidney_protein_most=None if kidney is None else kidney.high,
        trains=intake.usual_sessions > 0,
        sits="wheelchair user" in health,
        limb_unknown="limb loss" in health and intake.limb_lost is None,
        chronic_disease=bool(health & CHRONIC_FLAGS),
        unintended_loss_month_percent=100.0 if "unintended weight loss" in health else 0.0,
    )


TICKED_SIGNS = {
    "ill_often": "frequent illness",
    "libido_low": "low libido",
    "mood_low": "low mood",
    "gut": "gut complaints",
    "tired": "tired and slower",
}
"""Signs that the list of conditions asks for; not ticked there means no."""


def deficiency_answers(intake: Intake, resting_ratio: float | None) -> dict[str, bool | None]:
    """
    Gather what is known of the signs of relative energy deficiency.

    Parameters
    ----------
    intake : Intake
        Its questions, conditions and blood tests.
    resting_ratio : float or None
        Resting test over Harris-Benedict. [ratio]

    Returns
    -------
    dict of str to bool or None
        By indicator; None was not asked. Missed periods and stress fractures that are ticked as
        conditions stand under findings of their own.
    """
    answers: dict[str, bool | None] = {
        key: None if said is None else said == "yes"
        for key, said in intake.deficiency.model_dump().items()
    }
    answers |= {key: flag in intake.health for key, flag in TICKED_SIGNS.items()}
    answers["periods_missed"] = False
    if "missed periods 3 months" not in intake.health and intake.deficiency.periods_rare is None:
        answers["periods_missed"] = None
    outside = sides(intake)
    if "ldl_cholesterol" in latest(intake):
        answers["cholesterol_high"] = outside.get("ldl_cholesterol") == "high"
    if resting_ratio is not None:
        flag = constants("calorimetry")["rmr_ratio_flag"].value
        answers["resting_ratio_low"] = resting_ratio < flag
    if {"pregnant", "breastfeeding"} & set(intake.health) or intake.age_years >= OLD_FOR_PERIODS:
        for key in ("no_period_a_year", "never_a_period", "periods_rare", "periods_missed"):
            answers[key] = False
    return answers


def _unasked_notice(screen: Screen, intake: Intake, *, deficit: bool) -> tuple[Notice, ...]:
    """Say which questions on energy deficiency are open, for who trains much or loses weight."""
    if not deficit and intake.usual_sessions < ASKED_FROM_SESSIONS:
        return ()
    found = screen_deficiency(screen.sex, screen.signs)
    open_questions = [
        one.question
        for one in found.unasked
        if one.weight in ("severe", "primary")
        and (one.key != "growth_fell_back" or intake.age_years < limit("adult_age"))
        and (one.key != "never_a_period" or intake.age_years < limit("adult_age"))
    ]
    if not open_questions:
        return ()
    return (
        Notice(
            code="deficiency_unasked",
            severity="note",
            message=f"Ask for signs of too little energy: {' '.join(open_questions)} A yes goes "
            "to a physician and a sports dietitian before any loss of weight.",
            source="Mountjoy et al. 2023, IOC consensus on REDs",
            provenance="published",
        ),
    )


OLD_FOR_PERIODS = 50
"""From here on missing periods say nothing of energy. [year] (common practice)"""
ASKED_FROM_SESSIONS = 4
"""Sessions a week from which the signs are asked for without a deficit. [1/week]"""


def _sentence(text: str) -> str:
    """Begin with a capital and end with one stop."""
    return f"{text[:1].upper()}{text[1:]}" + ("" if text.endswith((".", "?", "!")) else ".")


def _notice(finding: Finding) -> Notice:
    return Notice(
        code=finding.code,
        severity=finding.severity,
        message=f"{_sentence(finding.message)} {_sentence(finding.reason)}",
        reason=finding.reason,
        see=finding.see,
        source=finding.source,
        provenance=finding.provenance,
    )


def screening_notices(intake: Intake) -> tuple[Notice, ...]:
    """
    Ask what must be asked before any number is worked out.

    Parameters
    ----------
    intake : Intake
        The client.

    Returns
    -------
    tuple of Notice
        A ``refuse`` with code ``under_18`` means that no target may be shown at all.
    """
    found = []
    if intake.age_years < limit("youngest"):
        found = [
            _notice(finding)
            for finding in check_person(_screen(intake, None), deficit=False)
            if finding.code == "under_18"
        ]
    if intake.age_years > 100:
        found.append(
            Notice(
                code="age_high",
                severity="refuse",
                message=f"Age {intake.age_years} is above 100. No equation here reaches that far.",
                see="a registered dietitian",
                source="range of the equations",
                provenance="common practice",
            )
        )
    return tuple(found)


def starvation_notices(intake: Intake, lowest_day_kcal: float) -> tuple[Notice, ...]:
    """
    Ask whether any day would fall below what is a medical treatment.

    Parameters
    ----------
    intake : Intake
        The client, who may be one for whom no loss is planned at all.
    lowest_day_kcal : float
        Energy of the week's lowest day. [kcal]

    Returns
    -------
    tuple of Notice
        Empty, or one ``refuse`` with code ``energy_never``.
    """
    least = limit("energy_never")
    if lowest_day_kcal >= least:
        return ()
    found = finding(
        "energy_never",
        "refuse",
        f"the lowest day would hold {lowest_day_kcal:.0f} kcal, below {least:g}",
        "diets this low are a medical treatment; "
        + (
            "ask for a smaller or slower loss"
            if loss_allowed(_screen(intake, None))
            else "no loss is planned here"
        ),
        PHYSICIAN,
        constants("safety_thresholds")["energy_never"],
    )
    return (_notice(found),)


def stop(notices: Sequence[Notice]) -> None:
    """
    Stop when a finding forbids acting: the one verdict that command, pages and interface share.

    Parameters
    ----------
    notices : sequence of Notice
        Findings so far; decisions of professionals are already applied to them.

    Raises
    ------
    SafetyRefusal
        One line: what is refused or waits for a professional, why, whom to see; every finding
        behind it travels along.
    """
    stops = tuple(notice for notice in notices if notice.severity in ("refuse", "override"))
    if not stops:
        return
    refused = any(notice.severity == "refuse" for notice in stops)
    stops += tuple(notice for notice in notices if notice.code == "override_unused")
    begin = "refused" if refused else "waits for a professional's recorded decision"
    raise SafetyRefusal(f"{begin}: " + " ".join(map(refusal_words, stops)), stops)


def refusal_words(notice: Notice) -> str:
    """
    Say a finding with whom to see and its code, as a refusal prints it.

    Parameters
    ----------
    notice : Notice
        The notice that refuses.
    """
    return f"{notice.message}{f' See {notice.see}.' if notice.see else ''} [{notice.code}]"


def _allergy(intake: Intake) -> Notice:
    return Notice(
        code="allergy",
        severity="note",
        message=(
            "Allergens are left out by what a food is made of; traces are not in the data."
            " Read every label; with a history of anaphylaxis the label decides, never this"
            " list."
        ),
        see="an allergist" if "anaphylaxis" in intake.health else "",
        source="good practice",
        provenance="common practice",
    )


def find_notices(situation: Situation) -> tuple[Notice, ...]:
    """
    Collect every caution, refusal and passed guard rail of a client's targets.

    Parameters
    ----------
    situation : Situation
        What the guard rails look at.

    Returns
    -------
    tuple of Notice
        Gravest first; overridden findings stay as notes with who, why and until when.
    """
    intake = situation.intake
    screen = _screen(intake, situation.fat_percent, situation.resting_ratio)
    deficit = situation.energy_kcal < 0.985 * situation.expenditure_kcal
    person = [_as_reported(finding, intake) for finding in check_person(screen, deficit=deficit)]
    weeks = intake.goal.weeks if intake.goal.weeks is not None else PHASE_WEEKS
    energy = check_energy(
        EnergyProposal(
            intake_kcal=situation.energy_kcal,
            rmr_kcal=situation.resting_kcal,
            maintenance_kcal=situation.expenditure_kcal,
            percent_per_week=situation.rate_percent_per_week,
            weeks=weeks,
            gaining=intake.goal.phase == "gain",
            availability=situation.availability,
            protein_g_per_kg=situation.protein_g_per_kg,
            much_fat=situation.much_fat,
            set_by_team="bariatric surgery" in intake.health
            and intake.goal.energy_kcal is not None,
        ),
        screen,
    )
    typed = _look_twice(situation)
    asked = _unasked_notice(screen, intake, deficit=deficit)
    notices = [*asked, *(_notice(finding) for finding in (*person, *energy, *typed))]
    notices += _health_notices(intake)
    notices += carbohydrate_notices(intake)
    if "bariatric surgery" in intake.health and deficit and intake.goal.energy_kcal is None:
        notices.append(_bariatric_energy())
    if "anaphylaxis" in intake.health or intake.tastes.allergies:
        notices.append(_allergy(intake))
    notices += blood_notices(intake)
    codes = {notice.code for notice in notices}
    notices += [
        Notice(
            code="override_unused",
            severity="note",
            message=(
                f"The override of {override.finding!r} by {override.by} matches no finding of this "
                "client; copy the code in square brackets from the refusal."
            ),
            source="good practice",
            provenance="common practice",
        )
        for override in intake.professional_overrides
        if override.finding not in codes
    ]
    order = {"refuse": 0, "override": 1, "warn": 2, "note": 3}
    applied = [_overridden(notice, intake) for notice in notices]
    return tuple(sorted(applied, key=lambda notice: order[notice.severity]))


def _health_notices(intake: Intake) -> list[Notice]:
    """Say what each condition and medicine means; one override each, one caution each, once."""
    said = [
        Notice(
            code=words.code,
            severity=words.severity,
            message=f"{_sentence(words.message)} {_sentence(words.reason)}",
            reason=words.reason,
            see=words.see,
            source=words.source,
            provenance=words.provenance,
        )
        for words in health_words()
        if words.flag in intake.health
    ]
    return list({(notice.code, notice.message): notice for notice in said}.values())


def _bariatric_energy() -> Notice:
    return Notice(
        code="bariatric_energy",
        severity="override",
        message=(
            "After bariatric surgery a deficit by this program's general rule is not what the "
            "surgical team has planned, often 1,100 to 1,600 kcal in the first years: write the "
            "team's number as goal.energy_kcal, or have the rule decided on."
        ),
        see="the surgical team's dietitian",
        source="good practice",
        provenance="common practice",
    )


def _look_twice(situation: Situation) -> tuple[Finding, ...]:
    """Find typed numbers that adults rarely have, each to be checked and confirmed."""
    intake = situation.intake
    fat, test = situation.fat_percent, intake.resting_test
    return check_inputs(
        weight_kg=intake.weight_kg,
        height_cm=intake.height_cm,
        age_years=max(float(intake.age_years), limit("adult_age")),
        sex=intake.sex,
        fat_percent=fat,
        rmr_kcal=situation.resting_kcal,
        ffm_kg=None if fat is None else intake.weight_kg * (1 - fat / 100),
        resting_vo2_ml_min=None if test is None else test.vo2_ml_min,
    )


def _as_reported(found: Finding, intake: Intake) -> Finding:
    """Say a finding as the intake reported it."""
    if found.code == "unintended_loss" and "unintended weight loss" in intake.health:
        return replace(found, message="unwanted weight loss was reported")
    return found


COVERED_BY: Mapping[str, str] = {
    "bariatric_team_energy": "bariatric_surgery",
    "blood_egfr": "kidney_disease",
    "blood_creatinine": "kidney_disease",
}
"""Findings that a professional's decision on another one covers, by code."""


def _overridden(notice: Notice, intake: Intake) -> Notice:
    """Apply a professional's override to a finding that allows one, keeping the trail."""
    if notice.severity != "override":
        return notice
    for override in intake.professional_overrides:
        if override.finding not in (notice.code, COVERED_BY.get(notice.code)):
            continue
        if override.until < intake.start:
            return notice.model_copy(
                update={"message": f"{notice.message} (An override ended on {override.until}.)"}
            )
        if not is_licensed(override):
            return notice.model_copy(
                update={
                    "message": (
                        f"{notice.message} (An override by a {override.by} does not count: it takes"
                        " a physician or registered dietitian.)"
                    )
                }
            )
        return notice.model_copy(
            update={
                "severity": "warn",
                "message": (
                    f"{notice.message} Overridden by {override.by} until {override.until}: "
                    f"{_sentence(override.reason)}"
                ),
            }
        )
    return notice


def is_licensed(override: Override) -> bool:
    """
    Say whether the overriding role is one that may decide this.

    Parameters
    ----------
    override : Override
        A recorded decision.
    """
    return any(word in override.by.lower() for word in LICENSED)


def worst(notices: Sequence[Notice]) -> str:
    """
    Name the gravest severity present, or an empty string.

    Parameters
    ----------
    notices : Sequence[Notice]
        Of one client.
    """
    for severity in ("refuse", "override", "warn", "note"):
        if any(notice.severity == severity for notice in notices):
            return severity
    return ""
