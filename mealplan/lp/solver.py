"""
The one place that speaks PuLP: a plain :class:`Problem` in, a plain :class:`Solution` out.

A run stopped by its time limit with a plan in hand is called optimal by PuLP's status, so the
solution status is what is read; with no plan in hand the variables still read 0, so amounts are
handed out only when there is a plan.
"""

from __future__ import annotations

import math
from typing import Any, Literal

import pulp

from mealplan.errors import SolverError
from mealplan.lp.problem import Outcome, Problem, Solution

Engine = Literal["highs", "cbc"]

_OUTCOMES = {
    pulp.LpSolutionOptimal: Outcome.OPTIMAL,
    pulp.LpSolutionIntegerFeasible: Outcome.FEASIBLE,
    pulp.LpSolutionInfeasible: Outcome.INFEASIBLE,
    pulp.LpSolutionUnbounded: Outcome.UNBOUNDED,
    pulp.LpSolutionNoSolutionFound: Outcome.NO_ANSWER,
}


def solve(
    problem: Problem,
    *,
    engine: Engine = "highs",
    time_limit_s: float | None = None,
    relative_gap: float | None = None,
) -> Solution:
    """
    Solve a problem to its optimum, or as far as the time allows.

    Parameters
    ----------
    problem : Problem
        What to minimise.
    engine : {"highs", "cbc"}
        HiGHS, or the CBC that comes with PuLP.
    time_limit_s : float, optional
        Stop after this long. [s]
    relative_gap : float, optional
        For whole numbers: stop when proven this close to the best, 0 to 1. [fraction]

    Returns
    -------
    Solution

    Raises
    ------
    SolverError
        When the engine is not installed, names clash, or a row names no variable.
    """
    model: Any = pulp.LpProblem("model", pulp.LpMinimize)
    variables: dict[str, Any] = {}
    for number, variable in enumerate(problem.variables):
        if variable.name in variables:
            raise SolverError(f"variable {variable.name!r} is named twice in {problem.name}")
        variables[variable.name] = model.add_variable(
            f"v{number}",
            variable.low if math.isfinite(variable.low) else None,
            variable.high if math.isfinite(variable.high) else None,
            pulp.LpInteger if variable.whole else pulp.LpContinuous,
        )
    model.setObjective(
        pulp.LpAffineExpression(
            [(variables[v.name], v.price) for v in problem.variables if v.price],
            constant=problem.constant,
        )
    )
    for number, row in enumerate(problem.rows):
        unknown = [name for name in row.coefficients if name not in variables]
        if unknown:
            raise SolverError(
                f"row {row.name!r} of {problem.name!r} names {unknown[0]!r}, no variable"
            )
        terms = [(variables[name], value) for name, value in row.coefficients.items() if value]
        if math.isfinite(row.low) and row.low == row.high:
            model.addConstraint(pulp.LpAffineExpression(terms) == row.low, f"r{number}")
            continue
        if math.isfinite(row.low):
            model.addConstraint(pulp.LpAffineExpression(terms) >= row.low, f"r{number}low")
        if math.isfinite(row.high):
            model.addConstraint(pulp.LpAffineExpression(terms) <= row.high, f"r{number}high")
    model.solve(_engine(engine, time_limit_s, relative_gap))
    outcome = _OUTCOMES.get(model.sol_status, Outcome.NO_ANSWER)
    if outcome not in (Outcome.OPTIMAL, Outcome.FEASIBLE):
        return Solution(outcome)
    amounts = {name: float(variable.varValue or 0.0) for name, variable in variables.items()}
    objective = problem.constant + sum(v.price * amounts[v.name] for v in problem.variables)
    return Solution(outcome, objective, amounts)


def _engine(engine: Engine, time_limit_s: float | None, relative_gap: float | None) -> Any:
    if engine == "highs":
        chosen = pulp.HiGHS(msg=False, timeLimit=time_limit_s, gapRel=relative_gap, threads=1)
    else:
        # The class named after the bundled CBC warns of its end; its path stays.
        chosen = pulp.COIN_CMD(
            path=pulp.PULP_CBC_CMD.pulp_cbc_path,
            msg=False,
            timeLimit=time_limit_s,
            gapRel=relative_gap,
            threads=1,
        )
    if not chosen.available():
        raise SolverError(f"the {engine} engine is not installed; run pip install again")
    return chosen
