"""Floors and ceilings on nutrients: everything a target range says, as rows."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import ClassVar

from mealplan.rules.rows.base import TIER_PRICE, Row, Scope
from mealplan.rules.weights import weight
from mealplan.targets.ranges import TargetRange

INSET = 0.002
"""Bounds are drawn in by this fraction, so that printed and re-added totals still meet them."""


BEFORE_BED = 0.5
"""Part of a main meal's protein that a small meal after dinner brings (common practice)."""


def _drawn_in(low: float, high: float, margin: float) -> tuple[float, float]:
    """Draw bounds in, and raise the floor by its margin as far as the ceiling leaves room."""
    floor, ceiling = low * (1 + INSET) + margin, high * (1 - INSET)
    if floor > ceiling:
        floor = ceiling = max(low, ceiling)
    return floor, ceiling


def _per(target: TargetRange) -> str:
    return "a day" if target.over == "day" else "a day as the mean of the week"


class DailyNutrients:
    """One row a target range, energy aside."""

    name: ClassVar[str] = "daily nutrients"

    def rows(self, scope: Scope) -> Iterator[Row]:
        """
        Yield the rows in the order of the targets.

        Parameters
        ----------
        scope : Scope
            The day's meals, foods and targets.
        """
        unknown = sum(scope.other_kcal.values()) / scope.day.energy_kcal
        for key, target in scope.day.ranges.items():
            if key == "energy_kcal":
                continue
            low = target.low if target.low is not None else -math.inf
            high = target.high if target.high is not None else math.inf
            if target.from_supplement_only:
                low = -math.inf
            if not (math.isfinite(low) or math.isfinite(high)):
                continue
            scale_low = low if math.isfinite(low) and low > 0 else 1.0
            scale_high = high if math.isfinite(high) and high > 0 else 1.0
            # Calcium's ceiling is on what is eaten, its floor on what can be absorbed.
            split = key == "calcium_mg" and math.isfinite(low) and math.isfinite(high)
            parts = (
                [(low, math.inf, True), (-math.inf, high, False)] if split else [(low, high, True)]
            )
            for part_low, part_high, counted in parts:
                source = target.low_source or target.high_source
                needed = scope.floors.get(key, part_low) if math.isfinite(part_low) else part_low
                floor, ceiling = _drawn_in(needed, part_high, scope.margins.get(key, 0.0))
                yield Row(
                    name=key if counted else f"{key}:ceiling",
                    label=target.label,
                    unit=target.unit,
                    per_gram=(
                        scope.space.toward(key, digestible=target.digestible)
                        if counted and math.isfinite(part_low)
                        else scope.space.per_gram(key)
                    ),
                    low=floor,
                    high=ceiling,
                    price_low=TIER_PRICE[target.low_tier] / scale_low,
                    price_high=TIER_PRICE[target.high_tier] / scale_high,
                    tier=target.low_tier if math.isfinite(part_low) else target.high_tier,
                    why=f"{target.sentence()} {_per(target)} ({source})",
                    base=target.supplied + unknown * target.usual,
                    weekly=target.over == "week" and math.isfinite(part_low),
                )


class Wishes:
    """Aims above a floor, such as zinc against phytate: wanted when they cost little."""

    name: ClassVar[str] = "wishes"

    def rows(self, scope: Scope) -> Iterator[Row]:
        """
        Yield one row a vitamin or mineral whose aim lies above its floor.

        Parameters
        ----------
        scope : Scope
            The day's meals, foods and targets.
        """
        unknown = sum(scope.other_kcal.values()) / scope.day.energy_kcal
        for key, target in scope.day.ranges.items():
            if target.low is None or target.aim is None or target.low_tier != "floor":
                continue
            if target.aim <= target.low * 1.01 or target.from_supplement_only:
                continue
            yield Row(
                name=f"{key}:aim",
                label=f"{target.label} aim",
                unit=target.unit,
                per_gram=scope.space.toward(key, digestible=target.digestible),
                low=target.aim,
                high=math.inf,
                price_low=weight("nutrient_aim") * TIER_PRICE["comfort"] / target.aim,
                price_high=0.0,
                tier="comfort",
                why=f"{target.label.lower()} aim {target.aim:,.4g} {target.unit}: {target.reason}",
                base=target.supplied + unknown * target.usual,
            )


class ProteinPerMeal:
    """Protein spread over the meals: a wish, because it must not break a small eater's day."""

    name: ClassVar[str] = "meal protein"

    def rows(self, scope: Scope) -> Iterator[Row]:
        """
        Yield one row a main meal or breakfast, and one for a small meal after the last of them.

        Parameters
        ----------
        scope : Scope
            The day's meals, foods and targets.
        """
        floor = scope.targets.protein_per_meal_g
        if floor <= 0:
            return
        dinner = max(s.index for s in scope.slots if s.occasion != "small")
        for slot in scope.slots:
            least = floor
            if slot.occasion == "small":
                if slot.index < dinner:
                    continue
                least = BEFORE_BED * floor
            yield Row(
                name=f"protein_g@{slot.index}",
                label=f"Protein at {slot.label}",
                unit="g",
                per_gram=scope.space.per_gram("protein_g"),
                low=least,
                high=math.inf,
                price_low=TIER_PRICE["comfort"] / floor,
                price_high=0.0,
                tier="comfort",
                why=f"about {least:.0f} g of protein at {slot.label} spreads the day's protein",
                slots=(slot.index,),
            )
