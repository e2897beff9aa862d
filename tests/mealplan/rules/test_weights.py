"""Every weight of the objective stands once, with its reason, and does what it says."""

import ast
from dataclasses import replace
from pathlib import Path

import pytest

from mealplan.client.read import parse_intake
from mealplan.menu.context import Context
from mealplan.menu.offers import own_price, table_at
from mealplan.rules.preferences import FRESH, OWN, SHARED, why
from mealplan.rules.preferences.base import Around
from mealplan.rules.preferences.repeat import Repeat
from mealplan.rules.variety import HABITS
from mealplan.rules.weights import weight, weights
from mealplan.targets.make import make_targets

ROOT = Path(__file__).parents[3]
PREFERENCES = (*OWN, *SHARED, *FRESH)


@pytest.fixture(scope="module")
def context():
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
            "kitchen": {"hands_on_min": {"mon": 10}},
        }
    )
    return Context.make(intake, make_targets(intake))


@pytest.fixture
def table(context):
    return table_at(context, 0, context.targets.on("mon"), context.slots[1], {})


def test_every_weight_is_used_by_name_somewhere():
    called = set()
    for path in (ROOT / "mealplan").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "weight":
                called |= {a.value for a in node.args if isinstance(a, ast.Constant)}
    varieties = {
        f"{what}_{variety}"
        for what in ("again", "again_soon", "new_food", "last_week")
        for variety in ("steady", "usual", "adventurous")
    }
    tiers_and_grades = (
        varieties
        | {k for k, w in weights().items() if w.family == "tiers"}
        | {
            "dislikes",
            "seldom",
            "likes",
            "favourites",
        }
    )
    assert set(weights()) == called | tiers_and_grades


def test_every_weight_says_what_it_is_and_why():
    for one in weights().values():
        assert len(one.meaning) > 10, one.key
        assert len(one.reason) > 10, one.key
        assert one.unit.startswith(("score", "comforts")), one.key


def test_a_dish_served_soon_again_is_dearer_than_later(context, table):
    dish = context.dishes[0].key
    soon = replace(table, around=Around(served_on={dish: [1]}))
    later = replace(table, around=Around(served_on={dish: [5]}))
    usual = HABITS["usual"]
    # A main meal cooked anew, where a pot would do, is dearer still than a breakfast.
    breakfast = replace(soon, slot=context.slots[0])
    assert Repeat().price(dish, breakfast) == usual.again_soon > usual.again
    assert Repeat().price(dish, soon) == usual.again_soon + weight("cooked_again")
    assert Repeat().price(dish, later) == usual.again
    assert Repeat().price(dish, table) == 0


def test_what_is_said_of_a_dish_adds_up_to_its_price(context, table):
    for dish in (one.key for one in context.dishes):
        priced = sum(preference.price(dish, table) for preference in PREFERENCES)
        said = sum(float(line.split()[0]) for line in why(dish, table))
        assert said == pytest.approx(priced, abs=0.0005 * len(PREFERENCES)), dish


def test_a_dish_turned_down_costs_what_it_was_put_at(context, table):
    dish = context.dishes[0].key
    down = replace(table, shunned={dish: 0.3})
    assert own_price(dish, down) == pytest.approx(own_price(dish, table) + 0.3)


def test_no_comfort_buys_a_floor():
    # source: common practice (health before comfort); a tenth of a floor against any one reluctance
    floor = weight("floor") / 10
    reluctances = [
        one.value
        for one in weights().values()
        if one.family not in ("tiers", "pots") and one.key != "over_food_ceiling"
    ]
    assert max(reluctances) < floor
