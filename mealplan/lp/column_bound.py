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
        Best amount of every line: an end of its range or of what is near the typical amount, that
        amount, or nothing when optional.
    cost : array (choices,)
        Price of each dish in those amounts: serving cost less the worth of its nutrients.
    """
    worth = table.per_gram @ price
    # The price is convex, so its slope beside each end says on which side of it the best lies.
    far = table.deviation + table.far
    grams = np.where(worth > table.deviation, table.near_high, table.typical)
    grams = np.where(worth > far, table.high, grams)
    grams = np.where(worth < -table.deviation, table.near_low, grams)
    grams = np.where(worth < -far, table.low, grams)
    least = table.deviation * np.abs(grams - table.typical) - worth * grams
    least += table.far * (
        np.maximum(grams - table.near_high, 0.0) + np.maximum(table.near_low - grams, 0.0)
    )
    if serving is not None:
        least += serving
    out = table.optional & (least >= 0)
    grams[out] = 0.0
    least[out] = 0.0
    cost = table.cost + np.add.reduceat(least, table.starts)
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
    blend = _Blend(model)
    for slot, table in enumerate(model.tables):
        for choice in range(min(per_round, len(table.choices))):
            blend.add(slot, choice, table.typical)
    bound, value, rounds = -np.inf, np.inf, 0
    best: tuple[Floats, ...] = ()
    best_price = np.zeros(len(model.rows))
    while rounds < most_rounds:
        rounds += 1
        value, price, proposals, reduced = blend.solve()
        low = value + sum(min(0.0, float(part.min())) for part in reduced)
        if low > bound:
            bound = low
            best_price = price
            best = tuple(part - float(part.min()) for part in reduced)
        if value - bound <= gap * (1 + abs(value)):
            break
        if not blend.add_best(proposals, reduced, per_round):
            break
    return Relaxation(
        bound=float(bound),
        value=float(value),
        reduced_cost=best,
        share=blend.share(),
        row_price=best_price,
        rounds=rounds,
    )


class _Blend:
    """The day's linear programme, in which each meal blends the portions offered so far."""

    def __init__(self, model: DayModel) -> None:
        self._model = model
        rows, slots = len(model.rows), len(model.slots)
        most = [np.inf if model.minutes_most is None else model.minutes_most]
        one = np.ones(slots)
        self._lp = HotLP()
        self._lp.add_rows(
            np.concatenate([model.low, one, [-np.inf]]), np.concatenate([model.high, one, most])
        )
        self._minutes = [np.array([choice.minutes for choice in offer]) for offer in model.offers]
        below = np.flatnonzero(np.isfinite(model.low))
        above = np.flatnonzero(np.isfinite(model.high))
        self._lp.add_unit_columns(model.price_low[below], below, 1.0)
        self._lp.add_unit_columns(model.price_high[above], above, -1.0)
        self._lp.add_unit_columns(np.array([model.minute_price]), np.array([rows + slots]), -1.0)
        self._first = self._lp.columns
        self._owners: list[tuple[int, int]] = []

    def add(self, slot: int, choice: int, grams: Floats) -> None:
        """Offer a portion of a dish at a meal."""
        model, table = self._model, self._model.tables[slot]
        rows = len(model.rows)
        lines = table.lines_of(choice)
        amount = grams[lines]
        cost = float(table.cost[choice]) + table.choices[choice].away(amount)
        values = np.zeros(rows + len(model.slots) + 1)
        values[:rows] = amount @ table.per_gram[lines]
        values[rows + slot] = 1.0
        values[-1] = 0.0 if model.minutes_most is None else self._minutes[slot][choice]
        self._lp.add_column(cost, values)
        self._owners.append((slot, choice))

    def solve(self) -> tuple[float, Floats, list[Floats], list[Floats]]:
        """Give value and row prices, and each meal's best portions with their reduced costs."""
        value, dual = self._lp.solve()
        rows = len(self._model.rows)
        price, convexity, minute = dual[:rows], dual[rows:-1], dual[-1]
        reduced, proposals = [], []
        for slot, table in enumerate(self._model.tables):
            grams, cost = best_portions(table, price)
            reduced.append(cost - convexity[slot] - minute * self._minutes[slot])
            proposals.append(grams)
        return value, price, proposals, reduced

    def add_best(self, proposals: list[Floats], reduced: list[Floats], most: int) -> int:
        """Offer the portions that would better the blend, so many a meal; say how many."""
        added = 0
        for slot, part in enumerate(reduced):
            for choice in np.argsort(part, kind="stable")[:most]:
                if part[choice] < -1e-9:
                    self.add(slot, int(choice), proposals[slot])
                    added += 1
        return added

    def share(self) -> tuple[Floats, ...]:
        """Give how much of each meal each of its dishes is."""
        share = tuple(np.zeros(len(table.choices)) for table in self._model.tables)
        # Stopped by the rounds, the last proposals are not solved yet and have no amount.
        amounts = self._lp.values()[self._first :]
        for (slot, choice), amount in zip(self._owners, amounts, strict=False):
            share[slot][choice] += amount
        return share
