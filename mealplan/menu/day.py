"""One day among its neighbours: its model, and its answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from mealplan.kitchen.composition_spread import Z_SCORES, Spread, floor_margin
from mealplan.lp.daymodel import Choice, DayModel
from mealplan.lp.search import solve_day
from mealplan.menu.adequacy import WISHES
from mealplan.menu.context import Context
from mealplan.menu.offers import around, offer_at, table_at
from mealplan.menu.pots import pots_on
from mealplan.menu.served import Served, Solved, already_there, fixed_choice, serve
from mealplan.plan import EATEN
from mealplan.rules import Scope, Slot, day_rows
from mealplan.rules.preferences.family import SAME_DAY
from mealplan.rules.preferences.minutes import OVER_MINUTE
from mealplan.rules.preferences.proportion import EASED
from mealplan.rules.rows.base import Row
from mealplan.rules.weights import weight
from mealplan.shopping.stock import Stock
from mealplan.targets.ranges import DayTargets

USED_UP = weight("used_up")
OUT = "Eaten out"


def day_model(
    context: Context,
    day: int,
    targets: DayTargets,
    history: Mapping[int, Sequence[Served]],
    *,
    avoid: Mapping[str, float] | None = None,
    keep: Mapping[int, str] | None = None,
    settled: Mapping[int, Served] | None = None,
    margins: Mapping[str, float] | None = None,
    stock: Stock | None = None,
    floors: Mapping[str, float] | None = None,
) -> tuple[DayModel, tuple[tuple[int | None, ...], ...]]:
    """
    Build one day's model with the prices its neighbours put on its dishes.

    Parameters
    ----------
    context : Context
    day : int
        Index of the day in the plan.
    targets : DayTargets
        Its ranges.
    history : mapping of int to sequence of Served
        What the other days serve.
    avoid : mapping of str to float, optional
        Extra price by dish key, for another day than the one shown.
    keep : mapping of int to str, optional
        Dish a meal must stay, by meal; its amounts may move.
    settled : mapping of int to Served, optional
        Meals already eaten or portioned, by meal; nothing about them moves.
    margins : mapping of str to float, optional
        What to add to a floor so that it really holds, by nutrient. [nutrient unit]
    stock : Stock, optional
        What is at home, when the day should be made from it.
    floors : mapping of str to float, optional
        What the day must bring of weekly floors (:func:`mealplan.menu.ledger.floors_for`); its
        even part when left out. [nutrient unit]

    Returns
    -------
    model : DayModel
    kept_from : tuple of tuples
        For each meal and dish, the day it was cooked, or None when cooked fresh.
    """
    settled = out_on(context, targets) | dict(settled or {})
    slots = context.slots_on(targets)
    offers, origins = _offered(
        context, day, targets, history, slots, avoid or {}, keep or {}, settled, stock
    )
    _leave_for_others(offers, origins)
    scope = Scope(
        intake=context.intake,
        targets=context.targets,
        day=targets,
        slots=slots,
        space=context.space,
        floors=floors or {},
        margins=margins or {},
        other_kcal={slot: served.other_kcal for slot, served in settled.items()},
        worth_per_gram=context.worth_per_gram,
        budget=context.budget,
        dear=context.dear,
        plate_price=EASED if context.beyond else 1.0,
    )
    model = DayModel(
        rows=(
            *_above_money(day_rows(scope), context.dear),
            *(stock.rows() if stock is not None else ()),
        ),
        slots=slots,
        offers=tuple(offers),
        food_ceiling_g=np.maximum(context.space.max_g_day, already_there(context.space, settled)),
        family_price=SAME_DAY,
        minutes_most=context.intake.kitchen.hands_on_min.get(targets.weekday),
        minute_price=OVER_MINUTE,
    )
    return model, tuple(origins)


def out_on(context: Context, targets: DayTargets) -> dict[int, Served]:
    """
    Give the meals of a day that are eaten out, as what is assumed of them.

    Parameters
    ----------
    context : Context
    targets : DayTargets
        Of the day.

    Returns
    -------
    dict of int to Served
        By meal; neither planned nor shopped for.
    """
    living = context.intake.kitchen.living
    return {
        slot.index: Served(
            EATEN, {}, None, OUT, out=True, other_kcal=out.kcal, sd_kcal=out.spread_kcal
        )
        for slot in context.slots
        if (out := living.out_at(targets.weekday, slot.occasion)) is not None
    }


def _above_money(rows: Sequence[Row], dear: float) -> tuple[Row, ...]:
    """Keep what must be met above money, however dear that is made."""
    if dear == 1.0:
        return tuple(rows)
    return tuple(
        row
        if row.tier in WISHES
        else replace(row, price_low=dear * row.price_low, price_high=dear * row.price_high)
        for row in rows
    )


def _offered(
    context: Context,
    day: int,
    targets: DayTargets,
    history: Mapping[int, Sequence[Served]],
    slots: Sequence[Slot],
    avoid: Mapping[str, float],
    keep: Mapping[int, str],
    settled: Mapping[int, Served],
    stock: Stock | None,
) -> tuple[list[tuple[Choice, ...]], list[tuple[int | None, ...]]]:
    """Offer each meal its dishes at their neighbours' prices, and say which were cooked before."""
    others = around(context, day, history)
    pots = pots_on(context, day, targets.weekday, history)
    offers: list[tuple[Choice, ...]] = []
    origins: list[tuple[int | None, ...]] = []
    pools = zip(slots, context.choices(targets), context.off_shelf(targets), strict=True)
    for slot, base, beyond in pools:
        if slot.index in settled:
            offers.append((fixed_choice(settled[slot.index], context.space),))
            origins.append((settled[slot.index].kept_from,))
            continue
        wanted = keep.get(slot.index)
        kept = tuple(choice for choice in base if choice.dish == wanted)
        table = table_at(context, day, targets, slot, avoid, others)
        more = () if kept else beyond
        offer, origin = offer_at(context, table, kept or base, history, pots, more)
        if not offer:
            # A dish kept stays at no extra price; where every dish is used up, any may come again.
            offer = kept or tuple(replace(choice, cost=choice.cost + USED_UP) for choice in base)
            origin = (None,) * len(offer)
        if stock is not None:
            offer = tuple(
                stock.held_to(choice) if cooked is None else choice
                for choice, cooked in zip(offer, origin, strict=True)
            )
        offers.append(offer)
        origins.append(origin)
    return offers, origins


def _leave_for_others(
    offers: list[tuple[Choice, ...]], origins: list[tuple[int | None, ...]]
) -> None:
    """Leave a dish to the meal that has no other: no dish is served twice in a day."""
    only = {offer[0].dish: slot for slot, offer in enumerate(offers) if len(offer) == 1}
    for slot, offer in enumerate(offers):
        places = [place for place, one in enumerate(offer) if only.get(one.dish, slot) == slot]
        if places and len(places) < len(offer):
            offers[slot] = tuple(offer[place] for place in places)
            origins[slot] = tuple(origins[slot][place] for place in places)


def solve_one(
    context: Context,
    day: int,
    targets: DayTargets,
    history: Mapping[int, Sequence[Served]],
    *,
    avoid: Mapping[str, float] | None = None,
    keep: Mapping[int, str] | None = None,
    settled: Mapping[int, Served] | None = None,
    seed: int | None = None,
    stock: Stock | None = None,
    floors: Mapping[str, float] | None = None,
) -> Solved:
    """
    Plan one day among its neighbours.

    Parameters
    ----------
    context, day, targets, history, avoid, keep, settled, stock, floors
        As in :func:`day_model`.
    seed : int, optional
        The intake's seed plus the day's index when left out.

    Returns
    -------
    Solved
    """
    number = context.intake.seed + day if seed is None else seed
    settled = out_on(context, targets) | dict(settled or {})

    def solve(margins: Mapping[str, float]) -> Solved:
        model, origins = day_model(
            context,
            day,
            targets,
            history,
            avoid=avoid,
            keep=keep,
            settled=settled,
            margins=margins,
            stock=stock,
            floors=floors,
        )
        answer = solve_day(model, seed=number)
        served = serve(context.space, model, answer, origins, settled)
        bound = answer.relaxation.bound
        return Solved(served, answer.objective, bound, model, answer, margins)

    plain = solve({})
    z = Z_SCORES[context.intake.nutrition.floor_certainty_percent]
    if z == 0:
        return plain
    return solve(_margins(context, targets, plain.served, z))


def _margins(
    context: Context, targets: DayTargets, served: Sequence[Served], z: float
) -> dict[str, float]:
    """Say how far above each floor a day like this must aim for the wanted certainty."""
    grams = np.zeros(len(context.space))
    for meal in served:
        for key, amount in meal.grams.items():
            grams[context.space.index[key]] += amount
    spread = Spread.of(context.space)
    return {
        key: floor_margin(
            spread.total_sd(key, grams, digestible=target.digestible),
            z,
            spread.total_skew(key, grams, digestible=target.digestible),
        )
        for key, target in targets.ranges.items()
        if target.low is not None and key != "energy_kcal" and not target.from_supplement_only
    }
