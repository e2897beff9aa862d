"""What an allergy, a refusal or a wish for nothing hot keeps out beyond the foods it names."""

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.load import load_dishes
from mealplan.client.read import parse_intake
from mealplan.kitchen.preferences import read_exclusions

CATALOGUE, DISHES = Catalogue.load(), load_dishes()
BODY = {
    "role": "driver",
    "start": "2026-12-07",
    "sex": "male",
    "age_years": 39,
    "height_cm": 183,
    "weight_kg": 93,
    "goal": {"phase": "hold"},
    "activity": {"method": "multiplier", "pal": 1.6},
}


def read(**tastes):
    return read_exclusions(parse_intake(BODY | {"tastes": tastes}), CATALOGUE, DISHES)


@pytest.mark.parametrize(
    ("allergy", "out", "stays"),
    [
        ("mustard", {"barbecue_sauce", "seitan_ready", "stock_powder_vegetable"}, "tofu_smoked"),
        ("celery", {"barbecue_sauce", "lentils_pouch", "pasta_sauce_tomato"}, "tofu_smoked"),
        ("gluten", {"natto", "falafel_ready", "puffed_rice"}, "soy_yogurt"),
    ],
)
def test_what_is_commonly_made_with_an_allergen_is_not_left_to_a_label(allergy, out, stays):
    # source: common practice (ingredients lists of such products)
    kept_out = read(allergies=[allergy]).foods
    assert out <= kept_out
    assert stays not in kept_out


def test_what_is_bought_with_something_disliked_inside_is_disliked_though_its_kind_is_liked():
    # source: common practice (hummus is made with garlic)
    found = read(dislikes=["alliums"], likes=["chickpeas"])
    assert found.food_grades["hummus"] == "dislikes"
    assert found.food_grades["chickpeas_canned"] == "likes"
    assert "muesli" in read(never=["raisins"]).foods


def test_a_bought_food_liked_by_its_own_name_stays_liked():
    assert read(dislikes=["alliums"], favourites=["hummus"]).food_grades["hummus"] == "favourites"


def test_nothing_hot_means_no_pinch_of_chilli_flakes_and_pepper_stays():
    # source: common practice (Scoville: chilli flakes 30,000 and more, black pepper none)
    mild, hot = read(heat_max=1).foods, read(heat_max=2).foods
    assert {"chilli_flakes", "cayenne", "chilli_red_raw", "sriracha"} <= mild
    assert not {"black_pepper", "ginger_root", "paprika"} & mild
    assert "chilli_flakes" not in hot


def test_what_is_commonly_held_is_a_part_of_what_labels_say():
    assert all(set(food.commonly_holds) <= set(food.label_check) for food in CATALOGUE.foods)
    assert all(key in CATALOGUE for food in CATALOGUE.foods for key in food.made_with)
