"""
What a week costs, what its protein costs, and the swap that saves most without missing a target.

Two sums are kept apart: what is paid at the till, whole packs and all, and what the food eaten is
worth, which is what a dish costs when the rest of the pack is eaten later. A food without a price
counts in neither, and the share of the week's energy it carries is said.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from foods.dishes.model import Dish
from mealplan.client.household import ShopOptions
from mealplan.client.intake import Intake
from mealplan.errors import NoPlanError
from mealplan.kitchen.custom_foods import catalogue_of, dishes_of, with_own_of
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.market.price_list import PriceList, price_list
from mealplan.menu.change import DayRequest, change_day
from mealplan.menu.context import Context
from mealplan.plan import Meal, Plan
from mealplan.shopping.build import shopping_list
from mealplan.shopping.till import CENT, allowed_for, till_of
from mealplan.shopping.unit_prices import rate_of
from mealplan.shopping.uses import NOT_BOUGHT
from mealplan.targets.ranges import Targets

CHEAPER = 0.8
"""A dish is offered as a swap when its energy costs at most this share of the meal's. [1]"""
MEALS_TRIED = 4
"""The dearest meals are the ones worth swapping."""


@dataclass(frozen=True)
class ProteinCost:
    """One food as a source of protein."""

    name: str
    cost_per_100g_protein: float
    protein_g: float
    """Protein the week takes from it. [g]"""


@dataclass(frozen=True)
class WeekCost:
    """What a plan costs."""

    currency: str
    paid: float
    """For the packs and pieces on the list, staples to check left out."""
    staples: float
    """More, if none of what is to be checked is at home."""
    eaten: float
    """Worth of the food eaten, for everyone together."""
    per_100g_protein: float
    """Worth of the food eaten over the protein in it."""
    protein: tuple[ProteinCost, ...]
    """Foods that give at least a twentieth of the protein, cheapest protein first."""
    unpriced: tuple[str, ...]
    """Names without a price."""
    unpriced_energy_share: float
    """Share of the energy eaten that has no price. [1]"""
    stays: float
    """Part of what is paid that keeps beyond the plan's days."""
    from_home: float
    """Worth of what the cupboard gives, which is not paid again."""
    budget: float | None
    """What the plan's days may cost at most; None without a budget."""
    counts: Literal["till", "eaten"]
    """What the budget is held against."""
    note: str


@dataclass(frozen=True)
class Swap:
    """Another dish for one meal that costs less and keeps every target."""

    date: dt.date
    meal: str
    before: str
    after: str
    saves_eaten: float
    """Less worth of food eaten."""
    saves_paid: float
    """Less paid at the till this week; negative when new packs must be opened."""
    plan: Plan
    """The plan with the swap made."""


def meal_cost(
    meal: Meal, prices: PriceList, options: ShopOptions, space: FoodSpace | None = None
) -> float:
    """
    Price the food on one client's plate.

    Parameters
    ----------
    meal : Meal
    prices : PriceList
    options : ShopOptions
    space : FoodSpace, optional
        With the plan's own foods; the shipped ones when left out.

    Returns
    -------
    float
        Worth of the priced food eaten; foods without a price add nothing.
    """
    space = space or FoodSpace.load()
    return sum(
        (rate_of(serving.food, space, prices, options) or 0.0) * serving.grams
        for serving in meal.servings
        if serving.food not in NOT_BOUGHT
    )


def week_cost(
    plan: Plan, intake: Intake, prices: PriceList, options: ShopOptions | None = None
) -> WeekCost:
    """
    Price a plan for everyone who eats.

    Parameters
    ----------
    plan : Plan
    intake : Intake
    prices : PriceList
    options : ShopOptions, optional
        The intake's own when left out.

    Returns
    -------
    WeekCost
    """
    options = options or intake.kitchen.shop
    shopping = shopping_list(plan, intake, options, prices)
    shares = sum(eater.portion for eater in options.portions(intake.kitchen.people))
    space = FoodSpace.of(catalogue_of(plan, intake))
    till = till_of(shopping, prices, space.catalogue)
    budget = allowed_for(options, len(plan.days))
    protein_per_g = space.per_gram("protein_g")
    worth = energy = unpriced_energy = 0.0
    grams: dict[str, float] = {}
    for day in plan.days:
        for meal in day.meals:
            for serving in meal.servings:
                if serving.food not in NOT_BOUGHT:
                    grams[serving.food] = grams.get(serving.food, 0.0) + serving.grams * shares
                energy += serving.energy_kcal * shares
                rate = rate_of(serving.food, space, prices, options)
                if rate is None and serving.food not in NOT_BOUGHT:
                    unpriced_energy += serving.energy_kcal * shares
    protein_total = 0.0
    sources = []
    for key, eaten_g in grams.items():
        rate = rate_of(key, space, prices, options)
        protein = float(protein_per_g[space.index[key]]) * eaten_g
        if rate is None:
            continue
        protein_total += protein
        worth += rate * eaten_g
        if protein > 0:
            name = space.catalogue.food(key).name
            sources.append(ProteinCost(name, 100 * rate * eaten_g / protein, protein))
    return WeekCost(
        currency=prices.currency,
        paid=till.paid,
        stays=till.stays,
        from_home=till.from_home,
        staples=round(sum(line.price or 0.0 for line in shopping.to_check), 2),
        eaten=round(worth, 2),
        per_100g_protein=round(100 * worth / protein_total, 2) if protein_total else 0.0,
        protein=tuple(
            sorted(
                (source for source in sources if source.protein_g >= protein_total / 20),
                key=lambda source: source.cost_per_100g_protein,
            )
        ),
        unpriced=tuple(sorted({line.name for line in shopping.lines if line.price is None})),
        unpriced_energy_share=round(unpriced_energy / energy, 4) if energy else 0.0,
        budget=None if budget is None else round(budget, 2),
        counts=options.budget_counts,
        note=prices.note,
    )


def _dish_rate(
    dish: Dish, prices: PriceList, options: ShopOptions, space: FoodSpace
) -> float | None:
    """Price of a kilocalorie of a dish's required foods at usual amounts; None when unknown."""
    energy_per_g = space.per_gram("energy_kcal")
    cost = energy = 0.0
    for line in dish.lines:
        if line.optional or line.food in NOT_BOUGHT:
            continue
        rate = rate_of(line.food, space, prices, options)
        if rate is None:
            return None
        cost += rate * line.typical_g
        energy += float(energy_per_g[space.index[line.food]]) * line.typical_g
    return cost / energy if energy else None


def _missed(plan: Plan) -> set[tuple[dt.date, str]]:
    of_days = {
        (day.date, line.key) for day in plan.days for line in day.missed if line.priority == "must"
    }
    return of_days | {(mean.start, f"mean {mean.key}") for mean in plan.week_means if not mean.met}


def cheapest_swap(
    plan: Plan,
    intake: Intake,
    targets: Targets,
    prices: PriceList,
    options: ShopOptions | None = None,
) -> Swap | None:
    """
    Find the swap of one dish that saves most and misses no target the plan meets.

    The dearest meals are tried one by one: the planner sees only dishes whose energy is clearly
    cheaper, sets their amounts, and the whole week is added up again.

    Parameters
    ----------
    plan : Plan
    intake : Intake
    targets : Targets
        What the plan was made for.
    prices : PriceList
    options : ShopOptions, optional
        The intake's own when left out.

    Returns
    -------
    Swap or None
        None when no cheaper dish keeps every floor and ceiling.
    """
    options = options or intake.kitchen.shop
    shares = sum(eater.portion for eater in options.portions(intake.kitchen.people))
    intake = with_own_of(plan, intake)
    space, dishes = FoodSpace.of(catalogue_of(intake)), dishes_of(intake)
    cost_before = sum(
        meal_cost(meal, prices, options, space) for day in plan.days for meal in day.meals
    )
    paid_before = _paid(plan, intake, options, prices)
    in_plan = {meal.dish for day in plan.days for meal in day.meals}
    dearest = sorted(
        (
            (meal_cost(meal, prices, options, space), day.date, slot, meal)
            for day in plan.days
            for slot, meal in enumerate(day.meals)
            if meal.leftover_from is None and meal.cook_portions == 1
        ),
        key=lambda x: (-x[0], x[1], x[2]),
    )[:MEALS_TRIED]
    rates = {dish.key: _dish_rate(dish, prices, options, space) for dish in dishes}
    best: Swap | None = None
    for cost, date, slot, meal in dearest:
        limit = CHEAPER * cost / max(meal.energy_kcal, 1.0)
        offered = [
            dish
            for dish in dishes
            if dish.key in in_plan or ((rate := rates[dish.key]) is not None and rate <= limit)
        ]
        try:
            context = Context.make(intake, targets, offered)
            changed = change_day(
                intake, targets, plan, DayRequest(date, another=(slot,)), context=context
            ).plan
        except NoPlanError:
            continue
        if _missed(changed) - _missed(plan):
            continue
        cost_after = sum(
            meal_cost(other, prices, options, space) for day in changed.days for other in day.meals
        )
        saved = shares * (cost_before - cost_after)
        after = next(day for day in changed.days if day.date == date).meals[slot]
        if saved <= 0 or after.dish == meal.dish or (best and saved <= best.saves_eaten):
            continue
        best = Swap(
            date=date,
            meal=meal.label,
            before=meal.name,
            after=after.name,
            saves_eaten=round(saved, 2),
            saves_paid=round(paid_before - _paid(changed, intake, options, prices), 2),
            plan=changed,
        )
    return best


def _paid(plan: Plan, intake: Intake, options: ShopOptions, prices: PriceList) -> float:
    shopping = shopping_list(plan, intake, options, prices)
    return sum(line.price or 0.0 for line in shopping.to_buy)


def cost_lines(plan: Plan, intake: Intake) -> tuple[str, ...]:
    """
    Say what a plan costs at the household's own prices.

    Parameters
    ----------
    plan : Plan
    intake : Intake

    Returns
    -------
    tuple of str
        Sentences; empty without prices.
    """
    prices = price_list(intake.kitchen.shop, catalogue_of(plan, intake))
    if prices is None:
        return ()
    return tuple(cost_text(week_cost(plan, intake, prices), None).strip().splitlines())


def _budget_text(cost: WeekCost) -> tuple[str, ...]:
    """Say whether the budget is kept, and what it is held against."""
    if cost.budget is None:
        return ()
    if cost.counts == "till":
        over = cost.paid - cost.budget
        return (
            f"The till keeps the budget of {cost.budget:.2f}."
            if over <= CENT
            else f"The till is {over:.2f} over the budget of {cost.budget:.2f}; "
            f"{cost.stays:.2f} of what is paid is for later weeks.",
        )
    over = cost.eaten - cost.budget
    kept = (
        f"The food eaten keeps the budget of {cost.budget:.2f}."
        if over <= 0
        else f"The food eaten is {over:.2f} over the budget of {cost.budget:.2f}: the floors "
        "and the dishes wanted cost that much at these prices."
    )
    return (
        f"{kept} This budget counts the food eaten, as it was agreed; the intake can hold it "
        "against what is paid at the till instead.",
    )


def cost_text(cost: WeekCost, swap: Swap | None) -> str:
    """
    Write what a week costs, and the swap that saves most.

    Parameters
    ----------
    cost : WeekCost
    swap : Swap or None
        None when no dish saves without a target missed.

    Returns
    -------
    str
    """
    rows = [
        f"\nAt the till {cost.paid:.2f} {cost.currency}, of which {cost.stays:.2f} stays at home "
        f"for later; {cost.staples:.2f} more if nothing to check is at home. "
        + (f"{cost.from_home:.2f} comes from home and is not paid again. " * (cost.from_home > 0))
        + f"The food eaten is worth {cost.eaten:.2f}; 100 g of protein cost "
        f"{cost.per_100g_protein:.2f}."
    ]
    rows += _budget_text(cost)
    if cost.unpriced:
        rows.append(
            f"Without a price: {', '.join(cost.unpriced)} "
            f"({cost.unpriced_energy_share:.0%} of the energy)."
        )
    if swap is not None:
        rows.append(
            f"Cheapest swap that keeps every target: on {swap.date:%A}, {swap.after} instead of "
            f"{swap.before} saves {swap.saves_eaten:.2f}."
        )
    if cost.note:
        rows.append(cost.note)
    return "\n".join(rows)
