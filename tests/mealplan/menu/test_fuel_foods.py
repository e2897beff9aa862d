"""Fuel as foods: the amounts bring the carbohydrate asked for, from foods that are allowed."""

import pytest

from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.menu.fuel_foods import CHOICES, fuel_foods
from mealplan.targets.ranges import FuelItem

SPACE = FoodSpace.load()
EVERY = frozenset(food.key for food in SPACE.foods)


def item(when, aim):
    return FuelItem(
        when=when,
        session="a long ride",
        carbohydrate_low_g=aim,
        carbohydrate_aim_g=aim,
        carbohydrate_high_g=aim,
    )


def brought(grams):
    carbohydrate = SPACE.per_gram("net_carbohydrate_g")
    return sum(carbohydrate[SPACE.index[key]] * amount for key, amount in grams.items())


@pytest.mark.parametrize(("when", "aim"), [("during", 60.0), ("during", 375.0), ("between", 219.0)])
def test_the_foods_bring_what_is_asked_for(when, aim):
    grams, [said] = fuel_foods([item(when, aim)], SPACE, EVERY)
    assert len(grams) == 2
    # Ten grams of the densest choice is eight grams of carbohydrate, a half step each.
    assert brought(grams) == pytest.approx(aim, abs=9)
    assert "such as" in said


def test_what_is_not_allowed_is_passed_over():
    [first, second] = CHOICES["during"][1][:2]
    grams, _ = fuel_foods([item("during", 100.0)], SPACE, EVERY - {first})
    assert first not in grams
    assert second in grams


def test_without_any_allowed_food_the_amount_alone_is_told():
    grams, [said] = fuel_foods([item("during", 100.0)], SPACE, frozenset())
    assert grams == {}
    assert "such as" not in said


def test_meals_before_and_little_sips_need_no_food_of_their_own():
    grams, told = fuel_foods([item("before", 150.0), item("during", 5.0)], SPACE, EVERY)
    assert grams == {}
    assert len(told) == 2
