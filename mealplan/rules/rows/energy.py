"""The day's energy, and how it spreads over the meals."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from mealplan.rules.rows.base import TIER_PRICE, Row, Scope
from mealplan.rules.weights import weight

DAY_BAND = 0.015
"""Planned band each side of the day's energy; the promise to the reader is 2 %."""

MEAL_BAND = 0.3
"""How far a meal may stray from its usual share before it is priced."""


class DailyEnergy:
    """Energy of the day within its band; table kilocalories, nutrient 208."""

    name: ClassVar[str] = "energy"

    def rows(self, scope: Scope) -> Iterator[Row]:
        """
        Yield the band, and a mild pull to its middle.

        Parameters
        ----------
        scope : Scope
            The day's meals, foods and targets.
        """
        energy = scope.day.meal_kcal
        price = TIER_PRICE["energy"] / energy
        other = sum(scope.other_kcal.values())
        yield Row(
            name="energy_kcal",
            label="Energy",
            unit="kcal",
            per_gram=scope.space.per_gram("energy_kcal"),
            low=energy * (1 - DAY_BAND),
            high=energy * (1 + DAY_BAND),
            price_low=price,
            price_high=price,
            tier="energy",
            why=f"energy should stay within 2 % of {energy:,.0f} kcal",
            base=other,
        )
        yield Row(
            name="energy_kcal:aim",
            label="Energy aim",
            unit="kcal",
            per_gram=scope.space.per_gram("energy_kcal"),
            low=energy,
            high=energy,
            price_low=weight("energy_aim") * TIER_PRICE["comfort"] / energy,
            price_high=weight("energy_aim") * TIER_PRICE["comfort"] / energy,
            tier="comfort",
            why=f"within the band, nearer {energy:,.0f} kcal is better",
            base=other,
        )


class MealEnergy:
    """Each meal carries roughly its usual share of the day."""

    name: ClassVar[str] = "meal energy"

    def rows(self, scope: Scope) -> Iterator[Row]:
        """
        Yield one row a meal.

        Parameters
        ----------
        scope : Scope
            The day's meals, foods and targets.
        """
        for slot in scope.slots:
            usual = slot.energy_share * scope.day.meal_kcal
            price = weight("meal_share") * TIER_PRICE["comfort"] / usual
            yield Row(
                name=f"energy_kcal@{slot.index}",
                label=f"Energy at {slot.label}",
                unit="kcal",
                per_gram=scope.space.per_gram("energy_kcal"),
                low=usual * (1 - MEAL_BAND),
                high=usual * (1 + MEAL_BAND),
                price_low=price,
                price_high=price,
                tier="comfort",
                why=(
                    f"{slot.label} usually carries about {slot.energy_share:.0%} of the day's"
                    " energy"
                ),
                slots=(slot.index,),
                base=scope.other_kcal.get(slot.index, 0.0),
            )
