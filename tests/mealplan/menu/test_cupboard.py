"""What is in the cupboard is used first."""

from __future__ import annotations

import pytest

from mealplan.client.read import parse_intake
from mealplan.demo.folders import demo_intake
from mealplan.errors import IntakeError
from mealplan.plan import Plan
from tests.planned import planned


def plan_with(cupboard: list[dict[str, object]]) -> Plan:
    data = demo_intake("club-climber").model_dump(mode="json", exclude_unset=True)
    data["kitchen"] = {"meals": 4, "cupboard": cupboard}
    return planned(parse_intake(data), days=4)


def servings_of(food: str, plan: Plan) -> int:
    return sum(
        serving.food == food for day in plan.days for meal in day.meals for serving in meal.servings
    )


def test_foods_at_home_are_planned_more_often_than_when_they_must_be_bought():
    # Several, each alone in the cupboard: a short list may pass over any one of them.
    foods = ("black_beans_cooked", "tofu_firm_calcium", "potato_boiled")
    without = sum(servings_of(food, plan_with([])) for food in foods)
    with_it = sum(servings_of(food, plan_with([{"food": food, "grams": 2000}])) for food in foods)
    assert with_it > without


def test_a_food_at_home_that_is_not_known_is_refused_with_its_field():
    with pytest.raises(IntakeError, match=r"kitchen\.cupboard: .*unicorn"):
        plan_with([{"food": "unicorn", "grams": 5}])
