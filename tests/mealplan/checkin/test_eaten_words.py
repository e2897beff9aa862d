"""What was eaten, in words: understood, or asked; never silently wrong."""

import pytest

from foods.catalogue import Catalogue
from mealplan.checkin.log.eaten_words import allergens_in, read_eaten
from mealplan.errors import IntakeError

CATALOGUE = Catalogue.load()


# source: published, USDA SR28 household weights and energies: a medium banana 118 g and 105 kcal,
# a slice of white bread 29 g, a tablespoon of hummus 15 g, a medium apple 182 g
@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("1 banana", [118]),
        ("a banana", [118]),
        ("banana 120", [120]),
        ("120 g banana", [120]),
        ("one and a half bananas", [177]),
        ("1½ bananas", [177]),
        ("half a banana", [59]),
        ("2 slices of bread with hummus", [58, 15]),
        ("80g oats; 1 apple", [80, 182]),
        ("1,5 cups cooked rice", [237]),
        ("1 1/2 cups of rice", [237]),
        ("0.2 kg tofu", [200]),
        ("2 tbsp peanut butter on toast", [32, 29]),
    ],
)
def test_foods_and_household_measures_are_known_by_their_words(text, grams):
    found = read_eaten(text)
    assert found.asks == ()
    assert [round(part.grams) for part in found.parts] == grams
    assert all(part.food in CATALOGUE for part in found.parts)


@pytest.mark.parametrize(
    ("text", "kcal"),
    [
        ("pizza 300 kcal", 300),
        ("550 kcal", 550),
        ("2300 kJ", 550),  # source: worked by hand, 2,300 / 4.184
        ("about 1,420 kcal", 1420),
        ("1 420 kcal", 1420),
        ("veggie burger with fries 520 kcal", 520),
        ("cheese sandwich (450 kcal)", 450),
    ],
)
def test_an_energy_stands_for_what_is_not_known(text, kcal):
    found = read_eaten(text)
    assert found.asks == ()
    assert found.foods == ()
    assert found.other_kcal == pytest.approx(kcal, abs=0.5)


@pytest.mark.parametrize(
    "text",
    [
        "pizza", "pizza 300", "burger and fries", "100 g fries", "peanut butter 300", "two eggs",
        "beans on toast", "a few nuts", "rice", "tofu", "1 can of chickpeas", "soup", "3000 g rice",
        "ice cream", "a burger", "glass of milk", "9000 kcal", "salad", "bananna 120",
    ],
)  # fmt: skip
def test_what_could_mean_two_things_is_asked_in_plain_words(text):
    found = read_eaten(text)
    assert found.asks
    said = " ".join(found.asks)
    assert "_" not in said
    assert ".csv" not in said


def test_a_sentence_is_read_back_as_one():
    found = read_eaten("2 slices of bread with hummus")
    assert found.read_back() == (
        "2 slices white bread, sliced (58 g) and 1 × hummus, plain (15 g): about 181 kcal."
    )
    assert "kcal" not in found.read_back(hide=True)


@pytest.mark.parametrize("text", ["", "   ", "of the", ",;,"])
def test_nothing_typed_says_how_to_write_it(text):
    with pytest.raises(IntakeError, match="nothing was typed"):
        read_eaten(text)


@pytest.mark.parametrize(
    ("text", "allergen"),
    [
        ("2 tbsp peanut butter on toast", "peanut"),
        ("peanut butter sandwich 400 kcal", "peanut"),
        ("tofu curry 500 kcal", "soy"),
        ("toast", "wheat"),
        ("30 g walnuts", "tree_nut"),
    ],
)
def test_allergens_are_found_in_foods_and_in_words(text, allergen):
    assert allergen in allergens_in(text, read_eaten(text), CATALOGUE)
    assert allergens_in("1 banana", read_eaten("1 banana"), CATALOGUE) == frozenset()
