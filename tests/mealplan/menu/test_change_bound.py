"""What is said of a changed day rests on a bound that nothing turned down can pass."""

from __future__ import annotations

import pytest

from mealplan.client.read import parse_intake
from mealplan.lp.column_bound import relax
from mealplan.lp.search import solve_day
from mealplan.menu.change import TOLERANCE, DayRequest, Eaten, change_day
from mealplan.menu.context import Context
from mealplan.menu.day import day_model
from mealplan.menu.week import make_plan
from mealplan.targets.make import make_targets

INTAKE = {
    "role": "club rower",
    "sex": "female",
    "age_years": 30,
    "height_cm": 165,
    "weight_kg": 60,
    "start": "2026-11-30",
    "goal": {"phase": "hold", "energy_kcal": 2100},
    "activity": {"method": "multiplier", "pal": 1.6},
}


@pytest.fixture(scope="module")
def planned():
    intake = parse_intake(INTAKE)
    targets = make_targets(intake)
    return intake, targets, make_plan(intake, targets, days=3), Context.make(intake, targets)


def test_a_day_made_cheaper_again_is_the_day_that_nothing_was_turned_down_on(planned):
    _, targets, plan, context = planned
    monday = targets.on("mon")
    turned_down = {meal.dish: 0.3 for meal in plan.days[0].meals}
    dearer, _ = day_model(context, 0, monday, {}, avoid=turned_down)
    plain, _ = day_model(context, 0, monday, {})
    again = dearer.cheaper(turned_down)
    assert relax(again, gap=1e-6).bound == pytest.approx(relax(plain, gap=1e-6).bound, abs=1e-6)
    assert relax(again).bound <= solve_day(plain).objective + 1e-9


def test_prices_change_without_touching_the_day_they_were_taken_from(planned):
    _, targets, plan, context = planned
    model, _ = day_model(context, 0, targets.on("mon"), {})
    before = relax(model).bound
    dish = plan.days[0].meals[0].dish
    lower = model.cheaper({dish: 5.0})
    assert relax(lower).bound < before - 1
    assert relax(model).bound == before


def test_a_day_turned_down_ten_times_is_still_judged_against_the_best_of_all(planned):
    intake, targets, plan, context = planned
    date = plan.days[1].date
    shown, best = [], plan.days[1].objective
    for _ in range(10):
        shown.append([meal.dish for meal in plan.days[1].meals])
        changed = change_day(intake, targets, plan, DayRequest(date, shown=shown), context=context)
        plan = changed.plan
        paid = sum(
            0.3 * (meal.dish in shown[-1]) + 0.06 * sum(meal.dish in day for day in shown)
            for meal in plan.days[1].meals
        )
        real = plan.days[1].objective - paid - best
        if changed.within_tolerance:
            assert real <= TOLERANCE + 1e-6
        if "The day is as good as the best there could be." in changed.sentences:
            assert real <= 0.05 + 1e-6


def test_with_nothing_turned_down_no_dish_is_said_to_have_been(planned):
    intake, targets, plan, context = planned
    changed = change_day(
        intake,
        targets,
        plan,
        DayRequest(plan.days[0].date, settled=[0], eaten={1: Eaten("Canteen", {}, 700.0)}),
        context=context,
    )
    assert changed.within_tolerance
    assert "turned down" not in " ".join(changed.sentences)
