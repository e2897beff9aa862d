"""A solved day written out as a plan's day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from foods.composition.catalogue import Catalogue
from foods.dishes.minutes import Minutes
from foods.dishes.model import Dish
from foods.dishes.render import Told
from mealplan.client.intake import Kitchen
from mealplan.kitchen.boiling import pulses_to_boil
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.kitchen.measures import amount_phrase, in_measures
from mealplan.kitchen.method import (
    UNPROVEN,
    how_kept,
    made_fresh,
    minutes_for,
    minutes_kept,
    put_in_at_plate,
    told,
)
from mealplan.menu.adequacy import day_adequacy, day_protein_quality
from mealplan.menu.before_training import over_before, said_over
from mealplan.menu.context import Context
from mealplan.menu.freezer import IN_FREEZER_DAYS
from mealplan.menu.fuel_foods import fuel_foods
from mealplan.menu.served import Served, Solved
from mealplan.plan import Meal, PlanDay, Serving
from mealplan.rules import Slot
from mealplan.targets.ranges import DayTargets


def plan_day(
    context: Context,
    index: int,
    date: dt.date,
    targets: DayTargets,
    history: Mapping[int, Sequence[Served]],
    solved: Solved,
    freeze: Mapping[int, int],
) -> PlanDay:
    """
    Write a solved day out as a plan's day.

    Parameters
    ----------
    context : Context
    index : int
        Of the day in the plan.
    date : date
    targets : DayTargets
    history : mapping of int to sequence of Served
        All days, for kept portions.
    solved : Solved
    freeze : mapping of int to int
        Portions of a pot that go into the freezer, by meal.

    Returns
    -------
    PlanDay
    """
    space = context.space
    meals = tuple(
        _meal(context, slot, served, index, date, targets, history, freeze.get(slot.index, 0))
        for slot, served in zip(context.slots, solved.served, strict=True)
    )
    meals = tuple(
        meal.model_copy(update={"over_before": over_before(meal, targets, space)}) for meal in meals
    )
    eaten: dict[str, float] = {}
    for served in solved.served:
        for key, grams in served.grams.items():
            eaten[key] = eaten.get(key, 0.0) + grams
    other = sum(served.other_kcal for served in solved.served)
    energy = space.per_gram("energy_kcal")
    total = other + sum(float(energy[space.index[key]]) * g for key, g in eaten.items())
    fuel = fuel_foods(
        targets.fuel,
        space,
        context.allowed,
        context.intake.kitchen.units,
        context.exclusions.disliked,
    )
    return PlanDay(
        date=date,
        weekday=targets.weekday,
        meals=meals,
        energy_kcal=round(total, 1),
        energy_target_kcal=targets.meal_kcal,
        adequacy=day_adequacy(targets, eaten, space, other_kcal=other),
        objective=round(solved.objective, 4),
        bound=round(solved.bound, 4),
        hands_on_min=sum(meal.hands_on_min for meal in meals),
        around_sessions=(*fuel.told, *(said for meal in meals for said in said_over(meal))),
        fuel_g=fuel.grams,
        packs=fuel.packs,
        training_kcal=round(targets.energy_kcal - targets.meal_kcal, 1),
        protein_quality=day_protein_quality(
            eaten,
            context.intake.nutrition.amino_acid_pattern,
            context.intake.age_years,
            space.catalogue,
        ),
    )


def _meal(
    context: Context,
    slot: Slot,
    served: Served,
    index: int,
    date: dt.date,
    targets: DayTargets,
    history: Mapping[int, Sequence[Served]],
    frozen: int,
) -> Meal:
    space, kitchen = context.space, context.intake.kitchen
    dish = context.by_key.get(served.dish)
    weights = np.zeros(len(space))
    for key, grams in served.grams.items():
        weights[space.index[key]] = grams
    kept = served.kept_from
    fresh = dish is not None and kept is None
    boxes = [
        (day - index, meal)
        for day, meals in history.items()
        for meal in meals
        if meal.dish == served.dish and meal.kept_from == index
    ] + [(IN_FREEZER_DAYS, served)] * frozen
    cooked = _cooked(context, dish, served, boxes, None if kept is None else index - kept)
    return Meal(
        slot=slot.index,
        occasion=slot.occasion,
        label=slot.label,
        time=context.clock.time_on(slot, targets),
        dish=served.dish,
        name=dish.name if dish is not None else served.name,
        servings=_servings(space, dish, served, kitchen.units),
        method=cooked.words,
        hands_on_min=cooked.minutes.hands,
        total_min=cooked.minutes.total,
        leftover_from=None if kept is None else date - dt.timedelta(days=index - kept),
        eaten_out=served.out,
        from_freezer=served.frozen,
        freeze_portions=frozen,
        cook_portions=1 + len(boxes) if fresh else 0,
        soak_night_before=fresh and cooked.evening,
        cautions=cooked.cautions,
        energy_kcal=round(float(weights @ space.per_gram("energy_kcal")) + served.other_kcal, 1),
        eaten_sd_kcal=round(served.sd_kcal, 1),
        protein_g=round(float(weights @ space.per_gram("protein_g")), 1),
        leucine_g=round(float(weights @ space.per_gram("leucine_g")), 2),
    )


@dataclass(frozen=True)
class _Cooked:
    """What making a meal takes."""

    words: tuple[str, ...]
    minutes: Minutes
    evening: bool
    cautions: tuple[str, ...]


def _cooked(
    context: Context,
    dish: Dish | None,
    served: Served,
    boxes: Sequence[tuple[int, Served]],
    days: int | None,
) -> _Cooked:
    """Say what making a meal takes, with the boxes cooked beside it or after days in a box."""
    if dish is None:
        return _Cooked((), Minutes(0, 0, 0), evening=False, cautions=())
    kitchen, catalogue = context.intake.kitchen, context.space.catalogue
    cautions = (*(() if dish.proven else (UNPROVEN,)), *dish.cautions)
    if days is not None:
        words = _kept_words(dish, served, days)
        minutes = minutes_kept(dish, served.grams, days)
        return _Cooked(words, minutes, evening=False, cautions=cautions)
    written = _told(dish, served, boxes, kitchen, catalogue)
    used = set(served.grams).union(*(meal.grams for _, meal in boxes))
    return _Cooked(
        written.all,
        minutes_for(dish, used, 1 + len(boxes), kitchen.hob),
        _overnight(dish, written),
        (*pulses_to_boil(dish, used, catalogue, kitchen.pressure_cooker), *cautions),
    )


def _told(
    dish: Dish,
    served: Served,
    boxes: Sequence[tuple[int, Served]],
    kitchen: Kitchen,
    catalogue: Catalogue,
) -> Told:
    """Tell a dish for all that is cooked with this portion."""
    pot = dict(served.grams)
    at_plate = put_in_at_plate(dish) if dish.steps else frozenset()
    for days, meal in boxes:
        for food, grams in meal.grams.items():
            if food not in at_plate and not made_fresh(dish, food, days):
                pot[food] = pot.get(food, 0.0) + grams
    kettle = kitchen.hob.kettle
    return told(dish, pot, 1 + len(boxes), kitchen.units, catalogue, kettle=kettle)


def _kept_words(dish: Dish, served: Served, days: int) -> tuple[str, ...]:
    """Tell how a kept portion is eaten; rice that would be too old is boiled fresh."""
    if not dish.steps:
        return dish.sentences(served.grams)
    fresh = {food for food in served.grams if made_fresh(dish, food, days)}
    called = [line.called for line in dish.lines if line.food in fresh]
    first = (f"Boil fresh {called[0]} for it.",) if called else ()
    return (*first, how_kept(dish, served.grams))


def _overnight(dish: Dish, written: Told) -> bool:
    """Say whether something is begun the evening before."""
    return bool(written.evening) if dish.steps else dish.soak_night_before


def _servings(
    space: FoodSpace, dish: Dish | None, served: Served, units: Literal["metric", "us"]
) -> tuple[Serving, ...]:
    lines = (
        [(line.food, line.called, line.optional) for line in dish.lines]
        if dish is not None
        else [(key, space.foods[space.index[key]].name.lower(), False) for key in served.grams]
    )
    return tuple(
        _serving(space, key, served.grams[key], called, optional, units)
        for key, called, optional in lines
        if served.grams.get(key)
    )


def _serving(
    space: FoodSpace,
    key: str,
    grams: float,
    called: str,
    optional: bool,
    units: Literal["metric", "us"],
) -> Serving:
    food = space.foods[space.index[key]]
    energy = space.per_gram("energy_kcal")
    return Serving(
        food=key,
        ndb=food.ndb,
        source="" if food.ndb is not None else space.catalogue.own[key].source,
        name=food.name,
        called=called,
        grams=round(grams, 3),
        measure=in_measures(food, grams, units),
        phrase=amount_phrase(food, grams, called, units),
        energy_kcal=round(grams * float(energy[space.index[key]]), 1),
        optional=optional,
    )
