"""What is liked comes often, nothing comes too often, and nothing at an hour nobody wants it."""

from dataclasses import replace

import pytest

from foods.dishes.kinds import dish_kinds, kinds_called
from foods.dishes.load import load_dishes
from mealplan.client.read import parse_intake
from mealplan.menu.context import Context
from mealplan.menu.likings import explain_likings
from mealplan.menu.offers import table_at
from mealplan.rules.preferences.base import Around
from mealplan.rules.preferences.hours import COLD_DINNER, EARLY_SAVOURY, LATE_PULSES, Hours
from mealplan.rules.preferences.liked import LikedMeals
from mealplan.rules.preferences.same import IN_A_ROW, SAME_MEAL, InARow, SameMeal
from mealplan.rules.preferences.wanted import OTHER_MEAL, Wanted
from mealplan.rules.variety import HABITS
from mealplan.targets.make import make_targets


def context_of(**more):
    intake = parse_intake(
        {
            "role": "rower",
            "start": "2026-11-30",
            "sex": "female",
            "age_years": 30,
            "height_cm": 170,
            "weight_kg": 65,
            "goal": {"phase": "hold"},
            "activity": {"method": "multiplier", "pal": 1.8},
            **more,
        }
    )
    return Context.make(intake, make_targets(intake))


def table_of(context, slot, day=3):
    return table_at(context, day, context.targets.on("thu"), context.slots[slot], {})


@pytest.fixture(scope="module")
def fond():
    tastes = {"likes": ["Thai", "stir-fry", "pies"], "favourites": ["dumplings"]}
    return context_of(tastes=tastes, kitchen={"meals": 6})


@pytest.fixture(scope="module")
def plain():
    return context_of(kitchen={"meals": 6})


def test_every_dish_that_ships_says_its_kind():
    assert {dish.kind for dish in load_dishes()} <= set(dish_kinds())


# source: common practice (what people call these dishes)
@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("stir fry", "stir-fry"), ("Stir-fries", "stir-fry"), ("pies", "pie"), ("pie", "pie"),
        ("dumplings", "dumplings"), ("risotto", "risotto"), ("lasagne", "lasagne"),
        ("burgers", "burger"), ("noodles", "noodles"), ("stews", "stew"), ("pancakes", "pancake"),
    ],
)  # fmt: skip
def test_a_word_for_a_kind_of_dish_is_understood(word, kind):
    assert kind in kinds_called(word)
    assert any(dish.kind == kind for dish in load_dishes())


def test_a_kind_that_is_also_a_food_means_its_dishes(fond):
    words = {word: wanted for wanted in fond.wanted for word in wanted.words}
    assert all(fond.by_key[key].kind == "dumplings" for key in words["dumplings"].dishes)
    # source: common practice (a favourite comes four times a week, a thing liked three times)
    assert words["stir-fry"].least == 3
    dinners = next(w for w in fond.wanted if w.words == ("Thai",) and "evening" in w.occasions)
    assert (dinners.least, dinners.of) == (4, 7)


def test_a_week_is_behind_by_what_it_should_have_had():
    # source: worked by hand: of 7 dinners 3 are chosen, 4 are to be of it, 1 was:
    # with the fourth there should be 4 * 4 / 7 = 2.286, so it is 1.286 behind
    wanted = Wanted(("x",), frozenset({"a"}), frozenset({"evening"}), 4, 7)
    assert wanted.behind(1, {"evening": 3, "midday": 7}) == pytest.approx(9 / 7)
    assert wanted.behind(4, {"evening": 6}) == 0


def test_another_dish_is_dear_while_the_week_is_behind(fond):
    table = table_of(fond, 4)
    assert table.slot.occasion == "evening"
    gains = table.catches_up
    best = max(gains, key=gains.__getitem__)
    other = next(dish.key for dish in fond.dishes if dish.key not in gains)
    assert LikedMeals().price(best, table) == 0
    assert LikedMeals().price(other, table) == OTHER_MEAL
    served = tuple(99 for _ in fond.wanted)
    enough = replace(table_of(fond, 4), around=Around(come=served))
    assert LikedMeals().price(other, enough) == 0


def test_a_third_day_in_a_row_is_minded_except_where_steady(plain):
    dish = plain.dishes[0].key
    table = replace(table_of(plain, 2), around=Around(served_on={dish: [1, 2]}))
    assert InARow().price(dish, table) == IN_A_ROW
    gap = replace(table, around=Around(served_on={dish: [0, 1]}))
    assert InARow().price(dish, gap) == 0
    steady = replace(table, habits=HABITS["steady"])
    assert InARow().price(dish, steady) == 0


def test_a_fourth_shake_in_a_week_of_mornings_is_dear(plain):
    shake = next(d.key for d in plain.dishes if d.kind == "shake" and "breakfast" in d.occasions)
    table = table_of(plain, 0)
    led = {(0, family): 3 for family in ("shake",)}
    assert SameMeal().price(shake, replace(table, around=Around(led=led))) == SAME_MEAL
    few = dict.fromkeys(led, 2)
    assert SameMeal().price(shake, replace(table, around=Around(led=few))) == 0


def test_food_has_its_hour(plain):
    morning, late, dinner = (table_of(plain, place) for place in (1, 5, 4))
    beans = "kidney-bean-sweetcorn-cup"
    assert Hours().price(beans, late) == LATE_PULSES
    assert Hours().price(beans, morning) == EARLY_SAVOURY
    assert Hours().price("banana-oat-cookies", late) == 0
    assert Hours().price("avocado-seed-rice-cakes", morning) == 0
    assert Hours().price("black-bean-mango-salad-tortilla", dinner) == COLD_DINNER


def test_what_is_liked_and_cannot_be_served_is_said(fond):
    # source: common practice (pancakes need a pan; a kettle makes none)
    bare = context_of(
        tastes={"likes": ["pancakes"], "never": ["soy foods"]},
        kitchen={"equipment": ["kettle"]},
    )
    said = explain_likings((), bare.intake, bare.exclusions, bare.by_key, bare.served_at)
    assert len(said) == 1
    assert "pancakes" in said[0]
    assert not explain_likings((), context_of().intake, context_of().exclusions, {}, {})
