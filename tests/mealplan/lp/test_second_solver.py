"""Three solvers agree on the day model, and the fast search and bound keep to what they prove."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

from mealplan.lp.build import build_day, read_day
from mealplan.lp.column_bound import relax
from mealplan.lp.problem import Outcome, Problem
from mealplan.lp.search import solve_day
from mealplan.lp.solver import solve

SEEDS = range(4)


def by_scipy(problem: Problem) -> float:
    """Solve with scipy's own interface, from the plain data, past the project's seam."""
    place = {variable.name: i for i, variable in enumerate(problem.variables)}
    entries = [
        (r, place[name], c)
        for r, row in enumerate(problem.rows)
        for name, c in row.coefficients.items()
    ]
    at_row, at_column, values = zip(*entries, strict=True)
    matrix = csr_matrix(
        (values, (at_row, at_column)), shape=(len(problem.rows), len(problem.variables))
    )
    result = milp(
        np.array([variable.price for variable in problem.variables]),
        constraints=LinearConstraint(
            matrix, [row.low for row in problem.rows], [row.high for row in problem.rows]
        ),
        bounds=Bounds([v.low for v in problem.variables], [v.high for v in problem.variables]),
        integrality=np.array([int(variable.whole) for variable in problem.variables]),
        options={"mip_rel_gap": 1e-9},
    )
    assert result.success, result.message
    return float(result.fun) + problem.constant


@pytest.mark.parametrize("families", [False, True], ids=["plain", "families priced"])
@pytest.mark.parametrize("seed", SEEDS)
def test_three_solvers_find_the_same_best_day(random_day, seed, families):
    problem = build_day(random_day(seed, families=families))
    first = solve(problem, engine="highs", relative_gap=1e-9)
    second = solve(problem, engine="cbc", relative_gap=1e-9)
    assert first.outcome is second.outcome is Outcome.OPTIMAL
    third = by_scipy(problem)
    assert first.objective == pytest.approx(third, abs=1e-5)
    assert second.objective == pytest.approx(third, abs=1e-5)


@pytest.mark.parametrize("families", [False, True], ids=["plain", "families priced"])
@pytest.mark.parametrize("seed", SEEDS)
def test_the_exact_answer_costs_the_same_added_up_from_its_dishes(random_day, seed, families):
    model = random_day(seed, families=families)
    solution = solve(build_day(model), relative_gap=1e-9)
    picks, grams = read_day(model, solution)
    assert model.objective(picks, grams) == pytest.approx(solution.objective, abs=1e-5)
    for slot, (pick, amount) in enumerate(zip(picks, grams, strict=True)):
        choice = model.offers[slot][pick]
        steps = amount / choice.step
        np.testing.assert_allclose(steps, np.round(steps), atol=1e-6)
        for first, second, low, high in choice.ratios:
            assert low * amount[second] - 1e-5 <= amount[first] <= high * amount[second] + 1e-5
    used = np.zeros(len(model.food_ceiling_g))
    for slot, (pick, amount) in enumerate(zip(picks, grams, strict=True)):
        np.add.at(used, model.offers[slot][pick].foods, amount)
    assert (used <= model.food_ceiling_g + 1e-5).all()


@pytest.mark.parametrize("families", [False, True], ids=["plain", "families priced"])
@pytest.mark.parametrize("seed", range(10))
def test_the_fast_search_lies_between_its_bound_and_the_exact_optimum(random_day, seed, families):
    model = random_day(seed, families=families)
    exact = solve(build_day(model), relative_gap=1e-9).objective
    found = solve_day(model)
    assert found.relaxation.bound <= exact + 1e-6
    assert found.objective >= exact - 1e-6
    assert model.objective(found.picks, found.grams) == pytest.approx(found.objective, abs=1e-9)


@pytest.mark.parametrize("families", [False, True], ids=["plain", "families priced"])
def test_the_fast_search_is_near_the_exact_optimum_on_most_small_days(random_day, families):
    gaps = []
    for seed in range(12):
        model = random_day(seed, families=families)
        exact = solve(build_day(model), relative_gap=1e-9).objective
        found = solve_day(model, starts=8, tries=8, finalists=24).objective
        gaps.append((found - exact) / (1 + exact))
    # regression: dives with exchanges are no proof; of a dozen random days most end exact
    assert float(np.median(gaps)) <= 0.005
    assert sum(gap <= 0.02 for gap in gaps) >= 8
    assert max(gaps) <= 0.7


@pytest.mark.parametrize("seed", range(6))
def test_a_ratio_binds_the_exact_model(random_day, seed):
    """Loosening every ratio cannot make the best day worse."""
    model = random_day(seed)
    loose = replace(
        model, offers=tuple(tuple(replace(c, ratios=()) for c in o) for o in model.offers)
    )
    tight = solve(build_day(model), relative_gap=1e-9).objective
    assert solve(build_day(loose), relative_gap=1e-9).objective <= tight + 1e-6


@pytest.mark.parametrize("seed", range(20))
def test_looking_longer_never_gives_a_worse_day(random_day, seed):
    model = random_day(seed)
    few = solve_day(model, starts=1, finalists=1)
    many = solve_day(model, starts=8, finalists=16)
    assert many.objective <= few.objective + 1e-9


@pytest.mark.parametrize("seed", range(12))
def test_the_bound_equals_the_relaxation_solved_as_one_problem(random_day, seed):
    model = random_day(seed, ratios=False, ceilings=False, shared=False)
    whole = solve(build_day(model, relaxed=True, whole_steps=False))
    blend = relax(model, gap=1e-9)
    assert blend.bound == pytest.approx(whole.objective, rel=1e-6, abs=1e-7)
    assert blend.value == pytest.approx(whole.objective, rel=1e-6, abs=1e-7)


@pytest.mark.parametrize("seed", range(12))
def test_the_bound_stays_below_the_relaxation_that_keeps_ratios_and_ceilings(random_day, seed):
    model = random_day(seed)
    whole = solve(build_day(model, relaxed=True, whole_steps=False))
    assert relax(model).bound <= whole.objective + 1e-6


@pytest.mark.parametrize("rounds", [1, 2, 3, 5])
def test_the_bound_is_valid_however_early_it_stops(random_day, rounds):
    for seed in SEEDS:
        model = random_day(seed, dishes=8)
        optimum = solve(build_day(model, relaxed=True, whole_steps=False)).objective
        early = relax(model, most_rounds=rounds, per_round=1)
        assert early.bound <= optimum + 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_forcing_a_dish_costs_at_least_its_reduced_cost(random_day, seed):
    model = random_day(seed, ratios=False, ceilings=False, shared=False)
    relaxation = relax(model, gap=1e-9)
    for slot, offer in enumerate(model.offers):
        for pick in range(len(offer)):
            offers = (*model.offers[:slot], (offer[pick],), *model.offers[slot + 1 :])
            forced = replace(model, offers=offers)
            value = solve(build_day(forced, relaxed=True, whole_steps=False)).objective
            floor = relaxation.bound + relaxation.reduced_cost[slot][pick]
            assert value >= floor - 1e-6


@pytest.mark.parametrize("seed", SEEDS)
def test_the_price_of_a_row_says_what_moving_its_bound_costs(random_day, seed):
    model = random_day(seed, ratios=False, ceilings=False, shared=False)
    before = relax(model, gap=1e-10)
    for index, row in enumerate(model.rows):
        if not math.isfinite(row.low):
            continue
        step = 1e-4 * abs(row.low)
        moved = replace(row, low=row.low + step)
        rows = (*model.rows[:index], moved, *model.rows[index + 1 :])
        after = relax(replace(model, rows=rows), gap=1e-10)
        # A convex cost lies above its tangent; and a price never exceeds the price of missing.
        assert after.value >= before.value + before.row_price[index] * step - 1e-6 or (
            before.row_price[index] < 0
        )
        assert before.row_price[index] <= row.price_low + 1e-9


@pytest.mark.parametrize("seed", SEEDS)
def test_offering_fewer_dishes_to_the_exact_model_is_the_same_as_a_smaller_model(random_day, seed):
    model = random_day(seed, dishes=5)
    kept = [[0, 2] for _ in model.slots]
    smaller = replace(model, offers=tuple((offer[0], offer[2]) for offer in model.offers))
    first = solve(build_day(model, offers=kept), relative_gap=1e-9).objective
    second = solve(build_day(smaller), relative_gap=1e-9).objective
    assert first == pytest.approx(second, abs=1e-6)


# ---------------------------------------------------------------------- real dishes and targets


def few_dishes(model, many: int, *, plain: bool = False):
    """Keep some real dishes a meal; plain drops what the relaxation leaves out."""
    offers = []
    for offer in model.offers:
        step = max(1, len(offer) // many)
        kept = offer[::step][:many]
        offers.append(tuple(replace(c, ratios=(), limits=()) for c in kept) if plain else kept)
    # A dish that suits two meals would be barred from one of them.
    seen: set[str] = set()
    for place, offer in enumerate(offers):
        if plain:
            offers[place] = tuple(c for c in offer if c.dish not in seen)
            seen |= {c.dish for c in offer}
    ceiling = np.full(len(model.food_ceiling_g), np.inf) if plain else model.food_ceiling_g
    price = 0.0 if plain else model.family_price
    return replace(model, offers=tuple(offers), food_ceiling_g=ceiling, family_price=price)


@pytest.mark.parametrize("kcal", [1900, 2200])
def test_three_solvers_agree_on_a_day_of_real_dishes(client_day, kcal):
    person = {"sex": "female", "age_years": 30, "height_cm": 165, "weight_kg": 60}
    model = few_dishes(client_day(kcal=kcal, person=person if kcal < 2000 else None), 2)
    problem = build_day(model)
    exact = [
        solve(problem, engine="highs", relative_gap=1e-9).objective,
        solve(problem, engine="cbc", relative_gap=1e-9).objective,
        by_scipy(problem),
    ]
    assert exact == pytest.approx([exact[0]] * 3, rel=1e-5, abs=1e-6)
    found = solve_day(model)
    assert found.relaxation.bound <= exact[0] + 1e-6
    assert exact[0] <= found.objective + 1e-6
    # regression: with dishes so few the search tries them all; only whole steps are left to chance
    assert found.objective <= 1.3 * exact[0] + 0.02


@pytest.mark.parametrize("kcal", [2300, 2800, 3400])
def test_the_bound_of_real_dishes_equals_the_relaxation_solved_as_one_problem(client_day, kcal):
    model = few_dishes(client_day(kcal=kcal), 12, plain=True)
    whole = solve(build_day(model, relaxed=True, whole_steps=False)).objective
    assert relax(model, gap=1e-9).bound == pytest.approx(whole, rel=1e-5, abs=1e-7)


def test_the_fast_search_of_real_days_keeps_close_to_its_bound(client_day):
    for kcal in (2300, 2800, 3400):
        found = solve_day(client_day(kcal=kcal))
        # regression: over hundreds of real dishes the gap to the proven bound is a tenth: whole
        # steps beside the steep ends of a dish's proportions
        assert 0 <= found.gap <= 0.15


def test_two_dishes_that_share_a_scarce_food_are_not_taken_for_what_they_cannot_give(client_day):
    """Two seitan dishes would meet this man's protein, were seitan not limited in a day."""
    model = client_day(
        kcal=2600,
        person={"sex": "male", "age_years": 32, "height_cm": 185, "weight_kg": 95},
        tastes={"allergies": ["soy"]},
        nutrition={"protein": {"low_g_per_kg": 2.0, "high_g_per_kg": 2.4}},
    )
    unlimited = solve_day(replace(model, food_ceiling_g=np.full_like(model.food_ceiling_g, np.inf)))
    assert (eaten_g(model, unlimited) > model.food_ceiling_g + 1e-6).any(), "no food is scarce"
    found = solve_day(model)
    assert (eaten_g(model, found) <= model.food_ceiling_g + 1e-6).all()
    protein = [i for i, row in enumerate(model.rows) if row.name == "protein_g"]
    missed = model.miss(model.totals(found.picks, found.grams))[protein]
    # a plate holds no more: 0.8 % is missed
    assert missed <= 0.01 * 2.0 * 95
    # What the unlimited day would serve gives less, once held to the ceilings.
    held = solve_day(model, fixed=unlimited.picks).objective
    assert found.objective < held - 1e-6
    # HiGHS, run to the proven end, over the dishes of both days
    both = tuple(
        tuple(offer[pick] for pick in sorted({one, other}))
        for offer, one, other in zip(model.offers, found.picks, unlimited.picks, strict=True)
    )
    exact = solve(build_day(replace(model, offers=both)), relative_gap=1e-6).objective
    # the search is allowed 6 % over a proven best on this day made scarce (4.9 % seen)
    assert exact - 1e-6 <= found.objective <= 1.06 * exact
    # regression: a search five times as wide with three times the starts comes 10 % nearer: the
    # bound that ranks dishes does not see what a plate holds
    wide = solve_day(model, starts=12, tries=12, width=60)
    assert found.objective <= 1.12 * wide.objective


def eaten_g(model, found):
    """Grams of each food in a day."""
    total = np.zeros(len(model.food_ceiling_g))
    for offer, pick, grams in zip(model.offers, found.picks, found.grams, strict=True):
        np.add.at(total, offer[pick].foods, grams)
    return total
