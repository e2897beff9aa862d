"""A day at the stove as one order; waits come from the steps of a dish, never from words."""

import pytest

from foods.dishes.load import load_dishes
from foods.dishes.render import tell, waiting
from foods.dishes.walk import walk
from mealplan.cooking.sheet import batch_plan
from mealplan.cooking.stove import stove_order
from mealplan.demo.folders import demo_intake
from mealplan.menu.week import make_plan
from mealplan.targets.make import make_targets


@pytest.fixture(scope="module")
def batch():
    intake = demo_intake("club-lifter")
    return batch_plan(make_plan(intake, make_targets(intake), days=2), intake)


def test_every_step_of_every_dish_of_the_day_stands_in_the_order_once(batch):
    for day in batch.days:
        texts = [step.text for step in stove_order(day)]
        for cooking in day.cookings:
            for step in cooking.single:
                assert texts.count(step.text) >= 1
        assert len([t for t in texts if t.startswith("Get out: ")]) == len(day.cookings)
        assert [t for t in texts if t in day.tonight] == list(day.tonight)


def test_the_order_goes_by_the_clock_and_one_meal_is_a_part_of_it(batch):
    day = batch.days[0]
    clocks = [s.clock for s in stove_order(day) if s.text.startswith("Get out: ")]
    assert clocks == sorted(clocks)
    serve = day.cookings[0].serve
    one = stove_order(day, (serve,))
    assert {s.text for s in one} < {s.text for s in stove_order(day)}


def test_steps_by_themselves_say_what_the_method_says():
    for dish in [one for one in load_dishes() if one.steps][:60]:
        grams = {line.food: line.typical_g for line in dish.lines}
        told = tell(dish, grams)
        assert " ".join(told.cook + told.plate) == " ".join(one.text for one in told.single)


def test_a_wait_is_the_steps_own_minutes_and_hands_at_it_all_the_time_wait_for_nothing():
    seen = 0
    for dish in [one for one in load_dishes() if one.steps][:60]:
        lines = {line.called: line for line in dish.lines}
        for moment in walk(dish.lines, dish.steps):
            minutes = waiting(moment, lines, 1)
            assert minutes in (0.0, moment.step.min)
            seen += minutes > 0
            if moment.verb.hands_share >= 1:
                assert minutes == 0
    assert seen > 20
