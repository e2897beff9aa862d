"""
What a plan uses, food by food and cooking by cooking, for everyone who eats.

A kept portion is used on the day it is cooked. Nothing is rounded here.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from mealplan.client.household import ShopOptions
from mealplan.client.intake import WEEKDAYS, Intake
from mealplan.kitchen.custom_foods import catalogue_of
from mealplan.market.forms import BOIL_HANDS_ON_MIN, BoughtForm, as_bought
from mealplan.plan import EATEN, Plan

NOT_BOUGHT = frozenset({"water"})
"""Catalogue keys that come from the tap."""


@dataclass(frozen=True)
class Use:
    """One food in one meal, in the form it is bought."""

    form: BoughtForm
    eaten_g: float
    """As eaten, by everyone together. [g]"""
    day: dt.date
    """Day it goes into the pot or onto the plate."""
    eaten_on: dt.date
    dish: str
    """Dish key."""
    dish_name: str

    @property
    def bought_g(self) -> float:
        """Weight as bought that the use takes, in grams."""
        return self.form.bought_g(self.eaten_g)


def uses_of(plan: Plan, intake: Intake, options: ShopOptions) -> tuple[Use, ...]:
    """
    List every use of every food; what was eaten instead of a planned meal is not bought.

    Parameters
    ----------
    plan : Plan
    intake : Intake
        People and the hands-on minutes of each weekday.
    options : ShopOptions

    Returns
    -------
    tuple of Use
        In the order of the plan.
    """
    catalogue = catalogue_of(plan, intake)
    shares = sum(eater.portion for eater in options.portions(intake.kitchen.people))
    hands_on = _hands_on_by_day(plan)
    found = []
    for day in plan.days:
        for meal in day.meals:
            if meal.dish == EATEN:
                continue
            cooked = meal.leftover_from or day.date
            limit = intake.kitchen.hands_on_min.get(WEEKDAYS[cooked.weekday()])
            spare = limit is None or hands_on.get(cooked, 0) + BOIL_HANDS_ON_MIN <= limit
            found += [
                Use(
                    form=as_bought(catalogue.food(serving.food), options, time_to_boil=spare),
                    eaten_g=serving.grams * shares,
                    day=cooked,
                    eaten_on=day.date,
                    dish=meal.dish,
                    dish_name=meal.name,
                )
                for serving in meal.servings
                if serving.food not in NOT_BOUGHT
            ]
    return tuple(found)


def _hands_on_by_day(plan: Plan) -> dict[dt.date, int]:
    return {day.date: day.hands_on_min for day in plan.days}


def by_bought_name(uses: Sequence[Use]) -> dict[str, list[Use]]:
    """
    Gather uses of what is one thing in the shop.

    Parameters
    ----------
    uses : sequence of Use

    Returns
    -------
    dict of str to list of Use
        By bought name, in order of first use.
    """
    gathered: dict[str, list[Use]] = {}
    for use in uses:
        gathered.setdefault(use.form.food.bought_name, []).append(use)
    return gathered
