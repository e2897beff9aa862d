"""A week and four weeks: against the naive peer and the bound, every plan verified."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from mealplan.lp.bound import relax
from mealplan.lp.build import build_day
from mealplan.lp.problem import LinearRow, Problem, Variable
from mealplan.lp.solver import solve
from mealplan.planner import COST_AGAIN, GAIN_KEPT, KEPT_AT, day_model, make_plan
from mealplan.verify import verify_plan

pytestmark = pytest.mark.benchmark

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def assert_verified(client, plan):
    banned = client.context.exclusions.foods
    assert verify_plan(plan, client.targets, banned, client.context.by_key) == ()


def week_bound(client) -> float:
    """
    Bound any week from below: each day at its dishes' least prices, neighbours left out.

    A kept portion is cheaper than a fresh one and needs one, so half of what it saves is given to
    each of the two, wherever they are eaten; kept portions may have any amounts in their range.
    Repeats, long hands-on work and likeness cost nothing here, and new foods only on the first
    day, when every food is new. All of that can only lower the bound.
    """
    total = 0.0
    for number, weekday in enumerate(DAYS):
        targets = client.targets.on(weekday)
        model, _ = day_model(client.context, 0, targets, {})
        bases = client.context.choices(targets.energy_kcal)
        offers = []
        for slot, first, base in zip(client.context.slots, model.offers, bases, strict=True):
            offer = []
            for choice in first if number == 0 else base:
                dish = client.context.by_key[choice.dish]
                keeps = dish.keeps_days >= 1 or dish.freezes
                if not (keeps and dish.batch_portions >= 2 and client.intake.kitchen.leftovers):
                    offer.append(choice)
                    continue
                saved = min(choice.cost, GAIN_KEPT + 0.0008 * dish.hands_on_min)
                half = replace(choice, cost=choice.cost - saved / 2)
                offer.append(half)
                if number and slot.occasion in KEPT_AT:
                    free = np.zeros(len(choice.foods))
                    offer.append(replace(half, deviation=free, ratios=()))
            offers.append(tuple(offer))
        total += relax(replace(model, offers=tuple(offers), family_price=0.0)).bound
    return total


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
        variables.append(Variable(f"again/{dish}", 0, 1, COST_AGAIN))
        rows.append(LinearRow(f"variety/{dish}", {**at, f"again/{dish}": -1.0}, high=1.0))
    return Problem("week", tuple(variables), tuple(rows))


def test_a_week_against_the_bound(client, bench):
    plans = []
    seconds, _ = bench.seconds(
        lambda: plans.append(make_plan(client.intake, client.targets, days=7)), repeats=3
    )
    plan = plans[-1]
    assert_verified(client, plan)
    objective = sum(day.objective for day in plan.days)
    printed = sum(day.bound for day in plan.days)
    missed = [line for day in plan.days for line in day.missed if line.priority == "must"]
    bench.row(
        "week",
        client=client.name,
        seconds=seconds,
        objective=objective,
        **{
            "day bounds": printed,
            "over day bounds": objective / printed,
            "week bound": (lowest := week_bound(client)),
            "over week bound": objective / lowest,
            "musts missed": len(missed),
            "dishes": len({meal.dish for day in plan.days for meal in day.meals}),
        },
    )
    assert lowest <= objective + 1e-6


def test_a_week_against_the_naive_peer(clients, bench):
    if bench.cap_s < 10:
        pytest.skip(
            "the peer looks at its clock only after minutes of presolve; give it a real cap"
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
