"""How a household lives shows in its week: variety, breakfast, what is left."""

import datetime as dt

import pytest

from mealplan.client.read import parse_intake
from mealplan.menu.context import Context
from mealplan.menu.verify import verify_plan
from mealplan.menu.week import make_plan
from mealplan.shopping.build import shopping_list
from mealplan.targets.make import make_targets

INTAKE = {
    "role": "club runner",
    "start": "2026-11-30",
    "sex": "female",
    "age_years": 30,
    "height_cm": 168,
    "weight_kg": 60,
    "goal": {"phase": "hold"},
    "activity": {"method": "multiplier", "pal": 1.8},
}


def week(living, first=None, before=None):
    intake = parse_intake({**INTAKE, "kitchen": {"living": living}})
    targets = make_targets(intake)
    plan = make_plan(intake, targets, days=7, first=first, before=before)
    context = Context.make(intake, targets)
    assert not verify_plan(plan, targets, context.exclusions.foods, context.by_key)
    assert plan.musts_missed == ()
    return intake, plan


def to_buy(intake, plan):
    return {line.name for line in shopping_list(plan, intake).lines if line.section == "buy"}


@pytest.fixture(scope="module")
def usual():
    return week({})


def test_a_usual_week_is_a_short_list_with_many_dishes(usual):
    # source: common practice (a dietitian's hand-out for one: 25 to 45 things to buy)
    intake, plan = usual
    assert len(to_buy(intake, plan)) <= 40
    assert len({meal.dish for day in plan.days for meal in day.meals}) >= 14


def test_a_steady_week_with_one_breakfast_buys_less_and_begins_alike(usual):
    intake, plan = week({"variety": "steady", "same_breakfast_on_weekdays": True})
    assert len(to_buy(intake, plan)) <= 28
    assert len(to_buy(intake, plan)) <= len(to_buy(*usual))
    weekdays = {day.meals[0].dish for day in plan.days if day.weekday not in ("sat", "sun")}
    assert len(weekdays) == 1


def test_the_next_week_uses_what_is_left_and_serves_other_dishes(usual):
    _, before = usual
    _, after = week({}, first=before.start + dt.timedelta(days=7), before=before)
    assert after.cupboard
    served = {meal.dish for day in before.days for meal in day.meals}
    then = {meal.dish for day in after.days for meal in day.meals}
    assert len(then - served) >= 0.6 * len(then)
    intake = parse_intake(INTAKE)
    taken = sum(line.from_cupboard_g for line in shopping_list(after, intake).lines)
    assert taken > 0


def test_a_week_that_does_not_follow_begins_with_the_intakes_cupboard(usual):
    _, before = usual
    _, later = week({}, first=before.start + dt.timedelta(days=21), before=before)
    assert later.cupboard is None
