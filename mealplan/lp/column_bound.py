"""
A proven bound on the best day, and which dishes are worth trying.

The day's relaxation lets each meal be a blend of dishes. It is solved by column generation
(Dantzig-Wolfe): a small master problem holds the nutrient rows and one "exactly one dish" row a
meal; the dual prices then find, for every dish at once, the portion that helps most. Because each
dish prices out on its own, the work grows hardly at all with the number of dishes, and at every
round the prices give a valid lower bound (Lagrangian) on any whole plan.

References
----------
.. [1] G. B. Dantzig, P. Wolfe, Operations Research 8(1), 1960, 101-111, doi:10.1287/opre.8.1.101.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from mealplan.lp.daymodel import DayModel, Floats, SlotTable
from mealplan.lp.warm_start import HotLP


@dataclass(frozen=True)
class Relaxation:
    """What the blended day says."""

    bound: float
    """No plan with these dishes can cost less."""
    value: float
    """Cost of the best blend found; equals the bound when converged."""
    reduced_cost: tuple[Floats, ...]
    """For each meal and dish, a floor on how much the day worsens when that dish is forced."""
    share: tuple[Floats, ...]
    """For each meal and dish, its part of the best blend, 0 to 1."""
    row_price: Floats
    """(rows,) dual price: what one more unit of the row's bound would cost."""
    rounds: int


def best_portions(
    table: SlotTable, price: Floats, serving: Floats | None = None
) -> tuple[Floats, Floats]:
    """
    Find the cheapest portion of every dish of a meal under given prices.

    Parameters
    ----------
    table : SlotTable
        A meal's choices.
    price : array (rows,)
        Worth of one unit of each row.
    serving : array (lines,), optional
        Price of serving a line at all; nought for lines a dish cannot do without.

    Returns
    -------
    grams : array (lines,)
        Best amount of every line: low, typical, high, or nothing when optional.
    cost : array (choices,)
        Price of each dish in those amounts: serving cost less the worth of its nutrients.
    """
    worth = table.per_gram @ price
    at_low = table.deviation * (table.typical - table.low) - worth * table.low
    at_typical = -worth * table.typical
    at_high = table.deviation * (table.high - table.typical) - worth * table.high
    none = np.where(table.optional, 0.0, np.inf)
    if serving is not None:
        at_low, at_typical, at_high = at_low + serving, at_typical + serving, at_high + serving
    options = np.stack([none, at_low, at_typical, at_high])
    pick = options.argmin(axis=0)
    grams = np.choose(pick, [np.zeros_like(table.low), table.low, table.typical, table.high])
    cost = table.cost + np.add.reduceat(options.min(axis=0), table.starts)
    return grams, cost


def relax(
    model: DayModel, *, gap: float = 1e-3, most_rounds: int = 200, per_round: int = 4
) -> Relaxation:
    """
    Bound the day from below and rank its dishes.

    Ratios inside dishes and per-day food ceilings are left out, which can only lower the bound, so
    it stays valid.

    Parameters
    ----------
    model : DayModel
        The day.
    gap : float
        Stop when bound and value are this close, relative to 1 + value. [1]
    most_rounds : int
        Stop after this many rounds; the bound is valid whenever it stops.
    per_round : int
        Most dishes a meal adds in one round.

    Returns
    -------
    Relaxation
    """
    rows = len(model.rows)
    slots = len(model.slots)
    lp = HotLP()
    one = np.ones(slots)
    timed = model.minutes_most is not None
    most = [np.inf if model.minutes_most is None else model.minutes_most]
    lp.add_rows(
        np.concatenate([model.low, one, [-np.inf]]), np.concatenate([model.high, one, most])
    )
    minutes = [np.array([choice.minutes for choice in offer]) for offer in model.offers]
    below = np.flatnonzero(np.isfinite(model.low))
    above = np.flatnonzero(np.isfinite(model.high))
    lp.add_unit_columns(model.price_low[below], below, 1.0)
    lp.add_unit_columns(model.price_high[above], above, -1.0)
    lp.add_unit_columns(np.array([model.minute_price]), np.array([rows + slots]), -1.0)

    owners: list[tuple[int, int]] = []
    first_dish_column = lp.columns

    def add(slot: int, choice: int, grams: Floats) -> None:
        table = model.tables[slot]
        lines = table.lines_of(choice)
        amount = grams[lines]
        away = np.abs(amount - table.typical[lines])
        away[table.optional[lines] & (amount == 0)] = 0.0
        cost = float(table.cost[choice] + away @ table.deviation[lines])
        values = np.zeros(rows + slots + 1)
        values[:rows] = amount @ table.per_gram[lines]
        values[rows + slot] = 1.0
        values[rows + slots] = minutes[slot][choice] if timed else 0.0
        lp.add_column(cost, values)
        owners.append((slot, choice))

    for slot, table in enumerate(model.tables):
        for choice in range(len(table.choices)):
            if choice < per_round:
                add(slot, choice, table.typical)

    bound = -np.inf
    best: tuple[Floats, ...] = ()
    best_price = np.zeros(rows)
    rounds = 0
    value = np.inf
    while rounds < most_rounds:
        rounds += 1
        value, dual = lp.solve()
        price, convexity, minute = dual[:rows], dual[rows:-1], dual[-1]
        reduced = []
        proposals = []
        for slot, table in enumerate(model.tables):
            grams, cost = best_portions(table, price)
            reduced.append(cost - convexity[slot] - minute * minutes[slot])
            proposals.append(grams)
        low = value + sum(min(0.0, float(part.min())) for part in reduced)
        if low > bound:
            bound = low
            best_price = price
            best = tuple(part - float(part.min()) for part in reduced)
        if value - bound <= gap * (1 + abs(value)):
            break
        added = 0
        for slot, part in enumerate(reduced):
            for choice in np.argsort(part, kind="stable")[:per_round]:
                if part[choice] < -1e-9:
                    add(slot, int(choice), proposals[slot])
                    added += 1
        if not added:
            break
    amounts = lp.values()[first_dish_column:]
    share = tuple(np.zeros(len(table.choices)) for table in model.tables)
    # Stopped by the rounds, the last proposals are not solved yet and have no amount.
    for (slot, choice), amount in zip(owners, amounts, strict=False):
        share[slot][choice] += amount
    return Relaxation(
        bound=float(bound),
        value=float(value),
        reduced_cost=best,
        share=share,
        row_price=best_price,
        rounds=rounds,
    )
