"""What is printed can be followed by a cook who has never seen the dish."""

from __future__ import annotations

import re

from foods.composition.catalogue import Catalogue
from foods.dishes.actions import vessels
from foods.dishes.check import safety_faults
from foods.dishes.load import load_dishes
from foods.dishes.minutes import DRAINS, water_of
from foods.dishes.model import Dish
from foods.dishes.render import tell
from foods.dishes.walk import walk

PROVEN = [dish for dish in load_dishes() if dish.proven]


def words(dish):
    return tell(
        dish, {line.food: line.typical_g for line in dish.lines}, 1, lambda _, g: f"{g:g} g"
    )


def named(name, text):
    return re.search(rf"\b{re.escape(name)}\b", text) is not None


def test_every_line_is_named_in_the_words():
    lost = [
        (dish.key, line.called)
        for dish in PROVEN
        for line in dish.lines
        if not named(line.called, " ".join(words(dish).all))
    ]
    assert lost == []


def test_the_rest_of_a_line_is_named_once():
    for dish in PROVEN:
        text = " ".join(words(dish).all)
        for line in dish.lines:
            assert len(re.findall(rf"rest of the {re.escape(line.called)}\b", text)) <= 1, dish.key


# source: common practice (an oven is hot before the food goes in)
def test_an_oven_is_heated_before_anything_else_on_the_day():
    baked = [d for d in PROVEN if any(s.verb.cooker == "oven" and s.temp_c for s in d.steps)]
    assert len(baked) > 30
    for dish in baked:
        assert words(dish).cook[0].startswith("Heat the oven to"), dish.key
        assert words(dish).single[0].text == words(dish).cook[0]


def test_whole_leaves_are_taken_out_and_before_a_pot_is_blended():
    leafy = [d for d in PROVEN if any(line.food == "bay_leaf" for line in d.lines)]
    assert len(leafy) > 5
    for dish in leafy:
        called = next(line.called for line in dish.lines if line.food == "bay_leaf")
        text = " ".join(words(dish).all)
        assert text.count(f"Take out the {called}.") == 1, dish.key
        blended = text.find("Blend what is in")
        if blended > text.find(called) >= 0:
            assert text.find("Take out the") < blended, dish.key


def test_water_that_is_poured_away_fits_the_pot_it_is_boiled_in():
    for dish in PROVEN:
        lines = {line.called: line for line in dish.lines}
        for moment in walk(dish.lines, dish.steps):
            if moment.verb.key in DRAINS and moment.empty and not moment.step.water_ml:
                litres = water_of(moment, lines, dish.batch_portions) / 1000
                assert 0 < litres < vessels()[moment.vessel].litres, dish.key


def test_a_result_is_taken_by_the_name_it_bears_by_then():
    data = {
        "key": "dough-lost", "name": "Dough that changed its name", "tradition": "kitchen",
        "occasions": ["evening"], "keeps_days": 1, "batch_portions": 2,
        "lines": [
            {"food": "wheat_gluten_dry", "called": "gluten", "g": [30, 37.5, 45],
             "eaten": "cooked"},
            {"food": "salt", "called": "salt", "g": [1.5, 1.5, 1.5]},
        ],
        "steps": [
            {"do": "knead", "take": ["gluten"], "in": "bowl", "min": 3, "water_ml": 40,
             "makes": "dough"},
            {"do": "boil", "take": ["dough", "salt"], "in": "pot", "min": 45, "water_ml": 500,
             "makes": "seitan"},
            {"do": "plate up", "take": ["dough"], "at": "plate"},
        ],
    }  # fmt: skip
    faults = safety_faults(Dish.model_validate(data), Catalogue.load())
    assert any("dough is not there any more" in fault for fault in faults)
    data["steps"][2]["take"] = ["seitan"]
    assert safety_faults(Dish.model_validate(data), Catalogue.load()) == []


def test_what_was_made_of_several_things_is_called_by_what_it_is():
    pancakes = next(dish for dish in PROVEN if dish.key == "banana-oat-pancakes-berries")
    assert any("Fry the mixture" in text for text in words(pancakes).cook)
    seitan = next(dish for dish in PROVEN if dish.key == "black-pepper-seitan-broccoli")
    assert any("Stir in the seitan" in text for text in words(seitan).cook)


# source: common practice (an open pot at the boil loses some 10 ml a minute)
def test_no_pot_boils_dry_however_little_is_in_it():
    for dish in PROVEN:
        lines = {line.called: line for line in dish.lines}
        for moment in walk(dish.lines, dish.steps):
            if moment.verb.key in DRAINS and moment.empty:
                assert water_of(moment, lines, 1) >= 10 * moment.step.min + 50, dish.key
