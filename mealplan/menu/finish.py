"""From solved days to a plan: the one end of making a week and of changing a day."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import TypedDict

from foods.custom.food import OwnFood
from foods.dishes.load import load_dishes
from foods.dishes.model import Dish
from mealplan.kitchen.custom_foods import label_sentences
from mealplan.lp.explain.day import explain_day
from mealplan.lp.explain.prices import dearest_floors
from mealplan.menu.adequacy import TOLERANCE, explain_means, explain_misses
from mealplan.menu.context import Context
from mealplan.menu.ledger import week_means
from mealplan.menu.likings import explain_likings
from mealplan.menu.living_words import explain_living
from mealplan.menu.readings import through_the_days, usual_intake
from mealplan.menu.served import Served, Solved
from mealplan.menu.write import plan_day
from mealplan.plan import EATEN, Plan, PlanDay
from mealplan.targets.conditions import condition_of
from mealplan.targets.ranges import TargetRange

MOST_CLASH_SENTENCES = 6
"""Sentences about the worst day that stand in a plan."""


def finish(
    context: Context,
    plan: Plan,
    dates: Sequence[dt.date],
    history: Mapping[int, Sequence[Served]],
    solved: Mapping[int, Solved],
    *,
    freeze: Mapping[tuple[int, int], int] | None = None,
    lowest: float | None = None,
    note: str = "",
) -> Plan:
    """
    Write solved days into a plan and say what is missed, why, and what it costs.

    Parameters
    ----------
    context : Context
    plan : Plan
        What goes around the days; days that were not solved stay as they are in it.
    dates : sequence of date
        Of all its days, in order.
    history : mapping of int to sequence of Served
        What every day serves.
    solved : mapping of int to Solved
        Days to write, by their place.
    freeze : mapping of (int, int) to int, optional
        Portions that go into the freezer, by day and meal; those the plan has when left out.
    lowest : float, optional
        What no plan of these days can score less than.
    note : str
        What stands after how near the plan is to the best.

    Returns
    -------
    Plan
    """
    targets = context.targets
    frozen = [
        {slot: portions for (day, slot), portions in freeze.items() if day == place}
        if freeze is not None
        else _frozen_as_before(plan, place, history)
        for place in range(len(dates))
    ]
    days = _recount(
        tuple(
            plan_day(
                context, place, date, targets.on_date(date), history, solved[place], frozen[place]
            )
            if place in solved
            else plan.days[place]
            for place, date in enumerate(dates)
        ),
        history,
    )
    means = week_means(days, [targets.on_date(date) for date in dates], TOLERANCE)
    ranges: dict[str, TargetRange] = {}
    for date in dates:
        ranges.update(targets.on_date(date).ranges)
    return plan.model_copy(
        update={
            "days": days,
            "week_means": means,
            "readings": (
                *usual_intake(context.intake, condition_of(context.intake), days),
                *through_the_days(context.intake, targets, days),
            ),
            "explanation": (
                *explain_means(means, ranges, context.space, context.allowed),
                *explain_misses(days, ranges, context.space, context.allowed),
                *explain_living(days, context.intake.kitchen, context.ahead_min, context.by_key),
                *explain_likings(
                    days, context.intake, context.exclusions, context.by_key, context.served_at
                ),
                *explain_clashes(days, solved),
            ),
            "bound_note": f"{bound_note(days, lowest)} {note}".strip(),
            "floor_costs": floor_costs(context, days, solved) or plan.floor_costs,
            **own_of(context, days, ranges),
        }
    )


def _frozen_as_before(
    plan: Plan, place: int, history: Mapping[int, Sequence[Served]]
) -> dict[int, int]:
    """Go on freezing portions of the meals of a day that stay the dish they were."""
    if place >= len(plan.days):
        return {}
    return {
        meal.slot: meal.freeze_portions
        for meal, served in zip(plan.days[place].meals, history[place], strict=True)
        if meal.freeze_portions and meal.dish == served.dish and served.kept_from is None
    }


def _recount(
    days: tuple[PlanDay, ...], history: Mapping[int, Sequence[Served]]
) -> tuple[PlanDay, ...]:
    """Bring the number of portions to cook in line with what later days keep."""
    kept = Counter((meal.dish, meal.kept_from) for meals in history.values() for meal in meals)
    result = []
    for place, day in enumerate(days):
        meals = []
        for meal in day.meals:
            fresh = meal.leftover_from is None and meal.dish != EATEN
            portions = 1 + kept[meal.dish, place] + meal.freeze_portions if fresh else 0
            meals.append(meal.model_copy(update={"cook_portions": portions}))
        result.append(day.model_copy(update={"meals": tuple(meals)}))
    return tuple(result)


class Own(TypedDict):
    """What a plan carries so that it can be read back alone."""

    own_foods: tuple[OwnFood, ...]
    own_dishes: tuple[Dish, ...]
    sources: tuple[str, ...]


def own_of(context: Context, days: Sequence[PlanDay], wanted: Iterable[str]) -> Own:
    """
    Gather the foods and dishes of one's own that a plan serves.

    Parameters
    ----------
    context : Context
    days : sequence of PlanDay
    wanted : iterable of str
        Nutrient keys with a range.

    Returns
    -------
    Own
        Fields of a plan.
    """
    eaten = {s.food for day in days for meal in day.meals for s in meal.servings}
    served = {meal.dish for day in days for meal in day.meals}
    shipped = {dish.key: dish for dish in load_dishes()}
    dishes = tuple(
        dish for dish in context.dishes if dish.key in served and shipped.get(dish.key) != dish
    )
    foods = tuple(food for food in context.intake.own_foods if food.key in eaten)
    return Own(own_foods=foods, own_dishes=dishes, sources=label_sentences(foods, wanted))


def explain_clashes(days: Sequence[PlanDay], solved: Mapping[int, Solved]) -> tuple[str, ...]:
    """
    Say which few wishes clash on the worst day, and what giving way on each would buy.

    Parameters
    ----------
    days : sequence of PlanDay
        The plan's days.
    solved : mapping of int to Solved
        By the day's place in the plan; days not in it are not explained.

    Returns
    -------
    tuple of str
        Empty when no floor or ceiling is missed.
    """
    missed = {
        place: sum(line.priority == "must" for line in days[place].missed) for place in solved
    }
    worst = max(missed, key=lambda place: (missed[place], days[place].objective), default=None)
    if worst is None or not missed[worst]:
        return ()
    found = explain_day(solved[worst].model, solved[worst].answer)
    return tuple(
        f"{days[worst].date:%A}: {sentence}" for sentence in found.sentences[:MOST_CLASH_SENTENCES]
    )


def floor_costs(
    context: Context, days: Sequence[PlanDay], solved: Mapping[int, Solved]
) -> tuple[str, ...]:
    """
    Say which floor or ceiling costs most energy, and money when prices are known.

    Parameters
    ----------
    context : Context
    days : sequence of PlanDay
    solved : mapping of int to Solved
        By the day's place in the plan.

    Returns
    -------
    tuple of str
        For the day on which meeting everything is hardest; empty where that day was not solved.
    """
    hardest = max(range(len(days)), key=lambda place: days[place].objective)
    if hardest not in solved:
        return ()
    currency = context.intake.kitchen.shop.currency
    return dearest_floors(solved[hardest].model, context.worth_per_gram, currency)


def bound_note(days: Sequence[PlanDay], lowest: float | None = None) -> str:
    """
    Say how near the plan is to the best its dishes could do.

    Parameters
    ----------
    days : sequence of PlanDay
    lowest : float, optional
        What no plan of these days can score less than, whichever dishes its days serve.

    Returns
    -------
    str
        The day's bounds hold with each day's neighbours as they are; the lowest holds for all.
    """
    reached = sum(day.objective for day in days)
    least = sum(day.bound for day in days)
    said = (
        f"Misses and preferences together score {reached:.2f} over these days, where 0 is a "
        f"plan without a miss or a reluctance and what is welcome takes off; with the dishes on "
        f"offer, each day's neighbours as they are, no plan can score "
        f"below {least:.2f}"
    )
    if lowest is None:
        return f"{said}."
    return f"{said}, and none at all, whatever its days serve, below {lowest:.2f}."
