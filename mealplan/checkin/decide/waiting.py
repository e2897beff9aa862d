"""What a wait tells the coach: what it costs, what would end it, and when to look again."""

from __future__ import annotations

import datetime as dt
import math

from mealplan.checkin.decide import decision as rule
from mealplan.checkin.energy.log_reading import LogReading
from mealplan.checkin.energy.mixture import Mixture
from mealplan.checkin.log.entries import KG_PER_UNIT, MassUnit

LOOK_EVERY_DAYS = 7
"""A check-in is a weekly look (common practice). [days]"""
SOON_DAYS = 28
"""A date further off than this is not promised: life changes sooner (common practice). [days]"""
FARTHEST_KCAL = 500.0
"""No gap beyond this is spoken of. [kcal/day]"""


def turning_point(gap: Mixture) -> float | None:
    """
    Give the gap from which on the plan would move, were the data as unsure as now.

    Parameters
    ----------
    gap : Mixture
        Of a plan that waits. [kcal/day]

    Returns
    -------
    float or None
        On the side the gap leans to, to the nearest 10; None when it lies too far off to name.
        [kcal/day]
    """
    side, near, far = math.copysign(1.0, gap.mean), abs(gap.mean), FARTHEST_KCAL
    if near >= far or not rule.step_for(gap.shifted(side * far - gap.mean)):
        return None
    while far - near > rule.STEP_UNIT_KCAL / 2.0:
        middle = (near + far) / 2.0
        moves = rule.step_for(gap.shifted(side * middle - gap.mean))
        near, far = (near, middle) if moves else (middle, far)
    return side * rule.STEP_UNIT_KCAL * math.ceil(far / rule.STEP_UNIT_KCAL)


def mornings_words(today: dt.date, more: int, weekly: float) -> str:
    """
    Say by when so many more weigh-ins will be in.

    Parameters
    ----------
    today : date
    more : int
        Weigh-ins that are missing.
    weekly : float
        How often this client weighs, in days a week, above 0.

    Returns
    -------
    str
        To go on a sentence with; as if weighed every morning where it would else take too long.
    """
    days = math.ceil(7.0 * more / weekly)
    if days <= SOON_DAYS:
        return f", around {day_words(today + dt.timedelta(days=days))}"
    if more <= SOON_DAYS:
        by_then = day_words(today + dt.timedelta(days=more))
        return f", around {by_then} if weighed every morning"
    return ", more than four weeks of mornings"


def day_words(day: dt.date) -> str:
    """Write a date as coaches say it."""
    return f"{day.day} {day:%B}"


def next_look(today: dt.date) -> str:
    """Say when to look again."""
    return f"look again on {day_words(today + dt.timedelta(days=LOOK_EVERY_DAYS))}"


def waiting_words(
    reading: LogReading, gap: Mixture, pace_kg_per_week: float, waiting_kcal: float, unit: MassUnit
) -> tuple[str, ...]:
    """
    Say what a wait without a side costs, and what would end it.

    Parameters
    ----------
    reading : LogReading
    gap : Mixture
        [kcal/day]
    pace_kg_per_week : float
        As weight seems to go now. [kg/week]
    waiting_kcal : float
        How far off the plan is expected to be. [kcal/day]
    unit : {"kg", "lb"}

    Returns
    -------
    tuple of str
    """
    factor = KG_PER_UNIT[unit]
    a_week = 7.0 / reading.density_kcal_per_kg
    cost = (
        f"another week of waiting may put weight about {waiting_kcal * a_week / factor:.2f} "
        f"{unit} off its course"
    )
    turn = turning_point(gap)
    if turn is None:
        return (cost,)
    way, side = ("up", "low") if turn > 0 else ("down", "high")
    # The same eating with so much more spent: weight goes that much slower.
    more_spent = (turn - gap.mean) * (1.0 - reading.setup.body.thermic_fraction)
    pace = (pace_kg_per_week - more_spent * a_week) / factor
    return (
        cost,
        f"no surer than now, it would move {way} once the plan seemed {abs(turn):.0f} kcal a day "
        f"too {side}, which is weight going {pace:+.2f} {unit} a week on the same eating; it would "
        f"hold once the range lay within {rule.TOLERANCE_KCAL:.0f} kcal either way",
    )
