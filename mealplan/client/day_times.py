"""When a client's meals are on a day: at their usual times, or moved off its sessions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from mealplan.client.fields import clock_text, minute_of_day
from mealplan.client.intake import Intake

USUAL: dict[int, tuple[tuple[str, str], ...]] = {
    3: (("breakfast", "07:30"), ("midday", "12:30"), ("evening", "19:00")),
    4: (("breakfast", "07:30"), ("midday", "12:30"), ("small", "16:00"), ("evening", "19:00")),
    5: (
        ("breakfast", "07:00"),
        ("small", "10:00"),
        ("midday", "12:30"),
        ("small", "16:00"),
        ("evening", "19:00"),
    ),
    6: (
        ("breakfast", "07:00"),
        ("small", "10:00"),
        ("midday", "12:30"),
        ("small", "16:00"),
        ("evening", "19:00"),
        ("small", "21:30"),
    ),
}
"""Meals a day to (occasion, time where the client gave none) (common practice)."""

PAUSE_MIN = 15
"""Between the end of a session and the meal after it, at least. [min]"""
AHEAD_MIN = 60
"""Between a meal whose own time falls into a session, and its beginning. [min]"""
FULL_MIN, SMALL_MIN = 180, 90
"""A full meal, and a small one, this long before a session sit well (common practice). [min]"""
LONG_MIN = 150
"""From this length on a session is eaten for beforehand, however early it is. [min]"""
EARLIEST_MIN, LONG_EARLIEST_MIN, BREAKFAST_MIN = 270, 300, 390
"""
No meal is moved to 04:30 or before, no breakfast before a long session ahead of 05:00, and none
before another ahead of 06:30 (common practice). [min after midnight]
"""
BREAKFAST_ROOM_MIN, LONG_ROOM_MIN = 150, 60
"""With less time before the session, long or not, breakfast comes after it. [min]"""
MIDDAY_MIN, LAST_MIDDAY_MIN = 660, 885
"""The midday meal moves no further than to 11:00 and 14:45. [min after midnight]"""
EVENING_MIN, LAST_EVENING_MIN = 1020, 1275
"""The evening meal comes after a session up to 21:15, else before it from 17:00 on."""
GAP_MIN, SMALL_GAP_MIN = 90, 60
"""Between a main meal, or a small one, and the meal before it where they are moved. [min]"""
DAY_MIN = 24 * 60


@dataclass(frozen=True)
class Engaged:
    """One stretch of a day in which nothing is cooked or eaten at table."""

    begins: int
    ends: float
    """Minutes after midnight. [min]"""
    breakfast: int | None = None
    """When breakfast is to be, before a race. [min after midnight]"""


def usual_times(intake: Intake) -> tuple[str, ...]:
    """Give the times of the day's meals where nothing moves them, HH:MM."""
    given = tuple(intake.kitchen.meal_times)
    return given or tuple(time for _, time in USUAL[intake.kitchen.meals])


def sessions_on(intake: Intake, weekday: str) -> tuple[Engaged, ...]:
    """
    Say when a weekday's sessions begin and end, where that is known.

    Parameters
    ----------
    intake : Intake
    weekday : str

    Returns
    -------
    tuple of Engaged
        In order.
    """
    found = [
        Engaged(begins, begins + session.minutes)
        for session in getattr(intake.activity, "sessions", ())
        if session.day == weekday and session.time is not None
        for begins in (minute_of_day(session.time),)
    ]
    return tuple(sorted(found, key=lambda one: one.begins))


def times_on(intake: Intake, busy: Sequence[Engaged]) -> tuple[str, ...]:
    """
    Say when a day's meals are.

    Times the client gave stay, unless they fall into a session or a race moves breakfast. Others
    are set about the sessions: a full meal three hours ahead or after, a small one an hour and a
    half ahead, breakfast after what begins early.

    Parameters
    ----------
    intake : Intake
    busy : sequence of Engaged
        The day's sessions and races, in order.

    Returns
    -------
    tuple of str
        HH:MM, one a meal, in the order of the meals.
    """
    times = [minute_of_day(time) for time in usual_times(intake)]
    occasions = [occasion for occasion, _ in USUAL[intake.kitchen.meals]]
    fixed = bool(intake.kitchen.meal_times)
    for one in busy:
        for place, occasion in enumerate(occasions):
            if occasion == "breakfast" and one.breakfast is not None:
                times[place] = min([one.breakfast, *times[place + 1 : place + 2]])
                continue
            if not fixed and _near(times[place], occasion, one):
                gap = SMALL_GAP_MIN if occasion == "small" else GAP_MIN
                for wanted in _about(occasion, one):
                    if _has_room(times, place, wanted, gap):
                        times[place] = wanted
                        break
            if one.begins <= times[place] < one.ends:
                for wanted in (_after(one), _before(one, AHEAD_MIN)):
                    if _has_room(times, place, wanted, 1):
                        times[place] = wanted
                        break
    return tuple(clock_text(minute) for minute in times)


def _near(at: int, occasion: str, one: Engaged) -> bool:
    """Say whether a meal lies too near a session to stay where it is."""
    ahead = SMALL_MIN if occasion == "small" else FULL_MIN
    return one.begins - ahead < at < one.ends + PAUSE_MIN


def _about(occasion: str, one: Engaged) -> tuple[int, ...]:
    """Give the times about a session that suit a meal, best first."""
    after = _after(one)
    if occasion == "small":
        return (_before(one, SMALL_MIN), after)
    before = _before(one, FULL_MIN)
    if occasion == "breakfast":
        long = one.ends - one.begins >= LONG_MIN
        before = max(before, LONG_EARLIEST_MIN if long else BREAKFAST_MIN)
        room = LONG_ROOM_MIN if long else BREAKFAST_ROOM_MIN
        return (before, after) if one.begins - before >= room else (after,)
    first, last = (
        (MIDDAY_MIN, LAST_MIDDAY_MIN) if occasion == "midday" else (EVENING_MIN, LAST_EVENING_MIN)
    )
    before = max(before, first)
    ahead = (before,) if one.begins - before >= SMALL_MIN else ()
    return (after, *ahead) if after <= last else (*ahead, after)


def _after(one: Engaged) -> int:
    return 5 * math.ceil((one.ends + PAUSE_MIN) / 5)


def _before(one: Engaged, ahead: int) -> int:
    return 5 * math.floor((one.begins - ahead) / 5)


def _has_room(times: Sequence[int], place: int, wanted: int, gap: int) -> bool:
    """Say whether a meal at this time stays between the meals around it."""
    first = times[place - 1] + gap if place else EARLIEST_MIN + 1
    last = times[place + 1] - min(gap, SMALL_GAP_MIN) if place + 1 < len(times) else DAY_MIN - 1
    return first <= wanted <= last
