"""
What to cook when: the week as a cook works it, batch by batch, with boxes and soaking.

The plan says what is eaten; this module says what is put on the hob. Portions eaten later are
cooked with the first, beans bought dry are soaked the evening before and boiled once for all that
need them, rice is boiled fresh for a portion that would be too old, and every amount is for the
whole batch.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from foods.dishes.load import dishes_by_key
from foods.dishes.model import Dish
from mealplan.client.household import Eater, ShopOptions
from mealplan.client.intake import Intake
from mealplan.cooking.amounts import measuring_error_kcal, scaled_method
from mealplan.cooking.batches import Pot, bought_dry, forms_of, frozen_pot, pot_of, pots_of
from mealplan.cooking.boils import boils_of
from mealplan.cooking.day import cook_day, evening_work
from mealplan.cooking.models import (
    Amount,
    BatchPlan,
    Boil,
    Box,
    Caution,
    CookDay,
    Cooking,
    Kept,
    Pack,
    SetAside,
    Step,
)
from mealplan.cooking.portions import cooking_of, kept_of, whose
from mealplan.cooking.words import cautions
from mealplan.cooking.writing import batch_text
from mealplan.kitchen.custom_foods import catalogue_of, dishes_of
from mealplan.kitchen.food_safety import advice_for
from mealplan.kitchen.measures import Units
from mealplan.plan import Plan, PlanDay


def batch_plan(
    plan: Plan,
    intake: Intake,
    options: ShopOptions | None = None,
    dishes: Sequence[Dish] | None = None,
) -> BatchPlan:
    """
    Work out what to cook on each day.

    Parameters
    ----------
    plan : Plan
    intake : Intake
        People, units and the household's forms.
    options : ShopOptions, optional
        The intake's own when left out.
    dishes : sequence of Dish, optional
        The dishes the plan was made from; those that ship and the plan's own when left out.

    Returns
    -------
    BatchPlan
    """
    options = options or intake.kitchen.shop
    eaters = options.portions(intake.kitchen.people)
    units: Units = intake.kitchen.units
    forms = forms_of(plan, intake, options)
    dry = bought_dry(forms)
    offered = dishes if dishes is not None else dishes_of(plan, intake)
    known = dishes_by_key(offered)
    catalogue = catalogue_of(plan, intake)
    pots = pots_of(plan, known)
    stored = [
        frozen_pot(day, meal, known, catalogue)
        for day in plan.days
        for meal in day.meals
        if meal.from_freezer
    ]
    freezer = intake.kitchen.living.freezer
    boils = boils_of(pots, eaters, units, dry, intake.kitchen.pressure_cooker, freezer=freezer)
    days = []
    seen: set[str] = set()
    for day in plan.days:
        todays = [pot for pot in pots if pot.day.date == day.date]
        cookings = tuple(cooking_of(pot, eaters, intake.kitchen, forms, seen) for pot in todays)
        own = tuple(boil for boil in boils if boil.day == day.date)
        kept = _kept_on(day, (*pots, *stored), eaters, units, seen)
        days.append(cook_day(plan, day, own, cookings, kept, units))
    evening = evening_work(plan, days, boils, pots)
    several = len(eaters) > 1 or any(meal.eater for day in plan.days for meal in day.meals)
    shared = bool(intake.tastes.allergies) and several
    return BatchPlan(
        start=plan.start,
        evening_before=evening.get(plan.start - dt.timedelta(days=1), ()),
        days=tuple(day.model_copy(update={"tonight": evening.get(day.date, ())}) for day in days),
        cautions=cautions(advice_for((), "allergy")) if shared else (),
    )


def _kept_on(
    day: PlanDay, pots: Sequence[Pot], eaters: Sequence[Eater], units: Units, seen: set[str]
) -> tuple[Kept, ...]:
    """Say how the day's boxes are eaten; those of one pot for one meal are warmed together."""
    found: dict[tuple[str, dt.date, str], Kept] = {}
    for meal in day.meals:
        if meal.leftover_from is None:
            continue
        one = kept_of(meal, pot_of(pots, meal), day.date, whose(meal, eaters), units, seen)
        if meal.eater:
            one = one.model_copy(update={"add": tuple(f"{meal.eater}: {x}" for x in one.add)})
        place = (meal.dish, meal.leftover_from, meal.label)
        if place in found:
            first = found[place]
            one = first.model_copy(update={"add": (*first.add, *one.add)})
        found[place] = one
    return tuple(found.values())


__all__ = [
    "Amount",
    "BatchPlan",
    "Boil",
    "Box",
    "Caution",
    "CookDay",
    "Cooking",
    "Kept",
    "Pack",
    "SetAside",
    "Step",
    "batch_plan",
    "batch_text",
    "measuring_error_kcal",
    "scaled_method",
]
