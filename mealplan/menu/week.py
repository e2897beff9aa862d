"""Days of meals, planned one after another and then, if wanted, searched further."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence

from foods.dishes.model import Dish
from mealplan.client.intake import Intake
from mealplan.errors import NoPlanError, SafetyRefusal
from mealplan.menu.bound import week_bound
from mealplan.menu.context import Context
from mealplan.menu.day import solve_one
from mealplan.menu.finish import finish
from mealplan.menu.improve import improve, steps_of
from mealplan.menu.score import among_neighbours, score_days
from mealplan.menu.served import Served, Solved
from mealplan.plan import Plan
from mealplan.rules.preferences.repeat import WINDOW_DAYS
from mealplan.rules.weights import weight
from mealplan.targets.ranges import DayTargets, Targets

SHUNNED = weight("shunned")

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
            context, day, targets[day], history, avoid=prices, settled=settled, seed=seed
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


def make_plan(
    intake: Intake,
    targets: Targets,
    *,
    days: int = 7,
    first: dt.date | None = None,
    avoid: Sequence[str] = (),
    dishes: Sequence[Dish] | None = None,
    polish: bool = False,
    progress: Progress | None = None,
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
    progress : callable, optional
        Called with (days done, days in all), or steps when the plan is polished.

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
    context = Context.make(intake, targets, dishes)
    start = first or intake.start
    dates = [start + dt.timedelta(days=offset) for offset in range(days)]
    day_targets = [targets.on_date(date) for date in dates]
    shunned = dict.fromkeys(avoid, SHUNNED)
    history: dict[int, tuple[Served, ...]] = {}
    solved: dict[int, Solved] = {}
    steps = days + (steps_of(days) if polish else 0)

    def tell(done: int) -> None:
        if progress is not None:
            progress(done, steps)

    for day in range(days):
        solved[day] = solve_one(context, day, day_targets[day], history, avoid=shunned)
        history[day] = solved[day].served
        tell(day + 1)
    if polish:
        solved = searched_further(
            context, day_targets, solved, shunned, lambda done: tell(min(days + done, steps))
        )
        history = {day: answer.served for day, answer in solved.items()}
        tell(steps)
    lowest = (
        week_bound(context, day_targets, shunned, thorough=polish) if days >= WINDOW_DAYS else None
    )
    return finish(
        context,
        Plan(
            role=intake.role,
            start=start,
            seed=intake.seed,
            days=(),
            supplements=targets.supplements,
            notices=targets.notices,
        ),
        dates,
        history,
        solved,
        lowest=lowest,
    )


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
