"""
What a finished week says beyond floors and ceilings: readings, which are told and never priced.

They are the usual intake of iron and zinc, and energy through the day.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from mealplan.client.intake import Intake, minute_of_day
from mealplan.nutrition.usual_intake import PROBABILITY_NUTRIENTS, need_met
from mealplan.physiology.expenditure.within_day import (
    HOURS,
    WithinDay,
    energy_through_day,
    spread_over_hours,
)
from mealplan.plan import PlanDay
from mealplan.references.tables import Condition
from mealplan.targets.ranges import DayTargets, Targets
from mealplan.targets.training import met_of, sessions_of

WAKING = (7 * 60, 16 * 60)
"""Everyday movement is laid into the hours from here, for so long. [min] (common practice)"""
LEAST_DAYS = 5
"""Fewer days than this are no usual intake. [day] (common practice)"""
WORTH_SAYING = 0.02
"""Shares nearer to everyone than this are said as nearly everyone. [fraction]"""


def usual_intake(intake: Intake, condition: Condition, days: Sequence[PlanDay]) -> tuple[str, ...]:
    """
    Judge iron and zinc as usual intake against the spread of requirements.

    Parameters
    ----------
    intake : Intake
        Sex and age.
    condition : Condition
        Pregnancy, lactation or none.
    days : sequence of PlanDay
        Planned days.

    Returns
    -------
    tuple of str
        A sentence each; none for fewer days than speak of usual intake, nor without a floor.
    """
    if len(days) < LEAST_DAYS:
        return ()
    sentences = []
    for key in PROBABILITY_NUTRIENTS:
        lines = [line for day in days for line in day.adequacy if line.key == key]
        if len(lines) < len(days) or any(line.low is None for line in lines):
            continue
        mean = sum(line.total for line in lines) / len(lines)
        # Food tables err alike on every day: composition does not average out over the week.
        within = math.sqrt(sum(line.sd**2 for line in lines) / len(lines))
        found = need_met(key, intake.sex, intake.age_years, condition, mean, within)
        many = "nearly all" if found.share > 1 - WORTH_SAYING else f"{found.share:.0%}"
        sentences.append(
            f"{lines[0].label}, usual intake: {mean:.1f} {lines[0].unit} a day meets the need of "
            f"{many} of people of this sex and age ({found.words}; {found.source}). It screens "
            "nobody: a blood test does."
        )
    return tuple(sentences)


def through_the_days(intake: Intake, targets: Targets, days: Sequence[PlanDay]) -> tuple[str, ...]:
    """
    Follow energy from hour to hour on each day and say where it runs furthest behind.

    Parameters
    ----------
    intake : Intake
        Sessions with their hours.
    targets : Targets
        Resting and total energy of the worksheet.
    days : sequence of PlanDay
        Planned days, meals with their hours.

    Returns
    -------
    tuple of str
        One sentence, or none where the worksheet does not show the energy.
    """
    worksheet = {line.key: line.value for line in targets.worksheet}
    spent = worksheet.get("expenditure_kcal")
    rest = worksheet.get("resting_energy_kcal") or worksheet.get("resting_energy_predicted_kcal")
    if spent is None or rest is None or not days:
        return ()
    found = [(day, _through(intake, targets.on_date(day.date), day, spent, rest)) for day in days]
    worst_day, worst = min(found, key=lambda pair: pair[1].lowest_kcal)
    hours = sum(one.hours_deep for _, one in found) / len(found)
    return (
        f"Energy through the day, from midnight: on average {hours:.0f} of 24 hours end more than "
        f"{worst.line_kcal:.0f} kcal behind what was used; furthest on {worst_day.date:%a}, "
        f"{-worst.lowest_kcal:,.0f} kcal by {worst.lowest_hour}:00. A reading, not a limit: women "
        "with disturbed cycles and men with low resting energy spent most of the day so far behind "
        "(Fahrenholtz 2018, Torstveit 2018); an earlier or larger meal before it helps.",
    )


def _through(
    intake: Intake, targets: DayTargets, day: PlanDay, spent_kcal: float, rest_kcal: float
) -> WithinDay:
    eaten = [0.0] * HOURS
    for meal in day.meals:
        eaten[minute_of_day(meal.time) // 60] += meal.energy_kcal
    during = [item for item in targets.fuel if item.when == "during" and item.carbohydrate_aim_g]
    sugar = sum(item.carbohydrate_aim_g for item in during)
    for item in during:
        kcal = day.training_kcal * item.carbohydrate_aim_g / sugar
        start = WAKING[0] if item.time is None else minute_of_day(item.time)
        _add(eaten, spread_over_hours(start, item.minutes or WAKING[1], kcal))
    mass = intake.weight_kg
    used = [rest_kcal / HOURS] * HOURS
    net = [
        (session, (met_of(session) - 1) * mass * session.minutes / 60)
        for session in sessions_of(intake)
    ]
    everyday = max(0.0, spent_kcal - rest_kcal - sum(kcal for _, kcal in net) / 7)
    _add(used, spread_over_hours(*WAKING, everyday))
    for session, kcal in net:
        if session.day != day.weekday:
            continue
        if session.time is None:
            _add(used, spread_over_hours(*WAKING, kcal))
        else:
            _add(used, spread_over_hours(minute_of_day(session.time), session.minutes, kcal))
    return energy_through_day(eaten, used, intake.sex)


def _add(hours: list[float], more: Sequence[float]) -> None:
    for place, kcal in enumerate(more):
        hours[place] += kcal
