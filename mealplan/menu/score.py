"""A plan priced as a whole, each day by the days before it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from mealplan.lp.build import best_amounts
from mealplan.lp.column_bound import relax
from mealplan.lp.daymodel import Choice
from mealplan.lp.search import DayAnswer
from mealplan.menu.context import Context
from mealplan.menu.day import day_model, out_on
from mealplan.menu.ledger import floors_for
from mealplan.menu.offers import around, offer_at, table_at
from mealplan.menu.pots import pots_on
from mealplan.menu.served import Served, Solved, grams_in, serve
from mealplan.plan import EATEN
from mealplan.rules.rows.nutrients import INSET
from mealplan.targets.ranges import DayTargets


def score_days(
    context: Context,
    targets: Sequence[DayTargets],
    solved: Mapping[int, Solved],
    avoid: Mapping[str, float],
) -> float:
    """
    Score a plan as a whole: each day priced by the days before it.

    Parameters
    ----------
    context : Context
    targets : sequence of DayTargets
        One a day, in order.
    solved : mapping of int to Solved
        Every day's answer, whatever neighbours it was planned among.
    avoid : mapping of str to float
        Extra price by dish key.

    Returns
    -------
    float
        Infinite when a meal is not what the days before it would let it be: a dish once too
        often, or a kept portion that does not fit the one cooked.
    """
    history: dict[int, tuple[Served, ...]] = {}
    total = 0.0
    for day, asked in enumerate(targets):
        answer, meals = solved[day].answer, solved[day].served
        floors = floors_for(context.space, day, targets, history)
        total += _missed(solved[day], floors) + solved[day].model.between(answer.picks)
        bases = context.choices(asked)
        others = around(context, day, history)
        pots = pots_on(context, day, asked.weekday, history)
        for slot, served, base in zip(context.slots, meals, bases, strict=True):
            if served.dish == EATEN:
                continue
            one = tuple(choice for choice in base if choice.dish == served.dish)
            table = table_at(context, day, asked, slot, avoid, others)
            offer, origin = offer_at(context, table, one, history, pots)
            if not offer:
                return math.inf
            choice, kept_from = offer[0], origin[0]
            grams = grams_in(context.space, choice, served)
            none = choice.optional & (grams == 0)
            inside = (grams >= choice.low - 1e-6) & (grams <= choice.high + 1e-6)
            if kept_from != served.kept_from or not (inside | none).all():
                return math.inf
            total += choice.cost + choice.away(grams)
        history[day] = meals
    return total


def _missed(solved: Solved, floors: Mapping[str, float]) -> float:
    """Price what a day misses where its parts of weekly floors are these."""
    model, answer = solved.model, solved.answer
    totals = model.totals(answer.picks, answer.grams)
    low = model.low.copy()
    for place, row in enumerate(model.rows):
        if row.weekly and row.name in floors:
            floor = floors[row.name] * (1 + INSET) + solved.margins.get(row.name, 0.0)
            low[place] = min(floor, row.high) - row.base
    below = np.maximum(low - totals, 0.0) @ model.price_low
    return float(below + np.maximum(totals - model.high, 0.0) @ model.price_high)


def _place_of(served: Served, offer: Sequence[Choice], cooked: Sequence[int | None]) -> int | None:
    """Find a meal among what is offered there; None when it is not."""
    return next(
        (
            place
            for place, choice in enumerate(offer)
            if choice.dish == served.dish and cooked[place] == served.kept_from
        ),
        None,
    )


def among_neighbours(
    context: Context,
    targets: Sequence[DayTargets],
    solved: Mapping[int, Solved],
    avoid: Mapping[str, float],
) -> dict[int, Solved]:
    """Write each day's answer among the days before it, its amounts set exactly."""
    history: dict[int, tuple[Served, ...]] = {}
    found: dict[int, Solved] = {}
    for day, asked in enumerate(targets):
        margins = solved[day].margins
        floors = floors_for(context.space, day, targets, history)
        model, origins = day_model(
            context, day, asked, history, avoid=avoid, margins=margins, floors=floors
        )
        places = [
            _place_of(served, offer, cooked)
            for offer, cooked, served in zip(model.offers, origins, solved[day].served, strict=True)
        ]
        if None in places:
            return dict(solved)  # among the others something graver is no longer needed there
        picks = tuple(place for place in places if place is not None)
        grams = tuple(
            grams_in(context.space, choice, served)
            for choice, served in zip(
                (offer[pick] for offer, pick in zip(model.offers, picks, strict=True)),
                solved[day].served,
                strict=True,
            )
        )
        eaten_later = {
            meal.dish for later in solved.values() for meal in later.served if meal.kept_from == day
        }
        held = [
            slot
            for slot, meal in enumerate(solved[day].served)
            if meal.kept_from is None and meal.dish in eaten_later
        ]
        grams, objective = best_amounts(model, picks, grams, held)
        answer = DayAnswer(picks, grams, objective, relax(model))
        served = serve(context.space, model, answer, origins, out_on(context, asked))
        found[day] = Solved(served, objective, answer.relaxation.bound, model, answer, margins)
        history[day] = served
    return found
