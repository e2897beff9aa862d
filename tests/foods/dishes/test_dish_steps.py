"""A method is told without anything that speaks of foods not served."""

import re

from foods.dishes.load import beside_shipped, load_dishes, parse_dishes
from foods.dishes.plain import named_in
from foods.dishes.render import tell
from tests.folded import for_each

DISHES = load_dishes()


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


@for_each(DISHES, lambda dish: dish.key)
def test_what_is_served_is_named_and_nothing_else(dish):
    for served in servings(dish):
        text = " ".join(words(dish, served))
        assert named(text, dish) == served


@for_each(DISHES, lambda dish: dish.key)
def test_steps_stay_sentences(dish):
    for served in servings(dish):
        for step in words(dish, served):
            assert re.match(r"[A-Z0-9].*\.$", step), step
            assert not re.search(r" ,|,,|,\.|;\.|  |\b(and|or|with|the|adding|add)[.;]", step), step


POTS = """
[[dish]]
key = "own-pot"
name = "Pot of one's own"
tradition = "home"
occasions = ["evening"]
hands_on_min = 10
total_min = 20
keeps_days = 0
batch_portions = 2
equipment = ["hob"]
lines = [
  {food="onion_raw", called="onion", g=[30, 60, 90]},
  {food="carrots_raw", called="carrots", g=[60, 120, 180]},
  {food="tofu_firm_nigari", called="tofu", g=[40, 81, 121], optional=true},
  {food="almonds", called="almonds", g=[9, 18, 27], optional=true},
]
method = [
  "Fry the onion and the tofu.",
  "Add the carrots and cook.",
  "Scatter the almonds over.",
]
"""


def test_of_a_plain_method_whole_sentences_fall_away_and_none_is_cut():
    (dish,) = parse_dishes(POTS)
    without_almonds = {line.food for line in dish.lines} - {"almonds"}
    assert dish.sentences(without_almonds) == dish.method[:2]


def test_what_shares_a_sentence_is_part_of_a_plain_dish():
    (dish,) = parse_dishes(POTS)
    assert {line.called: line.optional for line in dish.whole().lines} == {
        "onion": False, "carrots": False, "tofu": False, "almonds": True,
    }  # fmt: skip
    offered = next(one for one in beside_shipped([dish]) if one.key == dish.key)
    assert [line.optional for line in offered.lines] == [False, False, False, True]


def test_the_longer_name_counts_where_one_holds_another():
    assert named_in("Add the soy yogurt.", ["yogurt", "soy yogurt"]) == {"soy yogurt"}
    assert named_in("Slice the carrot.", ["carrots", "carrot"]) == {"carrot"}
