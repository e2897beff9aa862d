"""
Change a plan without starting over: another day, another dish, keep this, ate something else.

Only the day asked about is planned again, and later meals that would have eaten a portion kept from
it. What changed, and how good the new day is against the best there could be, is said in sentences.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from foods import FoodError
from foods.composition.catalogue import Catalogue
from mealplan.client.intake import Intake
from mealplan.errors import IntakeError
from mealplan.kitchen.custom_foods import with_own_of
from mealplan.lp.column_bound import relax
from mealplan.menu.context import Context
from mealplan.menu.day import solve_one
from mealplan.menu.finish import finish
from mealplan.menu.freezer import in_freezer, with_freezer
from mealplan.menu.ledger import floors_for
from mealplan.menu.served import Served, Solved
from mealplan.menu.week import refuse_unsafe
from mealplan.plan import EATEN, Meal, Plan, PlanDay
from mealplan.rules.weights import weight
from mealplan.shopping.left_over import WORTH_KEEPING_G
from mealplan.shopping.stock import Stock, stock_on
from mealplan.targets.ranges import DayTargets, Targets

SHOWN = weight("shown")
SHOWN_BEFORE = weight("shown_before")
MOST_TRIES = 6
"""Searches for a day whose dishes were not shown before."""
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
    nothing: bool = False
    """True when the meal was left out."""
    sd_kcal: float = 0.0
    """How far its energy may lie from what it is read as, one standard deviation. [kcal]"""


@dataclass(frozen=True)
class Changed:
    """A changed plan and what to say about it."""

    plan: Plan
    sentences: tuple[str, ...]
    within_tolerance: bool


def _served(meal: Meal, index: Mapping[dt.date, int], start: dt.date) -> Served:
    grams = {serving.food: serving.grams for serving in meal.servings}
    known = sum(serving.energy_kcal for serving in meal.servings)
    other = max(0.0, meal.energy_kcal - known) if meal.dish == EATEN else 0.0
    kept = index.get(meal.leftover_from) if meal.leftover_from is not None else None
    if meal.from_freezer and meal.leftover_from is not None:
        kept = (meal.leftover_from - start).days
    return Served(
        dish=meal.dish,
        grams=grams,
        kept_from=kept,
        name=meal.name if meal.dish == EATEN else "",
        out=meal.eaten_out,
        other_kcal=other if other > 1 else 0.0,
        sd_kcal=meal.eaten_sd_kcal,
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
    if not grams and eaten.other_kcal == 0 and not eaten.nothing:
        raise IntakeError("say what was eaten: foods with grams, or its energy in kcal")
    name = eaten.name or "Something else"
    return Served(EATEN, grams, None, name, eaten.other_kcal, eaten.sd_kcal)


@dataclass(frozen=True)
class DayRequest:
    """What to change about one day of a plan."""

    date: dt.date
    another: Collection[int] | None = None
    """Meals that should get another dish; every meal that nothing else fixes when None."""
    keep: Collection[int] = ()
    """Meals whose dish stays; its amounts may move."""
    settled: Collection[int] = ()
    """Meals already eaten as planned; nothing about them moves."""
    eaten: Mapping[int, Eaten] = field(default_factory=dict)
    """Meals where something else was eaten."""
    shown: Sequence[Sequence[str]] = ()
    """Dish keys of days the client has turned down before, oldest first."""
    from_home: bool = False
    """
    True makes the day from what was bought before it and no other day needs; the dishes that stand
    there now may stay.
    """
    shopped: Plan | None = None
    """The week as it was shopped for, when it has changed since."""

    def check(self, old: PlanDay) -> None:
        """
        Refuse meals that do not exist.

        Parameters
        ----------
        old : PlanDay
            The day as it is.

        Raises
        ------
        IntakeError
            Naming the first.
        """
        asked = {
            "another": self.another or (),
            "keep": self.keep,
            "settled": self.settled,
            "eaten": self.eaten,
        }
        for name, chosen in asked.items():
            wrong = [slot for slot in chosen if slot not in range(len(old.meals))]
            if wrong:
                raise IntakeError(
                    f"{name}: there is no meal {wrong[0]}; this day has meals 0 to "
                    f"{len(old.meals) - 1}"
                )


@dataclass(frozen=True)
class _Asked:
    """A request read against the plan it changes."""

    context: Context
    plan: Plan
    place: int
    """Index of the day in the plan."""
    targets: DayTargets
    history: dict[int, tuple[Served, ...]]
    """What every day serves; the changed one and those mended after it are put in."""
    fixed: dict[int, Served]
    """Meals about which nothing moves."""
    kept_dishes: dict[int, str]
    """Dish a meal stays."""
    free: list[int]
    """Meals that may become anything."""
    stock: Stock | None

    @property
    def old(self) -> PlanDay:
        """The day as it was."""
        return self.plan.days[self.place]

    def floors(self, place: int) -> dict[str, float]:
        """Say what a day must bring of weekly floors, the others being as they are."""
        every = [self.context.targets.on_date(day.date) for day in self.plan.days]
        return floors_for(self.context.space, place, every, self.history)


def change_day(
    intake: Intake,
    targets: Targets,
    plan: Plan,
    request: DayRequest,
    *,
    context: Context | None = None,
) -> Changed:
    """
    Plan one day of a plan again.

    Parameters
    ----------
    intake, targets, plan
        What the plan was made from, and the plan.
    request : DayRequest
        What to change about which day.
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
    asked = _read(intake, targets, plan, request, context)
    answers, avoid = _solve(asked, request)
    changed = finish(asked.context, plan, [day.date for day in plan.days], asked.history, answers)
    solved = answers[asked.place]
    worse = _worse(solved, avoid)
    if avoid and worse > TOLERANCE:
        # What is proven may lie below what any whole day reaches: look for that day.
        best = _search(asked)
        worse = max(0.0, solved.objective - _paid(solved, avoid) - best.objective)
    new = changed.days[asked.place]
    means = [mean.label for mean in changed.week_means if not mean.met]
    return Changed(
        plan=changed,
        sentences=(
            *_sentences(asked.old, new, worse, answers, plan, means, turned_down=bool(avoid)),
            *(_to_fetch(asked.stock, solved) if asked.stock is not None else ()),
        ),
        within_tolerance=worse <= TOLERANCE or not avoid,
    )


def _read(
    intake: Intake, targets: Targets, plan: Plan, request: DayRequest, context: Context | None
) -> _Asked:
    """Say what of the day is fixed, what keeps its dish, and what is free."""
    index = {day.date: place for place, day in enumerate(plan.days)}
    if request.date not in index:
        raise IntakeError(
            f"{request.date} is not in this plan, which runs from {plan.start} for "
            f"{len(plan.days)} days"
        )
    place = index[request.date]
    old = plan.days[place]
    request.check(old)
    # What the plan was made from stays known, though it was amended or withdrawn since.
    context = context or Context.make(with_own_of(plan, intake), targets)
    context = with_freezer(context, in_freezer(plan, intake), plan.start)
    history = {
        i: tuple(_served(meal, index, plan.start) for meal in day.meals)
        for i, day in enumerate(plan.days)
    }
    catalogue = context.space.catalogue
    fixed = {slot: _from_eaten(what, catalogue) for slot, what in request.eaten.items()}
    fixed |= {slot: history[place][slot] for slot in request.settled if slot not in fixed}
    staying = set(request.keep)
    if request.another is not None:
        staying |= set(range(len(old.meals))) - set(request.another)
    kept_dishes = {slot: old.meals[slot].dish for slot in sorted(staying - set(fixed))}
    # A meal that was something else before stays what it was unless it is asked about.
    for slot, dish in list(kept_dishes.items()):
        if dish == EATEN:
            fixed[slot] = history[place][slot]
            del kept_dishes[slot]
    return _Asked(
        context=context,
        plan=plan,
        place=place,
        targets=targets.on_date(request.date),
        history=history,
        fixed=fixed,
        kept_dishes=kept_dishes,
        free=[s for s in range(len(old.meals)) if s not in fixed and s not in kept_dishes],
        stock=(
            stock_on(plan, intake, request.date, context.space, request.shopped)
            if request.from_home
            else None
        ),
    )


def _search(
    asked: _Asked, avoid: Mapping[str, float] | None = None, seed: int | None = None
) -> Solved:
    """Plan the day with everything a request fixes."""
    return solve_one(
        asked.context,
        asked.place,
        asked.targets,
        {i: meals for i, meals in asked.history.items() if i != asked.place},
        keep=asked.kept_dishes,
        settled=asked.fixed,
        stock=asked.stock,
        avoid=avoid,
        seed=seed,
        floors=asked.floors(asked.place),
    )


def _solve(asked: _Asked, request: DayRequest) -> tuple[dict[int, Solved], dict[str, float]]:
    """Plan the day until it is another one, then later days that lose a portion."""
    old = asked.old
    renewed = not request.eaten and not request.from_home
    avoid: dict[str, float] = {}

    def turn_down(dishes: Iterable[str], price: float) -> None:
        for dish in dishes:
            avoid[dish] = avoid.get(dish, 0.0) + price

    for turned_down in request.shown:
        turn_down(turned_down, SHOWN_BEFORE)
    if renewed:
        turn_down((old.meals[slot].dish for slot in asked.free), SHOWN)
    solved = _search(asked, avoid)
    before = {frozenset(turned_down) for turned_down in request.shown} | {
        frozenset(meal.dish for meal in old.meals)
    }
    for tries in range(1, MOST_TRIES + 1):
        if not (renewed and asked.free) or frozenset(s.dish for s in solved.served) not in before:
            break
        turn_down((solved.served[slot].dish for slot in asked.free), SHOWN)
        solved = _search(asked, avoid, asked.context.intake.seed + asked.place + 97 * tries)
    asked.history[asked.place] = solved.served
    answers = {asked.place: solved}
    _mend_kept(asked, answers)
    return answers, avoid


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


def _mend_kept(asked: _Asked, answers: dict[int, Solved]) -> None:
    """Plan later meals again that would have eaten a portion no longer cooked."""
    history, place = asked.history, asked.place
    cooked = {served.dish for served in history[place] if served.kept_from is None}
    for later in range(place + 1, len(asked.plan.days)):
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
        day = asked.context.targets.on_date(asked.plan.days[later].date)
        answer = solve_one(
            asked.context,
            later,
            day,
            others,
            keep=keep,
            settled=settled,
            floors=asked.floors(later),
        )
        history[later] = answer.served
        answers[later] = answer


def _sentences(
    old: PlanDay,
    new: PlanDay,
    worse: float,
    answers: Mapping[int, Solved],
    plan: Plan,
    means: Sequence[str],
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
    elif means:
        said.append(f"Short as the mean of the week: {', '.join(means)}.")
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
