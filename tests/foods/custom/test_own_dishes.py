"""A cook's own dishes join those that ship, or are refused with a line that mends them."""

from __future__ import annotations

import pytest

from foods import FoodError
from foods.dishes.load import beside_shipped, load_dishes, own_dishes

OWN = """
[[dish]]
key = "house-lentils-on-pita"
name = "Lentils on pita"
tradition = "home"
occasions = ["breakfast"]
hands_on_min = 5
total_min = 10
keeps_days = 1
batch_portions = 2
equipment = ["hob"]
lines = [
  {food="lentils_cooked", called="lentils", g=[99,148.5,247.5]},
  {food="pita_whole_wheat", called="pita", g=[64,64,128]},
]
method = ["Warm the lentils.", "Spoon over the toasted pita."]
"""


def test_an_own_dish_stands_among_those_that_ship():
    dishes = beside_shipped(own_dishes(OWN, "own dishes"))
    assert len(dishes) == len(load_dishes()) + 1
    assert [dish.key for dish in dishes] == sorted(dish.key for dish in dishes)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("lentils_cooked", "lentlis_cooked", "lentils_cooked"),
        ("house-lentils-on-pita", load_dishes()[0].key, "is taken"),
        ("247.5", "2475", "in a day"),
        ("Warm the lentils.", "Warm them.", "never mentions lentils"),
        ("[[dish]]", "[[dishes]]", r"no \[\[dish\]\] table"),
        ("g=[64,64,128]", "g=[64,32,128]", "must rise"),
        ("[[dish]]", "[[dish", "not valid TOML"),
    ],
)
def test_a_faulty_own_dish_says_what_to_mend(old, new, says):
    with pytest.raises(FoodError, match=says):
        beside_shipped(own_dishes(OWN.replace(old, new), "ours.toml"))
