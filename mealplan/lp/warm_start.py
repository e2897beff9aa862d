"""
The hot path to HiGHS: a growing linear programme kept warm between solves.

PuLP is the modelling seam (:mod:`mealplan.lp.solver`); building Python objects for every variable
costs it more than solving does. Searches that solve hundreds of closely related programmes use this
thin wrapper on HiGHS's own arrays instead. Tests hold both to the same optimum.
"""

from __future__ import annotations

from typing import Any

import highspy
import numpy as np
from numpy.typing import NDArray

from mealplan.errors import SolverError

Floats = NDArray[np.float64]

_WHEN_UNDECIDED: tuple[tuple[str, int | str, int | str], ...] = (
    ("presolve", "off", "off"),
    ("simplex_scale_strategy", 0, 1),
    ("simplex_strategy", 4, 1),
    ("presolve", "on", "off"),
    ("solver", "ipm", "simplex"),
)
"""(option, value to try, usual value), each from scratch: as it was, unscaled, primal simplex,
with presolve, interior point."""


class HotLP:
    """A minimisation whose columns and rows grow; each solve starts from the last basis."""

    def __init__(self) -> None:
        self._highs: Any = highspy.Highs()  # type: ignore[no-untyped-call]
        self._highs.setOptionValue("output_flag", False)
        self._highs.setOptionValue("presolve", "off")
        # One thread, always: HiGHS fails silently when a later instance asks for another count.
        self._highs.setOptionValue("threads", 1)
        self._highs.setOptionValue("solver", "simplex")
        self.columns = 0
        self.rows = 0

    def add_rows(self, low: Floats, high: Floats) -> None:
        """
        Add empty rows.

        Parameters
        ----------
        low, high : array (rows,)
            Bounds. [row unit]
        """
        count = len(low)
        empty_int = np.zeros(0, dtype=np.int32)
        self._highs.addRows(
            count, low, high, 0, np.zeros(count, dtype=np.int32), empty_int, np.zeros(0)
        )
        self.rows += count

    def add_unit_columns(self, cost: Floats, rows: NDArray[np.int64], value: float) -> None:
        """
        Add one column a row, from 0 up, with a single entry there.

        Parameters
        ----------
        cost : array (columns,)
            Price of one unit of the column. [objective]
        rows : array (columns,)
            Index of each column's row.
        value : float
            The entry. [row unit per column unit]
        """
        count = len(cost)
        self._highs.addCols(
            count,
            np.asarray(cost, dtype=float),
            np.zeros(count),
            np.full(count, np.inf),
            count,
            np.arange(count, dtype=np.int32),
            rows.astype(np.int32),
            np.full(count, value),
        )
        self.columns += count

    def add_column(
        self, cost: float, values: Floats, low: float = 0.0, high: float = np.inf
    ) -> None:
        """
        Add one column given densely over all rows.

        Parameters
        ----------
        cost : float
            Price of one unit of the column. [objective]
        values : array (rows,)
            What a unit adds to each row. [row unit per column unit]
        low, high : float
            How much of the column there may be. [column unit]
        """
        index = np.flatnonzero(values).astype(np.int32)
        self._highs.addCol(cost, low, high, len(index), index, values[index])
        self.columns += 1

    def add_columns(self, cost: Floats, low: Floats, high: Floats, values: Floats) -> None:
        """
        Add columns given densely.

        Parameters
        ----------
        cost : array (columns,)
            Price of one unit of each. [objective]
        low, high : array (columns,)
            How much of each there may be. [column unit]
        values : array (columns, rows)
            What a unit adds to each row. [row unit per column unit]
        """
        which, index = np.nonzero(values)
        starts = np.searchsorted(which, np.arange(len(cost))).astype(np.int32)
        self._highs.addCols(
            len(cost),
            cost,
            low,
            high,
            len(index),
            starts,
            index.astype(np.int32),
            values[which, index],
        )
        self.columns += len(cost)

    def set_costs(self, columns: NDArray[np.int64], cost: Floats) -> None:
        """
        Change what some columns cost; the basis stays.

        Parameters
        ----------
        columns : array (columns,)
            Index of each.
        cost : array (columns,)
            New price of one unit. [objective]
        """
        self._highs.changeColsCost(
            len(columns), columns.astype(np.int32), np.asarray(cost, dtype=float)
        )

    def set_upper(self, columns: NDArray[np.int64], upper: Floats) -> None:
        """
        Change how much of some columns there may be; the basis stays.

        Parameters
        ----------
        columns : array (columns,)
            Index of each.
        upper : array (columns,)
            New most. [column unit]
        """
        self._highs.changeColsBounds(
            len(columns), columns.astype(np.int32), np.zeros(len(columns)), upper
        )

    def drop_columns(self, first: int, last: int) -> None:
        """
        Delete columns ``first`` to ``last - 1``.

        Parameters
        ----------
        first : int
            Index of the first column.
        last : int
            Index after the last column.
        """
        index = np.arange(first, last, dtype=np.int32)
        self._highs.deleteCols(len(index), index)
        self.columns -= last - first

    def solve(self) -> tuple[float, Floats]:
        """
        Minimise from the last basis.

        Returns
        -------
        value : float
        dual : array (rows,)

        Raises
        ------
        SolverError
            When HiGHS does not call the result optimal.
        """
        self._highs.run()
        status = self._highs.getModelStatus()
        # A warm basis or scaling can leave the simplex undecided by a hair; one of these helps.
        for option, tried, usual in _WHEN_UNDECIDED:
            if status == highspy.HighsModelStatus.kOptimal:
                break
            self._highs.setOptionValue(option, tried)
            self._highs.clearSolver()
            self._highs.run()
            status = self._highs.getModelStatus()
            self._highs.setOptionValue(option, usual)
        if status != highspy.HighsModelStatus.kOptimal:
            raise SolverError(f"the linear programme ended {status}; the model has a fault")
        self._solution = self._highs.getSolution()
        return self._highs.getObjectiveValue(), np.array(self._solution.row_dual)

    def values(self) -> Floats:
        """Column values of the last solve."""
        return np.array(self._solution.col_value)

    def reduced_costs(self) -> Floats:
        """Column costs of the last solve, less the worth of what the columns hold."""
        return np.array(self._solution.col_dual)
