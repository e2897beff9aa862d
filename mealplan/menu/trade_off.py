"""What a shorter or a longer list would cost: the same days planned from fewer and more things."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable

from mealplan.client.intake import Intake
from mealplan.kitchen.custom_foods import catalogue_of
from mealplan.market.price_list import price_list
from mealplan.menu.following import follows, with_rest_of
from mealplan.menu.week import make_plan
from mealplan.plan import EATEN, Alternative, Plan
from mealplan.rules.preferences.base import MAINS
from mealplan.rules.variety import habits_of
from mealplan.shopping.build import shopping_list
from mealplan.targets.ranges import Targets

FACTORS = (0.7, 1.4)
"""Things to buy in the other lists, as parts of the household's own. [1]"""
LEAST_THINGS, MOST_THINGS = 12, 120


def with_alternatives(
    plan: Plan,
    intake: Intake,
    targets: Targets,
    before: Plan | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Plan:
    """
    Plan the days of a plan again from fewer and from more things, and put both beside it.

    Parameters
    ----------
    plan : Plan
    intake : Intake
        It was made from.
    targets : Targets
        It was made for.
    before : Plan, optional
        The days before, as the plan knew them.
    progress : callable, optional
        Called with (days done, days in all).

    Returns
    -------
    Plan
        With what each of the three lists comes to, the shortest first.
    """
    living = intake.kitchen.living
    usual = living.things_most or habits_of(living).things
    days = len(plan.days)
    # What the plan began with is what its alternatives begin with.
    found = [_counted(plan, _lived(intake, before, plan.start), chosen=True)]
    for place, factor in enumerate(FACTORS):
        most = min(max(round(factor * usual), LEAST_THINGS), MOST_THINGS)
        other = living.model_copy(update={"things_most": most})
        asked = intake.model_copy(
            update={"kitchen": intake.kitchen.model_copy(update={"living": other})}
        )
        done = place * days

        def tell(day: int, _: int, done: int = done) -> None:
            if progress is not None:
                progress(done + day, len(FACTORS) * days)

        made = make_plan(asked, targets, days=days, first=plan.start, before=before, progress=tell)
        found.append(_counted(made, _lived(asked, before, plan.start), chosen=False))
    ordered = tuple(sorted(found, key=lambda one: (one.things, not one.chosen)))
    return plan.model_copy(update={"alternatives": ordered})


def _lived(intake: Intake, before: Plan | None, start: dt.date) -> Intake:
    known = before is not None and follows(before, start)
    return with_rest_of(intake, before) if known and before is not None else intake


def _counted(plan: Plan, intake: Intake, *, chosen: bool) -> Alternative:
    """Count what a household notices of a plan."""
    prices = price_list(intake.kitchen.shop, catalogue_of(plan, intake))
    lines = shopping_list(plan, intake, prices=prices).to_buy
    dinners = Counter(
        meal.dish
        for day in plan.days
        for meal in day.meals
        if meal.occasion in MAINS and meal.dish != EATEN
    )
    return Alternative(
        chosen=chosen,
        things=len(lines),
        dishes=len({meal.dish for day in plan.days for meal in day.meals}),
        main_most=max(dinners.values(), default=0),
        bought_g=round(sum(line.buy_g for line in lines)),
        left_g=round(sum(min(line.left_over_g, line.buy_g) for line in lines)),
        paid=round(sum(line.price or 0.0 for line in lines), 2) if prices else None,
        currency=prices.currency if prices else "",
        hands_on_min=sum(day.hands_on_min for day in plan.days),
        musts_missed=len(plan.musts_missed),
    )
