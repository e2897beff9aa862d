"""What sits ill: pulses before a session and at bedtime, dried fruit by the handful."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from mealplan.client.day_times import sessions_on
from mealplan.client.fields import minute_of_day
from mealplan.client.intake import Intake
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.rules.rows.base import TIER_PRICE, Row, Scope, Slot

PULSES = frozenset({"beans", "canned beans", "chickpeas", "lentils and peas"})
WHOLE = frozenset({"dry beans & grains", "canned goods"})
"""Aisles of pulses that are eaten whole; flour, hummus and protein are no mouthful of beans."""
BOILED_PER_DRY = 2.5
"""Boiled weight of a dry pulse (the catalogue's yields, 2.2 to 2.7). [g/g]"""
SOON_MIN = 120
"""Minutes before a session in which a meal is still in the stomach (common practice). [min]"""
LATE_MIN = 20 * 60
"""From here on a meal is close to bedtime. [min of the day]"""
SOON_G, BLOATED_DAY_G, SPOON_G = 150.0, 100.0, 30.0
"""Pulses before a session, in a day of someone they bloat, and as good as none. [g, boiled]"""
HANDFUL_G, SMALL_HANDFUL_G = 50.0, 35.0
"""Dried fruit in a meal, and in one of someone whom pulses bloat. [g]"""
PER_G = TIER_PRICE["soft ceiling"] / 100
"""Price of a gram too much: a hundred grams are a soft ceiling passed by all of it."""


def bloated(intake: Intake) -> bool:
    """
    Say whether pulses bloat a client.

    Parameters
    ----------
    intake : Intake

    Returns
    -------
    bool
    """
    return intake.tastes.pulses_bloat or "irritable bowel" in intake.health


class Gut:
    """Pulses and dried fruit where they sit well and no more than does."""

    name: ClassVar[str] = "gut"

    def rows(self, scope: Scope) -> Iterator[Row]:
        """
        Yield what bounds a day's pulses and dried fruit.

        Parameters
        ----------
        scope : Scope
            The day's meals, foods and targets.
        """
        pulses, fruit = pulses_per_gram(scope.space), _dried_fruit(scope.space)
        tender = bloated(scope.intake)
        if tender:
            why = "pulses bloat you: a small amount once a day"
            yield _row("pulses:day", "Pulses", pulses, BLOATED_DAY_G, why, None)
        for slot in scope.slots:
            most, why = _most_pulses(slot, scope, tender=tender)
            if math.isfinite(most):
                yield _row(f"pulses@{slot.index}", "Pulses", pulses, most, why, slot)
            most, why = (SMALL_HANDFUL_G if tender else HANDFUL_G), "dried fruit by the handful"
            if tender and _at(slot, scope) >= LATE_MIN:
                most, why = 0.0, "no dried fruit before bed where pulses bloat"
            yield _row(f"dried fruit@{slot.index}", "Dried fruit", fruit, most, why, slot)


def pulses_per_gram(space: FoodSpace) -> NDArray[np.float64]:
    """
    Give the boiled pulses in a gram of each food.

    Parameters
    ----------
    space : FoodSpace

    Returns
    -------
    array (foods,)
        [g/g]
    """
    return np.array(
        [
            (BOILED_PER_DRY if food.state == "dry" else 1.0)
            if food.group in PULSES and food.role == "protein" and food.aisle in WHOLE
            else 0.0
            for food in space.foods
        ]
    )


def _dried_fruit(space: FoodSpace) -> NDArray[np.float64]:
    return np.array([float(food.group == "dried fruit") for food in space.foods])


def _at(slot: Slot, scope: Scope) -> int:
    return minute_of_day(scope.day.meal_times[slot.index] if scope.day.meal_times else slot.time)


def _most_pulses(slot: Slot, scope: Scope, *, tender: bool) -> tuple[float, str]:
    """Give the most boiled pulses of a meal [g], and why."""
    at = _at(slot, scope)
    sessions = sessions_on(scope.intake, scope.day.weekday)
    if any(0 < one.begins - at <= SOON_MIN for one in sessions):
        most = SPOON_G if tender else SOON_G
        return most, f"{slot.label} comes within two hours of training"
    last = slot.index == len(scope.slots) - 1
    if at >= LATE_MIN and last and (tender or slot.occasion == "small"):
        return SPOON_G, f"{slot.label} is close to bedtime"
    return math.inf, ""


def _row(
    name: str,
    label: str,
    per_gram: NDArray[np.float64],
    most: float,
    why: str,
    slot: Slot | None,
) -> Row:
    return Row(
        name=name,
        label=label if slot is None else f"{label} at {slot.label}",
        unit="g",
        per_gram=per_gram,
        low=-math.inf,
        high=most,
        price_low=0.0,
        price_high=PER_G,
        tier="soft ceiling",
        why=f"{why}: at most {most:.0f} g",
        slots=None if slot is None else (slot.index,),
    )
