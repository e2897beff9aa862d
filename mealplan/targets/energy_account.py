"""
From resting energy to a day's energy: total energy, then the phase's change.

Each step is a :class:`Quantity` that knows its inputs and its errors, so the worksheet can be
opened to any depth and the largest source of doubt can be named.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from mealplan.client.activity import MultiplierActivity
from mealplan.client.intake import WEEKDAYS, ComponentActivity, Goal, Intake
from mealplan.errors import IntakeError
from mealplan.physiology.expenditure.activity import classify
from mealplan.physiology.expenditure.daily import (
    ComponentMethod,
    MultiplierMethod,
    TotalEnergy,
    TrainingSession,
    TrainingWeek,
    component_energy,
    day_targets,
    total_energy,
)
from mealplan.physiology.expenditure.exercise import activity_by_code, find_activities
from mealplan.physiology.guard.findings import limit
from mealplan.physiology.tables import activities, constants
from mealplan.physiology.weight_change.energy_balance import Baseline
from mealplan.physiology.weight_change.goals import (
    ChangeGoal,
    EnergyGoal,
    GoalEnergy,
    PercentGoal,
    RateGoal,
    energy_for_goal,
)
from mealplan.physiology.weight_change.rates import clamp_energy_change, default_rate
from mealplan.physiology.weight_change.stored_energy import trained_fat_fraction
from mealplan.science.quantity import Quantity, derive, given
from mealplan.targets.body import BodyQuantities, much_fat

PAL_SD_FRACTION = 0.05
"""Spread of a chosen activity factor about the true one (common practice)."""
EVERYDAY_SD = 0.05
"""Spread of the everyday-movement factor. [ratio] (common practice)"""
UNSAID_MET = 6.0
UNSAID_HOURS = 1.0
UNSAID_SD_FRACTION = 0.5
"""A session inside an activity factor, with its spread. [MET] [h] (common practice)"""
EA_ROOM = 1.0
"""A default deficit stays so far above low availability. [kcal/kg/day] (common practice)"""
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


@dataclass(frozen=True)
class PhaseEnergy:
    """Daily energy of the phase and how it follows from expenditure."""

    quantity: Quantity
    change: GoalEnergy
    baseline: Baseline
    fat_fraction: float | None


def gain_counted(intake: Intake) -> bool:
    """
    Say whether a phase's gain is the pregnancy's, whose energy is in expenditure already.

    Parameters
    ----------
    intake : Intake
        Health and goal.

    Returns
    -------
    bool
        False where the day's energy itself is fixed.
    """
    goal = intake.goal
    return "pregnant" in intake.health and goal.phase == "gain" and goal.energy_kcal is None


def phase_energy(
    intake: Intake, body: BodyQuantities, rest: Quantity, account: Expenditure
) -> PhaseEnergy:
    """
    Turn the goal into daily energy.

    Parameters
    ----------
    intake : Intake
        Goal and training status.
    body : BodyQuantities
        Fat mass sets how a change divides and what a kilogram holds.
    rest : Quantity
        Resting energy. [kcal/day]
    account : Expenditure
        Total energy and the training in it.

    Returns
    -------
    PhaseEnergy
    """
    spent = account.quantity
    baseline = Baseline(
        fat_kg=body.fat.value,
        lean_kg=body.mass.value - body.fat.value,
        rmr_kcal=rest.value,
        pal=max(1.12, spent.value / rest.value),
    )
    trained = intake.goal.phase == "gain" and intake.usual_sessions >= 2
    fraction = trained_fat_fraction(body.fat.value) if trained else None
    goal, is_default = _goal(intake.goal, intake, spent, body)
    reason = ""
    change = energy_for_goal(goal, baseline, fat_fraction=fraction)
    if is_default:
        held, reason = _held(change.change_kcal, intake, body, account)
        if reason:
            change = energy_for_goal(EnergyGoal(held), baseline, fat_fraction=fraction)
    if gain_counted(intake):
        reason = "what a pregnancy gains is in total energy already, and is not added twice"
    words = f"{reason}: " if reason else ""
    words += (
        f"{change.change_kcal:+,.0f} kcal: {change.percent_per_week:+.2f} % of body mass a week by "
        f"the dynamic model, {change.effective_kcal_per_kg:,.0f} kcal of intake a kilogram"
    )
    # A goal set in kilocalories is exact; one fixed in total leaves nothing to propagate.
    if intake.goal.energy_kcal is not None:
        quantity = given(
            "energy_kcal",
            "Energy to plan",
            intake.goal.energy_kcal,
            "kcal/day",
            method=f"fixed by the coach; expenditure is {spent.value:,.0f}, so {words}",
            source="coach",
        ).model_copy(update={"inputs": (spent,)})
        return PhaseEnergy(quantity, change, baseline, fraction)
    delta = given(
        "change_kcal",
        "Change for the phase",
        change.change_kcal,
        "kcal/day",
        method=words,
        source="Hall et al. 2011, Lancet 378:826, doi:10.1016/S0140-6736(11)60812-X",
        provenance="published",
        note=change.rule_note,
    )
    quantity = derive(
        "energy_kcal",
        "Energy to plan",
        "kcal/day",
        lambda spent, delta: spent + delta,
        {"spent": spent, "delta": delta},
        method="total energy + change for the phase",
        source="energy balance",
        provenance="worked by hand",
    )
    return PhaseEnergy(quantity, change, baseline, fraction)


def _held(
    change_kcal: float, intake: Intake, body: BodyQuantities, account: Expenditure
) -> tuple[float, str]:
    """Hold a default within the planning limits, and off what only a professional may plan."""
    spent = account.quantity.value
    held = clamp_energy_change(change_kcal, spent)
    value, reason = held.value, held.reason
    if value >= 0:
        return value, reason
    least = limit("energy_men" if intake.sex == "male" else "energy_women")
    floors = {f"{least:,.0f} kcal a day": least}
    if not much_fat(intake, body):
        left = limit("ea_low") + EA_ROOM
        floors[f"an energy availability of {left:g} kcal/kg"] = (
            left * body.ffm.value + account.exercise.value
        )
    words, floor = max(floors.items(), key=lambda pair: pair[1])
    if spent + value < floor:
        return min(0.0, floor - spent), f"deficit reduced to keep {words}"
    return value, reason


def wanted_percent_per_week(goal: Goal, energy: PhaseEnergy) -> float:
    """
    Tell the pace a goal asks for.

    Parameters
    ----------
    goal : Goal
        What should happen to body mass.
    energy : PhaseEnergy
        What the goal comes to.

    Returns
    -------
    float
        As said, else as the energy is expected to give, positive for gain. [%/week]
    """
    if goal.rate_percent_per_week is not None:
        return goal.rate_percent_per_week
    return energy.change.percent_per_week


def _goal(
    goal: Goal, intake: Intake, spent: Quantity, body: BodyQuantities
) -> tuple[RateGoal | ChangeGoal | EnergyGoal | PercentGoal, bool]:
    """Read the goal; True when nothing was said and the phase's default rate is used."""
    if goal.energy_kcal is not None:
        return EnergyGoal(goal.energy_kcal - spent.value), False
    if gain_counted(intake):
        return EnergyGoal(0.0), False
    if goal.surplus_kcal is not None:
        return EnergyGoal(goal.surplus_kcal), False
    if goal.surplus_percent is not None:
        return PercentGoal(goal.surplus_percent), False
    if goal.rate_percent_per_week is not None:
        return RateGoal(goal.rate_percent_per_week), False
    if goal.change_kg is not None and goal.weeks is not None:
        return ChangeGoal(goal.change_kg, max(1, round(goal.weeks * 7))), False
    if goal.phase in ("hold", "endurance"):
        return EnergyGoal(0.0), False
    fat = body.fat_percent.value if body.method is not None else None
    rate = default_rate(goal.phase, intake.training_status, intake.sex, fat)
    return RateGoal(rate), True


def energy_by_weekday(intake: Intake, mean_kcal: float, spent: Expenditure) -> tuple[float, ...]:
    """
    Spread mean energy over the week.

    Parameters
    ----------
    intake : Intake
        Says whether days vary with training.
    mean_kcal : float
        Mean target. [kcal/day]
    spent : Expenditure
        Training of each day.

    Returns
    -------
    tuple of float
        Monday first; sums to seven times the mean. [kcal/day]
    """
    activity = intake.activity
    exercise = spent.total.exercise_kcal
    if isinstance(activity, ComponentActivity) and activity.vary_by_day and exercise is not None:
        return day_targets(mean_kcal, exercise, follow=0.7)
    return (mean_kcal,) * 7
