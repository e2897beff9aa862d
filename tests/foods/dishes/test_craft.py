"""A cook's hand in dishes: order, rounds, microwave minutes; rules are common practice."""

from __future__ import annotations

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.check import all_faults
from foods.dishes.load import load_dishes
from foods.dishes.minutes import rounds_of, step_minutes
from foods.dishes.model import Dish
from foods.dishes.render import tell
from foods.dishes.walk import walk

CATALOGUE = Catalogue.load()
DISHES = {dish.key: dish for dish in load_dishes()}


def changed(key, change):
    """Copy a shipped dish, its data changed by a function."""
    data = DISHES[key].model_dump(
        include={"key", "name", "tradition", "occasions", "keeps_days", "batch_portions", "kept",
                 "savoury"}
    )  # fmt: skip
    data["lines"] = [line.model_dump(by_alias=True) for line in DISHES[key].lines]
    data["steps"] = [
        {**step.model_dump(by_alias=True), "part": dict(step.part)} for step in DISHES[key].steps
    ]
    change(data)
    return Dish.model_validate(data)


def pasta_first(data):
    boils = next(step for step in data["steps"] if step["do"] == "boil")
    data["steps"].remove(boils)
    data["steps"].insert(0, boils)


def water_forgotten(data):
    for step in data["steps"]:
        step["then"] = ""


def uncut(food):
    return lambda data: next(x for x in data["lines"] if x["food"] == food).update(cut="")


def untoasted(data):
    data["steps"] = [step for step in data["steps"] if step["do"] != "toast bread"]


def chilled_short(data):
    next(step for step in data["steps"] if step["do"] == "chill").update(min=15)


def dry_pot(data):
    for step in data["steps"]:
        step["water_ml"] = min(step["water_ml"], 20)


def sweetened(data):
    line = next(x for x in data["lines"] if x["food"] == "tofu_soft_nigari")
    line.update(food="soy_yogurt", g=[65.5, 65.5, 131])


DAMAGES = {
    "noodles wait": ("mushroom-white-bean-pasta", pasta_first, "waits drained"),
    "kept water": ("mushroom-white-bean-pasta", water_forgotten, "kept and never used"),
    "a whole roll": ("white-bean-tomato-rocket-roll", uncut("roll_whole_wheat"), "never split"),
    "soft toast": ("pea-mint-soup-white-bean-toast", untoasted, "no step toasts"),
    "lukewarm": ("gazpacho-white-beans", chilled_short, "stays lukewarm"),
    "a dry pot": ("koya-tofu-simmered-shiitake", dry_pot, "add water"),
    "sweet": ("black-bean-oat-patties-tortilla", sweetened, "is sweetened"),
}


@pytest.mark.parametrize("kind", DAMAGES)
def test_what_a_cook_would_mend_is_found(kind):
    key, change, said = DAMAGES[kind]
    assert all_faults(changed(key, lambda data: None), CATALOGUE) == []
    faults = all_faults(changed(key, change), CATALOGUE)
    assert any(said in fault for fault in faults), faults


# source: common practice (twice as much in a microwave: half as long again)
def test_microwave_minutes_grow_with_what_stands_in_it():
    dish = DISHES["jacket-potato-beans-microwave"]
    lines = {line.called: line for line in dish.lines}
    moment = next(m for m in walk(dish.lines, dish.steps) if m.way == "microwave")
    one = step_minutes(moment, lines, 1)
    assert one == moment.step.min
    assert step_minutes(moment, lines, 2) == pytest.approx(1.5 * one, abs=1)
    assert step_minutes(moment, lines, 4) == pytest.approx(2.25 * one, abs=1)
    grams = {line.food: 2 * line.typical_g for line in dish.lines}
    assert "for 15 minutes" in " ".join(tell(dish, grams, 2).all)


def test_what_runs_over_a_bowl_goes_in_rounds():
    dish = DISHES["microwave-dal-lentil-pouch-chapati"]
    four = {line.food: 4 * line.typical_g for line in dish.lines}
    assert "in each of 2 rounds" in " ".join(tell(dish, four, 4).all)
    two = {line.food: 2 * line.typical_g for line in dish.lines}
    assert "rounds" not in " ".join(tell(dish, two, 2).all)


def test_a_crowded_pan_is_said_in_rounds_and_a_crowded_roast_on_trays():
    dish = DISHES["black-bean-oat-patties-tortilla"]
    grams = {line.food: 4 * line.typical_g for line in dish.lines}
    assert "in each of 2 rounds" in " ".join(tell(dish, grams, 4).all)
    one = {line.food: line.typical_g for line in dish.lines}
    assert "rounds" not in " ".join(tell(dish, one, 1).all)
    roast = DISHES["greek-roast-vegetables-lemon-tofu"]
    four = {line.food: 4 * line.typical_g for line in roast.lines}
    assert "in 2 large oven dishes" in " ".join(tell(roast, four, 4).all)


def test_a_pot_that_simmers_needs_no_rounds():
    dish = DISHES["yellow-lentil-noodle-soup"]
    lines = {line.called: line for line in dish.lines}
    simmers = [m for m in walk(dish.lines, dish.steps) if m.verb.key == "simmer"]
    assert simmers
    assert {rounds_of(moment, lines, 4) for moment in simmers} == {1}


def test_what_is_spooned_over_is_named_where_another_pan_was_worked_in_last():
    dish = DISHES["brazilian-black-beans-collards"]
    text = " ".join(tell(dish, {line.food: line.typical_g for line in dish.lines}).all)
    assert "Spoon what is in the pot over the rice" in text
    plain = DISHES["rajma-chawal"]
    text = " ".join(tell(plain, {line.food: line.typical_g for line in plain.lines}).all)
    assert "Spoon it over" in text
