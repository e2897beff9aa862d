"""Published diet and blending problems come out of the project's own problem type and seam."""

from __future__ import annotations

import csv
import json
import math
from pathlib import Path

import pytest

from mealplan.lp.problem import LinearRow, Outcome, Problem, Solution, Variable
from mealplan.lp.solver import solve

PUBLISHED = Path(__file__).parents[2] / "published"
EXAMPLES = json.loads((PUBLISHED / "lp_examples.json").read_text(encoding="utf-8"))["examples"]
STIGLER = json.loads((PUBLISHED / "stigler_expected.json").read_text(encoding="utf-8"))
ENGINES = ("highs", "cbc")


def number(value: float | None, missing: float) -> float:
    return missing if value is None else float(value)


def as_problem(example: dict) -> Problem:
    return Problem(
        example["id"],
        tuple(
            Variable(
                v["name"],
                number(v["low"], -math.inf),
                number(v["high"], math.inf),
                v["price"],
                whole=example["whole_numbers"],
            )
            for v in example["variables"]
        ),
        tuple(
            LinearRow(
                r["name"],
                r["coefficients"],
                number(r["low"], -math.inf),
                number(r["high"], math.inf),
            )
            for r in example["rows"]
        ),
    )


def assert_holds(problem: Problem, solution: Solution) -> None:
    """Recompute every bound and row from the amounts alone."""
    for variable in problem.variables:
        amount = solution.amounts[variable.name]
        assert variable.low - 1e-7 <= amount <= variable.high + 1e-7
        if variable.whole:
            assert amount == pytest.approx(round(amount), abs=1e-6)
    for row in problem.rows:
        value = sum(c * solution.amounts[name] for name, c in row.coefficients.items())
        slack = 1e-7 * max(1.0, abs(value))
        assert row.low - slack <= value <= row.high + slack, row.name


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example["id"])
def test_a_published_problem_ends_as_published(example, engine):
    problem = as_problem(example)
    solution = solve(problem, engine=engine, relative_gap=1e-9)
    assert solution.outcome.value == example["outcome"]
    if example["outcome"] == "infeasible":
        assert solution.amounts == {}
        return
    assert_holds(problem, solution)
    # source: in the file, each example its own; digits beyond print agreed by two other solvers
    assert solution.objective == pytest.approx(example["optimum"], rel=1e-7)


@pytest.mark.parametrize(
    "example",
    [e for e in EXAMPLES if e["published_objective"] is not None],
    ids=lambda example: example["id"],
)
def test_the_objective_agrees_with_print_to_its_last_digit(example):
    # source: published (each example's own source; rounded as printed)
    printed = repr(example["published_objective"])
    decimals = len(printed.partition(".")[2])
    found = solve(as_problem(example), relative_gap=1e-9).objective
    assert found == pytest.approx(float(printed), abs=0.51 * 10**-decimals)


@pytest.mark.parametrize(
    "example",
    [e for e in EXAMPLES if e["published_amounts"] and not e["whole_numbers"]],
    ids=lambda example: example["id"],
)
def test_amounts_agree_with_print_where_the_optimum_is_unique(example):
    # source: published (each example's own source); the other solvers found these optima unique
    found = solve(as_problem(example)).amounts
    for name, amount in found.items():
        assert amount == pytest.approx(example["published_amounts"].get(name, 0.0), abs=6e-4)


# --------------------------------------------------------------------------------- the 1939 diet


def stigler() -> Problem:
    with (PUBLISHED / "stigler_foods.csv").open(newline="", encoding="utf-8") as file:
        foods = list(csv.DictReader(file))
    with (PUBLISHED / "stigler_requirements.csv").open(newline="", encoding="utf-8") as file:
        floors = {row["nutrient"]: float(row["minimum_per_day"]) for row in csv.DictReader(file)}
    return Problem(
        "subsistence 1939",
        tuple(Variable(food["food"], price=1.0) for food in foods),
        tuple(
            LinearRow(
                nutrient,
                {food["food"]: float(food[f"{nutrient}_per_dollar"]) for food in foods},
                low=low,
            )
            for nutrient, low in floors.items()
        ),
    )


def test_the_table_of_1939_has_its_foods_and_nutrients():
    # source: published (Stigler 1945: 77 foods, nine nutrients)
    problem = stigler()
    assert (len(problem.variables), len(problem.rows)) == (77, 9)


@pytest.mark.parametrize("engine", ENGINES)
def test_the_subsistence_diet_costs_what_the_literature_says(engine):
    solution = solve(stigler(), engine=engine)
    assert solution.outcome is Outcome.OPTIMAL
    assert_holds(stigler(), solution)
    # source: published (Stigler 1945; the optimum of the same table, GLPK and HiGHS agree)
    assert solution.objective == pytest.approx(STIGLER["dollars_per_day"], abs=1e-9)
    # source: published (1947 hand computation: 39.69 dollars a year of 365.25 days)
    assert round(solution.objective * 365.25, 2) == 39.69
    # source: published (39.66 is the same optimum over 365 days)
    assert round(solution.objective * 365, 2) == 39.66


@pytest.mark.parametrize("engine", ENGINES)
def test_the_subsistence_diet_is_flour_liver_cabbage_spinach_and_beans(engine):
    # source: published (the optimum's five foods), digits as agreed by two other solvers
    bought = {
        name: spent for name, spent in solve(stigler(), engine=engine).amounts.items() if spent
    }
    assert set(bought) == set(STIGLER["spent_per_day"])
    for name, spent in STIGLER["spent_per_day"].items():
        assert bought[name] == pytest.approx(spent, abs=1e-8)


def test_the_optimum_beats_the_diet_found_by_trial():
    # source: published (Stigler 1945: 39.93 dollars a year found without linear programming)
    assert solve(stigler()).objective * 365 < STIGLER["stigler_by_trial_dollars_per_year"]


def test_the_floors_that_bind_are_the_published_ones():
    problem = stigler()
    amounts = solve(problem).amounts
    binding = [
        row.name
        for row in problem.rows
        if sum(c * amounts[n] for n, c in row.coefficients.items()) <= row.low * (1 + 1e-7)
    ]
    # source: published (calories, calcium, vitamin A, riboflavin, ascorbic acid)
    assert binding == STIGLER["binding"]


@pytest.mark.parametrize("nutrient", STIGLER["price_of_one_more_unit"])
def test_raising_a_floor_a_little_costs_its_published_price(nutrient):
    problem = stigler()
    step = 1e-3
    raised = Problem(
        problem.name,
        problem.variables,
        tuple(
            LinearRow(row.name, row.coefficients, row.low + step * (row.name == nutrient))
            for row in problem.rows
        ),
    )
    price = (solve(raised).objective - solve(problem).objective) / step
    # source: worked by hand (strong duality: the prices times the floors give the optimum)
    assert price == pytest.approx(STIGLER["price_of_one_more_unit"][nutrient], abs=1e-6)
