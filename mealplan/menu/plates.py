"""A day whose plates gave way to its musts: given back as much of them as the musts leave."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.lp.amounts import AmountsLP, polish
from mealplan.lp.daymodel import Choice, DayModel
from mealplan.menu.adequacy import WISHES
from mealplan.menu.served import Solved
from mealplan.rules.preferences.proportion import EASED
from mealplan.rules.rows.base import Row
from mealplan.rules.rows.plate import PLATE

HELD = 20.0
"""How much dearer a must is while plates are set right, so that next to none is given up. [1]"""


def eased(choice: Choice) -> Choice:
    """
    Let the amounts of a dish stray at a small part of their price.

    Parameters
    ----------
    choice : Choice

    Returns
    -------
    Choice
    """
    return replace(choice, far=EASED * choice.far)


def set_right(solved: Solved, space: FoodSpace) -> Solved:
    """
    Bring the amounts of an eased day as near to its dishes as what it met of its musts lets them.

    Parameters
    ----------
    solved : Solved
        A day planned with plates at a part of their price.
    space : FoodSpace
        The foods there are.

    Returns
    -------
    Solved
        The same dishes; its objective counts plates at their whole price.
    """
    model, answer = solved.model, solved.answer
    whole = replace(
        model,
        rows=tuple(_at_whole_price(row) for row in model.rows),
        offers=tuple(
            tuple(replace(choice, far=choice.far / EASED) for choice in offer)
            for offer in model.offers
        ),
    )
    met = model.totals(answer.picks, answer.grams)
    held = _held(whole, answer.picks, met)
    lp = AmountsLP(held)
    places = tuple(0 for _ in answer.picks)
    for slot, place in enumerate(places):
        lp.put(slot, place)
    lp.solve()
    found = (polish(held, places, start) for start in (lp.grams(), answer.grams))
    grams, value = min(found, key=lambda one: one[1])
    if value >= held.objective(places, answer.grams):
        grams = answer.grams
    served = tuple(
        replace(
            meal,
            grams={
                space.foods[food].key: float(amount)
                for food, amount in zip(model.offers[slot][pick].foods, grams[slot], strict=True)
                if amount > 0
            },
        )
        for slot, (pick, meal) in enumerate(zip(answer.picks, solved.served, strict=True))
    )
    objective = whole.objective(answer.picks, grams)
    return replace(
        solved,
        served=served,
        objective=objective,
        model=whole,
        answer=replace(answer, grams=grams, objective=objective),
    )


def _at_whole_price(row: Row) -> Row:
    return replace(row, price_high=row.price_high / EASED) if row.name.startswith(PLATE) else row


def _held(model: DayModel, picks: tuple[int, ...], met: np.ndarray) -> DayModel:
    """Keep the dishes, and what was met of each must."""
    rows = []
    for row, total in zip(model.rows, met, strict=True):
        if row.tier in WISHES:
            rows.append(row)
            continue
        low = min(row.low, float(total) + row.base)
        high = max(row.high, float(total) + row.base)
        rows.append(
            replace(
                row,
                low=low,
                high=high,
                price_low=HELD * row.price_low,
                price_high=HELD * row.price_high,
            )
        )
    offers = tuple((model.offers[slot][pick],) for slot, pick in enumerate(picks))
    return replace(model, rows=tuple(rows), offers=offers)
