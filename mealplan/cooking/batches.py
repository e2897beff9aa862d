"""A pot is one dish of one day with every portion that comes out of it, now and later."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from foods.composition.catalogue import Catalogue, KitchenFood
from foods.dishes.model import Dish
from foods.dishes.treatments import boiled_ahead
from mealplan.client.household import ShopOptions
from mealplan.client.intake import Intake
from mealplan.errors import IntakeError
from mealplan.kitchen.boiling import boiling_of, cooks_from_dry
from mealplan.kitchen.custom_foods import catalogue_of
from mealplan.kitchen.food_safety import is_rice
from mealplan.kitchen.method import kept_place, made_fresh, put_in_at_plate
from mealplan.market.forms import BoughtForm
from mealplan.plan import EATEN, Meal, Plan, PlanDay, Serving
from mealplan.shopping.uses import uses_of

UNCOOKED = frozenset({"raw", "ready", "liquid", "roasted", "toasted", "dried", "ground", "hulled"})
"""States of what is added at the table rather than cooked in the pot."""


COUNTED_ROLES = frozenset({"starch", "protein", "vegetable", "fruit", "topping"})
"""Parts of a portion that can be measured out; oil and seasoning stay mixed in the pot."""


UNEVEN = 1.1
"""Portions that differ by more than this factor in a food have it measured out. [1]"""


class Pot:
    """One dish of one day with every portion that comes out of it."""

    def __init__(
        self,
        day: PlanDay,
        meal: Meal,
        kept: Sequence[tuple[PlanDay, Meal]],
        dish: Dish,
        catalogue: Catalogue,
    ) -> None:
        self.day = day
        self.meal = meal
        self.kept = kept
        self.dish = dish
        self.catalogue = catalogue

    def portions(self) -> list[tuple[dt.date, Meal]]:
        """List every portion with the day it is eaten, the first one first."""
        return [(self.day.date, self.meal), *((day.date, meal) for day, meal in self.kept)]

    def serve_fresh(self, serving: Serving, eaten_on: dt.date) -> bool:
        """
        Say whether it is rice that would be older than it keeps in the fridge.

        Parameters
        ----------
        serving : Serving
            The food on the plate.
        eaten_on : date
            Day the portion is eaten.
        """
        return made_fresh(self.dish, serving.food, (eaten_on - self.day.date).days)

    def place(self, days: int) -> Literal["fridge", "freezer", "cupboard"]:
        """
        Say where a portion is kept for so many days.

        Parameters
        ----------
        days : int
            How long it is kept. [days]
        """
        return kept_place(self.dish, days)

    def at_serving(self, serving: Serving, eaten_on: dt.date) -> bool:
        """
        Say whether it goes on the plate of a later portion on its own day.

        Parameters
        ----------
        serving : Serving
            The food on the plate.
        eaten_on : date
            Day the portion is eaten.
        """
        if eaten_on == self.day.date:
            return False
        if self.dish.steps:
            return serving.food in put_in_at_plate(self.dish)
        food = self.catalogue.food(serving.food)
        return serving.optional and food.state in UNCOOKED

    @property
    def to_freeze(self) -> int:
        """Portions that go into the freezer, beyond the plan."""
        return self.meal.freeze_portions

    def in_pot(self) -> dict[str, tuple[Serving, float]]:
        """Sum each food in the pot over the client's portions, in grams."""
        found: dict[str, tuple[Serving, float]] = {}
        for eaten_on, meal in self.portions():
            for serving in meal.servings:
                if self.serve_fresh(serving, eaten_on) or self.at_serving(serving, eaten_on):
                    continue
                before = found[serving.food][1] if serving.food in found else 0.0
                found[serving.food] = (serving, before + serving.grams)
        at_plate = put_in_at_plate(self.dish) if self.to_freeze else frozenset()
        for serving in self.meal.servings if self.to_freeze else ():
            if serving.food not in at_plate:
                more = self.to_freeze * serving.grams
                found[serving.food] = (serving, found[serving.food][1] + more)
        return found


def forms_of(
    plan: Plan, intake: Intake, options: ShopOptions
) -> dict[tuple[str, dt.date], BoughtForm]:
    """
    Give the form each food is bought in, by catalogue key and day of cooking.

    Parameters
    ----------
    plan : Plan
        Days as they were planned.
    intake : Intake
        The client's intake.
    options : ShopOptions
        How the household shops.
    """
    return {(use.form.planned.key, use.day): use.form for use in uses_of(plan, intake, options)}


def bought_dry(
    forms: Mapping[tuple[str, dt.date], BoughtForm],
) -> frozenset[tuple[str, dt.date]]:
    """
    Find what is bought dry or raw and has to be boiled or baked first.

    Parameters
    ----------
    forms : Mapping[tuple[str, date], BoughtForm]
        Form each food is bought in, by key and day of cooking.
    """
    return frozenset(
        place
        for place, form in forms.items()
        if boiling_of(form.planned) is not None and form.food.aisle != "canned goods"
    )


def pots_of(plan: Plan, dishes: Mapping[str, Dish]) -> list[Pot]:
    """
    Gather what is cooked, with the portions kept from it.

    Parameters
    ----------
    plan : Plan
    dishes : mapping of str to Dish
        The dishes the plan was made from, by key.

    Returns
    -------
    list of Pot
        In the order of the plan; what was eaten instead of a planned meal is not cooked.

    Raises
    ------
    IntakeError
        When a dish of the plan is not among them.
    """
    pots = []
    catalogue = catalogue_of(plan)
    for day in plan.days:
        begun: set[str] = set()
        for meal in day.meals:
            if meal.leftover_from is not None or meal.dish == EATEN or meal.dish in begun:
                continue
            begun.add(meal.dish)
            if meal.dish not in dishes:
                raise IntakeError(
                    f"dish {meal.dish!r} is in the plan but not among the dishes given, so how "
                    "long it keeps is not known: give the dishes the plan was made from"
                )
            # At a table others' plates are filled from it on the same day.
            kept = [
                (day, other)
                for other in day.meals
                if other.dish == meal.dish and other.leftover_from is None and other is not meal
            ]
            kept += [
                (later, other)
                for later in plan.days
                for other in later.meals
                if other.leftover_from == day.date and other.dish == meal.dish
            ]
            pots.append(Pot(day, meal, kept, dishes[meal.dish], catalogue))
    return pots


def pot_of(pots: Iterable[Pot], meal: Meal) -> Pot:
    """
    Find the pot a kept meal came from.

    Parameters
    ----------
    pots : Iterable[Pot]
        The week's pots.
    meal : Meal
        What is eaten of it then.
    """
    return next(
        pot for pot in pots if pot.day.date == meal.leftover_from and pot.meal.dish == meal.dish
    )


def frozen_pot(day: PlanDay, meal: Meal, dishes: Mapping[str, Dish], catalogue: Catalogue) -> Pot:
    """
    Stand in for the pot of an earlier plan that a portion in the freezer came from.

    Parameters
    ----------
    day : PlanDay
        On which it is eaten.
    meal : Meal
    dishes : mapping of str to Dish
        By key.
    catalogue : Catalogue
    """
    cooked = day.model_copy(update={"date": meal.leftover_from})
    return Pot(cooked, meal, (), dishes[meal.dish], catalogue)


def is_hot(pot: Pot) -> bool:
    """
    Say whether a kept portion is warmed again.

    Parameters
    ----------
    pot : Pot
        One dish of one day, with every portion that comes out of it.
    """
    if pot.dish.steps:
        return pot.dish.kept == "reheated"
    return bool({"hob", "oven", "grill", "microwave", "pressure cooker"} & set(pot.dish.equipment))


def always_fresh(pot: Pot, key: str) -> bool:
    """
    Say whether no box holds the food, because it is boiled fresh for each.

    Parameters
    ----------
    pot : Pot
        One dish of one day, with every portion that comes out of it.
    key : str
        Catalogue key of the food.
    """
    return is_rice(key) and all(
        pot.serve_fresh(serving, eaten_on)
        for eaten_on, meal in pot.portions()[1:]
        for serving in meal.servings
        if serving.food == key
    )


def cooked_in_dish(serving: Serving, pot: Pot) -> bool:
    """
    Say whether the method itself cooks the food from dry or raw.

    Parameters
    ----------
    serving : Serving
        The food on the plate.
    pot : Pot
        One dish of one day, with every portion that comes out of it.
    """
    food = pot.catalogue.food(serving.food)
    if pot.dish.steps:
        return boiled_ahead(food) is None
    row = boiling_of(food)
    if row is None or row.kind in ("pulse", "grain"):
        return cooks_from_dry(pot.dish, food)
    name = re.escape(serving.called)
    text = " ".join(pot.meal.method).lower()
    if row.kind == "vegetable":
        return not re.search(rf"\b(boiled|cooked|steamed|mashed|warm)\s+{name}\b", text)
    return "oven" in pot.dish.equipment and not re.search(rf"\bbaked {name}\b", text)


def _measured_out(serving: Serving, food: KitchenFood, pot: Pot) -> bool:
    """Say whether a portion of it can be told apart: an add-on, or what is served beside."""
    if food.role not in COUNTED_ROLES:
        return False
    boiled = boiling_of(food) is not None
    beside = boiled and food.role == "starch" and not cooked_in_dish(serving, pot)
    return serving.optional or beside or food.measure.partition(" ")[0] in ("pita", "tortilla")


def aside_of(pot: Pot) -> frozenset[str]:
    """
    Find the foods that are measured out because portions hold different shares of them.

    Parameters
    ----------
    pot : Pot
        One dish of one day, with every portion that comes out of it.
    """
    portions = pot.portions()
    uneven = set()
    for key, (serving, _) in pot.in_pot().items():
        amounts = [
            sum(
                other.grams
                for other in meal.servings
                if other.food == key
                and not pot.serve_fresh(other, eaten_on)
                and not pot.at_serving(other, eaten_on)
            )
            for eaten_on, meal in portions
        ]
        food = pot.catalogue.food(key)
        if max(amounts) > UNEVEN * min(amounts) and _measured_out(serving, food, pot):
            uneven.add(key)
    return frozenset(uneven)
