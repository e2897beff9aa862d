"""What is bought: things of a kind once, and little that few shops have."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from foods.composition.catalogue import Catalogue
from mealplan.client.read import parse_intake
from mealplan.market.purchase_habits import hard_to_find, in_large_shops, kin_of, out_of_season
from mealplan.menu.context import Context
from mealplan.menu.errands import FAR_FETCHED, OUT_OF_SEASON
from mealplan.menu.offers import around, table_at
from mealplan.menu.served import Served
from mealplan.rules.preferences.base import Around
from mealplan.rules.preferences.buying import KIN, NewThings
from mealplan.targets.make import make_targets
from tests.planned import planned

KEYS = {food.key for food in Catalogue.load()}


def client(**fields):
    return parse_intake(
        {
            "role": "club lifter",
            "sex": "male",
            "age_years": 28,
            "height_cm": 180,
            "weight_kg": 80,
            "start": "2026-11-30",
            "goal": {"phase": "hold"},
            "activity": {"method": "multiplier", "pal": 1.7},
            **fields,
        }
    )


def context_of(**fields):
    intake = client(**fields)
    return Context.make(intake, make_targets(intake))


# source: common practice (a week: a dish of seven days ago is no repeat, one of six days ago is)
@pytest.mark.parametrize("apart", [-7, -6, -2, -1, 1, 2, 6, 7])
def test_a_dish_counts_as_served_again_within_seven_days(apart):
    context = context_of()
    served = Served("rice-and-beans", {}, None)
    found = around(context, 10, {10 + apart: [served], 10: [served]})
    assert found.served_on == ({"rice-and-beans": [10 + apart]} if abs(apart) < 7 else {})


def test_every_food_named_is_in_the_catalogue():
    assert set(kin_of()) <= KEYS
    assert hard_to_find() | in_large_shops() | out_of_season(1) | out_of_season(7) <= KEYS


def test_every_kind_holds_at_least_two_foods():
    assert min(Counter(kin_of().values()).values()) >= 2


def test_a_second_thing_of_a_kind_costs_more_than_the_first():
    context = context_of()
    firm, other = "tofu_firm_calcium", "tofu_firm_nigari"
    dish = next(
        d.key
        for d in context.dishes
        if context.name_bought[firm] in context.bought[d.key]
        and context.name_bought[other] not in context.bought[d.key]
    )
    kinds = frozenset({context.kin[context.name_bought[other]]})
    table = table_at(context, 0, context.targets.on("mon"), context.slots[0], {})
    alone = NewThings().price(dish, table)
    beside = NewThings().price(dish, replace(table, around=Around(kinds=kinds)))
    assert beside == pytest.approx(alone + KIN)


def test_raw_and_cooked_of_one_vegetable_are_one_thing_to_buy():
    context = context_of()
    assert context.name_bought["carrots_raw"] == context.name_bought["carrots_cooked"]


def test_a_household_with_ordinary_shops_is_sent_on_few_errands():
    intake = client()
    plan = planned(intake)
    rare = [
        serving.food
        for day in plan.days
        for meal in day.meals
        for serving in meal.servings
        if serving.food in hard_to_find()
    ]
    assert len(rare) <= 2


def test_where_the_shops_have_everything_only_what_is_out_of_season_is_an_errand():
    plain = context_of()
    stocked = context_of(kitchen={"shop": {"well_stocked": True}})
    assert max(plain.far_fetched.values()) >= FAR_FETCHED > max(stocked.far_fetched.values())
    # source: common practice (melons are sold fresh from June to October in Europe)
    assert "cantaloupe" in out_of_season(12)
    assert "cantaloupe" not in out_of_season(8)
    winter = replace(plain, month=12).far_fetched["melon-pumpkin-seeds-mint"]
    assert (
        winter
        >= OUT_OF_SEASON
        > replace(plain, month=8).far_fetched.get("melon-pumpkin-seeds-mint", 0.0)
    )


def test_foods_of_the_south_are_ordinary_in_american_shops():
    # source: common practice (collards are sold everywhere in the United States, not in Europe)
    assert "collards_cooked" in in_large_shops() | hard_to_find()
    assert "collards_cooked" not in in_large_shops("us") | hard_to_find("us")


def test_a_food_that_is_liked_is_no_errand():
    plain = context_of()
    fond = context_of(tastes={"likes": ["natto"]})
    dishes = [key for key, price in plain.far_fetched.items() if price >= FAR_FETCHED]
    natto = [d.key for d in plain.dishes if any(line.food == "natto" for line in d.lines)]
    assert set(natto) & set(dishes)
    assert not set(natto) & set(fond.far_fetched)
