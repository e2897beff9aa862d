"""Meals eaten out: assumed, left room for, and nobody's to cook."""

from __future__ import annotations

import datetime as dt

import pytest

from mealplan.client.read import parse_intake
from mealplan.cooking.sheet import batch_plan
from mealplan.errors import IntakeError
from mealplan.menu.change import DayRequest, change_day
from mealplan.menu.context import Context
from mealplan.menu.running_plan import settled_by
from mealplan.menu.verify import verify_plan
from mealplan.menu.week import make_plan
from mealplan.plan import EATEN
from mealplan.shopping.uses import uses_of
from mealplan.targets.make import make_targets


def client(eaten_out):
    return parse_intake(
        {
            "role": "club lifter",
            "sex": "male",
            "age_years": 28,
            "height_cm": 182,
            "weight_kg": 84,
            "start": "2026-12-07",
            "goal": {"phase": "hold"},
            "activity": {"method": "multiplier", "pal": 1.75},
            "kitchen": {"living": {"eaten_out": eaten_out}},
        }
    )


@pytest.fixture(scope="module")
def planned():
    intake = client([{"meal": "tue evening", "kcal": 900}])
    targets = make_targets(intake)
    return intake, targets, make_plan(intake, targets, days=2)


def test_a_dinner_out_leaves_its_room_and_the_rest_of_the_day_meets_what_it_must(planned):
    intake, targets, plan = planned
    out = plan.days[1].meals[-1]
    # source: worked by hand (900 kcal, a fifth of it either way)
    assert (out.dish, out.eaten_out, out.energy_kcal, out.eaten_sd_kcal) == (EATEN, True, 900, 180)
    assert not any(meal.eaten_out for meal in plan.days[0].meals)
    wanted = targets.on_date(plan.days[1].date).meal_kcal
    cooked = sum(meal.energy_kcal for meal in plan.days[1].meals[:-1])
    assert cooked == pytest.approx(wanted - 900, abs=0.02 * wanted)
    context = Context.make(intake, targets)
    assert verify_plan(plan, targets, context.exclusions.foods, context.by_key) == ()


def test_it_is_neither_bought_nor_cooked_nor_taken_for_eaten_already(planned):
    intake, _, plan = planned
    date = plan.days[1].date
    assert EATEN not in {use.dish for use in uses_of(plan, intake, intake.kitchen.shop)}
    sheet = batch_plan(plan, intake).days[1]
    assert len(sheet.cookings) + len(sheet.kept) == len(plan.days[1].meals) - 1
    early = dt.datetime.combine(date, dt.time(4))
    assert settled_by(early, ())(plan.days[1]) == frozenset()


def test_another_meal_of_that_day_changes_around_it(planned):
    intake, targets, plan = planned
    changed = change_day(intake, targets, plan, DayRequest(plan.days[1].date, another=(0,))).plan
    assert changed.days[1].meals[-1] == plan.days[1].meals[-1]
    assert changed.days[1].meals[0].dish != plan.days[1].meals[0].dish


@pytest.mark.parametrize("bad", [{"meal": "someday", "kcal": 900}, {"meal": "fri evening"}])
def test_what_is_not_understood_is_refused_with_its_field(bad):
    with pytest.raises(IntakeError, match="eaten_out"):
        client([bad])
