"""Every dish cooked on paper: its foods exist, its amounts are sane, its method can be followed."""

from __future__ import annotations

from collections import Counter

import pytest

from foods.composition.catalogue import Catalogue
from foods.composition.table import FoodTable
from foods.dishes.line import DishLine
from foods.dishes.load import load_dishes, parse_dishes
from foods.dishes.model import OCCASIONS, Dish
from foods.registry.errors import FoodError
from tests.folded import for_each

DISHES = load_dishes()
CATALOGUE = Catalogue.load()
TABLE = FoodTable.load()

ON_GRID = 0.02
"""Grams in the files are rounded; this much of a step is still on it."""

each_plain_dish = pytest.mark.parametrize(
    "dish", [dish for dish in DISHES if not dish.proven], ids=lambda dish: dish.key
)
each_dish = for_each(DISHES, lambda dish: dish.key)


def per_gram(line: DishLine, key: str) -> float:
    return CATALOGUE.per_100g(line.food, TABLE).get(key, 0.0) / 100


def total(dish: Dish, key: str, amount: str) -> float:
    """Required lines at low or typical; at high every line, add-ons included."""
    return sum(
        per_gram(line, key) * getattr(line, amount)
        for line in dish.lines
        if amount == "high_g" or not line.optional
    )


# ----------------------------------------------------------------------------------- foods and grid


@each_dish
def test_every_line_is_a_plant_food_of_the_catalogue(dish):
    for line in dish.lines:
        food = CATALOGUE.food(line.food)
        assert food.key == line.food
        assert food.ndb is None or TABLE.food(food.ndb).plant_based in ("yes", "label")


@each_dish
def test_every_amount_is_a_whole_number_of_kitchen_steps(dish):
    for line in dish.lines:
        step = CATALOGUE.food(line.food).step_g
        for grams in line.g:
            assert abs(grams / step - round(grams / step)) <= ON_GRID, (line.food, grams, step)


@each_dish
def test_no_line_exceeds_what_a_person_is_given_of_it_in_a_day(dish):
    for line in dish.lines:
        assert line.high_g <= CATALOGUE.food(line.food).max_g_day * (1 + 1e-6), line.food


@each_dish
def test_ratios_hold_when_every_line_is_low_typical_or_high(dish):
    grams = {line.food: line.g for line in dish.lines}
    for ratio in dish.ratios:
        for first, second in zip(grams[ratio.food], grams[ratio.to], strict=True):
            assert ratio.low * second - 1e-6 <= first <= ratio.high * second + 1e-6, ratio


@each_dish
def test_a_dish_scales_without_a_food_that_may_be_left_out_being_needed_by_a_ratio(dish):
    optional = {line.food for line in dish.lines if line.optional}
    for ratio in dish.ratios:
        # An add-on may be bounded by the dish it goes into, never the other way round.
        assert ratio.to not in optional or ratio.food in optional


# ------------------------------------------------------------------------------ energy and protein

# common practice: a portion before it is scaled to the client; a breakfast carries about a quarter
# of 2,000 kcal, a main meal about a third, a small meal about an eighth; a twentieth either way.
TYPICAL_KCAL = {
    "breakfast": (300, 650),
    "midday": (350, 900),
    "evening": (400, 900),
    "small": (120, 400),
}
TYPICAL_PROTEIN_G = {
    "breakfast": (10, 45),
    "midday": (14, 60),
    "evening": (15, 60),
    "small": (3, 30),
}
LEAST_KCAL = {"breakfast": 130, "midday": 200, "evening": 200, "small": 60}
MOST_KCAL = {"breakfast": 1500, "midday": 1800, "evening": 1800, "small": 1200}


@each_dish
def test_energy_of_a_typical_portion_suits_its_occasions(dish):
    energy = total(dish, "energy_kcal", "typical_g")
    low = min(TYPICAL_KCAL[occasion][0] for occasion in dish.occasions)
    high = max(TYPICAL_KCAL[occasion][1] for occasion in dish.occasions)
    assert low <= energy <= high


@each_dish
def test_protein_of_a_typical_portion_suits_its_occasions(dish):
    protein = total(dish, "protein_g", "typical_g")
    low = min(TYPICAL_PROTEIN_G[occasion][0] for occasion in dish.occasions)
    low = 0 if dish.only_fuel else low
    high = max(TYPICAL_PROTEIN_G[occasion][1] for occasion in dish.occasions)
    assert low <= protein <= high


@each_dish
def test_energy_at_the_ends_of_the_ranges_is_still_one_portion(dish):
    least = total(dish, "energy_kcal", "low_g")
    most = total(dish, "energy_kcal", "high_g")
    assert least >= min(LEAST_KCAL[occasion] for occasion in dish.occasions)
    assert most <= max(MOST_KCAL[occasion] for occasion in dish.occasions)
    assert most > 1.3 * least


@each_dish
def test_a_portion_weighs_what_a_plate_or_bowl_holds(dish):
    # common practice: a plate or bowl with a drink holds about a kilogram and a half at most
    grams = sum(line.typical_g for line in dish.lines if not line.optional)
    assert 30 <= grams <= 1500


@each_dish
def test_salt_of_a_typical_portion_leaves_room_in_a_day(dish):
    # source: published (NASEM 2019: reduce sodium above 2,300 mg a day); a miso soup needs most
    assert total(dish, "sodium_mg", "typical_g") <= 2300


# --------------------------------------------------------------------------------------- the method


@each_plain_dish
def test_the_method_names_every_ingredient(dish):
    text = " ".join(dish.method).lower()
    for line in dish.lines:
        assert line.called.lower() in text


@each_plain_dish
def test_add_ons_are_said_to_be_add_ons_in_the_step_that_uses_them(dish):
    steps = [step.lower() for step in dish.method]
    for line in dish.lines:
        if line.optional:
            named = [step for step in steps if line.called.lower() in step]
            assert any("if using" in step for step in named), line.food


@each_dish
def test_foods_that_must_be_cooked_are_not_served_by_a_dish_without_a_cooker(dish):
    dry = [line.food for line in dish.lines if CATALOGUE.food(line.food).caution == "boil_soft"]
    if dry:
        assert set(dish.equipment) & {"hob", "oven", "pressure cooker", "microwave"}


@each_dish
def test_a_dish_that_is_kept_can_be_cooked_for_more_than_one_meal(dish):
    if dish.batch_portions > 1 and dish.batch_portions >= 4:
        assert dish.keeps_days >= 1 or dish.freezes
    if dish.freezes:
        assert dish.keeps_days >= 1


def test_names_and_keys_do_not_repeat():
    assert [key for key, n in Counter(dish.key for dish in DISHES).items() if n > 1] == []
    names = Counter(dish.name.lower() for dish in DISHES)
    assert [name for name, n in names.items() if n > 1] == []


# ---------------------------------------------------------------------------- enough for everybody


def test_there_are_dishes_enough_from_traditions_enough():
    assert len(DISHES) >= 150
    several = [name for name, n in Counter(dish.tradition for dish in DISHES).items() if n >= 5]
    assert len(several) >= 8


MAINS = [dish for dish in DISHES if {"midday", "evening"} & set(dish.occasions)]


# source: common practice (what people cook on a weekday: little work, often no cooker at all)
def test_there_are_mains_for_days_without_time_or_a_cooker():
    assert sum(dish.hands_on_min <= 10 for dish in MAINS) >= 70
    assert sum(dish.equipment == ("none",) for dish in MAINS) >= 30
    assert sum(set(dish.equipment) <= {"kettle", "microwave"} for dish in MAINS) >= 20
    assert sum(dish.freezes and dish.batch_portions >= 6 for dish in MAINS) >= 10


def excluded(*words: str) -> frozenset[str]:
    return frozenset(food.key for word in words for food in CATALOGUE.match(word))


OTHER_LEGUMES = frozenset(
    food.key for food in CATALOGUE.match("legumes") if "soy" not in food.allergens
)

EXCLUSIONS = {
    "nothing": frozenset(),
    "soy": excluded("soy"),
    "gluten with oats": excluded("gluten", "oats"),
    "tree nuts": excluded("tree_nut"),
    "peanut": excluded("peanut"),
    "sesame": excluded("sesame"),
    "legumes other than soy": OTHER_LEGUMES,
    "soy, gluten and nuts together": excluded(
        "soy", "gluten", "oats", "tree_nut", "peanut", "nuts"
    ),
}


def left(banned: frozenset[str], occasion: str) -> list[Dish]:
    return [
        dish
        for dish in DISHES
        if occasion in dish.occasions
        and not any(line.food in banned and not line.optional for line in dish.lines)
    ]


@pytest.mark.parametrize("occasion", OCCASIONS)
@pytest.mark.parametrize("name", EXCLUSIONS)
def test_each_exclusion_leaves_five_dishes_an_occasion(name, occasion):
    assert len(left(EXCLUSIONS[name], occasion)) >= 5


@pytest.mark.parametrize(
    ("name", "canary"),
    [
        ("soy", "tofu_firm_calcium"),
        ("soy", "miso"),
        ("gluten with oats", "oats_rolled"),
        ("gluten with oats", "soy_sauce_shoyu"),
        ("tree nuts", "almonds"),
        ("peanut", "peanut_butter"),
        ("sesame", "tahini"),
        ("sesame", "hummus"),
        ("legumes other than soy", "chickpeas_cooked"),
        ("legumes other than soy", "peas_cooked"),
        ("legumes other than soy", "peanut_butter"),
    ],
)
def test_an_exclusion_really_covers_its_foods(name, canary):
    assert canary in EXCLUSIONS[name]


def test_excluding_legumes_other_than_soy_keeps_tofu():
    assert "tofu_firm_calcium" not in OTHER_LEGUMES


# ------------------------------------------------------------------------------------ broken files

GOOD = """
[[dish]]
key = "beans-on-toast"
name = "Beans on toast"
tradition = "British"
occasions = ["breakfast"]
hands_on_min = 5
total_min = 10
keeps_days = 0
batch_portions = 1
equipment = ["hob"]
lines = [
  {food="baked_beans_tomato", called="beans", g=[100, 200, 300]},
  {food="bread_whole_wheat", called="toast", g=[30, 60, 90]},
]
method = ["Warm the beans and serve on toast."]
"""


def test_a_sound_file_gives_its_dish():
    assert parse_dishes(GOOD)[0].key == "beans-on-toast"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("[100, 200, 300]", "[200, 100, 300]", "must rise"),
        ("[100, 200, 300]", "[0, 200, 300]", "optional = true"),
        ('called="toast"', 'called="bread"', "never mentions bread"),
        (
            '"Warm the beans and serve on toast."',
            '"Warm the beans and serve on toast"',
            "full stop",
        ),
        ("total_min = 10", "total_min = 4", "below hands_on_min"),
        ('food="bread_whole_wheat"', 'food="baked_beans_tomato"', "appears twice"),
        ("keeps_days = 0", "keeps_days = 9", "keeps_days"),
        ('occasions = ["breakfast"]', 'occasions = ["brunch"]', "occasions"),
        ("key =", "key", "not valid TOML"),
    ],
)
def test_a_fault_in_a_dish_file_is_named(old, new, said):
    with pytest.raises(FoodError, match=said):
        parse_dishes(GOOD.replace(old, new), "mine.toml")
