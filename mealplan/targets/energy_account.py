"""
From resting energy to a day's energy: total energy, then the phase's change.

Each step is a :class:`Quantity` that knows its inputs and its errors, so the worksheet can be
opened to any depth and the largest source of doubt can be named.
"""

from __future__ import annotations

from dataclasses import dataclass

from mealplan.client.intake import ComponentActivity, Goal, Intake
from mealplan.physiology.expenditure.daily import (
    day_targets,
)
from mealplan.physiology.guard.findings import limit
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
from mealplan.targets.expenditure import Expenditure

EA_ROOM = 1.0
"""A default deficit stays so far above low availability. [kcal/kg/day] (common practice)"""


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
