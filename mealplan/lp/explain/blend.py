"""The freest day that some dishes allow, kept warm for many questions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from mealplan.lp.column_bound import best_portions
from mealplan.lp.daymodel import DayModel, Floats
from mealplan.lp.explain.ends import End
from mealplan.lp.warm_start import HotLP

MOST_ROUNDS = 80
"""Rounds of column generation before the bound at hand is taken."""


class Blend:
    """
    The freest day these dishes allow: meals may mix portions of dishes, serving costs nothing.

    Some ends are dear and the rest cost nothing; the programme finds how little the dear ones can
    be missed. Dishes come in as their prices ask (column generation), and stay for later solves.

    Parameters
    ----------
    model : DayModel
        The day.
    ends : sequence of End
        Every end that will ever be priced.
    """

    def __init__(self, model: DayModel, ends: Sequence[End]) -> None:
        self.ends = tuple(ends)
        place = {row.name: index for index, row in enumerate(model.rows)}
        used = sorted({place[end.row.name] for end in ends})
        at = {row: index for index, row in enumerate(used)}
        self._rows = len(used)
        self._slots = len(model.tables)
        self.row_of = np.array([at[place[end.row.name]] for end in ends], dtype=np.int64)
        zero = np.zeros
        self._tables = [
            replace(
                table,
                per_gram=np.ascontiguousarray(table.per_gram[:, used]),
                deviation=zero(len(table.deviation)),
                far=zero(len(table.far)),
                cost=zero(len(table.cost)),
            )
            for table in model.tables
        ]
        priced = {(end.row.name, end.side) for end in ends}
        low = [
            model.low[row] if (model.rows[row].name, "floor") in priced else -math.inf
            for row in used
        ]
        high = [
            model.high[row] if (model.rows[row].name, "ceiling") in priced else math.inf
            for row in used
        ]
        # An end is a row of its own, so that a floor above a ceiling is a clash and not a fault.
        self._lp = HotLP()
        floors = [end.side == "floor" for end in ends]
        self._sign = np.where(floors, 1.0, -1.0)
        self._lp.add_rows(
            np.array(
                [low[r] if f else -math.inf for r, f in zip(self.row_of, floors, strict=True)]
                + [1.0] * self._slots
            ),
            np.array(
                [math.inf if f else high[r] for r, f in zip(self.row_of, floors, strict=True)]
                + [1.0] * self._slots
            ),
        )
        self._scale = np.array([end.scale for end in ends])
        for index in range(len(ends)):
            self._lp.add_unit_columns(
                zero(1), np.array([index], dtype=np.int64), float(self._sign[index])
            )
        self._first = self._lp.columns
        self._linear = zero(self._rows)
        self._values: list[Floats] = []
        for slot, table in enumerate(self._tables):
            for choice in range(min(4, len(table.choices))):
                self._add(slot, table.typical[table.lines_of(choice)], table.lines_of(choice))

    def _add(self, slot: int, grams: Floats, lines: slice) -> None:
        totals = grams @ self._tables[slot].per_gram[lines]
        values = np.zeros(len(self.ends) + self._slots)
        values[: len(self.ends)] = totals[self.row_of]
        values[len(self.ends) + slot] = 1.0
        self._lp.add_column(float(totals @ self._linear), values)
        self._values.append(totals)

    def aim(self, row: int | None) -> None:
        """
        Let the blend cost what it holds of one row (numbered as in ``row_of``), or nothing.

        Parameters
        ----------
        row : int or None
            Of the blend.
        """
        self._linear = np.zeros(self._rows)
        if row is not None:
            self._linear[row] = 1.0
        count = len(self._values)
        costs = np.array(self._values) @ self._linear
        self._lp.set_costs(np.arange(self._first, self._first + count), costs)

    def least(
        self, weight: Floats, *, enough: float = -math.inf, proof: float = math.inf
    ) -> tuple[float, float, Floats]:
        """
        Find the least weighted relative miss.

        Parameters
        ----------
        weight : array (ends,)
            Price of missing each end whole; 0 for those that do not count.
        enough : float
            Stop once the miss is known to be this small. [1]
        proof : float
            Stop once the miss is known to be larger than this. [1]

        Returns
        -------
        value : float
            Miss of the best blend found.
        bound : float
            No blend can miss less.
        price : array (ends,)
            What tightening each end by its whole bound would add, where the bound was found.
        """
        self._lp.set_costs(np.arange(len(self.ends)), weight / self._scale)
        bound, best = -math.inf, np.zeros(len(self.ends))
        value = math.inf
        for _ in range(MOST_ROUNDS):
            value, dual = self._lp.solve()
            price, convexity = dual[: len(self.ends)], dual[len(self.ends) :]
            worth = np.bincount(self.row_of, price, minlength=self._rows) - self._linear
            low = value
            fresh = []
            for slot, table in enumerate(self._tables):
                grams, cost = best_portions(table, worth)
                reduced = cost - convexity[slot]
                low += min(0.0, float(reduced.min()))
                fresh += [
                    (slot, grams[table.lines_of(int(choice))], int(choice))
                    for choice in np.argsort(reduced, kind="stable")[:3]
                    if reduced[choice] < -1e-9
                ]
            if low > bound:
                bound, best = low, price
            if value <= enough or bound > proof or value - bound <= 1e-4 * (1e-3 + abs(value)):
                break
            if not fresh:
                break
            for slot, grams, choice in fresh:
                self._add(slot, grams, self._tables[slot].lines_of(choice))
        return value, bound, best * self._sign * self._scale

    def missed(self) -> Floats:
        """Relative miss of each end in the last blend, (ends,)."""
        missed: Floats = self._lp.values()[: len(self.ends)] / self._scale
        return missed
