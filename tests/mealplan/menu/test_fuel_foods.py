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
    fuel = fuel_foods([item(when, aim)], SPACE, EVERY)
    grams, [said] = fuel.grams, fuel.told
    assert len(grams) == 2
    # Ten grams of the densest choice is eight grams of carbohydrate, a half step each.
    assert brought(grams) == pytest.approx(aim, abs=9)
    assert "such as" in said


def test_what_is_not_allowed_is_passed_over():
    [first, second] = CHOICES["during"][1][:2]
    grams = fuel_foods([item("during", 100.0)], SPACE, EVERY - {first}).grams
    assert first not in grams
    assert second in grams


def test_what_is_disliked_is_taken_only_where_nothing_else_is_allowed():
    ride, disliked = [item("during", 100.0)], frozenset({"dates"})
    assert "dates" in fuel_foods(ride, SPACE, EVERY).grams
    grams = fuel_foods(ride, SPACE, EVERY, disliked=disliked).grams
    assert "dates" not in grams
    assert "raisins" in grams
    alone = frozenset({"sports_drink", "dates"})
    assert "dates" in fuel_foods(ride, SPACE, alone, disliked=disliked).grams


def test_without_any_allowed_food_the_amount_alone_is_told():
    fuel = fuel_foods([item("during", 100.0)], SPACE, frozenset())
    assert fuel.grams == {}
    assert "such as" not in fuel.told[0]


def test_meals_before_and_little_sips_need_no_food_of_their_own():
    fuel = fuel_foods([item("before", 150.0), item("during", 5.0)], SPACE, EVERY)
    assert fuel.grams == {}
    assert len(fuel.told) == 2
    assert fuel.packs == ()


RIDE = FuelItem(
    when="during",
    session="a long ride",
    time="06:00",
    minutes=240,
    carbohydrate_low_g=240,
    carbohydrate_aim_g=300,
    carbohydrate_high_g=360,
    fluid_low_ml=1600,
    fluid_high_ml=3200,
    sodium_mg_per_l=500,
)


def test_a_pack_holds_the_fluid_and_sodium_that_the_line_asks_for():
    # source: published (DGE 2020: 400 to 1,100 mg sodium a litre; ACSM 2016: 60 to 90 g an hour);
    # worked by hand: sodium is 39.34 % of salt
    fuel = fuel_foods([RIDE], SPACE, EVERY)
    [pack] = fuel.packs
    assert pack.drink_ml == pytest.approx(2400, abs=75)
    assert {food.food: food.grams for food in pack.foods} == fuel.grams
    sodium = SPACE.per_gram("sodium_mg")
    held = sum(food.grams * float(sodium[SPACE.index[food.food]]) for food in pack.foods)
    a_litre = (held + 393.4 * pack.salt_g) / pack.drink_ml * 1000
    assert 400 <= a_litre <= 1100
    for food in pack.foods:
        assert food.phrase in pack.how
        assert f"{food.grams:,.0f} g" in fuel.told[0]
    assert "every 15 minutes, by thirst" in pack.how


def test_water_alone_is_packed_where_no_carbohydrate_is_asked_for():
    water = RIDE.model_copy(
        update={"carbohydrate_aim_g": 0.0, "sodium_mg_per_l": None, "minutes": 60.0}
    )
    [pack] = fuel_foods([water], SPACE, EVERY).packs
    assert (pack.foods, pack.salt_g) == ((), 0.0)
    assert "mL water" in pack.how
