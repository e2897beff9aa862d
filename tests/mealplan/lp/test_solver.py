"""The seam tells how a solve really ended, and hands out amounts only when there are any."""

from __future__ import annotations

import math

import numpy as np
import pulp
import pytest

from mealplan.errors import SolverError
from mealplan.lp.problem import LinearRow, Outcome, Problem, Variable
from mealplan.lp.solver import solve

ENGINES = ("highs", "cbc")


def market_split(*, elastic: bool) -> Problem:
    """
    Split 60 customers over two divisions so that each of six products halves exactly.

    Problems of this kind keep branch and bound busy for hours; with misses allowed a plan is easy
    to find and impossible to prove, without them even finding one is hopeless in seconds.
    """
    rng = np.random.default_rng(7)
    demand = rng.integers(0, 100, (6, 60))
    variables = [Variable(f"x{j}", 0, 1, whole=True) for j in range(60)]
    rows = []
    for i, need in enumerate(demand):
        terms = {f"x{j}": float(value) for j, value in enumerate(need)}
        half = float(need.sum() // 2)
        if elastic:
            variables += [Variable(f"less{i}", price=1.0), Variable(f"more{i}", price=1.0)]
            terms |= {f"less{i}": 1.0, f"more{i}": -1.0}
        rows.append(LinearRow(f"product{i}", terms, half, half))
    return Problem("market split", tuple(variables), tuple(rows))


@pytest.mark.parametrize("engine", ENGINES)
def test_a_run_stopped_by_time_with_a_plan_is_called_feasible_not_optimal(engine):
    solution = solve(market_split(elastic=True), engine=engine, time_limit_s=1)
    assert solution.outcome is Outcome.FEASIBLE
    assert solution.has_plan
    rows = market_split(elastic=True).rows
    for row in rows:
        value = sum(c * solution.amounts[name] for name, c in row.coefficients.items())
        assert value == pytest.approx(row.low, abs=1e-5)


def test_the_status_that_is_not_read_really_says_optimal():
    """Why the seam reads the solution's status: the run's own status hides the time limit."""
    problem = pulp.LpProblem("p", pulp.LpMinimize)
    split = market_split(elastic=True)
    made = {
        v.name: problem.add_variable(
            v.name,
            v.low,
            v.high if math.isfinite(v.high) else None,
            pulp.LpInteger if v.whole else pulp.LpContinuous,
        )
        for v in split.variables
    }
    problem.setObjective(pulp.lpSum(v.price * made[v.name] for v in split.variables))
    for row in split.rows:
        problem.addConstraint(
            pulp.lpSum(c * made[n] for n, c in row.coefficients.items()) == row.low, row.name
        )
    problem.solve(pulp.HiGHS(msg=False, timeLimit=1, threads=1))
    assert problem.status == pulp.LpStatusOptimal
    assert problem.sol_status == pulp.LpSolutionIntegerFeasible


@pytest.mark.parametrize("engine", ENGINES)
def test_a_run_stopped_by_time_with_nothing_in_hand_gives_no_amounts(engine):
    solution = solve(market_split(elastic=False), engine=engine, time_limit_s=1)
    assert solution.outcome is Outcome.NO_ANSWER
    assert not solution.has_plan
    assert solution.amounts == {}
    assert math.isnan(solution.objective)


@pytest.mark.parametrize("engine", ENGINES)
def test_an_infeasible_problem_is_called_infeasible(engine):
    problem = Problem(
        "no",
        (Variable("x"),),
        (LinearRow("a", {"x": 1.0}, low=2), LinearRow("b", {"x": 1}, high=1)),
    )
    assert solve(problem, engine=engine).outcome is Outcome.INFEASIBLE


@pytest.mark.parametrize("engine", ENGINES)
def test_an_unbounded_problem_hands_out_nothing(engine):
    problem = Problem("more", (Variable("x", price=-1.0),), (LinearRow("a", {"x": 1.0}, low=1.0),))
    solution = solve(problem, engine=engine)
    assert solution.outcome in (Outcome.UNBOUNDED, Outcome.NO_ANSWER, Outcome.INFEASIBLE)
    assert solution.amounts == {}


@pytest.mark.parametrize("engine", ENGINES)
def test_a_two_sided_row_holds_on_both_sides(engine):
    # source: worked by hand (the dearest x <= 7 and the cheapest x >= 3)
    for price, best in ((1.0, 3.0), (-1.0, 7.0)):
        problem = Problem(
            "band", (Variable("x", price=price),), (LinearRow("r", {"x": 1.0}, 3, 7),)
        )
        assert solve(problem, engine=engine).amounts["x"] == pytest.approx(best)


def test_the_constant_is_part_of_the_objective():
    problem = Problem("c", (Variable("x", low=2, price=3),), (), constant=10.0)
    # source: worked by hand (10 + 3 * 2)
    assert solve(problem).objective == pytest.approx(16.0)


def test_two_variables_of_one_name_are_refused():
    with pytest.raises(SolverError, match="'x' is named twice"):
        solve(Problem("clash", (Variable("x"), Variable("x")), ()))


def test_a_row_over_an_unknown_variable_is_refused():
    with pytest.raises(SolverError, match="row 'r' of 'p' names 'y'"):
        solve(Problem("p", (Variable("x"),), (LinearRow("r", {"y": 1.0}, low=1.0),)))


def test_names_may_hold_anything_a_dish_key_holds():
    problem = Problem(
        "p",
        (Variable("serve/0/jerk-tofu (hot)", price=1.0),),
        (LinearRow("row/α-linolenic acid @2", {"serve/0/jerk-tofu (hot)": 2.0}, low=3.0),),
    )
    # source: worked by hand (3 / 2)
    assert solve(problem).amounts["serve/0/jerk-tofu (hot)"] == pytest.approx(1.5)


@pytest.mark.parametrize("engine", ENGINES)
def test_an_engine_that_is_not_there_is_named(engine, monkeypatch):
    for kind in (pulp.HiGHS, pulp.COIN_CMD):
        monkeypatch.setattr(kind, "available", lambda self: False)
    with pytest.raises(SolverError, match=f"the {engine} engine is not installed"):
        solve(Problem("p", (Variable("x"),), ()), engine=engine)


@pytest.mark.parametrize("engine", ENGINES)
def test_nothing_is_printed(engine, capfd):
    solve(market_split(elastic=False), engine=engine, time_limit_s=0.2)
    solve(
        Problem("p", (Variable("x", price=1.0),), (LinearRow("r", {"x": 1.0}, low=1),)),
        engine=engine,
    )
    out, err = capfd.readouterr()
    assert out + err == ""
