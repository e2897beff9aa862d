"""Liking on five steps: what a word means, and that a plan follows it."""

from __future__ import annotations

from collections import Counter

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.kinds import kinds_called
from foods.dishes.load import load_dishes
from mealplan.client.read import parse_intake
from mealplan.errors import IntakeError
from mealplan.kitchen.preferences import GRADES, read_exclusions, read_word
from mealplan.rules.preferences.taste import GRADE_PRICE, taste_price
from tests.planned import planned

CATALOGUE = Catalogue.load()
DISHES = load_dishes()
BY_KEY = {dish.key: dish for dish in DISHES}


def client(**tastes):
    return parse_intake(
        {
            "role": "club lifter",
            "sex": "male",
            "age_years": 28,
            "height_cm": 180,
            "weight_kg": 80,
            "start": "2026-11-30",
            "goal": {"phase": "hold"},
            "activity": {"method": "multiplier", "pal": 1.7},
            "tastes": tastes,
        }
    )


def meaning(word):
    return read_word(word, CATALOGUE, DISHES)


def found(**tastes):
    return read_exclusions(client(**tastes), CATALOGUE, DISHES)


# ------------------------------------------------------------------------------- words


@pytest.mark.parametrize(
    ("word", "texture"), [("soupy", "soupy"), ("crunchy", "crisp"), ("creamy dishes", "creamy")]
)
def test_a_texture_means_the_dishes_that_have_it(word, texture):
    foods, dishes = meaning(word)
    assert not foods
    assert dishes == {dish.key for dish in DISHES if dish.texture == texture}


def test_slimy_means_the_foods_that_turn_slippery():
    foods, dishes = meaning("slimy")
    assert {"okra_cooked", "natto"} <= foods
    assert not dishes


@pytest.mark.parametrize(("word", "heats"), [("mild", {1}), ("very hot", {3}), ("no chilli", {0})])
def test_a_degree_of_heat_means_the_dishes_that_are_so_hot(word, heats):
    assert {BY_KEY[key].heat for key in meaning(word)[1]} == heats


def test_spicy_means_hot_dishes_and_hot_foods():
    foods, dishes = meaning("spicy")
    assert "cayenne" in foods
    assert dishes == {dish.key for dish in DISHES if dish.heat >= 2}


def test_a_tradition_means_its_dishes_and_no_food_that_is_named_after_it():
    foods, dishes = meaning("Japanese")
    assert not foods
    assert {BY_KEY[key].tradition for key in dishes} == {"Japanese"}


def test_a_dish_is_found_by_its_name_whatever_the_capitals():
    dish = DISHES[40]
    assert meaning(dish.name.upper()) == (frozenset(), frozenset({dish.key}))


@pytest.mark.parametrize("word", ["soups", "burger", "curry", "pancakes", "smoothies"])
def test_a_kind_of_dish_means_every_dish_called_so(word):
    dishes = meaning(word)[1]
    kind = word.removesuffix("s")
    assert dishes
    assert all(
        kind in BY_KEY[key].name.lower() or BY_KEY[key].kind in kinds_called(word) for key in dishes
    )


def test_a_food_means_itself_and_no_dish_that_merely_has_it_in_its_name():
    foods, dishes = meaning("potatoes")
    assert foods
    assert not dishes


@pytest.mark.parametrize("grade", GRADES)
def test_a_word_that_means_nothing_is_refused_in_every_step(grade):
    with pytest.raises(IntakeError, match=rf"tastes\.{grade}.*xylophone"):
        found(**{grade: ["xylophone"]})


# ------------------------------------------------------------------------------- steps


def test_the_steps_rise_in_price_from_most_wanted_to_least():
    prices = [GRADE_PRICE[grade] for grade in GRADES]
    assert prices == sorted(prices, reverse=True)
    assert GRADE_PRICE["seldom"] > 0 > GRADE_PRICE["likes"]


def test_the_narrower_of_two_words_counts():
    grades = found(dislikes=["beans"], likes=["black beans"]).food_grades
    assert grades["black_beans_cooked"] == "likes"
    assert grades["pinto_beans_cooked"] == "dislikes"


def test_of_two_equal_words_the_less_liking_one_counts():
    grades = found(seldom=["tofu"], favourites=["tofu"]).food_grades
    assert set(grades.values()) == {"seldom"}


def test_liking_counts_once_and_dislikes_add_up():
    exclusions = found(likes=["tofu", "rice"], dislikes=["mushrooms", "spinach"])
    both_liked = next(
        dish
        for dish in DISHES
        if sum(exclusions.food_grades.get(f) == "likes" for f in required(dish)) == 2
        and not any(exclusions.food_grades.get(f) == "dislikes" for f in required(dish))
    )
    assert taste_price(both_liked, exclusions) == GRADE_PRICE["likes"]
    disliked = max(
        DISHES,
        key=lambda d: sum(exclusions.food_grades.get(f) == "dislikes" for f in required(d)),
    )
    count = sum(exclusions.food_grades.get(f) == "dislikes" for f in required(disliked))
    assert (
        taste_price(disliked, exclusions) >= count * GRADE_PRICE["dislikes"] + GRADE_PRICE["likes"]
    )


def required(dish):
    return [line.food for line in dish.lines if not line.optional]


# ------------------------------------------------------------------------------- plans


def shares(**tastes):
    """Count the traditions and textures of a planned week."""
    intake = client(**tastes)
    plan = planned(intake)
    dishes = [BY_KEY[meal.dish] for day in plan.days for meal in day.meals]
    return Counter(dish.tradition for dish in dishes) + Counter(dish.texture for dish in dishes)


def test_a_texture_never_wanted_is_in_no_meal_and_one_disliked_in_hardly_any():
    assert shares(never=["soupy"])["soupy"] == 0
    assert shares(dislikes=["soupy"])["soupy"] <= 1


def test_a_favourite_tradition_is_cooked_more_and_a_seldom_one_less():
    plain = shares()
    tradition = "North American"
    assert shares(favourites=[tradition])[tradition] > plain[tradition]
    assert shares(seldom=[tradition])[tradition] <= min(plain[tradition], 2)


def mains(plan):
    """List the main meals of a week."""
    return [
        meal for day in plan.days for meal in day.meals if meal.occasion in ("midday", "evening")
    ]


def test_half_the_main_meals_are_of_a_tradition_that_is_liked():
    # source: common practice (asked for by readers of printed weeks)
    meals = mains(planned(client(likes=["South Asian"])))
    liked = sum(BY_KEY[meal.dish].tradition == "South Asian" for meal in meals)
    assert liked >= len(meals) // 2


def test_foods_that_are_liked_lead_a_third_of_the_main_meals():
    liked = ("pasta", "rice")
    meals = mains(planned(client(likes=list(liked))))
    found = sum(
        any(serving.food.startswith(liked) and not serving.optional for serving in meal.servings)
        for meal in meals
    )
    assert 3 * found >= len(meals)
