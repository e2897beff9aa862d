"""Days of meals, planned one after another and then, if wanted, searched further."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from functools import partial

from foods.dishes.model import Dish
from mealplan.client.intake import Intake, Weekday
from mealplan.errors import NoPlanError, SafetyRefusal
from mealplan.lp.amounts import UNSERVABLE
from mealplan.menu.adequacy import WISHES
from mealplan.menu.bound import week_bound
from mealplan.menu.context import Context
from mealplan.menu.day import solve_one
from mealplan.menu.finish import finish
from mealplan.menu.following import follows, prices_after, with_rest_of
from mealplan.menu.freezer import to_freeze, with_freezer
from mealplan.menu.improve import improve, steps_of
from mealplan.menu.larder import choose_shelf
from mealplan.menu.ledger import floors_for, week_of
from mealplan.menu.offers import pot_days
from mealplan.menu.plates import set_right
from mealplan.menu.pots import cooks_pot
from mealplan.menu.purse import within_till
from mealplan.menu.score import among_neighbours, score_days
from mealplan.menu.served import Served, Solved
from mealplan.plan import EATEN, Plan
from mealplan.rules.preferences.base import MAINS
from mealplan.rules.preferences.places import can_be_eaten
from mealplan.rules.preferences.pots import keeps_for
from mealplan.rules.preferences.repeat import WINDOW_DAYS
from mealplan.rules.rows.training import BEFORE
from mealplan.rules.weights import weight
from mealplan.targets.ranges import DayTargets, Targets

SHUNNED = weight("shunned")

LARDER_DAYS = 4
"""Fewer days than these are planned from everything: there is little to share. [days]"""
LOST = 0.03
"""Musts missed by so little are met: rows are drawn in by more. [score]"""

Progress = Callable[[int, int], None]


def searched_further(
    context: Context,
    targets: Sequence[DayTargets],
    solved: Mapping[int, Solved],
    avoid: Mapping[str, float],
    tell: Callable[[int], None],
) -> dict[int, Solved]:
    """Search a plan's days further; never worse than what is given."""

    def replan(
        day: int,
        history: Mapping[int, tuple[Served, ...]],
        *,
        settled: Mapping[int, Served],
        lean: Mapping[str, float],
        seed: int,
    ) -> Solved:
        prices = {dish: avoid.get(dish, 0.0) + lean.get(dish, 0.0) for dish in {*avoid, *lean}}
        return solve_one(
            context,
            day,
            targets[day],
            history,
            avoid=prices,
            settled=settled,
            seed=seed,
            floors=floors_for(context.space, day, targets, history),
        )

    keepers = [
        dish.key for dish in context.dishes if dish.keeps_days >= 1 and dish.batch_portions >= 2
    ]
    better = improve(
        solved,
        replan,
        lambda trial: score_days(context, targets, trial, avoid),
        keepers if context.intake.kitchen.leftovers else (),
        seed=context.intake.seed,
        tell=tell,
    )
    exact = among_neighbours(context, targets, better, avoid)
    before = sum(day.objective for day in solved.values())
    after = sum(day.objective for day in exact.values())
    return exact if after < before else dict(solved)


def from_larder(
    context: Context,
    targets: Sequence[DayTargets],
    avoid: Mapping[str, float],
    tell: Callable[[int], None],
) -> tuple[Context, dict[int, Solved], str]:
    """
    Choose what to buy, then plan days from it; with more to buy where days would miss a must.

    Parameters
    ----------
    context : Context
    targets : sequence of DayTargets
        One a day, in order.
    avoid : mapping of str to float
        Extra price by dish key.
    tell : callable
        Called with the days done.

    Returns
    -------
    context : Context
        With the larder the days were planned from.
    solved : dict of int to Solved
    note : str
        What so short a list costs; empty where no larder was chosen.
    """
    if len(targets) < LARDER_DAYS:
        return context, plan_days(context, targets, avoid, tell), ""
    shelf = choose_shelf(context, targets, avoid)
    solved = plan_days(context.with_shelf(shelf.names), targets, avoid, tell)
    bought = {
        context.name_bought[food]
        for one in solved.values()
        for meal in one.served
        for food in meal.grams
    }
    return context.with_shelf(shelf.names | bought), solved, shelf.note


def plan_days(
    context: Context,
    targets: Sequence[DayTargets],
    avoid: Mapping[str, float],
    tell: Callable[[int], None],
) -> dict[int, Solved]:
    """
    Plan days one after another, each among those before it.

    Parameters
    ----------
    context : Context
    targets : sequence of DayTargets
        One a day, in order.
    avoid : mapping of str to float
        Extra price by dish key.
    tell : callable
        Called with the days done.

    Returns
    -------
    dict of int to Solved
    """
    history: dict[int, tuple[Served, ...]] = {}
    solved: dict[int, Solved] = {}
    for day in range(len(targets)):
        context, solved[day] = plan_next(context, targets, day, history, avoid)
        history[day] = solved[day].served
        tell(day + 1)
    return solved


def plan_next(
    context: Context,
    targets: Sequence[DayTargets],
    day: int,
    history: Mapping[int, tuple[Served, ...]],
    avoid: Mapping[str, float],
    keep: Mapping[int, str] | None = None,
) -> tuple[Context, Solved]:
    """
    Plan the day after some that are planned.

    Parameters
    ----------
    context : Context
    targets : sequence of DayTargets
        One a day, in order.
    day : int
        Index of the day to plan.
    history : mapping of int to tuple of Served
        What the days before it serve.
    avoid : mapping of str to float
        Extra price by dish key.
    keep : mapping of int to str, optional
        Dish a meal must be, by meal.

    Returns
    -------
    context : Context
        With what more had to be bought.
    solved : Solved
    """
    asked = targets[day]
    solve = partial(
        solve_one,
        day=day,
        targets=asked,
        history=history,
        avoid=avoid,
        keep=same_breakfast(context, targets, day, history) | dict(keep or {}),
        floors=floors_for(context.space, day, targets, history),
    )
    solved = solve(context)
    lost = lost_of(solved)
    misplaced = (
        solved.objective >= UNSERVABLE
        or _misplaced(context, asked.weekday, solved.served)
        or _worn(context, day, solved.served, history)
    )
    if (lost > LOST or misplaced) and context.shelf is not None:
        # A few more things and fuller plates, where this day can't do without.
        other = solve(context.beyond_shelf(context.shelf))
        if other.objective < solved.objective and (misplaced or lost_of(other) < lost):
            solved = set_right(other, context.space)
            more = {context.name_bought[f] for meal in other.served for f in meal.grams}
            context = context.with_shelf(context.shelf | more)
    return context, solved


def same_breakfast(
    context: Context,
    targets: Sequence[DayTargets],
    day: int,
    history: Mapping[int, Sequence[Served]],
) -> dict[int, str]:
    """
    Keep the breakfast of the week's first weekday where the household wants it so.

    Parameters
    ----------
    context : Context
    targets : sequence of DayTargets
        One a day, in order.
    day : int
        Index of the day.
    history : mapping of int to sequence of Served
        What the days before it serve.

    Returns
    -------
    dict of int to str
        Dish by meal.
    """
    if not context.intake.kitchen.living.same_breakfast_on_weekdays:
        return {}
    week = [d for d in week_of(day, len(targets)) if targets[d].weekday not in ("sat", "sun")]
    if day not in week or day == week[0]:
        return {}
    return {
        slot.index: history[week[0]][slot.index].dish
        for slot in context.slots
        if slot.occasion == "breakfast"
    }


def _misplaced(context: Context, weekday: Weekday, meals: Sequence[Served]) -> bool:
    """Say whether a meal cannot be eaten where it should be, or is no pot and should be one."""
    living = context.intake.kitchen.living
    days = pot_days(living.cooking_days, weekday)
    if days and any(
        cooks_pot(context, slot.occasion, weekday, days)
        and meal.dish != EATEN
        and not keeps_for(context.by_key[meal.dish], days)
        for slot, meal in zip(context.slots, meals, strict=True)
    ):
        return True
    kitchen = not living.away_all_day(weekday, [slot.occasion for slot in context.slots])
    return any(
        not can_be_eaten(
            context.by_key[meal.dish],
            living.place_of(weekday, slot.occasion),
            kept=meal.kept_from is not None,
            kitchen=kitchen,
        )
        for slot, meal in zip(context.slots, meals, strict=True)
        if meal.dish != EATEN
    )


def _worn(
    context: Context,
    day: int,
    meals: Sequence[Served],
    history: Mapping[int, Sequence[Served]],
) -> bool:
    """Say whether a main meal is a dish that has come as often as it may."""
    come = Counter(
        meal.dish for other, eaten in history.items() if day - other < WINDOW_DAYS for meal in eaten
    )
    return any(
        come[meal.dish] >= context.habits.most
        for slot, meal in zip(context.slots, meals, strict=True)
        if slot.occasion in MAINS and meal.kept_from is None and meal.dish != EATEN
    )


def lost_of(solved: Solved) -> float:
    """
    Price what a day misses of its musts, and minutes beyond its cook's.

    Parameters
    ----------
    solved : Solved

    Returns
    -------
    float
        [objective]
    """
    model, answer = solved.model, solved.answer
    missed = model.miss(model.totals(answer.picks, answer.grams))
    must = [row.tier not in WISHES or row.name.endswith(BEFORE) for row in model.rows]
    return float(missed[must].sum()) + model.overtime(answer.picks)


def make_plan(
    intake: Intake,
    targets: Targets,
    *,
    days: int = 7,
    first: dt.date | None = None,
    avoid: Sequence[str] = (),
    dishes: Sequence[Dish] | None = None,
    polish: bool = False,
    prove: bool = False,
    progress: Progress | None = None,
    before: Plan | None = None,
) -> Plan:
    """
    Plan days of meals for a client.

    Parameters
    ----------
    intake : Intake
        Kitchen, tastes and seed; the same intake gives the same plan.
    targets : Targets
        From :func:`mealplan.targets.make.make_targets`.
    days : int
        How many, 1 to 28. [days]
    first : date, optional
        First day; the intake's start when left out.
    avoid : sequence of str
        Dish keys already shown, to be passed over where others do as well.
    dishes : sequence of Dish, optional
        Dishes on offer; those that ship and the intake's own when left out.
    polish : bool
        True to search further once every day is planned: some twenty times as long, never worse.
    prove : bool
        True to work out what no plan of these days can score less than, as a polished plan always
        does; that takes longer than planning.
    progress : callable, optional
        Called with (days done, days in all), or steps when the plan is polished.
    before : Plan, optional
        Days that end on the eve of the first: what is left of them is used, their dishes come
        less. Others are passed over.

    Returns
    -------
    Plan

    Raises
    ------
    SafetyRefusal
        When a guard rail forbids planning.
    NoPlanError
        When no dish is left for a meal.
    IntakeError
        When a taste names nothing known.
    """
    refuse_unsafe(targets)
    if not 1 <= days <= 28:
        raise NoPlanError(f"days={days} is outside 1 to 28; plan four weeks at most at a time")
    start = first or intake.start
    cupboard, frozen = None, None
    if before is not None and follows(before, start):
        intake = with_rest_of(intake, before)
        cupboard, frozen = intake.kitchen.cupboard, intake.kitchen.frozen
    context = Context.make(intake, targets, dishes, month=start.month)
    context = with_freezer(context, intake.kitchen.frozen, start)
    dates = [start + dt.timedelta(days=offset) for offset in range(days)]
    shunned = prices_after(context, before) if before is not None and cupboard is not None else {}
    shunned |= dict.fromkeys(avoid, SHUNNED)
    steps = days + (steps_of(days) if polish else 0)

    def tell(done: int) -> None:
        if progress is not None:
            progress(done, steps)

    blank = Plan(
        role=intake.role,
        start=start,
        seed=intake.seed,
        days=(),
        supplements=targets.supplements,
        notices=targets.notices,
        cupboard=cupboard,
        frozen=frozen,
    )

    def planned(within: Context) -> Plan:
        return _planned(within, blank, dates, shunned, tell, polish=polish, prove=prove)

    return within_till(context, days, planned)


def _planned(
    context: Context,
    blank: Plan,
    dates: Sequence[dt.date],
    shunned: Mapping[str, float],
    tell: Callable[[int], None],
    *,
    polish: bool,
    prove: bool,
) -> Plan:
    """Plan days in a context; arguments as in :func:`make_plan`, and what goes around the days."""
    day_targets = [context.targets.on_date(date) for date in dates]
    days = len(dates)
    steps = days + (steps_of(days) if polish else 0)
    narrow, solved, note = from_larder(context, day_targets, shunned, tell)
    if polish:
        solved = searched_further(
            narrow, day_targets, solved, shunned, lambda done: tell(min(days + done, steps))
        )
        tell(steps)
    history = {day: answer.served for day, answer in solved.items()}
    proving = (polish or prove) and days >= WINDOW_DAYS
    lowest = week_bound(context, day_targets, shunned, thorough=polish) if proving else None
    freeze = to_freeze(context, history, blank.start)
    return finish(context, blank, dates, history, solved, freeze=freeze, lowest=lowest, note=note)


def refuse_unsafe(targets: Targets) -> None:
    """
    Stop when a guard rail forbids acting on these targets.

    Parameters
    ----------
    targets : Targets

    Raises
    ------
    SafetyRefusal
        One line that says what is refused, why and whom to see.
    """
    refusals = [n for n in targets.notices if n.severity in ("refuse", "override")]
    if refusals:
        said = " ".join(
            f"{n.message}{' See ' + n.see + '.' if n.see else ''} [{n.code}]" for n in refusals[:3]
        )
        raise SafetyRefusal(f"no plan is made: {said}")
