"""What the meals about a session hold: little fibre and fat before, carbohydrate after."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import ClassVar

from mealplan.nutrition.fuel import KCAL_PER_G_CARBOHYDRATE
from mealplan.rules.rows.base import TIER_PRICE, Row, Scope, Slot
from mealplan.rules.rows.nutrients import INSET
from mealplan.targets.ranges import FuelItem, Tier

CARBOHYDRATE_SHARE = 0.45
"""Most of a meal's energy that fuel asks of it as carbohydrate (common practice)."""
PROTEIN_SHARE = 0.25
"""The same for protein. (common practice)"""
BEFORE = ":before"
"""Ends the names of rows that keep a meal light before a session."""
LIMITS = (
    ("fibre_g", "Fibre", "g", "fibre_high_g"),
    ("fat_g", "Fat", "g", "fat_high_g"),
    ("energy_kcal", "Energy", "kcal", "energy_high_kcal"),
)
"""Nutrient, its label, unit, and the field of the fuel that limits it before a session."""


class AroundTraining:
    """The limits printed for a meal before a session, and what the one after should bring."""

    name: ClassVar[str] = "around training"

    def rows(self, scope: Scope) -> Iterator[Row]:
        """
        Yield the rows of the meals before and after the day's sessions.

        Parameters
        ----------
        scope : Scope
            The day's meals, foods and targets.
        """
        for slot in scope.slots:
            items = [item for item in scope.day.fuel if item.meal == slot.index]
            yield from _light(slot, scope, [item for item in items if item.when == "before"])
            yield from _refuelled(slot, scope, [item for item in items if item.when == "after"])


def _light(slot: Slot, scope: Scope, items: list[FuelItem]) -> Iterator[Row]:
    for key, label, unit, named in LIMITS:
        limits = [most for item in items if (most := getattr(item, named)) is not None]
        if not limits:
            continue
        most = min(limits) * (1 - INSET)
        yield Row(
            name=f"{key}@{slot.index}{BEFORE}",
            label=f"{label} at {slot.label} before training",
            unit=unit,
            per_gram=scope.space.per_gram(key),
            low=-math.inf,
            high=most,
            price_low=0.0,
            price_high=TIER_PRICE["soft ceiling"] / most,
            tier="soft ceiling",
            why=f"{slot.label} comes shortly before training: at most {most:.0f} {unit}",
            slots=(slot.index,),
            base=scope.other_kcal.get(slot.index, 0.0) if key == "energy_kcal" else 0.0,
        )


def _refuelled(slot: Slot, scope: Scope, items: list[FuelItem]) -> Iterator[Row]:
    usual = slot.energy_share * scope.day.meal_kcal / KCAL_PER_G_CARBOHYDRATE
    wanted: tuple[tuple[str, str, Tier, float], ...] = (
        (
            "net_carbohydrate_g",
            "Carbohydrate",
            "fuel",
            min(
                max((item.meal_carbohydrate_g or 0.0 for item in items), default=0.0),
                CARBOHYDRATE_SHARE * usual,
            ),
        ),
        (
            "protein_g",
            "Protein",
            "comfort",
            min(max((item.protein_g or 0.0 for item in items), default=0.0), PROTEIN_SHARE * usual),
        ),
    )
    for key, label, tier, least in wanted:
        if least <= 0:
            continue
        yield Row(
            name=f"{key}@{slot.index}:after",
            label=f"{label} at {slot.label} after training",
            unit="g",
            per_gram=scope.space.per_gram(key),
            low=least,
            high=math.inf,
            price_low=TIER_PRICE[tier] / least,
            price_high=0.0,
            tier=tier,
            why=f"{slot.label} comes after training: about {least:.0f} g {label.lower()}",
            slots=(slot.index,),
        )
