"""How time grows with dishes, foods and days; and how many clients a machine serves."""

from __future__ import annotations

import os
import resource
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

import numpy as np
import pytest

from mealplan.client.read import parse_intake
from mealplan.lp.column_bound import relax
from mealplan.lp.search import solve_day
from mealplan.menu.week import make_plan
from mealplan.targets.make import make_targets
from tests.benchmarks.plots import growth_plot

pytestmark = pytest.mark.benchmark

SIZES = (100, 200, 400, 800, 1000)
FOODS = (100, 200)
"""Smaller pantries than the one that ships; larger ones are multiples of it."""
SEEDS = (1, 2, 3)
"""The time of one search depends on its luck; each size is timed over several."""
DAYS = (1, 3, 7, 14, 28)


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


def with_pantry(model, many: int):
    """Only the dishes that can be cooked from the so many foods used most."""
    used = Counter(int(food) for offer in model.offers for choice in offer for food in choice.foods)
    pantry = {food for food, _ in used.most_common(many)}
    offers = []
    for offer in model.offers:
        made = []
        for choice in offer:
            in_reach = np.array([int(food) in pantry for food in choice.foods])
            if (in_reach | choice.optional).all():
                made.append(_only(choice, in_reach))
        offers.append(tuple(made) or offer[:4])
    return replace(model, offers=tuple(offers))


def _only(choice, lines):
    """The same dish without some of the lines it can do without."""
    place = np.cumsum(lines) - 1
    return replace(
        choice,
        **{
            name: getattr(choice, name)[lines]
            for name in (
                "foods",
                "low",
                "typical",
                "high",
                "step",
                "optional",
                "deviation",
                "near",
                "far",
            )
        },
        ratios=tuple(
            (int(place[a]), int(place[b]), low, high)
            for a, b, low, high in choice.ratios
            if lines[a] and lines[b]
        ),
    )


def timed(bench, model, seeds=SEEDS) -> float:
    """Mean over some seeds of the median time of a day. [ms]"""
    assert model.tables
    assert model.counts.size
    times = [
        bench.cpu_seconds(lambda s=seed: solve_day(model, seed=s), repeats=3)[0] for seed in seeds
    ]
    return 1e3 * sum(times) / len(times)


def test_growth_with_dishes(clients, bench):
    drawn = {}
    for client in clients[:4]:
        base = client.day()
        days, bounds = {}, {}
        for many in SIZES:
            # Which dishes there are decides how hard a day is: several sets of each size.
            sets = [with_dishes(base, many, seed=seed) for seed in SEEDS]
            days[many] = sum(timed(bench, model, seeds=(1,)) for model in sets) / len(sets)
            model = sets[0]
            bounds[many] = bench.cpu_seconds(lambda m=model: relax(m))[0] * 1e3
        bench.row(
            "growth with dishes",
            client=client.name,
            **{f"{many} dishes CPU ms": days[many] for many in SIZES},
            **{f"{many} bound CPU ms": bounds[many] for many in SIZES},
            **{"1000/100": days[1000] / days[100]},
        )
        drawn[client.name] = list(days.items())
    bench.plots["growth-dishes.svg"] = growth_plot(
        "Planning a day, by dishes on offer", "dishes", "CPU time [ms]", drawn
    )


def test_growth_with_foods(clients, bench):
    drawn = {}
    for client in clients[:4]:
        base = client.day()
        models = {many: with_pantry(base, many) for many in FOODS}
        models |= {
            len(model.food_ceiling_g): model for model in (with_foods(base, n) for n in (1, 2, 4))
        }
        cells = {many: timed(bench, model) for many, model in models.items()}
        most = max(cells)
        bench.row(
            "growth with foods",
            client=client.name,
            **{f"{many} foods CPU ms": ms for many, ms in cells.items()},
            **{f"{most}/100": cells[most] / cells[100]},
        )
        drawn[client.name] = list(cells.items())
    bench.plots["growth-foods.svg"] = growth_plot(
        "Planning a day, by foods", "foods", "CPU time [ms]", drawn
    )


def test_growth_with_days(clients, bench):
    drawn = {}
    for client in clients[:2]:
        cells = {
            days: bench.cpu_seconds(
                lambda d=days, c=client: make_plan(c.intake, c.targets, days=d), repeats=1
            )[0]
            for days in DAYS
        }
        bench.row(
            "growth with days",
            client=client.name,
            **{f"{days} days CPU s": seconds for days, seconds in cells.items()},
            **{"a day of 28 / a day of 7": cells[28] / 4 / cells[7]},
        )
        drawn[client.name] = list(cells.items())
    bench.plots["growth-days.svg"] = growth_plot(
        "Planning a plan, by days",
        "days",
        "CPU time [s]",
        drawn,
        linear=next(iter(drawn)),
    )


def plan_one(data: dict) -> tuple[int, int]:
    """Plan a client's week in a worker; gives its meals and the worker's memory. [MB]"""
    intake = parse_intake(data)
    plan = make_plan(intake, make_targets(intake), days=7)
    return sum(len(day.meals) for day in plan.days), _peak_mb()


def _peak_mb() -> int:
    """Most memory this process has held; what its parent held before it does not count. [MB]"""
    status = Path("/proc/self/status")
    if status.exists():
        line = next(x for x in status.read_text().splitlines() if x.startswith("VmHWM"))
        return int(line.split()[1]) // 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def served(pool, data) -> list[tuple[int, int]]:
    """Plan a roster, with a bar that shows how far it is."""
    done = []
    begin = time.perf_counter()
    for answer in pool.map(plan_one, data, chunksize=1):
        done.append(answer)
        filled = round(30 * len(done) / len(data))
        rate = len(done) / (time.perf_counter() - begin)
        sys.stderr.write(
            f"\r[{'#' * filled}{'.' * (30 - filled)}] {len(done)} of {len(data)} client-weeks, "
            f"{rate:.2f} a second "
        )
    sys.stderr.write("\n")
    return done


def test_a_roster_on_one_worker_and_on_two(clients, bench):
    weeks = int(os.environ.get("BENCHMARK_ROSTER", "24"))
    data = [
        clients[i % len(clients)]
        .intake.model_copy(update={"seed": i})
        .model_dump(mode="json", exclude_unset=True)
        for i in range(weeks)
    ]
    # One worker and two do the same first weeks; two then do the whole roster.
    sample = data[:24]
    spent, memory = {}, 0
    for name, workers, work in (("one", 1, sample), ("two", 2, sample), ("all", 2, data)):
        if name == "all" and len(work) == len(sample):
            spent["all"] = spent["two"]
            continue
        with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
            list(pool.map(plan_one, data[:workers]))  # warm: tables loaded, dishes parsed
            begin = time.perf_counter()
            done = served(pool, work)
            spent[name] = time.perf_counter() - begin
        assert all(meals for meals, _ in done)
        memory = max(memory, *(peak for _, peak in done))
    bench.row(
        "roster",
        **{
            "client-weeks": weeks,
            "one worker, weeks/s": len(sample) / spent["one"],
            "two workers, weeks/s": weeks / spent["all"],
            "gain": spent["one"] / spent["two"],
            "memory a worker MB": memory,
            "1,000 weeks on two, min": 1000 * spent["all"] / weeks / 60,
        },
    )
