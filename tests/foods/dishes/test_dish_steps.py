"""A method is told without anything that speaks of foods not served."""

import re

import pytest

from foods.dishes.load import load_dishes
from foods.dishes.render import tell
from foods.dishes.steps import without

DISHES = load_dishes()
PLAIN = [dish for dish in DISHES if not dish.proven]


def words(dish, served):
    """Tell a dish for what is served, at typical amounts."""
    if not dish.proven:
        return dish.sentences(served)
    return tell(dish, {line.food: line.typical_g for line in dish.lines if line.food in served}).all


def required(dish):
    return {line.food for line in dish.lines if not line.optional}


def servings(dish):
    """Every add-on left out in turn, all of them, and all but one."""
    every = {line.food for line in dish.lines}
    extra = every - required(dish)
    yield required(dish)
    for food in extra:
        yield every - {food}
        yield required(dish) | {food}


def named(text, dish):
    """Find the foods a text names; the longest name counts where one holds another."""
    found = set()
    for line in sorted(dish.lines, key=lambda line: -len(line.called)):
        pattern = rf"\b{re.escape(line.called)}(?:e?s)?\b"
        if re.search(pattern, text, re.IGNORECASE):
            found.add(line.food)
            text = re.sub(pattern, "#", text, flags=re.IGNORECASE)
    return found


def test_with_every_add_on_the_method_is_whole_and_no_longer_asks():
    for dish in PLAIN:
        steps = dish.sentences({line.food for line in dish.lines})
        assert len(steps) == len(dish.method)
        assert "if using" not in " ".join(steps)
        words = re.sub(r",? if using", "", " ".join(dish.method))
        assert " ".join(steps).replace(" or ", " and ") == words.replace(" or ", " and ")


@pytest.mark.parametrize("dish", DISHES, ids=lambda dish: dish.key)
def test_what_is_served_is_named_and_nothing_else(dish):
    for served in servings(dish):
        text = " ".join(words(dish, served))
        assert named(text, dish) == served


@pytest.mark.parametrize("dish", DISHES, ids=lambda dish: dish.key)
def test_steps_stay_sentences(dish):
    for served in servings(dish):
        for step in words(dish, served):
            assert re.match(r"[A-Z0-9].*\.$", step), step
            assert not re.search(r" ,|,,|,\.|;\.|  |\b(and|or|with|the|adding|add)[.;]", step), step


def test_no_time_of_a_step_is_lost_that_also_cooks_something_served():
    for dish in PLAIN:
        text = " ".join(dish.sentences(required(dish)))
        for step in dish.method:
            if named(step, dish) and not named(step, dish) - required(dish):
                assert re.sub(r",? if using", "", step) in text, dish.key


# source: worked by hand
@pytest.mark.parametrize(
    ("step", "out", "expected"),
    [
        ("Add oats, jam or nuts if using.", {"nuts"}, "Add oats and jam."),
        ("Add oats, jam or nuts if using.", {"oats"}, "Add jam and nuts."),
        ("Add oats, jam or nuts if using.", {"oats", "jam", "nuts"}, ""),
        ("Stir in the oats, and diced nuts if using, for 5 minutes.", {"nuts"},
         "Stir in the oats for 5 minutes."),
        ("Top with nuts and jam if using; eat oats beside it if using.", {"jam", "nuts"},
         "Eat oats beside it."),
        ("Scatter with nuts if using and bake for 5 minutes.", {"nuts"}, "Bake for 5 minutes."),
        ("Serve with jam, and with warm oats and nuts if using.", {"oats"},
         "Serve with jam, and with nuts."),
    ],
)  # fmt: skip
def test_lists_close_up_where_something_falls_away(step, out, expected):
    assert without(step, out, ("oats", "jam", "nuts")) == expected
