"""A method is told without steps that speak only of add-ons not served."""

import pytest

from foods.dishes import load_dishes

DISHES = load_dishes()


def required(dish):
    return {line.food for line in dish.lines if not line.optional}


def test_with_every_add_on_the_method_is_whole():
    for dish in DISHES:
        everything = {line.food for line in dish.lines}
        assert dish.steps(everything) == dish.method
        assert dish.left_out(everything) == ()


def test_no_step_that_names_something_served_is_lost():
    for dish in DISHES:
        served = [line for line in dish.lines if not line.optional]
        kept = " ".join(dish.steps(required(dish))).lower()
        assert [line.called for line in served if line.called.lower() not in kept] == []


def test_no_step_with_a_time_or_a_sign_of_doneness_is_lost():
    for dish in DISHES:
        lost = [step for step in dish.method if step not in dish.steps(required(dish))]
        assert not [step for step in lost if "minute" in step or "until" in step]


@pytest.mark.parametrize("dish", DISHES[::40], ids=lambda dish: dish.key)
def test_add_ons_not_served_are_named_in_the_methods_words(dish):
    out = dish.left_out(required(dish))
    assert list(out) == [line.called for line in dish.lines if line.optional]


def test_some_steps_do_fall_away():
    shorter = [d for d in DISHES if len(d.steps(required(d))) < len(d.method)]
    assert len(shorter) > 50
