"""What is in the cupboard is used first."""

from __future__ import annotations

import pytest

from mealplan.client.intake import parse_intake
from mealplan.demo.folders import demo_intake
from mealplan.errors import IntakeError
from mealplan.menu.week import make_plan
from mealplan.targets.make import make_targets


def servings_of(food: str, cupboard: list[dict[str, object]]) -> int:
    data = demo_intake("club-climber").model_dump(mode="json", exclude_unset=True)
    data["kitchen"] = {"meals": 4, "cupboard": cupboard}
    intake = parse_intake(data)
    plan = make_plan(intake, make_targets(intake), days=4)
    return sum(
        serving.food == food for day in plan.days for meal in day.meals for serving in meal.servings
    )


def test_a_food_at_home_is_planned_more_often_than_when_it_must_be_bought():
    food = "black_beans_cooked"
    without = servings_of(food, [])
    with_it = servings_of(food, [{"food": food, "grams": 2000}])
    assert with_it > without


def test_a_food_at_home_that_is_not_known_is_refused_with_its_field():
    with pytest.raises(IntakeError, match=r"kitchen\.cupboard: .*unicorn"):
        servings_of("black_beans_cooked", [{"food": "unicorn", "grams": 5}])
