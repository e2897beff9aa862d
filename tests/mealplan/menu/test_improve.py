"""Searching a plan further: never worse, the same each time, and checked like any other plan."""

from __future__ import annotations

import pytest

from mealplan.client.read import parse_intake
from mealplan.lp.build import best_amounts
from mealplan.menu.context import Context
from mealplan.menu.improve import improve, neighbourhoods, steps_of
from mealplan.menu.verify import verify_plan
from mealplan.menu.week import make_plan
from mealplan.targets.make import make_targets

INTAKE = {
    "role": "club rower",
    "sex": "female",
    "age_years": 35,
    "height_cm": 168,
    "weight_kg": 64,
    "start": "2026-11-30",
    "goal": {"phase": "hold", "energy_kcal": 2300},
    "activity": {"method": "multiplier", "pal": 1.7},
    "tastes": {"allergies": ["soy", "gluten", "tree_nut", "peanut"]},
}


@pytest.fixture(scope="module")
def plans():
    intake = parse_intake(INTAKE)
    targets = make_targets(intake)
    seen = []
    polished = make_plan(
        intake, targets, days=4, polish=True, progress=lambda *step: seen.append(step)
    )
    return intake, targets, make_plan(intake, targets, days=4), polished, seen


def total(plan):
    return sum(day.objective for day in plan.days)


def test_a_polished_plan_is_better_here_and_never_below_its_bound(plans):
    _, _, plain, polished, _ = plans
    assert total(polished) < total(plain)
    assert all(day.bound <= day.objective + 1e-9 for day in polished.days)


def test_a_polished_plan_passes_the_check_that_shares_nothing_with_the_model(plans):
    intake, targets, _, polished, _ = plans
    context = Context.make(intake, targets)
    assert verify_plan(polished, targets, context.exclusions.foods, context.by_key) == ()


def test_the_same_seed_polishes_to_the_same_plan(plans):
    intake, targets, _, polished, _ = plans
    assert make_plan(intake, targets, days=4, polish=True) == polished


def test_progress_rises_step_by_step_to_its_end(plans):
    seen = plans[-1]
    assert [done for done, _ in seen] == sorted(done for done, _ in seen)
    assert seen[-1] == (4 + steps_of(4), 4 + steps_of(4))


def test_neighbourhoods_take_out_one_two_or_three_days():
    # source: worked by hand: 4 single days, 3 + 2 + 1 pairs, 2 rows of three
    assert len(neighbourhoods(4)) == 4 + 6 + 2
    assert neighbourhoods(1) == ((0,),)


def test_a_search_that_finds_nothing_better_keeps_what_it_was_given(plans):
    class Day:
        served = ()

    start = {0: Day(), 1: Day()}
    found = improve(
        start,
        lambda day, history, **more: Day(),
        lambda trial: 1.0,
        (),
        seed=1,
        tell=lambda done: None,
    )
    assert found == start


def test_exact_amounts_are_no_worse_and_leave_held_meals_alone(plans):
    from mealplan.menu.day import day_model, solve_one

    intake, targets, *_ = plans
    context = Context.make(intake, targets)
    monday = targets.on("mon")
    solved = solve_one(context, 0, monday, {})
    model, _ = day_model(context, 0, monday, {})
    picks, grams = solved.answer.picks, solved.answer.grams
    better, objective = best_amounts(model, picks, grams, held=(0, 1))
    assert objective <= solved.objective + 1e-9
    assert model.objective(picks, better) == pytest.approx(objective)
    assert (better[0] == grams[0]).all()
    assert (better[1] == grams[1]).all()
