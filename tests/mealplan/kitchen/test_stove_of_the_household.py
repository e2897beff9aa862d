"""Rings, kettle and pressure cooker of a household change minutes and words, never safety."""

from __future__ import annotations

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.load import dishes_by_key, load_dishes
from foods.dishes.minutes import Hob
from mealplan.client.intake import Kitchen
from mealplan.kitchen.boiling import boiling_of, how_to_boil, in_all, pulses_to_boil
from mealplan.kitchen.method import minutes_for, told

CATALOGUE = Catalogue.load()
DISHES = dishes_by_key(load_dishes())


def all_of(dish):
    return frozenset(line.food for line in dish.lines)


def test_fewer_rings_never_make_a_dish_quicker_and_often_slower():
    slower = 0
    for dish in list(DISHES.values())[::7]:
        one = minutes_for(dish, all_of(dish), 2, Hob(rings=1))
        three = minutes_for(dish, all_of(dish), 2, Hob(rings=3))
        assert one.total >= three.total, dish.key
        assert one.hands == three.hands, dish.key
        slower += one.total > three.total
    assert slower >= 10


def test_a_kettle_shortens_the_way_to_the_boil_and_is_named():
    dish = DISHES["mushroom-white-bean-pasta"]
    grams = {line.food: line.typical_g for line in dish.lines}
    plain = minutes_for(dish, all_of(dish), 3)
    quick = minutes_for(dish, all_of(dish), 3, Hob(kettle=True))
    assert quick.total < plain.total
    text = " ".join(told(dish, grams, 1, "metric", CATALOGUE, kettle=True).all)
    assert "of water from the kettle" in text
    assert "kettle" not in " ".join(told(dish, grams, 1, "metric", CATALOGUE).all)


def test_a_kitchen_says_what_it_has():
    kitchen = Kitchen(rings=2, equipment=("hob", "kettle", "pressure cooker"))
    assert kitchen.hob == Hob(2, kettle=True)
    assert kitchen.pressure_cooker
    assert Kitchen().hob == Hob(3, kettle=False)
    assert not Kitchen().pressure_cooker


# source: confirmed by independent transcription (two makers' tables, the longer minutes)
@pytest.mark.parametrize(
    ("key", "minutes"),
    [("chickpeas_cooked", 17), ("lentils_cooked", 9), ("black_eyed_peas_cooked", 9)],
)
def test_pulses_held_safe_are_cooked_under_pressure_where_there_is_one(key, minutes):
    row = boiling_of(CATALOGUE.food(key))
    assert f"{minutes} minutes at full pressure" in how_to_boil(row, pressure_cooker=True)
    assert "pressure" not in how_to_boil(row)
    assert minutes < in_all(row, pressure_cooker=True)


# source: published (US FDA, Bad Bug Book 2012: no pressure time is given for kidney beans; makers
# of pressure cookers forbid split peas)
@pytest.mark.parametrize(
    "key",
    ["kidney_beans_red_cooked", "white_beans_cooked", "lima_beans_cooked", "split_peas_cooked"],
)
def test_beans_with_lectin_and_split_peas_stay_in_the_open_pot(key):
    row = boiling_of(CATALOGUE.food(key))
    assert how_to_boil(row, pressure_cooker=True) == how_to_boil(row)
    assert in_all(row, pressure_cooker=True) == row.boil_min


def test_a_menu_tells_of_the_pressure_cooker():
    dish = DISHES["spanish-chickpeas-spinach"]
    said = pulses_to_boil(dish, all_of(dish), CATALOGUE, pressure_cooker=True)
    assert any("soak dried ones" in text and "full pressure" in text for text in said)
