"""The meals of a client's day: which, when, and how the energy usually spreads over them."""

from __future__ import annotations

from mealplan.client.intake import Intake
from mealplan.rules.rows.base import Slot

_DAYS: dict[int, tuple[tuple[str, str, str, float], ...]] = {
    3: (
        ("breakfast", "Breakfast", "07:30", 0.28),
        ("midday", "Midday meal", "12:30", 0.36),
        ("evening", "Evening meal", "19:00", 0.36),
    ),
    4: (
        ("breakfast", "Breakfast", "07:30", 0.25),
        ("midday", "Midday meal", "12:30", 0.31),
        ("small", "Afternoon small meal", "16:00", 0.13),
        ("evening", "Evening meal", "19:00", 0.31),
    ),
    5: (
        ("breakfast", "Breakfast", "07:00", 0.23),
        ("small", "Morning small meal", "10:00", 0.11),
        ("midday", "Midday meal", "12:30", 0.28),
        ("small", "Afternoon small meal", "16:00", 0.11),
        ("evening", "Evening meal", "19:00", 0.27),
    ),
    6: (
        ("breakfast", "Breakfast", "07:00", 0.21),
        ("small", "Morning small meal", "10:00", 0.11),
        ("midday", "Midday meal", "12:30", 0.25),
        ("small", "Afternoon small meal", "16:00", 0.10),
        ("evening", "Evening meal", "19:00", 0.24),
        ("small", "Late small meal", "21:30", 0.09),
    ),
}
"""Meals a day to (occasion, label, usual time, share of energy); shares are common practice."""


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
    layout = _DAYS[intake.kitchen.meals]
    times = intake.kitchen.meal_times or tuple(time for _, _, time, _ in layout)
    return tuple(
        Slot(index=index, occasion=occasion, label=label, time=time, energy_share=share)
        for index, ((occasion, label, _, share), time) in enumerate(zip(layout, times, strict=True))
    )
