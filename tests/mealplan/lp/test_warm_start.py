"""The warm programme says what the seam says, and does not give up at the first doubt."""

from __future__ import annotations

import highspy
import numpy as np
import pytest

from mealplan.errors import SolverError
from mealplan.lp.problem import LinearRow, Problem, Variable
from mealplan.lp.solver import solve
from mealplan.lp.warm_start import HotLP


def small() -> HotLP:
    """Minimise 2x + 3y over x + y >= 4, x + 3y >= 6."""
    lp = HotLP()
    lp.add_rows(np.array([4.0, 6.0]), np.full(2, np.inf))
    lp.add_columns(
        np.array([2.0, 3.0]), np.zeros(2), np.full(2, np.inf), np.array([[1.0, 1.0], [1.0, 3.0]])
    )
    return lp


def test_a_small_programme_is_solved_with_its_prices():
    value, price = small().solve()
    # source: worked by hand (x = 3, y = 1; prices solve p + q = 2, p + 3q = 3)
    assert value == pytest.approx(9.0)
    np.testing.assert_allclose(price, [1.5, 0.5])


def test_the_warm_programme_agrees_with_the_seam():
    problem = Problem(
        "small",
        (Variable("x", price=2.0), Variable("y", price=3.0)),
        (LinearRow("a", {"x": 1, "y": 1}, low=4), LinearRow("b", {"x": 1, "y": 3}, low=6)),
    )
    assert small().solve()[0] == pytest.approx(solve(problem).objective)


def test_columns_dropped_and_costs_changed_are_forgotten():
    lp = small()
    lp.solve()
    lp.set_costs(np.array([1]), np.array([1.0]))
    # source: worked by hand (all y: 4 of it at 1)
    assert lp.solve()[0] == pytest.approx(4.0)
    lp.drop_columns(1, 2)
    # source: worked by hand (all x: 6 of it at 2)
    assert lp.solve()[0] == pytest.approx(12.0)


def test_an_infeasible_programme_is_an_error_not_an_answer():
    lp = HotLP()
    lp.add_rows(np.array([1.0]), np.array([np.inf]))
    lp.add_column(1.0, np.array([1.0]), high=0.5)
    with pytest.raises(SolverError, match="Infeasible"):
        lp.solve()


class Doubtful:
    """Stands before the solver and calls its first answers unknown."""

    def __init__(self, highs, times: int) -> None:
        self._highs, self._left = highs, times

    def __getattr__(self, name: str):
        return getattr(self._highs, name)

    def getModelStatus(self):  # noqa: N802  (the solver's own spelling)
        if self._left:
            self._left -= 1
            return highspy.HighsModelStatus.kUnknown
        return self._highs.getModelStatus()


@pytest.mark.parametrize("times", range(1, 6))
def test_an_undecided_run_is_tried_again_another_way(times):
    lp = small()
    lp._highs = Doubtful(lp._highs, times)
    assert lp.solve()[0] == pytest.approx(9.0)
    assert lp._highs.getOptionValue("presolve")[1] == "off"
    assert lp._highs.getOptionValue("solver")[1] == "simplex"


def test_a_run_that_stays_undecided_is_an_error():
    lp = small()
    lp._highs = Doubtful(lp._highs, 99)
    with pytest.raises(SolverError, match="Unknown"):
        lp.solve()
