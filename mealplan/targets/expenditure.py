"""What a client spends in a day: rest, training and the rest of life."""

from __future__ import annotations

from dataclasses import dataclass, replace

from mealplan.client.activity import MultiplierActivity
from mealplan.client.intake import WEEKDAYS, ComponentActivity, Intake
from mealplan.errors import IntakeError
from mealplan.physiology.expenditure.activity import classify
from mealplan.physiology.expenditure.daily import (
    ComponentMethod,
    MultiplierMethod,
    TotalEnergy,
    TrainingSession,
    TrainingWeek,
    component_energy,
    total_energy,
)
from mealplan.physiology.expenditure.exercise import activity_by_code, find_activities
from mealplan.physiology.tables import activities, constants
from mealplan.science.quantity import Quantity, derive, given

PAL_SD_FRACTION = 0.05
"""Spread of a chosen activity factor about the true one (common practice)."""
EVERYDAY_SD = 0.05
"""Spread of the everyday-movement factor. [ratio] (common practice)"""
UNSAID_MET = 6.0
UNSAID_HOURS = 1.0
UNSAID_SD_FRACTION = 0.5
"""A session inside an activity factor, with its spread. [MET] [h] (common practice)"""
EXERCISE_SD_FRACTION = 0.25
"""Spread of a session's tabled cost for one person (common practice: 20 to 30 %)."""


def find_session(activity: str, met: float | None, minutes: float) -> TrainingSession:
    """
    Turn a session's words or code into metabolic equivalents.

    Parameters
    ----------
    activity : str
        Compendium code, or words of its description.
    met : float, optional
        Known better than the table. [MET]
    minutes : float
        Length. [min]

    Returns
    -------
    TrainingSession

    Raises
    ------
    IntakeError
        When nothing or too much matches, with what to write instead.
    """
    if met is not None:
        return TrainingSession(activity, met, minutes)
    if activity.isdigit() or activity in activities():
        found = activity_by_code(activity)
        return TrainingSession(found.activity, found.met, minutes)
    matches = find_activities(activity)
    if len(matches) == 1:
        return TrainingSession(matches[0].activity, matches[0].met, minutes)
    if not matches:
        raise IntakeError(
            f"activity {activity!r} is not in the table of exercise costs; "
            "`mealplan activities` lists them, or add met to the session"
        )
    names = "; ".join(f"{row.code} {row.activity}" for row in matches[:4])
    raise IntakeError(
        f"activity {activity!r} fits {len(matches)} rows of the table; write one code: {names}"
    )


def training_week(activity: ComponentActivity) -> TrainingWeek:
    """Lay the intake's sessions out over seven days, Monday first."""
    days: dict[str, list[TrainingSession]] = {day: [] for day in WEEKDAYS}
    for session in activity.sessions:
        days[session.day].append(find_session(session.activity, session.met, session.minutes))
    return TrainingWeek(tuple(tuple(days[day]) for day in WEEKDAYS))


@dataclass(frozen=True)
class Expenditure:
    """Total energy, its parts and the training behind it."""

    quantity: Quantity
    total: TotalEnergy
    exercise: Quantity
    """Mean net cost of training, estimated when activity is one factor. [kcal/day]"""


def expenditure(intake: Intake, rest: Quantity) -> Expenditure:
    """
    Work out mean daily expenditure by the one method the intake names, and what life adds to it.

    Parameters
    ----------
    intake : Intake
        Activity: a factor that already holds training, or components; never both.
    rest : Quantity
        Resting energy. [kcal/day]

    Returns
    -------
    Expenditure
    """
    return _with_life_stage(intake, _by_activity(intake, rest))


def _by_activity(intake: Intake, rest: Quantity) -> Expenditure:
    if isinstance(intake.activity, ComponentActivity):
        return _by_component(intake, intake.activity, rest)
    return _by_multiplier(intake, intake.activity, rest)


def _by_component(intake: Intake, activity: ComponentActivity, rest: Quantity) -> Expenditure:
    week = training_week(activity)
    component = ComponentMethod(activity.everyday_factor, week)
    total = total_energy(rest.value, component, intake.weight_kg)
    assert total.exercise_kcal is not None
    mean_exercise = sum(total.exercise_kcal) / 7
    exercise = given(
        "exercise_kcal",
        "Training, net of the rest it replaces",
        mean_exercise,
        "kcal/day",
        sd=EXERCISE_SD_FRACTION * mean_exercise,
        error_name="tabled cost of the sessions",
        method="sum of MET × kg × hours less resting energy for the same time, over 7 days",
        source="2011 compendium of physical activities",
        provenance="published",
    )
    factor = given(
        "everyday_factor",
        "Everyday movement",
        activity.everyday_factor,
        "× resting energy",
        sd=EVERYDAY_SD,
        error_name="everyday movement",
    )
    quantity = derive(
        "expenditure_kcal",
        "Total energy, component method",
        "kcal/day",
        component_energy,
        {"rmr_kcal": rest, "everyday_factor": factor, "exercise_net_kcal": exercise},
        method="(resting energy × everyday movement + training) / (1 − 0.10 for digestion)",
        source="component method; thermic effect of a mixed diet about a tenth",
        provenance="common practice",
        note="; ".join(total.warnings),
    )
    return Expenditure(quantity, total, exercise)


def _by_multiplier(intake: Intake, activity: MultiplierActivity, rest: Quantity) -> Expenditure:
    method = MultiplierMethod(activity.pal, activity.system)
    label = classify(activity.pal, activity.system, max(19.0, intake.age_years))
    total = total_energy(rest.value, method, intake.weight_kg)
    factor = given(
        "pal",
        f"Activity factor ({activity.system})",
        activity.pal,
        "× resting energy",
        sd=PAL_SD_FRACTION * activity.pal,
        error_name="activity factor",
    )
    quantity = derive(
        "expenditure_kcal",
        "Total energy, multiplier method",
        "kcal/day",
        lambda rest, factor: rest * factor,
        {"rest": rest, "factor": factor},
        method=(
            "resting energy × one factor that already holds training and digestion"
            + (f"; {label!r} in the words of {activity.system}" if label else "")
        ),
        source=activity.system,
        provenance="published" if activity.system != "legacy" else "common practice",
        note="; ".join(total.warnings),
    )
    return Expenditure(quantity, total, _training_within(intake))


def _training_within(intake: Intake) -> Quantity:
    """Estimate what training costs inside a factor, for energy availability."""
    sessions = intake.usual_sessions
    net = (UNSAID_MET - 1) * intake.weight_kg * UNSAID_HOURS * sessions / 7
    return given(
        "exercise_kcal",
        "Training, estimated from the number of sessions",
        net,
        "kcal/day",
        sd=UNSAID_SD_FRACTION * net,
        error_name="what the sessions cost, which the activity factor does not say",
        method=(
            f"{sessions:g} sessions a week of an hour at {UNSAID_MET:g} metabolic equivalents, "
            "net of rest; list the sessions to know better"
        ),
        source="assumption, shown with a wide band",
        provenance="common practice",
    )


def _with_life_stage(intake: Intake, spent: Expenditure) -> Expenditure:
    """
    Add what pregnancy, breastfeeding or growth takes on top.

    Parameters
    ----------
    intake : Intake
        Health and age.
    spent : Expenditure
        Before it.

    Returns
    -------
    Expenditure
        The same one when nothing applies.
    """
    table = constants("life_stage")
    if "pregnant" in intake.health and intake.pregnancy_trimester is not None:
        key, words = f"pregnancy_{intake.pregnancy_trimester}", "Pregnancy"
    elif "breastfeeding" in intake.health:
        key, words = "lactation", "Breastfeeding"
    elif intake.age_years < 19:
        key, words = "growth", "Growth"
    else:
        return spent
    row = table[key]
    more = given(
        "life_stage_kcal",
        words,
        row.value,
        "kcal/day",
        sd=table["sd"].value if row.value else 0.0,
        error_name="what this stage of life takes",
        method=row.note,
        source=row.source,
        provenance=row.provenance,
    )
    quantity = derive(
        "expenditure_kcal",
        f"{spent.quantity.label}, with {words.lower()}",
        "kcal/day",
        lambda spent, more: spent + more,
        {"spent": spent.quantity, "more": more},
        method=f"total energy + {words.lower()}",
        source=row.source,
        provenance=row.provenance,
    )
    return replace(spent, quantity=quantity)
