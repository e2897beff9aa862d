"""
Check a finished plan without the model that made it.

Everything is added up again, food by food, from the composition table by table number, in plain
arithmetic; nothing of the planner's arrays or rows is used.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass

from foods import FoodTable
from foods.catalogue import Catalogue
from foods.dishes import Dish
from mealplan.plan import Plan, PlanDay
from mealplan.ranges import DayTargets, Targets

ENERGY_BAND = 0.02
"""Energy of a day must lie this close to its target, as a fraction."""


@dataclass(frozen=True)
class Violation:
    """One thing a finished plan gets wrong."""

    date: str
    what: str


def recompute(day: PlanDay) -> dict[str, float]:
    """
    Add a day's nutrients up from the table.

    Parameters
    ----------
    day : PlanDay
        Planned meals.

    Returns
    -------
    dict of str to float
        Nutrient key to amount; missing values add nothing.
    """
    table = FoodTable.load()
    totals: defaultdict[str, float] = defaultdict(float)
    for meal in day.meals:
        for serving in meal.servings:
            for key, amount in table.per_100g(serving.ndb).items():
                totals[key] += amount * serving.grams / 100.0
    return dict(totals)


def verify_plan(
    plan: Plan, targets: Targets, banned: frozenset[str], dishes: dict[str, Dish]
) -> tuple[Violation, ...]:
    """
    List every violation of a hard promise in a plan.

    Parameters
    ----------
    plan : Plan
        What was planned.
    targets : Targets
        What it was planned for.
    banned : frozenset of str
        Catalogue keys that must not appear.
    dishes : dict of str to Dish
        The dishes by key.

    Returns
    -------
    tuple of Violation
        Empty when energy, grams, measures, reported totals and exclusions all hold.
    """
    found: list[Violation] = []
    for day in plan.days:
        found += _check_day(day, targets.on(day.weekday), banned, dishes)
    return tuple(found)


def _check_day(
    day: PlanDay, target: DayTargets, banned: frozenset[str], dishes: dict[str, Dish]
) -> list[Violation]:
    catalogue = Catalogue.load()
    date = day.date.isoformat()
    found: list[Violation] = []

    def say(what: str) -> None:
        found.append(Violation(date, what))

    totals = recompute(day)
    # Of a meal that was something else, energy may be all that is known.
    energy = totals["energy_kcal"] + sum(
        meal.energy_kcal - sum(serving.energy_kcal for serving in meal.servings)
        for meal in day.meals
        if meal.dish not in dishes
    )
    if abs(energy - day.energy_kcal) > 0.001 * max(energy, 1.0):
        say(f"reported energy {day.energy_kcal:.0f} kcal, recomputed {energy:.0f}")
    if abs(energy - target.energy_kcal) > ENERGY_BAND * target.energy_kcal:
        say(f"energy {energy:.0f} kcal is more than 2 % from {target.energy_kcal:.0f}")
    eaten: defaultdict[str, float] = defaultdict(float)
    served: Counter[str] = Counter()
    for meal in day.meals:
        dish = dishes.get(meal.dish)
        if dish is None:
            if meal.method:
                say(f"{meal.dish} is no dish on offer")
            continue
        served[meal.dish] += 1
        if meal.occasion not in dish.occasions:
            say(f"{meal.dish} does not suit {meal.occasion}")
        lines = {line.food for line in dish.lines}
        present = {serving.food for serving in meal.servings}
        for line in dish.lines:
            if not line.optional and line.food not in present:
                say(f"{meal.dish} lacks {line.food}")
        for serving in meal.servings:
            food = catalogue.food(serving.food)
            eaten[serving.food] += serving.grams
            if serving.food in banned:
                say(f"{serving.food} is excluded for this client")
            if serving.food not in lines:
                say(f"{serving.food} is not part of {meal.dish}")
            if serving.ndb != food.ndb:
                say(f"{serving.food} carries table number {serving.ndb}, not {food.ndb}")
            steps = serving.grams / food.step_g
            if serving.grams <= 0 or abs(steps - round(steps)) > 0.01:
                say(f"{serving.grams:g} g of {serving.food} is not a kitchen measure")
    for key, grams in eaten.items():
        ceiling = catalogue.food(key).max_g_day
        if grams > ceiling * (1 + 1e-6):
            say(f"{grams:.0f} g of {key} is above the daily ceiling of {ceiling:.0f} g")
    for key, count in served.items():
        if count > 1:
            say(f"{key} is served {count} times in a day")
    return found
