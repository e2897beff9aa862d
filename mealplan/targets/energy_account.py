"""
From a measured body to a day's energy: resting energy, total energy, then the phase's change.

Each step is a :class:`Quantity` that knows its inputs and its errors, so the worksheet can be
opened to any depth and the largest source of doubt can be named.
"""

from __future__ import annotations

import inspect
from collections.abc import Mapping
from dataclasses import dataclass

from mealplan.client.intake import WEEKDAYS, ComponentActivity, Goal, Intake
from mealplan.errors import IntakeError
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
from mealplan.physiology.resting import equations as resting
from mealplan.physiology.resting.choice import Body, Prediction, choose
from mealplan.physiology.resting.measurement import Conditions, discount, judge_resting
from mealplan.physiology.weight_change.energy_balance import Baseline, trained_fat_fraction
from mealplan.physiology.weight_change.goals import (
    ChangeGoal,
    EnergyGoal,
    GoalEnergy,
    PercentGoal,
    RateGoal,
    energy_for_goal,
)
from mealplan.physiology.weight_change.rates import clamp_energy_change, default_rate
from mealplan.quantity import Quantity, combine_by_precision, derive, given
from mealplan.targets.body import BodyQuantities

PAL_SD_FRACTION = 0.05
"""Spread of a chosen activity factor about the true one (common practice)."""
EVERYDAY_SD = 0.05
"""Spread of the everyday-movement factor. [ratio] (common practice)"""
EXERCISE_SD_FRACTION = 0.25
"""Spread of a session's tabled cost for one person (common practice: 20 to 30 %)."""
REPORTED_SD_FRACTION = 0.05
"""Spread of a laboratory resting value whose gas volumes are not given (common practice)."""
DAYS_PER_MONTH = 30.44


@dataclass(frozen=True)
class RestingEnergy:
    """Resting energy with how it was chosen."""

    quantity: Quantity
    predicted: Quantity
    measured: Quantity | None
    spread: tuple[Prediction, ...]
    """Every equation that could be computed, for comparison."""
    remarks: tuple[str, ...]


def resting_energy(intake: Intake, body: BodyQuantities) -> RestingEnergy:
    """
    Work out resting energy: measured, predicted, or both weighed by their precision.

    Parameters
    ----------
    intake : Intake
        Client and, if any, laboratory test.
    body : BodyQuantities
        Mass and fat-free mass with errors.

    Returns
    -------
    RestingEnergy
    """
    height = given("height_cm", "Height", intake.height_cm, "cm", sd=0.5, provenance="measured")
    age = given("age_years", "Age", float(intake.age_years), "years")
    trusted = body.method in ("dxa", "four compartment", "air displacement", "skinfold")
    choice = choose(
        Body(
            sex=intake.sex,
            age_years=intake.age_years,
            weight_kg=intake.weight_kg,
            height_cm=intake.height_cm,
            ffm_kg=body.ffm.value if trusted else None,
            fm_kg=body.fat.value if trusted else None,
            ffm_method=body.method if trusted else None,  # type: ignore[arg-type]
            sessions_per_week=_sessions(intake),
        )
    )
    predicted = _predicted(choice.primary, choice.reason, intake, body, height, age)
    others = (choice.primary, *((choice.check,) if choice.check else ()), *choice.others)
    remarks: list[str] = []
    measured = _measured(intake, remarks)
    if measured is None:
        return RestingEnergy(predicted, predicted, None, others, tuple(remarks))
    combined = combine_by_precision(
        "resting_energy_kcal",
        "Resting energy, test and equation together",
        (measured, predicted),
        source="inverse-variance weighting; spreads as each line states",
        provenance="worked by hand",
    )
    gap = abs(measured.value - predicted.value) / (measured.sd**2 + predicted.sd**2) ** 0.5
    if gap > 2:
        remarks.append(
            f"The test ({measured.value:,.0f}) and the equation ({predicted.value:,.0f}) disagree"
            f" by {gap:.1f} standard deviations: check the test's conditions before trusting"
            " either."
        )
    return RestingEnergy(combined, predicted, measured, others, tuple(remarks))


def _sessions(intake: Intake) -> float:
    if isinstance(intake.activity, ComponentActivity) and intake.activity.sessions:
        return float(len(intake.activity.sessions))
    return float(intake.sessions_per_week)


def _predicted(
    chosen: Prediction,
    reason: str,
    intake: Intake,
    body: BodyQuantities,
    height: Quantity,
    age: Quantity,
) -> Quantity:
    function = getattr(resting, chosen.key)
    needs = inspect.signature(function).parameters
    known = {
        "weight_kg": body.mass,
        "height_cm": height,
        "age_years": age,
        "ffm_kg": body.ffm,
        "fm_kg": body.fat,
    }
    inputs = {name: known[name] for name in needs if name in known}
    fixed: Mapping[str, object] = {"sex": intake.sex} if "sex" in needs else {}
    return derive(
        "resting_energy_predicted_kcal",
        f"Resting energy, {chosen.equation}",
        "kcal/day",
        lambda **values: float(function(**values, **fixed)),
        inputs,
        method=f"{chosen.equation}: {reason}",
        source=chosen.source,
        provenance=chosen.provenance,
        model_sd=chosen.sd_kcal,
        model_error="spread between people of the resting equation",
        note=chosen.note,
    )


def _measured(intake: Intake, remarks: list[str]) -> Quantity | None:
    test = intake.resting_test
    if test is None:
        return None
    if test.vo2_ml_min is not None and test.vco2_ml_min is not None:
        judged = judge_resting(
            test.vo2_ml_min,
            test.vco2_ml_min,
            nitrogen_g_per_day=test.urinary_nitrogen_g_day,
            conditions=Conditions(fasted_hours=test.fasted_hours),
            cv_fraction=None if test.cv_percent is None else test.cv_percent / 100,
        )
        value, spread, equation = judged.energy_kcal, judged.sd_fraction, judged.equation
        reasons = "; ".join(judged.reasons) or "every condition met"
        remarks.append(f"Resting test: {judged.verdict} ({reasons}).")
    else:
        assert test.kcal is not None
        value, spread, equation = test.kcal, REPORTED_SD_FRACTION, "as the laboratory reports it"
        if test.cv_percent is not None and test.cv_percent > 10:
            spread = 2 * REPORTED_SD_FRACTION
            remarks.append(f"Resting test varied by {test.cv_percent:g} %; at most 10 % is steady.")
    months = (intake.start - test.date).days / DAYS_PER_MONTH
    aged = discount(spread, months, test.weight_kg or intake.weight_kg, intake.weight_kg)
    remarks += [f"Resting test: {reason}." for reason in aged.reasons]
    return given(
        "resting_energy_measured_kcal",
        "Resting energy, laboratory test",
        value,
        "kcal/day",
        sd=aged.sd_fraction * value,
        error_name="day-to-day spread of the resting test",
        method=equation,
        source=f"resting test of {test.date}" + (f", {test.device}" if test.device else ""),
        provenance="measured",
    )


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
    if activity.isdigit():
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
    exercise: Quantity | None
    """Mean net cost of training; None when the method does not tell. [kcal/day]"""


def expenditure(intake: Intake, rest: Quantity) -> Expenditure:
    """
    Work out mean daily expenditure by the one method the intake names.

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
    activity = intake.activity
    if isinstance(activity, ComponentActivity):
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
    method = MultiplierMethod(activity.pal, activity.system)
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
        method="resting energy × one factor that already holds training and digestion",
        source=activity.system,
        provenance="published" if activity.system != "legacy" else "common practice",
        note="; ".join(total.warnings),
    )
    return Expenditure(quantity, total, None)


@dataclass(frozen=True)
class PhaseEnergy:
    """Daily energy of the phase and how it follows from expenditure."""

    quantity: Quantity
    change: GoalEnergy
    baseline: Baseline
    fat_fraction: float | None


def phase_energy(
    intake: Intake, body: BodyQuantities, rest: Quantity, spent: Quantity
) -> PhaseEnergy:
    """
    Turn the goal into daily energy.

    Parameters
    ----------
    intake : Intake
        Goal and training status.
    body : BodyQuantities
        Fat mass sets how a change divides and what a kilogram holds.
    rest, spent : Quantity
        Resting and total energy. [kcal/day]

    Returns
    -------
    PhaseEnergy
    """
    baseline = Baseline(
        fat_kg=body.fat.value,
        lean_kg=body.mass.value - body.fat.value,
        rmr_kcal=rest.value,
        pal=max(1.12, spent.value / rest.value),
    )
    trained = intake.goal.phase == "gain" and intake.sessions_per_week >= 2
    fraction = trained_fat_fraction(body.fat.value) if trained else None
    goal, is_default = _goal(intake.goal, intake, spent, body)
    change = energy_for_goal(goal, baseline, fat_fraction=fraction)
    if is_default:
        held = clamp_energy_change(change.change_kcal, spent.value)
        if held.reason:
            change = energy_for_goal(EnergyGoal(held.value), baseline, fat_fraction=fraction)
    words = (
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


def wanted_percent_per_week(goal: Goal, energy: PhaseEnergy) -> float:
    """
    Tell the pace a goal asks for.

    Parameters
    ----------
    goal : Goal
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
