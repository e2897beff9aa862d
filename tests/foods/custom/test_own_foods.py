"""Foods of one's own: taken when every question is answered, counted as declared."""

from __future__ import annotations

import datetime as dt
from importlib.resources import files

import pytest
from pydantic import ValidationError

from foods import FoodError, FoodTable
from foods.composition.catalogue import Catalogue
from foods.composition.unlisted.amino_acids import AMINO_ACIDS
from foods.custom.as_catalogue import catalogue_with, imputed_amino_acids, kitchen_food
from foods.custom.food import OwnFood, own_key, questions
from foods.custom.own_file import parse_own_foods
from foods.dishes.load import own_dishes

EXAMPLE = (files("foods") / "data" / "example_foods.toml").read_text(encoding="utf-8")
DISHES = (files("foods") / "data" / "example_dishes.toml").read_text(encoding="utf-8")

BURGER = {
    "name": "Bean burger of the house",
    "entered": dt.date(2026, 11, 25),
    "ingredients": "Black beans, oats, rapeseed oil, salt.",
    "allergens": ["oats"],
    "confirmed": ["allergens"],
    "measure": "burger",
    "measure_g": 100,
    "label": {
        "form": "eu", "per": "100 g", "energy_kcal": 180, "fat_g": 8, "carbohydrate_g": 16,
        "fibre_g": 6, "protein_g": 8, "salt_g": 1.1,
    },
}  # fmt: skip


def burger(**changes):
    return OwnFood.model_validate(BURGER | changes)


def test_the_examples_are_read_and_their_dishes_with_them():
    foods = parse_own_foods(EXAMPLE)
    assert len(foods) == 3
    assert len(own_dishes(DISHES, "dishes", catalogue_with(foods))) == 2


def test_a_food_of_ones_own_has_no_number_and_says_where_it_is_from():
    food = burger()
    record = catalogue_with([food]).food("own_bean_burger_of_the_house")
    assert record.ndb is None
    assert food.source == "package label, entered 2026-11-25"


def test_it_stands_behind_the_foods_that_ship():
    catalogue = catalogue_with([burger()])
    assert catalogue.foods[: len(Catalogue.load())] == Catalogue.load().foods
    assert catalogue_with([burger()]) is catalogue
    assert catalogue_with([]) is Catalogue.load()


def test_only_what_is_declared_counts():
    known = catalogue_with([burger()]).own["own_bean_burger_of_the_house"]
    assert known.per_100g["protein_g"] == 8
    assert "iron_mg" not in known.per_100g
    assert not set(AMINO_ACIDS) & set(known.per_100g)
    assert known.imputed_per_100g == {}


def test_amino_acids_are_scaled_from_the_reference_by_nitrogen():
    food = burger(amino_acids_like="black_beans_cooked")
    beans = FoodTable.load().per_100g("16015")
    # source: worked by hand: 8 g / 6.25 of nitrogen here, protein / 6.25 there
    assert FoodTable.load().food("16015").nitrogen_factor == 6.25
    expected = beans["lysine_g"] * 8 / beans["protein_g"]
    assert imputed_amino_acids(food)["lysine_g"] == pytest.approx(expected)
    known = catalogue_with([food]).own[food.key]
    assert known.imputed_per_100g["lysine_g"] == pytest.approx(expected)
    assert "lysine_g" not in known.per_100g


def test_a_reference_must_have_values_of_its_own():
    with pytest.raises(ValidationError, match="no values of its own"):
        burger(amino_acids_like="olive_oil")
    with pytest.raises(ValidationError, match="no kitchen food is called 'moon'"):
        burger(amino_acids_like="moon")


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"confirmed": []}, "confirm that they were read off the package"),
        ({"ingredients": ""}, "nothing shows that it is free of animal"),
        ({"ingredients": "Black beans, oats, egg white"}, "of animal origin"),
        ({"ingredients": "Black beans, oats, vitamin D3"}, "wool grease"),
        ({"allergens": []}, "name oats"),
        ({"allergens": ["oats", "moonstone"]}, "no allergen known here"),
        ({"allergens": ["oats", "milk"]}, "of animal origin"),
        ({"ingredients": "Black beans, oats. May contain sesame."}, "may contain sesame"),
        ({"aisle": "cellar"}, "no aisle"),
        ({"group": "moon foods"}, "no food group"),
        ({"measure": "", "measure_g": None}, "measure is missing"),
        ({"measure_g": None}, "belong together"),
        ({"label": BURGER["label"] | {"energy_kcal": 300}}, "Labels may be off by 20%"),
        ({"label": BURGER["label"] | {"protein_g": 90}}, "in 100 g"),
        ({"key": "tofu"}, "match pattern"),
    ],
)
def test_a_food_with_an_open_question_is_not_taken(changes, says):
    with pytest.raises(ValidationError, match=says):
        burger(**changes)


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"ingredients": ""}, "plant-based"),
        ({"ingredients": "Black beans, oats, vitamin D3"}, "plant-based"),
        ({"allergens": []}, "no oats"),
        ({"label": BURGER["label"] | {"energy_kcal": 300}}, "energy"),
    ],
)
def test_a_question_can_be_answered(changes, code):
    extra = ["no gluten"] if code == "no oats" else []
    assert burger(**changes, confirmed=["allergens", code, *extra])


def test_an_animal_ingredient_cannot_be_confirmed_away():
    with pytest.raises(ValidationError, match="only plant foods are offered"):
        burger(ingredients="Beans, oats, milk", confirmed=["allergens", "plant-based", "no milk"])


def test_grain_brings_gluten_and_coconut_tree_nuts():
    assert set(kitchen_food(burger()).allergens) == {"oats", "gluten"}
    food = burger(allergens=["oats", "coconut"])
    assert {"coconut", "tree_nut"} <= set(kitchen_food(food).allergens)


def test_every_question_has_its_code_once():
    asked = [question.code for question in questions(burger())]
    assert asked == ["allergens"]


def test_words_of_a_client_find_it():
    catalogue = catalogue_with([burger(words="patty")])
    for word in ("bean burger of the house", "patties", "gluten", "own_bean_burger_of_the_house"):
        assert "own_bean_burger_of_the_house" in [food.key for food in catalogue.match(word)]


# source: common practice (whoever avoids a food avoids what is made of it)
@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("legumes", {"drink", "powder", "burger"}),
        ("peas", {"powder", "burger"}),
        ("onions", {"burger"}),
        ("nightshades", {"burger"}),
        ("rice", {"burger"}),
        ("sugar", {"drink"}),
        ("soy", {"drink"}),
        ("wheat", set()),
        ("chickpeas", set()),
        ("mushrooms", set()),
        ("fruit", set()),
    ],
)
def test_words_of_a_client_find_what_a_food_is_made_of(word, found):
    names = dict(zip(("drink", "powder", "burger"), parse_own_foods(EXAMPLE), strict=True))
    catalogue = catalogue_with(names.values())
    keys = {food.key for food in catalogue.match(word)}
    assert {name for name, food in names.items() if food.key in keys} == found


def test_what_it_may_contain_is_not_what_it_is_made_of():
    food = burger(
        ingredients="Black beans, oats. May contain lentils. Free from onion.",
    )
    catalogue = catalogue_with([food])
    for word in ("lentils", "onion"):
        assert food.key not in {other.key for other in catalogue.match(word)}
    assert food.key in {other.key for other in catalogue.match("black beans")}


def test_a_drink_is_measured_by_the_cup():
    drink = parse_own_foods(EXAMPLE)[0]
    record = kitchen_food(drink)
    # source: published (21 CFR 101.9(b)(5)(viii): a cup is 240 ml), times its density
    assert (record.measure, record.measure_g) == ("cup", pytest.approx(240 * 1.03))


def test_names_must_tell_foods_apart():
    with pytest.raises(FoodError, match="two foods are called"):
        parse_own_foods(EXAMPLE + EXAMPLE)
    renamed = EXAMPLE.replace("Pea protein powder", Catalogue.load().foods[0].name)
    with pytest.raises(FoodError, match="already the name of a food here"):
        parse_own_foods(renamed)


def test_a_file_without_foods_says_how_to_start():
    with pytest.raises(FoodError, match="mealplan example foods"):
        parse_own_foods("[[dish]]\nkey = 'x'", "f.toml")
    with pytest.raises(FoodError, match="not valid TOML"):
        parse_own_foods("[[food", "f.toml")


def test_a_field_that_is_unknown_or_missing_is_named():
    with pytest.raises(FoodError, match=r"label\.colour is no field"):
        parse_own_foods(EXAMPLE.replace("energy_kcal = 39", "energy_kcal = 39\ncolour = 1"))
    with pytest.raises(FoodError, match=r"label\.protein_g is missing"):
        parse_own_foods(EXAMPLE.replace("protein_g = 3.0\n", ""))


def test_keys_of_ones_own_never_meet_the_catalogues():
    # source: regression (the prefix keeps them apart whatever ships later)
    assert not any(food.key.startswith("own_") for food in Catalogue.load())
    assert own_key("Crème de pois, n° 2") == "own_creme_de_pois_n_2"


def test_json_reads_back_the_same_food():
    for food in parse_own_foods(EXAMPLE):
        assert OwnFood.model_validate_json(food.model_dump_json()) == food
