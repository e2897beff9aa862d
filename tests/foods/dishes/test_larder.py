"""The larder that ships is small, sold everywhere, and cooks a good part of the library."""

from __future__ import annotations

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.larder import cookable, larder_text, read_larder
from foods.dishes.load import load_dishes
from foods.dishes.model import OCCASIONS
from foods.registry.errors import FoodError

LARDER = read_larder(larder_text())
CATALOGUE = Catalogue.load()


# source: common practice (a larder of 35 foods and 18 seasonings is what a household keeps in)
def test_it_holds_thirty_five_foods_and_eighteen_seasonings():
    assert len(LARDER.food) == 35
    assert len(LARDER.seasoning) == 18
    names = [thing.name for thing in (*LARDER.food, *LARDER.seasoning)]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("thing", [*LARDER.food, *LARDER.seasoning], ids=lambda thing: thing.name)
def test_the_forms_of_a_thing_are_one_food(thing):
    foods = [CATALOGUE.food(key) for key in thing.forms]
    assert len({frozenset(food.allergens) for food in foods}) == 1


def test_at_least_150_dishes_need_nothing_else():
    assert len(cookable(LARDER, load_dishes())) >= 150


@pytest.mark.parametrize(("occasion", "least"), [*zip(OCCASIONS, (25, 60, 60, 25), strict=True)])
def test_every_occasion_has_many_of_them(occasion, least):
    dishes = cookable(LARDER, load_dishes())
    assert sum(occasion in dish.occasions for dish in dishes) >= least


def test_a_dish_is_cookable_without_its_add_ons_and_not_without_a_line():
    dishes = {dish.key: dish for dish in cookable(LARDER, load_dishes())}
    for dish in dishes.values():
        for line in dish.lines:
            assert line.optional or line.food in LARDER.keys
    smaller = LARDER.model_copy(update={"food": tuple(t for t in LARDER.food if t.name != "oats")})
    gone = set(dishes) - {dish.key for dish in cookable(smaller, load_dishes())}
    assert gone
    assert all("oats_rolled" in {line.food for line in dishes[key].lines} for key in gone)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[food]]\nname = 'oats'\nforms = ['oatz']", "no kitchen food"),
        ("[[food]]\nname = 'oats'", "forms"),
        ("food", "not valid TOML"),
        ("[[food]]\nname = 'oats'\nforms = ['Rolled oats']", "by its key"),
    ],
)
def test_a_fault_in_a_larder_is_named(text, said):
    with pytest.raises(FoodError, match=said):
        read_larder(text)
