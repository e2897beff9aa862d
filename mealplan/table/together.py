"""The plates of everyone at a table side by side: what is cooked and bought once, for all."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence

from foods.dishes.load import dishes_by_key
from foods.dishes.minutes import Hob
from foods.dishes.model import Dish
from mealplan.client.intake import Intake
from mealplan.kitchen.avoided import label_words
from mealplan.kitchen.custom_foods import catalogue_of, dishes_of
from mealplan.kitchen.measures import amount_phrase, in_measures
from mealplan.kitchen.method import minutes_for
from mealplan.plan import EATEN, Meal, Plan, PlanDay, Serving
from mealplan.table.model import Guest, TableDecided

Cooked = tuple[str, dt.date]
"""A dish and the day it goes into the pot."""


def side_by_side(
    decided: TableDecided, plans: Sequence[Plan], intake: Intake, *, whole: bool
) -> Plan:
    """
    Put what a table eats into one plan, for its list and its cooking order.

    Parameters
    ----------
    decided : TableDecided
    plans : sequence of Plan
        One an eater, the first one's kitchen first.
    intake : Intake
        Of the kitchen, from :func:`kitchen_of`.
    whole : bool
        True adds everything each eats alone; False keeps to the shared pots, so that nothing is
        said of anyone beyond the plates served from them.

    Returns
    -------
    Plan
        Each meal says whose plate it is; hands are counted once a pot. It holds no one's targets
        and is no one's menu.
    """
    pots = _pots(decided, plans)
    days = []
    for place, first in enumerate(plans[0].days):
        meals: list[Meal] = []
        for plan in plans:
            day = plan.days[place]
            meals += [
                _of(meal, plan.role, decided, day.date, whole=whole)
                for meal in day.meals
                if meal.dish != EATEN and (whole or _cooked(meal, day.date) in pots)
            ]
        meals += _guests_plates(decided, first.date, meals, intake)
        own = [plan.days[place] for plan in plans] if whole else []
        days.append(_day(first, meals, own))
    joined = Plan(
        role="table",
        start=plans[0].start,
        seed=0,
        days=tuple(days),
        supplements=(),
        notices=(),
        own_foods=tuple({food.key: food for plan in plans for food in plan.own_foods}.values()),
        own_dishes=tuple({dish.key: dish for plan in plans for dish in plan.own_dishes}.values()),
    )
    return _hands_once(
        _cooked_here(joined), dishes_by_key(dishes_of(joined, intake)), intake.kitchen.hob
    )


def kitchen_of(decided: TableDecided, intakes: Sequence[Intake]) -> Intake:
    """
    Give the intake a table cooks and shops by: the first one's kitchen, everybody's allergens.

    Parameters
    ----------
    decided : TableDecided
    intakes : sequence of Intake
        As they were planned, the first one's kitchen first.

    Returns
    -------
    Intake
        Labels are read for what anyone at the table avoids.
    """
    words = {
        word for intake in intakes for word in (*intake.tastes.allergies, *label_words(intake))
    }
    words |= {word for guest in decided.guests for word in guest.allergies}
    host = intakes[0]
    tastes = host.tastes.model_copy(update={"allergies": tuple(sorted(words))})
    return host.model_copy(update={"tastes": tastes})


def _cooked(meal: Meal, date: dt.date) -> Cooked:
    return meal.dish, meal.leftover_from or date


def _pots(decided: TableDecided, plans: Sequence[Plan]) -> frozenset[Cooked]:
    """Find the pots that shared meals come out of."""
    return frozenset(
        _cooked(meal, day.date)
        for plan in plans
        for day in plan.days
        for meal in day.meals
        if _is_shared(decided, meal, day.date)
    )


def _is_shared(decided: TableDecided, meal: Meal, date: dt.date) -> bool:
    found = decided.at(date, meal.occasion)
    return found is not None and found.dish == meal.dish


def _of(meal: Meal, role: str, decided: TableDecided, date: dt.date, *, whole: bool) -> Meal:
    """Mark whose plate it is; what is shared is served to all at once."""
    found = decided.at(date, meal.occasion)
    if found is not None and found.dish == meal.dish:
        return meal.model_copy(update={"eater": role, "time": found.serve})
    label = f"{meal.label} ({role})" if whole else meal.label
    return meal.model_copy(update={"eater": role, "label": label})


def _guests_plates(
    decided: TableDecided, date: dt.date, meals: Iterable[Meal], intake: Intake
) -> list[Meal]:
    """Fill a plate for each who eats along: their share of the mean of the others'."""
    served = [meal for meal in meals if _is_shared(decided, meal, date)]
    plates = []
    for dish in dict.fromkeys(meal.dish for meal in served):
        filled = [meal for meal in served if meal.dish == dish]
        plates += [_plate_for(guest, filled, intake) for guest in decided.guests]
    return plates


def _plate_for(guest: Guest, filled: Sequence[Meal], intake: Intake) -> Meal:
    catalogue = catalogue_of(intake)
    usual: dict[str, tuple[Serving, float]] = {}
    for meal in filled:
        for serving in meal.servings:
            before = usual[serving.food][1] if serving.food in usual else 0.0
            usual[serving.food] = (serving, before + serving.grams)
    servings = []
    for key, (serving, total) in usual.items():
        grams = round(total * guest.portion / len(filled), 3)
        food, units = catalogue.food(key), intake.kitchen.units
        servings.append(
            serving.model_copy(
                update={
                    "grams": grams,
                    "measure": in_measures(food, grams, units),
                    "phrase": amount_phrase(food, grams, serving.called, units),
                    "energy_kcal": serving.energy_kcal * grams / serving.grams,
                }
            )
        )
    part = guest.portion / len(filled)
    return filled[0].model_copy(
        update={
            "eater": guest.label,
            "servings": tuple(servings),
            "energy_kcal": part * sum(meal.energy_kcal for meal in filled),
            "protein_g": part * sum(meal.protein_g for meal in filled),
            "leucine_g": part * sum(meal.leucine_g for meal in filled),
        }
    )


def _day(first: PlanDay, meals: Sequence[Meal], own: Sequence[PlanDay]) -> PlanDay:
    """Put a day's plates together; nothing about targets comes along."""
    fuel: dict[str, float] = {}
    for day in own:
        for key, grams in day.fuel_g.items():
            fuel[key] = fuel.get(key, 0.0) + grams
    return PlanDay(
        date=first.date,
        weekday=first.weekday,
        meals=tuple(sorted(meals, key=lambda meal: meal.time)),
        energy_kcal=sum(meal.energy_kcal for meal in meals),
        energy_target_kcal=0.0,
        adequacy=(),
        objective=0.0,
        bound=0.0,
        hands_on_min=0,
        fuel_g=fuel,
        packs=tuple(pack for day in own for pack in day.packs),
    )


def _cooked_here(plan: Plan) -> Plan:
    """Leave out boxes of pots that are not among these days."""
    fresh = {
        _cooked(meal, day.date)
        for day in plan.days
        for meal in day.meals
        if meal.leftover_from is None
    }
    days = (
        day.model_copy(
            update={"meals": tuple(m for m in day.meals if _cooked(m, day.date) in fresh)}
        )
        for day in plan.days
    )
    return plan.model_copy(update={"days": tuple(days)})


def _hands_once(plan: Plan, dishes: Mapping[str, Dish], hob: Hob) -> Plan:
    """Count each pot's work once, for every plate and box that comes out of it."""
    plates: dict[Cooked, list[Meal]] = {}
    for day in plan.days:
        for meal in day.meals:
            plates.setdefault(_cooked(meal, day.date), []).append(meal)
    seen: set[tuple[Cooked, dt.date]] = set()
    days = []
    for day in plan.days:
        meals = []
        for meal in day.meals:
            pot = _cooked(meal, day.date)
            hands, total = 0, meal.total_min
            if (pot, day.date) not in seen:
                hands = meal.hands_on_min
                if meal.leftover_from is None:
                    used = {one.food for plate in plates[pot] for one in plate.servings}
                    minutes = minutes_for(dishes[meal.dish], used, len(plates[pot]), hob)
                    hands, total = minutes.hands, minutes.total
            seen.add((pot, day.date))
            meals.append(meal.model_copy(update={"hands_on_min": hands, "total_min": total}))
        days.append(
            day.model_copy(
                update={
                    "meals": tuple(meals),
                    "hands_on_min": sum(meal.hands_on_min for meal in meals),
                }
            )
        )
    return plan.model_copy(update={"days": tuple(days)})
