"""How time grows with dishes, foods and days; and how many clients a machine serves."""

from __future__ import annotations

import os
import resource
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

from mealplan.intake import parse_intake
from mealplan.lp.bound import relax
from mealplan.lp.search import solve_day
from mealplan.planner import make_plan
from mealplan.targets import make_targets

pytestmark = pytest.mark.benchmark

SIZES = (100, 200, 400, 800, 1000)


def with_dishes(model, many: int, seed: int = 1):
    """Offer so many dishes in all: a part of those there are, or clones with changed data."""
    rng = np.random.default_rng(seed)
    share = many / len({choice.dish for offer in model.offers for choice in offer})
    offers = []
    for offer in model.offers:
        count = max(4, round(len(offer) * share))
        order = rng.permutation(len(offer))
        made = [offer[i] for i in order[:count]]
        while len(made) < count:
            source = offer[int(rng.integers(len(offer)))]
            # A clone keeps its amounts and takes other foods for about a third of its lines.
            swap = rng.random(len(source.foods)) < 0.35
            pool = offer[int(rng.integers(len(offer)))].foods
            foods = source.foods.copy()
            for line in np.flatnonzero(swap):
                other = int(pool[rng.integers(len(pool))])
                fits = model.food_ceiling_g[other] >= source.high[line]
                if fits and other not in foods:
                    foods[line] = other
            made.append(
                replace(
                    source,
                    dish=f"{source.dish}-{len(made)}",
                    foods=foods,
                    cost=source.cost * float(rng.uniform(0.9, 1.3)),
                )
            )
        offers.append(tuple(made))
    return replace(model, offers=tuple(offers))


def with_foods(model, times: int, seed: int = 1):
    """So many times as many foods: copies whose composition differs by a tenth or so."""
    rng = np.random.default_rng(seed)
    count = len(model.food_ceiling_g)
    noise = [np.ones(count), *(rng.normal(1, 0.1, count).clip(0.7, 1.3) for _ in range(times - 1))]
    rows = tuple(
        replace(row, per_gram=np.concatenate([row.per_gram * part for part in noise]))
        for row in model.rows
    )
    offers = tuple(
        tuple(
            replace(c, foods=c.foods + count * rng.integers(0, times, len(c.foods))) for c in offer
        )
        for offer in model.offers
    )
    return replace(
        model, rows=rows, offers=offers, food_ceiling_g=np.tile(model.food_ceiling_g, times)
    )


def test_growth_with_dishes(clients, bench):
    for client in clients[:4]:
        base = client.day()
        cells: dict[str, float] = {}
        for many in SIZES:
            model = with_dishes(base, many)
            assert model.tables
            cells[f"{many} dishes CPU ms"] = (
                bench.cpu_seconds(lambda m=model: solve_day(m))[0] * 1e3
            )
            cells[f"{many} bound CPU ms"] = bench.cpu_seconds(lambda m=model: relax(m))[0] * 1e3
        bench.row(
            "growth with dishes",
            client=client.name,
            **cells,
            **{"1000/100": cells["1000 dishes CPU ms"] / cells["100 dishes CPU ms"]},
        )


def test_growth_with_foods(clients, bench):
    for client in clients[:4]:
        base = client.day()
        cells = {}
        for times in (1, 2, 4):
            model = with_foods(base, times)
            assert model.tables
            count = len(model.food_ceiling_g)
            cells[f"{count} foods CPU ms"] = (
                bench.cpu_seconds(lambda m=model: solve_day(m))[0] * 1e3
            )
        values = list(cells.values())
        bench.row("growth with foods", client=client.name, **cells, ratio=values[-1] / values[0])


def test_growth_with_days(clients, bench):
    client = clients[0]
    cells = {}
    for days in (1, 3, 7, 14, 28):
        run = bench.cpu_seconds(
            lambda d=days: make_plan(client.intake, client.targets, days=d), repeats=1
        )
        cells[f"{days} days CPU s"] = run[0]
    bench.row(
        "growth with days",
        client=client.name,
        **cells,
        **{"a day of 28 / a day of 7": cells["28 days CPU s"] / 4 / cells["7 days CPU s"]},
    )


def plan_one(data: dict) -> tuple[int, int]:
    """Plan a client's week in a worker; gives its meals and the worker's memory. [MB]"""
    intake = parse_intake(data)
    plan = make_plan(intake, make_targets(intake), days=7)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return sum(len(day.meals) for day in plan.days), peak // 1024


def test_a_roster_on_one_worker_and_on_two(clients, bench):
    weeks = int(os.environ.get("BENCHMARK_ROSTER", "24"))
    work = [clients[i % len(clients)].intake for i in range(weeks)]
    data = [
        intake.model_copy(update={"seed": i}).model_dump(mode="json", exclude_unset=True)
        for i, intake in enumerate(work)
    ]
    spent = {}
    memory = 0
    for workers in (1, 2):
        with ProcessPoolExecutor(workers) as pool:
            list(pool.map(plan_one, data[:workers]))  # warm: tables loaded, dishes parsed
            begin = time.perf_counter()
            done = list(pool.map(plan_one, data, chunksize=1))
            spent[workers] = time.perf_counter() - begin
        assert all(meals for meals, _ in done)
        memory = max(memory, *(peak for _, peak in done))
    bench.row(
        "roster",
        **{
            "client-weeks": weeks,
            "one worker, weeks/s": weeks / spent[1],
            "two workers, weeks/s": weeks / spent[2],
            "gain": spent[1] / spent[2],
            "memory a worker MB": memory,
            "1,000 weeks on two, min": 1000 * spent[2] / weeks / 60,
        },
    )
