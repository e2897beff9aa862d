"""Ingredients lists: animal ingredients are found, plants that sound so pass, allergens show."""

import pytest

from foods.custom.ingredients import read_ingredients


# source: common practice (what ingredients lists of such products say)
@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("Water, whey powder, sugar", "whey"),
        ("Sugar, gelatine, colour", "gelatine"),
        ("Oats, honey, salt", "honey"),
        ("Wheat flour, butter, salt", "butter"),
        ("Glazing agent: E904", "e904"),
        ("Colour (carmine)", "carmine"),
        ("Soya protein, egg white, salt", "egg"),
        ("Vegetable oil, anchovies", "anchovies"),
        ("Vitamins (lanolin)", "lanolin"),
        ("Coffee creamer (milk protein)", "milk"),
        ("Contains no added sugar, milk, salt", "milk"),
    ],
)
def test_animal_ingredients_are_found(text, word):
    assert any(word in found for found in read_ingredients(text).animal)


# source: common practice
@pytest.mark.parametrize(
    "text",
    [
        "Water, oat milk (oats), cocoa butter, sugar",
        "Peanut butter, coconut cream, kidney beans, butter beans, vegetable stock",
        "Vegan cheese (coconut oil, starch), plant-based mince, cream of tartar",
        "Free from milk, made of peas. Dairy-free. Egg free.",
        "Rice protein, nutmeg, oyster mushrooms, lactic acid, creamed coconut",
        "Soya beans. May contain milk and egg.",
        "",
    ],
)
def test_plants_that_only_sound_animal_pass(text):
    assert read_ingredients(text).animal == ()


# source: common practice (ingredients made from either plants or animals)
@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("peas, vitamin D3", True),
        ("peas, vitamins (D2, B12)", False),
        ("peas, vitamin D3 from lichen", False),
        ("peas, emulsifier: mono- and diglycerides of fatty acids", True),
        ("peas, natural flavouring", True),
        ("peas, E471", True),
        ("peas, salt", False),
        ("peas, L-cysteine", True),
    ],
)
def test_what_can_be_either_is_asked_about(text, asked):
    assert bool(read_ingredients(text).unclear) == asked


# source: published (Regulation (EU) 1169/2011, Annex II) for which there are; words from lists
@pytest.mark.parametrize(
    ("text", "allergens"),
    [
        ("Durum wheat semolina", {"wheat", "gluten"}),
        ("Barley malt extract", {"barley", "gluten"}),
        ("Rolled oats", {"oats", "gluten"}),
        ("Tofu, soy sauce", {"soy"}),
        ("Peanuts, salt", {"peanut"}),
        ("Ground nuts (almonds, cashews)", {"tree_nut"}),
        ("Coconut oil", {"coconut", "tree_nut"}),
        ("Tahini", {"sesame"}),
        ("Mustard seed, celeriac", {"mustard", "celery"}),
        ("Lupin flour", {"lupin"}),
        ("Dried apricots (sulphur dioxide)", {"sulphites"}),
        ("Preservative: E220", {"sulphites"}),
        ("Buckwheat, nutmeg, maltodextrin, butternut squash", set()),
        ("Gluten-free flour (rice)", set()),
    ],
)
def test_allergens_are_named(text, allergens):
    assert set(read_ingredients(text).allergens) == allergens


def test_traces_are_apart_from_ingredients():
    found = read_ingredients("Peas, salt. May contain traces of soya, wheat and milk.")
    assert found.allergens == ()
    assert set(found.traces) == {"soy", "wheat", "gluten", "milk"}


def test_a_claim_hides_no_ingredient_behind_a_comma():
    assert set(read_ingredients("No added sugar, wheat flour").allergens) == {"wheat", "gluten"}
