"""Plates a person would eat: amounts near the dish's own, meals no plate is too small for."""

from dataclasses import replace

import numpy as np
import pytest

from mealplan.client.read import parse_intake
from mealplan.lp.daymodel import Choice
from mealplan.menu.adequacy import WISHES
from mealplan.menu.candidates import make_choice
from mealplan.menu.context import Context
from mealplan.menu.day import day_model, solve_one
from mealplan.menu.plates import set_right
from mealplan.menu.week import LOST
from mealplan.rules import Scope
from mealplan.rules.preferences.proportion import NEAR
from mealplan.rules.rows.plate import PlateFilled, filled_g
from mealplan.targets.make import make_targets


@pytest.fixture(scope="module")
def context():
    intake = parse_intake(
        {
            "role": "climber",
            "start": "2026-11-30",
            "sex": "female",
            "age_years": 36,
            "height_cm": 163,
            "weight_kg": 58,
            "goal": {"phase": "cut", "energy_kcal": 1600},
            "activity": {"method": "multiplier", "pal": 1.6},
            "tastes": {"allergies": ["soy", "tree_nut"]},
            "kitchen": {"meals": 3},
        }
    )
    return Context.make(intake, make_targets(intake))


def test_amounts_are_dear_only_far_from_the_recipes_own():
    # source: worked by hand: 20 g off at 0.001 each; 60 g off at 0.001 and 35 of them at 0.01
    grams = np.array
    choice = Choice(
        dish="rice and beans",
        foods=np.array([0, 1]),
        low=grams([50.0, 10.0]),
        typical=grams([100.0, 20.0]),
        high=grams([200.0, 40.0]),
        step=grams([10.0, 10.0]),
        optional=np.array([False, True]),
        cost=0.0,
        deviation=grams([0.001, 0.0]),
        near=grams([25.0, 10.0]),
        far=grams([0.01, 0.01]),
    )
    assert choice.away(grams([80.0, 0.0])) == pytest.approx(0.02)
    assert choice.away(grams([160.0, 20.0])) == pytest.approx(0.06 + 0.35)
    assert choice.near_low.tolist() == [75.0, 10.0]
    assert choice.near_high.tolist() == [125.0, 30.0]


def test_every_role_of_a_food_says_how_far_it_may_stray(context):
    assert {food.role for food in context.space.foods} <= set(NEAR)
    for choice in context.choices(context.targets.days[0])[1]:
        share = [NEAR[context.space.foods[food].role] for food in choice.foods]
        expected = np.maximum(np.array(share) * choice.typical, choice.step)
        assert choice.near == pytest.approx(expected)
        assert (choice.far > 0).all()


def test_a_plate_of_500_kcal_is_full_at_600_g(context):
    # source: common practice (a full dinner plate); worked by hand: 400 g and 0.4 g a kilocalorie
    day = context.targets.on("mon")
    slots = tuple(replace(slot, energy_share=500 / day.meal_kcal) for slot in context.slots)
    scope = Scope(context.intake, context.targets, day, slots, context.space)
    rows = tuple(PlateFilled().rows(scope))
    assert [row.high for row in rows] == pytest.approx([600.0] * 3)
    assert {row.tier for row in rows} == {"comfort"}


def test_a_light_dish_is_not_stretched_beyond_the_plate(context):
    # source: common practice; worked by hand: lentils with green beans and cauliflower weigh 604 g
    # of 460 kcal, so a meal of 900 kcal has 1.26 portions of them (760 g), not 1.8
    dish = context.by_key["lentil-cauliflower-green-bean-bowl"]
    choice = make_choice(dish, context.slots[2], 900.0, context.space, context.exclusions)
    usual = sum(line.typical_g for line in dish.lines if not line.optional)
    served = float(choice.typical[~choice.optional].sum())
    assert served == pytest.approx(filled_g(900.0), rel=0.1)
    assert served < 1.4 * usual
    assert choice.optional.any()


def test_plates_are_set_right_without_giving_up_a_must(context):
    eased = context.beyond_shelf(frozenset(context.name_bought.values()))
    day = context.targets.on("mon")
    solved = solve_one(eased, 0, day, {})
    after = set_right(solved, context.space)
    whole, _ = day_model(context, 0, day, {})
    assert [meal.dish for meal in after.served] == [meal.dish for meal in solved.served]

    def musts(one):
        miss = one.model.miss(one.model.totals(one.answer.picks, one.answer.grams))
        return float(miss[[row.tier not in WISHES for row in one.model.rows]].sum())

    assert musts(after) <= musts(solved) + LOST
    before = after.model.objective(solved.answer.picks, solved.answer.grams)
    assert after.objective <= before + 1e-9
    assert [row.price_high for row in after.model.rows] == pytest.approx(
        [row.price_high for row in whole.rows]
    )
