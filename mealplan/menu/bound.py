"""What no plan of some days can score less than."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from mealplan.lp.daymodel import DayModel
from mealplan.lp.week_bound import DayKind, Ties, bound_week, family_curve
from mealplan.menu.context import Context
from mealplan.menu.day import day_model
from mealplan.menu.leftovers import kept_cost, may_keep
from mealplan.menu.offers import own_price, table_at
from mealplan.rules.preferences.family import NEXT_DAY, SAME_DAY
from mealplan.rules.preferences.repeat import WINDOW_DAYS
from mealplan.rules.rows.nutrients import INSET
from mealplan.targets.ranges import DayTargets

NEAR_DISHES = 16
"""Dishes of a meal whose foods a quick bound on weeks counts."""


def week_bound(
    context: Context,
    targets: Sequence[DayTargets],
    avoid: Mapping[str, float] | None = None,
    *,
    thorough: bool = True,
) -> float | None:
    """
    Bound every plan of some days from below, whichever dishes the days serve.

    Days with the same targets, minutes and training are blended. A dish fits each day as well as
    it fits the best of them and a kept portion may have any amounts in its range: that can only
    lower the bound.

    Parameters
    ----------
    context : Context
    targets : sequence of DayTargets
        One a day, in order.
    avoid : mapping of str to float, optional
        Extra price by dish key.
    thorough : bool
        False for a bound found in a third of the time, one to five per cent lower.

    Returns
    -------
    float or None
        No plan can score less. None where dishes are so few that a plan may have to serve one
        more often than is usual.
    """
    servings = WINDOW_DAYS * len(context.slots)
    habits = context.habits
    if context.intake.kitchen.living.same_breakfast_on_weekdays or any(
        habits.most * len(offer) <= servings
        for asked in targets
        for offer in context.choices(asked)
    ):
        return None
    weeks = -(-len(targets) // WINDOW_DAYS)
    kinds = [
        _kind(context, targets, days, avoid or {}) for days in _alike(context, targets).values()
    ]
    offered = {
        choice.dish for asked in targets for offer in context.choices(asked) for choice in offer
    }
    ties = Ties(
        over_days=_over_days(targets, kinds[0].model),
        most_each=max(habits.most, habits.most_small) * weeks,
        price_over=1.0,
        free_fresh=weeks,
        # What is liked most of all may come again at no price.
        price_again=0.0 if context.favourites else min(habits.again, habits.again_soon),
        family_steps=family_curve(len(targets), len(context.slots), SAME_DAY, NEXT_DAY),
        bought={key: context.bought[key] - context.cupboard for key in offered},
        price_bought=context.cost_to_open,
        name_bought=[context.name_bought[food.key] for food in context.space.foods],
    )
    return bound_week(kinds, ties, near=None if thorough else NEAR_DISHES)


def _alike(context: Context, targets: Sequence[DayTargets]) -> dict[tuple[object, ...], list[int]]:
    """Put days of the same targets, minutes and training together."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for day, asked in enumerate(targets):
        alike = (
            asked.model_dump_json(exclude={"weekday"}),
            context.intake.kitchen.hands_on_min.get(asked.weekday),
            tuple(sorted(context.clock.near_training(asked).items())),
        )
        groups.setdefault(alike, []).append(day)
    return groups


def _kind(
    context: Context,
    targets: Sequence[DayTargets],
    days: Sequence[int],
    avoid: Mapping[str, float],
) -> DayKind:
    """Model days that are alike once: every dish as dear as on the best of them."""
    asked = targets[days[0]]
    least = {
        key: one.each_day
        for key, one in asked.ranges.items()
        if one.over == "week" and one.each_day is not None
    }
    rows = day_model(context, days[0], asked, {}, floors=least)[0].rows
    weekdays = [targets[day].weekday for day in days]
    offers, kept = [], []
    for slot, base in zip(context.slots, context.choices(asked), strict=True):
        tables = [table_at(context, day, targets[day], slot, avoid) for day in days]
        own = np.min([[own_price(one.dish, table) for one in base] for table in tables], axis=0)
        fresh = [
            replace(choice, cost=choice.cost + float(price))
            for choice, price in zip(base, own, strict=True)
        ]
        again = [
            replace(
                choice,
                cost=kept_cost(choice, dish) + float(price),
                deviation=np.zeros(len(choice.foods)),
                far=np.zeros(len(choice.foods)),
                ratios=(),
            )
            for choice, price in zip(base, own, strict=True)
            if (dish := context.by_key[choice.dish]).keeps_days >= 1
            and dish.batch_portions >= 2
            and any(may_keep(context.intake, slot.occasion, weekday) for weekday in weekdays)
        ]
        offers.append((*fresh, *again))
        kept.append(np.arange(len(fresh) + len(again)) >= len(fresh))
    model = DayModel(rows, context.slots, tuple(offers), context.space.max_g_day)
    return DayKind(model, tuple(kept), len(days), len([day for day in days if day]))


def _over_days(targets: Sequence[DayTargets], model: DayModel) -> dict[str, tuple[float, float]]:
    """Add the weekly floors of some days up, and price what they fall short together."""
    found = {}
    for row in model.rows:
        if row.weekly:
            wanted = [one.ranges[row.name] for one in targets]
            total = sum((one.low or 0.0) * (1 + INSET) - one.supplied for one in wanted)
            found[row.name] = (total, row.price_low)
    return found
