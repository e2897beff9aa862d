"""Amounts a kitchen without scales can measure."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foods.composition.catalogue import Catalogue
from foods.dishes.load import load_dishes
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.kitchen.measures import (
    TSP_PER_CUP,
    TSP_PER_TBSP,
    amount_phrase,
    in_measures,
    kitchen_amount,
    number_in_kitchen,
)

SPACE = FoodSpace.load()
ENERGY_KCAL_PER_G = SPACE.per_gram("energy_kcal")
CATALOGUE = Catalogue.load()


def steps(food):
    """Every amount the planner may serve of a food in a day. [g]"""
    return [
        round(count * food.step_g, 2) for count in range(1, int(food.max_g_day / food.step_g) + 1)
    ]


# source: published (21 CFR 101.9(b)(5)(viii): a cup is 240 mL, a tablespoon 15 mL, a teaspoon 5 mL)
def test_spoons_and_cups_are_the_customary_ones():
    assert TSP_PER_TBSP == 15 / 5
    assert TSP_PER_CUP == 240 / 5


# source: worked by hand from household weights of the release (1 tsp oil 4.5 g, 1 tbsp tomato
# purée 15.625 g, 1 cup oats 81 g, 1 tsp salt 6 g, 1 medium banana 118 g ...)
@pytest.mark.parametrize(
    ("key", "grams", "called", "phrase"),
    [
        ("banana", 118, "banana", "1 medium banana"),
        ("banana", 177, "banana", "1½ medium bananas"),
        ("spring_onions_raw", 30, "spring onions", "2 spring onions"),
        ("spring_onions_raw", 15, "spring onions", "1 spring onion"),
        ("plum", 264, "plums", "4 plums"),
        ("tomato_raw", 246, "tomato", "2 medium tomatoes"),
        ("onion_raw", 55, "red onion", "½ medium red onion"),
        ("garlic", 9, "garlic", "3 cloves garlic"),
        ("bay_leaf", 0.2, "bay leaf", "1 bay leaf"),
        ("apricots_dried", 21, "dried apricots", "6 dried apricot halves"),
        ("jalapeno_raw", 14, "green chilli", "1 green chilli"),
        ("kiwifruit", 138, "kiwifruit", "2 kiwifruit"),
        ("tortilla_corn", 72, "corn tortillas", "3 corn tortillas"),
        ("tortilla_corn", 24, "corn tortillas", "1 corn tortilla"),
        ("nori", 5.2, "nori", "2 sheets nori"),
        ("celery_raw", 60, "celery", "1½ medium stalks celery"),
        ("canola_oil", 27, "oil", "2 tbsp oil"),
        ("canola_oil", 15.75, "oil", "1 tbsp + ½ tsp oil"),
        ("tomato_puree", 156.25, "tomato purée", "½ cup + 2 tbsp tomato purée"),
        ("salt", 2.25, "salt", "¼ tsp + ⅛ tsp salt"),
        ("salt", 6, "salt", "1 tsp salt"),
        ("lentils_red_dry", 72, "red lentils", "¼ cup + 2 tbsp dry red lentils"),
        ("rice_white_cooked", 237, "rice", "1½ cups cooked rice"),
        ("oats_rolled", 40.5, "oats", "½ cup oats"),
        ("kidney_beans_canned", 237, "kidney beans", "1 tin (400 g) kidney beans, drained"),
        ("kidney_beans_canned", 79, "kidney beans", "½ cup drained kidney beans"),
        ("tofu_firm_calcium", 202.5, "tofu", "½ of a 400 g block of tofu"),
        ("tofu_firm_calcium", 405, "tofu", "1 block (400 g) of tofu"),
    ],
)
def test_phrase_reads_well_with_the_word_the_method_uses(key, grams, called, phrase):
    assert amount_phrase(CATALOGUE.food(key), grams, called) == phrase


def test_three_teaspoons_of_ginger_are_one_tablespoon():
    # source: published (21 CFR 101.9(b)(5)(viii): 3 teaspoons a tablespoon)
    ginger = CATALOGUE.food("ginger_root")
    assert in_measures(ginger, ginger.measure_g * 3) == "1 tbsp"


def test_tins_follow_the_pack_set_of_the_client():
    # source: worked by hand (a 439 g can holds 263 g drained at 0.6)
    beans = CATALOGUE.food("kidney_beans_canned")
    assert "1 tin (439 g)" in amount_phrase(beans, 263, "kidney beans", "us")


@pytest.mark.parametrize("food", CATALOGUE.foods, ids=lambda food: food.key)
def test_every_food_is_said_in_measures_that_exist(food):
    for grams in steps(food):
        measure = in_measures(food, grams)
        assert not re.search(r"\d\.\d", measure), measure
        for cups in re.findall(r"([\d⅛¼⅓⅜½⅝⅔¾⅞]+) cups?", measure):
            assert cups[-1] not in "⅛⅜⅝⅞", measure
        for tbsp in re.findall(r"(\S+) tbsp", measure):
            assert tbsp in ("1", "2", "3"), measure
        for tsp in re.findall(r"(\S+) tsp", measure):
            assert re.fullmatch(r"[⅛¼½¾]|[12][¼½¾]?", tsp), measure


@pytest.mark.parametrize("food", CATALOGUE.foods, ids=lambda food: food.key)
def test_measuring_a_food_instead_of_weighing_it_costs_under_40_kcal(food):
    # source: common practice (the project's own limit: 3 % of a day, shared by two such foods, is
    # about 40 kcal of 2,600); only blocks of tofu and tins come near it
    kcal_per_g = ENERGY_KCAL_PER_G[SPACE.index[food.key]]
    for grams in steps(food):
        for units in ("metric", "us"):
            amount = kitchen_amount(food, grams, "", units)
            assert abs(amount.error_g) * kcal_per_g < 40


@pytest.mark.parametrize("food", CATALOGUE.foods, ids=lambda food: food.key)
def test_spoons_and_pieces_hold_the_planned_grams_exactly(food):
    for grams in steps(food):
        amount = kitchen_amount(food, grams)
        if "tin" in amount.measure or "block" in amount.measure:
            continue
        # source: worked by hand (steps are eighths of a cup, spoon or piece; 2 % for thirds)
        assert amount.error_g == pytest.approx(0, abs=max(0.02 * grams, 0.02))


@given(
    place=st.integers(0, len(CATALOGUE) - 1),
    share=st.floats(0.02, 1.0, allow_nan=False),
)
@settings(max_examples=300, deadline=None)
def test_any_weight_of_a_spooned_food_is_said_within_an_eighth(place, share):
    food = CATALOGUE.foods[place]
    grams = share * food.max_g_day
    amount = kitchen_amount(food, grams)
    assert 1 <= amount.measure.count("+") + 1 <= 3
    if food.measure.partition(",")[0] in ("cup", "tbsp", "tsp") and "tin" not in amount.measure:
        per_tsp = food.measure_g / {"cup": 48, "tbsp": 3, "tsp": 1}[food.measure.partition(",")[0]]
        assert abs(amount.error_g) <= max(0.125 * grams, 0.125 * per_tsp)


def test_no_phrase_repeats_a_word_beside_itself():
    doubled = [
        phrase
        for dish in load_dishes()
        for line in dish.lines
        for phrase in [amount_phrase(CATALOGUE.food(line.food), line.typical_g, line.called)]
        if re.search(r"\b(\w+)s?\s+\1s?\b", phrase)
    ]
    assert doubled == []


def test_method_words_survive_in_the_phrase():
    for dish in load_dishes():
        for line in dish.lines:
            phrase = amount_phrase(CATALOGUE.food(line.food), line.typical_g, line.called)
            assert line.called[:3].lower() in phrase.lower()


# source: worked by hand
@pytest.mark.parametrize(
    ("value", "text"), [(1.5, "1½"), (2 / 3, "⅔"), (0.125, "⅛"), (3, "3"), (2.26, "2¼")]
)
def test_counts_are_written_with_kitchen_fractions(value, text):
    assert number_in_kitchen(value) == text
