"""A week and four weeks: against the naive peer and the bound, every plan verified."""

from __future__ import annotations

import os
import time
from dataclasses import replace

import pytest

from mealplan.lp.build import build_day
from mealplan.lp.problem import LinearRow, Problem, Variable
from mealplan.lp.solver import solve
from mealplan.menu.bound import week_bound
from mealplan.menu.day import day_model
from mealplan.menu.verify import verify_plan
from mealplan.menu.week import make_plan
from mealplan.rules.variety import HABITS
from tests.benchmarks.conftest import chosen

pytestmark = pytest.mark.benchmark

POLISHED = int(os.environ.get("BENCHMARK_POLISHED", "99"))
"""How many clients' weeks are polished."""

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def assert_verified(client, plan):
    banned = client.context.exclusions.foods
    assert verify_plan(plan, client.targets, banned, client.context.by_key) == ()


def naive_week(client) -> Problem:
    """Seven days side by side in one problem; a dish at most twice, its second time at a price."""
    variables: list[Variable] = []
    rows: list[LinearRow] = []
    served: dict[str, dict[str, float]] = {}
    for number, weekday in enumerate(DAYS):
        model, _ = day_model(client.context, 0, client.targets.on(weekday), {})
        problem = build_day(model)
        variables += [replace(v, name=f"{number}/{v.name}") for v in problem.variables]
        rows += [
            replace(
                r,
                name=f"{number}/{r.name}",
                coefficients={f"{number}/{name}": c for name, c in r.coefficients.items()},
            )
            for r in problem.rows
        ]
        for slot, offer in enumerate(model.offers):
            for pick, choice in enumerate(offer):
                served.setdefault(choice.dish, {})[f"{number}/serve/{slot}/{pick}"] = 1.0
    for dish, at in served.items():
        variables.append(Variable(f"again/{dish}", 0, 1, HABITS["usual"].again))
        rows.append(LinearRow(f"variety/{dish}", {**at, f"again/{dish}": -1.0}, high=1.0))
    return Problem("week", tuple(variables), tuple(rows))


def test_a_week_against_the_bound(client, bench):
    plans = []
    seconds, _ = bench.cpu_seconds(
        lambda: plans.append(make_plan(client.intake, client.targets, days=7)), repeats=3
    )
    plan = plans[-1]
    assert_verified(client, plan)
    objective = sum(day.objective for day in plan.days)
    printed = sum(day.bound for day in plan.days)
    missed = [line for day in plan.days for line in day.missed if line.priority == "must"]
    targets = [client.targets.on_date(day.date) for day in plan.days]
    lowest = week_bound(client.context, targets)
    assert lowest is not None
    cells = {}
    if client.name in chosen()[:POLISHED]:
        begin = time.process_time()
        polished = make_plan(client.intake, client.targets, days=7, polish=True)
        spent = time.process_time() - begin
        assert_verified(client, polished)
        further = sum(day.objective for day in polished.days)
        assert further <= objective + 1e-6
        assert lowest <= further + 1e-6
        cells = {
            "polish CPU s": spent,
            "polished": further,
            "polished over day bounds": further / sum(day.bound for day in polished.days),
            "polished over week bound": further / lowest,
        }
    bench.row(
        "week",
        client=client.name,
        **{
            "CPU s": seconds,
            "objective": objective,
            "over day bounds": objective / printed,
            "week bound": lowest,
            "over week bound": objective / lowest,
            **cells,
            "musts missed": len(missed),
            "dishes": len({meal.dish for day in plan.days for meal in day.meals}),
        },
    )
    assert lowest <= objective + 1e-6


def test_a_week_against_the_naive_peer(clients, bench):
    if not os.environ.get("BENCHMARK_WEEK_PEER"):
        pytest.skip(
            "the peer looks at its clock only after minutes of presolve: set BENCHMARK_WEEK_PEER"
        )
    client = clients[0]
    ours, _ = bench.seconds(lambda: make_plan(client.intake, client.targets, days=7), repeats=3)
    answers = []
    peer, _ = bench.seconds(
        lambda: answers.append(
            solve(naive_week(client), engine="cbc", time_limit_s=3 * bench.cap_s)
        ),
        repeats=1,
    )
    bench.row(
        "week against the peer",
        client=client.name,
        **{
            "ours s": ours,
            "A peer s": peer,
            "A/ours": peer / ours,
            "A outcome": answers[0].outcome.value,
            "A objective": answers[0].objective,
        },
    )


def test_four_weeks_against_one(clients, bench):
    for client in clients[:3]:
        week, _ = bench.cpu_seconds(
            lambda c=client: make_plan(c.intake, c.targets, days=7), repeats=2
        )
        plans = []
        month, _ = bench.cpu_seconds(
            lambda c=client, p=plans: p.append(make_plan(c.intake, c.targets, days=28)), repeats=1
        )
        assert_verified(client, plans[0])
        bench.row(
            "28 days",
            client=client.name,
            **{"week CPU s": week, "28 days CPU s": month, "ratio": month / week},
        )
