"""
Check a finished plan without the model that made it.

Everything is added up again, food by food, from the composition table by table number or from the
package label that stands in the plan, in plain arithmetic; nothing of the planner's arrays or rows
is used.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from foods import FoodTable
from foods.composition.catalogue import Catalogue
from foods.custom.food import OwnFood
from foods.custom.label import read_label
from foods.dishes.line import DishLine
from foods.dishes.model import Dish
from mealplan.kitchen.custom_foods import catalogue_of
from mealplan.plan import Meal, Plan, PlanDay, Serving
from mealplan.targets.ranges import DayTargets, Targets

ENERGY_BAND = 0.02
"""Energy of a day must lie this close to its target, as a fraction."""


SCALE_LEAST, SCALE_MOST = 0.6, 1.8
"""How far a portion may be scaled below and above a dish's own range, as factors."""

MET_SLACK = 0.0101
"""A wish within one per cent counts as met; nothing missed by more may."""

FROZEN_DAYS = 90
"""Longest a cooked portion stays in the freezer. [days]"""

WRITTEN_G = 0.02
"""Plans write grams to three decimals; a day adds up at most forty of them. [g]"""


@dataclass(frozen=True)
class Violation:
    """One thing a finished plan gets wrong."""

    date: str
    what: str


def _per_100g(serving: Serving, labels: Mapping[str, OwnFood]) -> Mapping[str, float]:
    """Give what is known by table, label, recipe or survey; imputed amino acids are not."""
    if serving.ndb is not None:
        return FoodTable.load().per_100g(serving.ndb)
    if serving.food in labels:
        return read_label(labels[serving.food].label).per_100g
    shipped = Catalogue.load().own
    return shipped[serving.food].per_100g if serving.food in shipped else {}


def recompute(day: PlanDay, own_foods: Iterable[OwnFood] = ()) -> dict[str, float]:
    """
    Add a day's nutrients up from the table and from package labels.

    Parameters
    ----------
    day : PlanDay
        Planned meals.
    own_foods : iterable of OwnFood
        The plan's foods from package labels.

    Returns
    -------
    dict of str to float
        Nutrient key to amount; missing values add nothing.
    """
    labels = {food.key: food for food in own_foods}
    totals: defaultdict[str, float] = defaultdict(float)
    for meal in day.meals:
        for serving in meal.servings:
            for key, amount in _per_100g(serving, labels).items():
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
        Empty when energy, grams, measures, ranges, reported totals, verdicts, kept portions and
        exclusions all hold.
    """
    found: list[Violation] = []
    for day in plan.days:
        found += _check_day(day, plan, targets.on_date(day.date), banned, dishes)
        found += _check_adequacy(day, plan, targets.on_date(day.date), dishes)
        found += _check_kept(day, plan, dishes)
        found += _check_before(day, plan, targets.on_date(day.date), dishes)
    found += _check_means(plan, targets, dishes)
    return tuple(found)


def _check_day(
    day: PlanDay, plan: Plan, target: DayTargets, banned: frozenset[str], dishes: dict[str, Dish]
) -> list[Violation]:
    catalogue = catalogue_of(plan)
    date = day.date.isoformat()
    for serving in (serving for meal in day.meals for serving in meal.servings):
        if serving.food not in catalogue:
            what = f"{serving.food} is neither in the table nor among the plan's labels"
            return [Violation(date, what)]
    faults = [
        *_energy_faults(day, plan, target, dishes),
        *(fault for meal in day.meals for fault in _meal_faults(meal, dishes, banned, catalogue)),
        *_sums_faults(day, dishes, catalogue),
    ]
    return [Violation(date, fault) for fault in faults]


def _energy_faults(
    day: PlanDay, plan: Plan, target: DayTargets, dishes: Mapping[str, Dish]
) -> Iterator[str]:
    totals = recompute(day, plan.own_foods)
    # Of a meal that was something else, energy may be all that is known.
    energy = totals["energy_kcal"] + sum(
        meal.energy_kcal - sum(serving.energy_kcal for serving in meal.servings)
        for meal in day.meals
        if meal.dish not in dishes
    )
    if abs(energy - day.energy_kcal) > 0.001 * max(energy, 1.0):
        yield f"reported energy {day.energy_kcal:.0f} kcal, recomputed {energy:.0f}"
    if abs(energy - target.meal_kcal) > ENERGY_BAND * target.meal_kcal:
        yield f"energy {energy:.0f} kcal is more than 2 % from {target.meal_kcal:.0f}"


def _meal_faults(
    meal: Meal, dishes: Mapping[str, Dish], banned: frozenset[str], catalogue: Catalogue
) -> Iterator[str]:
    dish = dishes.get(meal.dish)
    if dish is None:
        if meal.method:
            yield f"{meal.dish} is no dish on offer"
        return
    if meal.occasion not in dish.occasions:
        yield f"{meal.dish} does not suit {meal.occasion}"
    present = {serving.food for serving in meal.servings}
    for line in dish.lines:
        if not line.optional and line.food not in present:
            yield f"{meal.dish} lacks {line.food}"
    for serving in meal.servings:
        if serving.food in banned:
            yield f"{serving.food} is excluded for this client"
        yield from _serving_faults(serving, dish, catalogue)


def _serving_faults(serving: Serving, dish: Dish, catalogue: Catalogue) -> Iterator[str]:
    food = catalogue.food(serving.food)
    part = next((line for line in dish.lines if line.food == serving.food), None)
    if part is None:
        yield f"{serving.food} is not part of {dish.key}"
    if serving.ndb != food.ndb:
        yield f"{serving.food} carries table number {serving.ndb}, not {food.ndb}"
    elif food.ndb is None and serving.source != catalogue.own[food.key].source:
        yield f"{serving.food} does not say where its numbers are from"
    if part is not None and not _in_range(serving.grams, part, food.step_g):
        yield f"{serving.grams:g} g of {serving.food} is no amount for {dish.key}"
    steps = serving.grams / food.step_g
    if serving.grams <= 0 or abs(steps - round(steps)) > 0.01:
        yield f"{serving.grams:g} g of {serving.food} is not a kitchen measure"


def _sums_faults(day: PlanDay, dishes: Mapping[str, Dish], catalogue: Catalogue) -> Iterator[str]:
    """Tell what is too much of one food or one dish over a day."""
    eaten: defaultdict[str, float] = defaultdict(float)
    meals = [meal for meal in day.meals if meal.dish in dishes]
    for serving in (serving for meal in meals for serving in meal.servings):
        eaten[serving.food] += serving.grams
    for key, grams in eaten.items():
        ceiling = catalogue.food(key).max_g_day
        if grams > ceiling + WRITTEN_G:
            yield f"{grams:.0f} g of {key} is above the daily ceiling of {ceiling:.0f} g"
    for key, count in Counter(meal.dish for meal in meals).items():
        if count > 1:
            yield f"{key} is served {count} times in a day"


def _in_range(grams: float, line: DishLine, step_g: float) -> bool:
    """Say whether an amount is inside a line's range, stretched to small and large eaters."""
    least = line.low_g * SCALE_LEAST - step_g
    most = line.high_g * SCALE_MOST + step_g
    return least * (1 - 1e-6) <= grams <= most * (1 + 1e-6)


def _check_adequacy(
    day: PlanDay, plan: Plan, target: DayTargets, dishes: dict[str, Dish]
) -> list[Violation]:
    """Add every reported line up again and question its verdict."""
    catalogue = catalogue_of(plan)
    labels = {food.key: food for food in plan.own_foods}
    date = day.date.isoformat()
    found: list[Violation] = []
    reported = {line.key: line for line in day.adequacy}
    eaten_foods = [
        (catalogue.food(serving.food), _per_100g(serving, labels), serving.grams / 100)
        for meal in day.meals
        for serving in meal.servings
        if serving.food in catalogue
    ]
    other = sum(
        meal.energy_kcal - sum(serving.energy_kcal for serving in meal.servings)
        for meal in day.meals
        if meal.dish not in dishes
    )
    for key, wanted in target.ranges.items():
        line = reported.get(key)
        if line is None:
            found.append(Violation(date, f"{key} has a target and no line in the report"))
            continue
        eaten = counted = other
        if key != "energy_kcal":  # of what is not known: its part of a usual day
            eaten = counted = other / target.energy_kcal * wanted.usual
        for food, per_100g, hundreds in eaten_foods:
            amount = per_100g.get(key, 0.0) * hundreds
            share = food.digestibility if wanted.digestible else 1.0
            if key == "calcium_mg":
                share *= food.calcium_absorbable_factor
            eaten += amount
            counted += amount * share
        slack = 0.001 * max(abs(counted), 1e-3)
        if abs(counted - line.from_food) > slack:
            found.append(
                Violation(date, f"reported {key} {line.from_food:.4g}, recomputed {counted:.4g}")
            )
        if abs(line.total - line.from_food - line.from_supplement) > slack:
            found.append(Violation(date, f"{key}: food and supplement do not add up to the total"))
        if (line.low, line.high) != (wanted.low, wanted.high):
            found.append(Violation(date, f"{key} is compared with a range that is not the target"))
        if line.floor != wanted.each_day and not wanted.from_supplement_only:
            found.append(
                Violation(date, f"{key} is held to a floor of its day that is not its own")
            )
        least = wanted.each_day
        short = least is not None and counted + wanted.supplied < least * (1 - MET_SLACK)
        over = wanted.high is not None and eaten + wanted.supplied > wanted.high * (1 + MET_SLACK)
        if line.met and (short or over):
            found.append(Violation(date, f"{key} is said to be met and is not"))
    return found


def _check_means(plan: Plan, targets: Targets, dishes: Mapping[str, Dish]) -> list[Violation]:
    """Work the means of each seven days out again and question what is said of them."""
    catalogue = catalogue_of(plan)
    labels = {food.key: food for food in plan.own_foods}
    said = {(mean.start, mean.key): mean for mean in plan.week_means}
    found: list[Violation] = []
    for first in range(0, len(plan.days), 7):
        days = plan.days[first : first + 7]
        ranges = [targets.on_date(day.date).ranges for day in days]
        weekly = [
            key
            for key, one in ranges[0].items()
            if one.over == "week"
            and one.low is not None
            and one.low_tier != "comfort"
            and not one.from_supplement_only
        ]
        for key in weekly:
            mean = low = 0.0
            for day, wanted in zip(days, ranges, strict=True):
                mean += wanted[key].supplied / len(days)
                low += (wanted[key].low or 0.0) / len(days)
                unknown = sum(
                    meal.energy_kcal - sum(serving.energy_kcal for serving in meal.servings)
                    for meal in day.meals
                    if meal.dish not in dishes
                )
                part = unknown / targets.on_date(day.date).energy_kcal
                mean += part * wanted[key].usual / len(days)
                for serving in (serving for meal in day.meals for serving in meal.servings):
                    if serving.food not in catalogue:
                        continue
                    food = catalogue.food(serving.food)
                    share = food.digestibility if wanted[key].digestible else 1.0
                    share *= food.calcium_absorbable_factor if key == "calcium_mg" else 1.0
                    amount = _per_100g(serving, labels).get(key, 0.0) * serving.grams / 100
                    mean += amount * share / len(days)
            date = days[0].date.isoformat()
            line = said.get((days[0].date, key))
            if line is None:
                found.append(Violation(date, f"the week's mean of {key} is not reported"))
            elif (
                abs(line.mean - mean) > 0.002 * max(mean, 1e-3) or abs(line.low - low) > 1e-6 * low
            ):
                found.append(Violation(date, f"the week's mean of {key} is not {line.mean:.4g}"))
            elif line.met and mean < low * (1 - MET_SLACK):
                found.append(Violation(date, f"the week's mean of {key} is said to be met"))
    return found


def _check_before(
    day: PlanDay, plan: Plan, target: DayTargets, dishes: Mapping[str, Dish]
) -> list[Violation]:
    """Add each meal before a session up again and question what is said of its limits."""
    date = day.date.isoformat()
    labels = {food.key: food for food in plan.own_foods}
    found: list[Violation] = []
    for meal in day.meals:
        if meal.dish not in dishes:
            continue
        over = set()
        for item in target.fuel:
            if item.when != "before" or item.meal != meal.slot:
                continue
            if item.time != meal.time:
                found.append(Violation(date, f"{meal.label} is at {meal.time}, not {item.time}"))
            for key, most in (
                ("fibre_g", item.fibre_high_g),
                ("fat_g", item.fat_high_g),
                ("energy_kcal", item.energy_high_kcal),
            ):
                held = sum(
                    _per_100g(serving, labels).get(key, 0.0) * serving.grams / 100
                    for serving in meal.servings
                )
                if most is not None and held > most * (1 + MET_SLACK):
                    over.add(key)
        if over - set(meal.over_before):
            found.append(
                Violation(date, f"{meal.label} is too much before training: {sorted(over)}")
            )
    return found


def _check_kept(day: PlanDay, plan: Plan, dishes: dict[str, Dish]) -> list[Violation]:
    """Check that each kept portion was cooked, enough of it, and not too long ago."""
    date = day.date.isoformat()
    found: list[Violation] = []
    by_date = {other.date: other for other in plan.days}
    for meal in day.meals:
        if meal.leftover_from is None or meal.dish not in dishes:
            continue
        days = (day.date - meal.leftover_from).days
        if meal.from_freezer:
            found += _check_frozen(meal, days, plan, dishes[meal.dish], date)
            continue
        if not 1 <= days <= dishes[meal.dish].keeps_days:
            found.append(Violation(date, f"{meal.dish} is kept {days} days and does not keep that"))
        cooked = [
            fresh
            for fresh in getattr(by_date.get(meal.leftover_from), "meals", ())
            if fresh.dish == meal.dish and fresh.leftover_from is None
        ]
        if meal.leftover_from in by_date and not any(one.cook_portions >= 2 for one in cooked):
            found.append(
                Violation(date, f"{meal.dish} is eaten as kept but no portion was cooked to keep")
            )
    return found


def _check_frozen(meal: Meal, days: int, plan: Plan, dish: Dish, date: str) -> list[Violation]:
    """Check that a portion out of the freezer was there, as often as it is eaten, and is good."""
    there = [
        pot
        for pot in plan.frozen or ()
        if pot.dish == meal.dish and pot.cooked_on == meal.leftover_from
    ]
    if not there and plan.frozen is not None:
        return [Violation(date, f"{meal.dish} is eaten from the freezer and is not there")]
    found = []
    eaten = sum(
        other.from_freezer and (other.dish, other.leftover_from) == (meal.dish, meal.leftover_from)
        for day in plan.days
        for other in day.meals
    )
    if there and eaten > there[0].portions:
        found.append(Violation(date, f"{meal.dish} is eaten {eaten} times from the freezer"))
    if not dish.freezes or days > FROZEN_DAYS:
        found.append(Violation(date, f"{meal.dish} does not keep {days} days in the freezer"))
    grams = {serving.food: serving.grams for serving in meal.servings}
    if there and any(abs(grams.get(food, 0.0) - g) > 1e-2 for food, g in there[0].grams.items()):
        found.append(Violation(date, f"{meal.dish} is not the portion that was frozen"))
    return found
