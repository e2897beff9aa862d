"""One day: against the naive peer, against the floor of any method, against the proven best."""

from __future__ import annotations

import os

import numpy as np
import pytest

from mealplan.lp.amounts import AmountsLP, polish
from mealplan.lp.build import build_day
from mealplan.lp.column_bound import relax
from mealplan.lp.explain.day import explain_day
from mealplan.lp.search import solve_day
from mealplan.lp.solver import solve

pytestmark = pytest.mark.benchmark

BEST_CAP_S = float(os.environ.get("BENCHMARK_BEST_CAP_S", "120"))


def best_known(model):
    """
    Find the best day by long search, then prove or better it by exact search.

    A dish whose forced price lifts the bound above a day already found cannot be in a better day,
    so the exact search needs only the dishes that are left; when it ends, its answer is optimal
    over all dishes.
    """
    relaxation = relax(model, gap=1e-6)
    found = min(
        solve_day(model, seed=seed, starts=8, tries=8, finalists=24).objective for seed in range(3)
    )
    keep = [
        np.flatnonzero(relaxation.bound + forced <= found + 1e-6).tolist()
        for forced in relaxation.reduced_cost
    ]
    exact = solve(build_day(model, offers=keep), time_limit_s=BEST_CAP_S, relative_gap=1e-4)
    value = min(found, exact.objective) if exact.has_plan else found
    return value, exact.outcome.value == "optimal"


def test_a_day_against_peer_floor_and_best(client, bench):
    model = client.day()
    ours, _ = bench.seconds(lambda: solve_day(model, seed=client.intake.seed), repeats=7)
    own, steady = bench.cpu_seconds(lambda: solve_day(model, seed=client.intake.seed), repeats=7)
    answer = solve_day(model, seed=client.intake.seed)
    assert model.objective(answer.picks, answer.grams) == pytest.approx(answer.objective)

    peer = []
    peer_s, _ = bench.seconds(
        lambda: peer.append(solve(build_day(model), engine="cbc", time_limit_s=bench.cap_s)), 1
    )
    peer_value = peer[0].objective if peer[0].has_plan else float("nan")

    lp = AmountsLP(model)
    for slot, pick in enumerate(answer.picks):
        lp.put(slot, pick)
    lp.solve()
    others = [(pick + 1) % len(model.offers[0]) for pick in answer.picks]

    def swap():
        """Another dish at one meal and the old one back: two warm solves."""
        lp.put(0, others[0])
        lp.solve()
        lp.put(0, answer.picks[0])
        lp.solve()

    floor = bench.seconds(swap, repeats=15)[0] / 2
    grams = lp.grams()
    whole, _ = bench.seconds(lambda: polish(model, answer.picks, grams))
    told, _ = bench.cpu_seconds(lambda: explain_day(model, answer))
    best, proven = best_known(model)
    bench.row(
        "one day",
        client=client.name,
        offered=sum(len(offer) for offer in model.offers),
        **{
            "ours ms": ours * 1e3,
            "ours CPU ms": own * 1e3,
            "slowest/median CPU": max(steady) / own,
            "A peer s": peer_s,
            "A/ours": peer_s / ours,
            "A objective": peer_value,
            "objective": answer.objective,
            "C best": best,
            "C proven": "yes" if proven else "no",
            "over C": answer.objective - best,
            "over C %": 100 * (answer.objective / best - 1),
            "bound": answer.relaxation.bound,
            "B floor ms": floor * 1e3,
            "whole steps ms": whole * 1e3,
            "explain/day (CPU)": told / own,
        },
    )
    assert answer.relaxation.bound <= best + 1e-6
    assert answer.objective >= best * (1 - 1e-3) - 1e-6
