"""The meals of a client's day: which, when, and how the energy usually spreads over them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from mealplan.client.day_times import USUAL, usual_times
from mealplan.client.intake import Intake
from mealplan.rules.rows.base import Slot
from mealplan.targets.ranges import DayTargets

AFTER_WEIGHT = 2.0
"""Part of what a light meal leaves that the meal after training takes, beside one of another."""
MOST_TIMES = 1.6
"""A meal grows to this many times its usual share where another is light (common practice)."""

_DAYS: dict[int, tuple[tuple[str, float], ...]] = {
    3: (
        ("Breakfast", 0.28),
        ("Midday meal", 0.36),
        ("Evening meal", 0.36),
    ),
    4: (
        ("Breakfast", 0.25),
        ("Midday meal", 0.31),
        ("Afternoon small meal", 0.13),
        ("Evening meal", 0.31),
    ),
    5: (
        ("Breakfast", 0.23),
        ("Morning small meal", 0.11),
        ("Midday meal", 0.28),
        ("Afternoon small meal", 0.11),
        ("Evening meal", 0.27),
    ),
    6: (
        ("Breakfast", 0.21),
        ("Morning small meal", 0.11),
        ("Midday meal", 0.25),
        ("Afternoon small meal", 0.10),
        ("Evening meal", 0.24),
        ("Late small meal", 0.09),
    ),
}
"""Meals a day to (label, share of energy) of each meal; shares are common practice."""


def slots_for(intake: Intake) -> tuple[Slot, ...]:
    """
    Lay out the day's meals.

    Parameters
    ----------
    intake : Intake
        Number of meals, and their times if the client gave them.

    Returns
    -------
    tuple of Slot
        In clock order of the layout; energy shares sum to 1.
    """
    meals = intake.kitchen.meals
    return tuple(
        Slot(index=index, occasion=occasion, label=label, time=time, energy_share=share)
        for index, ((label, share), (occasion, _), time) in enumerate(
            zip(_DAYS[meals], USUAL[meals], usual_times(intake), strict=True)
        )
    )


def slots_on(slots: Sequence[Slot], asked: DayTargets) -> tuple[Slot, ...]:
    """
    Lay out the meals of one day: light shortly before training, the energy going to the others.

    Parameters
    ----------
    slots : sequence of Slot
        The usual day's.
    asked : DayTargets
        With the fuel of the day's sessions.

    Returns
    -------
    tuple of Slot
        Energy shares sum to what they did.
    """
    most: dict[int, float] = {}
    for item in asked.fuel:
        if item.meal is not None and item.energy_high_kcal is not None:
            share = item.energy_high_kcal / asked.meal_kcal
            most[item.meal] = min(share, most.get(item.meal, share))
    light = {s.index: most[s.index] for s in slots if most.get(s.index, 1.0) < s.energy_share}
    if not light or len(light) == len(slots):
        return tuple(slots)
    after = {item.meal for item in asked.fuel if item.when == "after"}
    freed = sum(slots[place].energy_share - share for place, share in light.items())
    others = {
        s.index: s.energy_share * (AFTER_WEIGHT if s.index in after else 1.0)
        for s in slots
        if s.index not in light
    }
    room = {
        place: min(
            (MOST_TIMES - 1) * slots[place].energy_share,
            most.get(place, 1.0) - slots[place].energy_share,
        )
        for place in others
    }
    given = {
        place: min(room[place], freed * part / sum(others.values()))
        for place, part in others.items()
    }
    # What found no room goes where there is any, in proportion to the usual shares.
    left = freed - sum(given.values())
    usual = sum(slots[place].energy_share for place in others)
    return tuple(
        replace(
            s,
            energy_share=light[s.index]
            if s.index in light
            else s.energy_share + given[s.index] + left * s.energy_share / usual,
        )
        for s in slots
    )
