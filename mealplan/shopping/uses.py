"""
What a plan uses, food by food and cooking by cooking, for everyone who eats.

A kept portion is used on the day it is cooked. Nothing is rounded here.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from foods.composition.catalogue import KitchenFood
from foods.dishes.load import dishes_by_key
from foods.dishes.model import Dish
from mealplan.client.household import ShopOptions
from mealplan.client.intake import CupboardItem, Intake
from mealplan.kitchen.custom_foods import catalogue_of, dishes_of
from mealplan.kitchen.method import put_in_at_plate
from mealplan.market.forms import BoughtForm, as_bought, boiling_ahead_min
from mealplan.plan import EATEN, Meal, Plan

FUEL = "fuel"
"""Stands in place of a dish where food is taken around training."""
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
    home = {catalogue.food(item.food).bought_name for item in at_home_for(plan, intake)}
    tinned = _tinned(plan, intake, options, home)
    frozen = any(m.from_freezer or m.freeze_portions for day in plan.days for m in day.meals)
    known = dishes_by_key(dishes_of(plan, intake)) if frozen else {}
    fuel = tuple(
        Use(
            form=as_bought(catalogue.food(key), options, home=home),
            eaten_g=grams,  # the client alone trains
            day=day.date,
            eaten_on=day.date,
            dish=FUEL,
            dish_name="around training",
        )
        for day in plan.days
        for key, grams in day.fuel_g.items()
    )
    meals = tuple(
        Use(
            form=as_bought(
                catalogue.food(serving.food),
                options,
                time_to_boil=serving.food not in tinned,
                home=home,
            ),
            eaten_g=serving.grams * shares * _times(meal, serving.food, known),
            day=day.date if meal.from_freezer else meal.leftover_from or day.date,
            eaten_on=day.date,
            dish=meal.dish,
            dish_name=meal.name,
        )
        for day in plan.days
        for meal in day.meals
        if meal.dish != EATEN
        for serving in meal.servings
        if serving.food not in NOT_BOUGHT and _times(meal, serving.food, known)
    )
    return (*meals, *fuel)


def _times(meal: Meal, food: str, dishes: Mapping[str, Dish]) -> int:
    """Count the portions of a food that a meal buys: none of what was frozen with it before."""
    if not (meal.from_freezer or meal.freeze_portions) or meal.dish not in dishes:
        return 1
    at_plate = food in put_in_at_plate(dishes[meal.dish])
    if meal.from_freezer:
        return int(at_plate)
    return 1 if at_plate else 1 + meal.freeze_portions


def at_home_for(plan: Plan, intake: Intake) -> tuple[CupboardItem, ...]:
    """
    Say what was at home when a plan was made.

    Parameters
    ----------
    plan : Plan
    intake : Intake
        Whose cupboard counts where the plan does not follow another.

    Returns
    -------
    tuple of CupboardItem
    """
    return intake.kitchen.cupboard if plan.cupboard is None else plan.cupboard


def _tinned(
    plan: Plan, intake: Intake, options: ShopOptions, home: Collection[str]
) -> frozenset[str]:
    """
    Name the pulses of days without time to boil them; what is at home dried is boiled all the same.

    A pulse is bought in one form for all days, so that it is one thing on the list.
    """
    catalogue = catalogue_of(plan, intake)
    found: set[str] = set()
    for day in plan.days:
        limit = intake.kitchen.hands_on_min.get(day.weekday)
        if limit is None:
            continue
        cooked = {
            serving.food
            for meal in day.meals
            if meal.leftover_from is None and meal.dish != EATEN
            for serving in meal.servings
        }
        foods = (catalogue.food(key) for key in cooked)
        ahead = {food.key: boiling_ahead_min(food, options, home=home) for food in foods}
        if day.hands_on_min + sum(ahead.values()) > limit:
            found |= {
                key
                for key, minutes in ahead.items()
                if minutes and not _is_home(catalogue.food(key), options, home)
            }
    return frozenset(found)


def _is_home(food: KitchenFood, options: ShopOptions, home: Collection[str]) -> bool:
    return as_bought(food, options, home=home).food.bought_name in home


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
