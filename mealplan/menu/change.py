"""
Change a plan without starting over: another day, another dish, keep this, ate something else.

Only the day asked about is planned again, and later meals that would have eaten a portion kept from
it. What changed, and how good the new day is against the best there could be, is said in sentences.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from foods import FoodError
from foods.catalogue import Catalogue
from mealplan.client.intake import Intake
from mealplan.errors import IntakeError
from mealplan.kitchen.custom_foods import with_own_of
from mealplan.lp.column_bound import relax
from mealplan.menu.adequacy import explain_minutes, explain_misses
from mealplan.menu.planner import (
    Context,
    Served,
    Solved,
    bound_note,
    explain_clashes,
    own_of,
    plan_day,
    refuse_unsafe,
    solve_one,
)
from mealplan.plan import EATEN, Meal, Plan, PlanDay
from mealplan.shopping.left_over import WORTH_KEEPING_G
from mealplan.shopping.stock import Stock, stock_on
from mealplan.targets.ranges import TargetRange, Targets

PRICE_SHOWN = 0.3
"""Serving again a dish of the day the client just turned down."""
PRICE_SHOWN_BEFORE = 0.06
"""Serving a dish of an earlier day the client turned down, for each time it was shown."""
TOLERANCE = 0.6
"""
A new day may score this much worse than the best there could be and still count as good.

The best is first taken as the proven bound, which no day of these dishes can pass; only where that
is not good enough, as the best day a search finds.
"""


@dataclass(frozen=True)
class Eaten:
    """What was eaten instead of a planned meal."""

    name: str
    foods: Mapping[str, float] = field(default_factory=dict)
    """Catalogue key or kitchen name to grams. [g]"""
    other_kcal: float = 0.0
    """Energy of anything whose foods are not known. [kcal]"""


@dataclass(frozen=True)
class Changed:
    """A changed plan and what to say about it."""

    plan: Plan
    sentences: tuple[str, ...]
    within_tolerance: bool


def _served(meal: Meal, index: Mapping[dt.date, int]) -> Served:
    grams = {serving.food: serving.grams for serving in meal.servings}
    known = sum(serving.energy_kcal for serving in meal.servings)
    other = max(0.0, meal.energy_kcal - known) if meal.dish == EATEN else 0.0
    kept = index.get(meal.leftover_from) if meal.leftover_from is not None else None
    return Served(
        dish=meal.dish,
        grams=grams,
        kept_from=kept,
        name=meal.name if meal.dish == EATEN else "",
        other_kcal=other if other > 1 else 0.0,
    )


def _from_eaten(eaten: Eaten, catalogue: Catalogue) -> Served:
    grams: dict[str, float] = {}
    for word, amount in eaten.foods.items():
        if not 0 < amount <= 5000:
            raise IntakeError(f"{word}: {amount:g} g is outside 0 to 5,000 g; check the amount")
        try:
            food = catalogue.food(word)
        except FoodError as error:
            raise IntakeError(f"eaten instead: {error}") from None
        grams[food.key] = grams.get(food.key, 0.0) + amount
    if not 0 <= eaten.other_kcal <= 6000:
        raise IntakeError(
            f"other_kcal={eaten.other_kcal:g} is outside 0 to 6,000 kcal for one meal"
        )
    if not grams and eaten.other_kcal == 0:
        raise IntakeError("say what was eaten: foods with grams, or its energy in kcal")
    return Served(EATEN, grams, None, eaten.name or "Something else", eaten.other_kcal)


def change_day(
    intake: Intake,
    targets: Targets,
    plan: Plan,
    date: dt.date,
    *,
    another: Collection[int] | None = None,
    keep: Collection[int] = (),
    settled: Collection[int] = (),
    eaten: Mapping[int, Eaten] | None = None,
    shown: Sequence[Sequence[str]] = (),
    from_home: bool = False,
    shopped: Plan | None = None,
    context: Context | None = None,
) -> Changed:
    """
    Plan one day of a plan again.

    Parameters
    ----------
    intake, targets, plan
        What the plan was made from, and the plan.
    date : date
        Day to change.
    another : collection of int, optional
        Meals that should get another dish; every meal that nothing else fixes when left out.
    keep : collection of int
        Meals whose dish stays; its amounts may move.
    settled : collection of int
        Meals already eaten as planned; nothing about them moves.
    eaten : mapping of int to Eaten, optional
        Meals where something else was eaten.
    shown : sequence of sequences of str
        Dish keys of days the client has turned down before, oldest first.
    from_home : bool
        True makes the day from what was bought before it and no other day needs; the dishes that
        stand there now may stay.
    shopped : Plan, optional
        The week as it was shopped for, when it has changed since.
    context : Context, optional
        Reused between calls for speed.

    Returns
    -------
    Changed

    Raises
    ------
    IntakeError
        When the date is not in the plan, a meal does not exist, or a food is unknown.
    SafetyRefusal
        When a guard rail forbids planning.
    """
    refuse_unsafe(targets)
    eaten = eaten or {}
    index = {day.date: place for place, day in enumerate(plan.days)}
    if date not in index:
        raise IntakeError(
            f"{date} is not in this plan, which runs from {plan.start} for {len(plan.days)} days"
        )
    place = index[date]
    old = plan.days[place]
    meals = range(len(old.meals))
    for name, chosen in (
        ("another", another or ()),
        ("keep", keep),
        ("settled", settled),
        ("eaten", eaten),
    ):
        wrong = [slot for slot in chosen if slot not in meals]
        if wrong:
            raise IntakeError(
                f"{name}: there is no meal {wrong[0]}; this day has meals 0 to {len(old.meals) - 1}"
            )
    # What the plan was made from stays known, though it was amended or withdrawn since.
    context = context or Context.make(with_own_of(plan, intake), targets)
    history = {
        i: tuple(_served(meal, index) for meal in day.meals) for i, day in enumerate(plan.days)
    }
    fixed = {slot: _from_eaten(what, context.space.catalogue) for slot, what in eaten.items()}
    fixed |= {slot: history[place][slot] for slot in settled if slot not in fixed}
    kept_dishes = {slot: old.meals[slot].dish for slot in keep if slot not in fixed}
    if another is not None:
        kept_dishes |= {
            slot: old.meals[slot].dish
            for slot in meals
            if slot not in another and slot not in fixed
        }
    # A meal that was something else before stays what it was unless it is asked about.
    for slot, dish in list(kept_dishes.items()):
        if dish == EATEN:
            fixed[slot] = history[place][slot]
            del kept_dishes[slot]
    free = [slot for slot in meals if slot not in fixed and slot not in kept_dishes]
    avoid: dict[str, float] = {}
    for turned_down in shown:
        for dish in turned_down:
            avoid[dish] = avoid.get(dish, 0.0) + PRICE_SHOWN_BEFORE
    stock = stock_on(plan, intake, date, context.space, shopped) if from_home else None
    if not eaten and not from_home:
        for slot in free:
            dish = old.meals[slot].dish
            avoid[dish] = avoid.get(dish, 0.0) + PRICE_SHOWN
    others = {i: meals_ for i, meals_ in history.items() if i != place}
    day_targets = targets.on_date(date)
    solve = partial(
        solve_one,
        context,
        place,
        day_targets,
        others,
        keep=kept_dishes,
        settled=fixed,
        stock=stock,
    )
    solved = solve(avoid=avoid)
    before = {frozenset(turned_down) for turned_down in shown} | {
        frozenset(meal.dish for meal in old.meals)
    }
    tries = 0
    renewed = bool(free) and not eaten and not from_home
    while renewed and frozenset(s.dish for s in solved.served) in before and tries < 6:
        tries += 1
        for slot in free:
            dish = solved.served[slot].dish
            avoid[dish] = avoid.get(dish, 0.0) + PRICE_SHOWN
        solved = solve(avoid=avoid, seed=intake.seed + place + 97 * tries)
    history[place] = solved.served
    answers = {place: solved}
    _mend_kept(context, targets, plan, place, history, answers)
    days = tuple(
        (
            plan_day(context, i, day.date, targets.on_date(day.date), history, answers[i])
            if i in answers
            else day
        )
        for i, day in enumerate(plan.days)
    )
    days = _recount(days, history)
    ranges: dict[str, TargetRange] = {}
    for day in days:
        ranges.update(targets.on_date(day.date).ranges)
    changed = plan.model_copy(
        update={
            "days": days,
            "explanation": (
                *explain_misses(days, ranges, context.space, context.allowed),
                *explain_minutes(days, intake.kitchen.hands_on_min),
                *explain_clashes(days, answers),
            ),
            "bound_note": bound_note(days),
            **own_of(context, days, ranges),
        }
    )
    worse = _worse(solved, avoid)
    if avoid and worse > TOLERANCE:
        # What is proven may lie below what any whole day reaches: look for that day.
        best = solve()
        worse = max(0.0, solved.objective - _paid(solved, avoid) - best.objective)
    return Changed(
        plan=changed,
        sentences=(
            *_sentences(old, days[place], worse, answers, plan, turned_down=bool(avoid)),
            *(_to_fetch(stock, solved) if stock is not None else ()),
        ),
        within_tolerance=worse <= TOLERANCE or not avoid,
    )


def _to_fetch(stock: Stock, solved: Solved) -> tuple[str, ...]:
    """Say whether the day can be cooked from what is at home, and what is lacking."""
    grams = np.zeros(len(stock.most_g))
    lacking: set[str] = set()
    for served in solved.served:
        if served.kept_from is not None or served.dish == EATEN:
            continue
        for key, amount in served.grams.items():
            place = stock.space.index[key]
            grams[place] += amount
            if stock.most_g[place] == 0:
                lacking.add(stock.space.foods[place].bought_name)
    over = [
        f"{pool.name} ({excess:.0f} g more)"
        for pool in stock.pools
        if (excess := float(pool.takes @ grams) - pool.grams) > WORTH_KEEPING_G
    ]
    said = sorted(lacking) + over
    if not said:
        return ("All of it can be cooked from what is at home; look that the staples are there.",)
    return (f"What is at home does not do for all of it; to fetch: {', '.join(said)}.",)


def _paid(solved: Solved, avoid: Mapping[str, float]) -> float:
    return sum(avoid.get(served.dish, 0.0) for served in solved.served)


def _worse(solved: Solved, avoid: Mapping[str, float]) -> float:
    """Say how much worse a day may at most be than the best with nothing turned down."""
    bound = relax(solved.model.cheaper(avoid)).bound if avoid else solved.bound
    return max(0.0, solved.objective - _paid(solved, avoid) - bound)


def _mend_kept(
    context: Context,
    targets: Targets,
    plan: Plan,
    place: int,
    history: dict[int, tuple[Served, ...]],
    answers: dict[int, Solved],
) -> None:
    """Plan later meals again that would have eaten a portion no longer cooked."""
    cooked = {served.dish for served in history[place] if served.kept_from is None}
    for later in range(place + 1, len(plan.days)):
        orphans = [
            slot
            for slot, served in enumerate(history[later])
            if served.kept_from == place and served.dish not in cooked
        ]
        if not orphans:
            continue
        keep = {
            slot: served.dish
            for slot, served in enumerate(history[later])
            if slot not in orphans and served.dish != EATEN
        }
        settled = {
            slot: served for slot, served in enumerate(history[later]) if served.dish == EATEN
        }
        others = {i: meals for i, meals in history.items() if i != later}
        day = plan.days[later]
        answer = solve_one(
            context, later, targets.on_date(day.date), others, keep=keep, settled=settled
        )
        history[later] = answer.served
        answers[later] = answer


def _recount(
    days: tuple[PlanDay, ...], history: Mapping[int, Sequence[Served]]
) -> tuple[PlanDay, ...]:
    """Bring the number of portions to cook in line with what later days keep."""
    result = []
    for place, day in enumerate(days):
        meals = []
        for meal in day.meals:
            later = sum(
                1
                for served_day in history.values()
                for served in served_day
                if served.dish == meal.dish and served.kept_from == place
            )
            fresh = meal.leftover_from is None and meal.dish != EATEN
            meals.append(meal.model_copy(update={"cook_portions": 1 + later if fresh else 0}))
        result.append(day.model_copy(update={"meals": tuple(meals)}))
    return tuple(result)


def _sentences(
    old: PlanDay,
    new: PlanDay,
    worse: float,
    answers: Mapping[int, Solved],
    plan: Plan,
    *,
    turned_down: bool,
) -> tuple[str, ...]:
    swaps = [
        f"{after.label.lower()}: {after.name} instead of {before.name}"
        for before, after in zip(old.meals, new.meals, strict=True)
        if before.dish != after.dish
    ]
    said = []
    if swaps:
        said.append(f"Changed on {new.date:%A}: {'; '.join(swaps)}.")
    else:
        said.append(f"On {new.date:%A} the dishes stay; amounts were set again.")
    musts = [line.label for line in new.missed if line.priority == "must"]
    if musts:
        said.append(f"Now short or over: {', '.join(musts)}.")
    elif worse <= 0.05:
        said.append("The day is as good as the best there could be.")
    elif not turned_down:
        said.append("Every floor and ceiling holds; no better day was found with what is fixed.")
    elif worse <= TOLERANCE:
        said.append(
            "Every floor and ceiling still holds; wishes of comfort are met at most a little less."
        )
    else:
        said.append(
            "The best dishes have been turned down: this day meets wishes clearly less well."
        )
    also = [plan.days[i].date for i in sorted(answers) if plan.days[i].date != new.date]
    said += [f"{date:%A} changed too: its kept portion is no longer cooked." for date in also]
    return tuple(said)
