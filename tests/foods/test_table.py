"""The food table as others use it: look up, search, arrays."""

import numpy as np
import pytest

import foods
from foods import FoodError, FoodTable

# source: published, USDA SR28 file NUT_DATA, read there by hand
PUBLISHED = [
    ("16070", "protein_g", 9.02),
    ("16070", "energy_kcal", 116),
    ("16070", "iron_mg", 3.33),
    ("16070", "lysine_g", 0.630),
    ("08120", "protein_g", 13.15),
    ("08120", "leucine_g", 0.980),
    ("20044", "folic_acid_ug", 223),
    ("20044", "folate_dfe_ug", 387),
    ("11124", "beta_carotene_ug", 8285),
    ("11124", "vitamin_a_rae_ug", 835),
    ("11508", "vitamin_a_rae_ug", 961),
    ("11090", "vitamin_c_mg", 89.2),
    ("11090", "vitamin_k_ug", 101.6),
    ("12078", "selenium_ug", 1917),
    ("12061", "vitamin_e_mg", 25.63),
    ("09040", "potassium_mg", 358),
    ("16427", "calcium_mg", 350),
    ("16122", "lysine_g", 5.327),
]


def test_public_names_are_listed_once_and_exist():
    assert len(set(foods.__all__)) == len(foods.__all__)
    assert all(hasattr(foods, name) for name in foods.__all__)


def test_the_table_is_loaded_once():
    assert FoodTable.load() is FoodTable.load()


def test_the_table_lists_every_food_of_the_release(table):
    # source: published, USDA SR28 documentation: 8,789 food items
    assert len(table) == 8789


@pytest.mark.parametrize(("ndb", "key", "amount"), PUBLISHED)
def test_amounts_are_those_of_the_release(table, ndb, key, amount):
    assert table.per_100g(ndb)[key] == pytest.approx(amount)
    assert table.matrix([ndb], [key]) == pytest.approx(np.array([[amount]]))


def test_a_food_carries_its_factors_refuse_and_names(table):
    food = table.food("12061")
    # source: published, USDA SR28 file FOOD_DES
    assert (food.description, food.scientific_name) == ("Nuts, almonds", "Prunus dulcis")
    assert (food.refuse_pct, food.refuse_description, food.nitrogen_factor) == (60, "Shells", 5.18)
    factors = (food.protein_kcal_per_g, food.fat_kcal_per_g, food.carbohydrate_kcal_per_g)
    assert factors == (3.47, 8.37, 4.07)


def test_a_factor_the_release_does_not_state_is_none_not_zero(table):
    assert table.food("16108").protein_kcal_per_g is None


def test_a_nutrient_not_measured_is_absent_and_nan_never_zero(table):
    # source: published, USDA SR28 NUT_DATA: lentils have no row for nutrient 851 and a zero for 601
    assert "alpha_linolenic_n3_g" not in table.per_100g("16070")
    assert table.per_100g("16070")["cholesterol_mg"] == 0
    row = table.matrix(["16070"], ["alpha_linolenic_n3_g", "cholesterol_mg"])[0]
    assert np.isnan(row[0])
    assert row[1] == 0


def test_the_matrix_keeps_the_order_asked_for(table):
    ndbs, keys = ["16070", "11090", "08120"], ["iron_mg", "energy_kcal"]
    both = table.matrix(ndbs, keys)
    assert both.shape == (3, 2)
    for row, ndb in zip(both, ndbs, strict=True):
        amounts = table.per_100g(ndb)
        assert list(row) == [amounts[key] for key in keys]


def test_changing_a_matrix_does_not_change_the_table(table):
    table.matrix(["11090"], ["iron_mg"])[:] = 99
    assert table.per_100g("11090")["iron_mg"] == 0.73


def test_standard_errors_and_samples_go_with_the_values(table):
    # source: published, USDA SR28 NUT_DATA 16070: protein 9.02 n=23 se=0.191; energy n=0
    keys = ["protein_g", "energy_kcal", "alpha_linolenic_n3_g"]
    errors = table.std_error_matrix(["16070"], keys)[0]
    samples = table.sample_count_matrix(["16070"], keys)[0]
    assert errors[0] == 0.191
    assert list(samples[:2]) == [23, 0]
    assert np.isnan([errors[1], errors[2], samples[2]]).all()


def test_derivation_says_how_a_value_came_about(table):
    # source: published, USDA SR28 NUT_DATA (NC calculated, BFSN from another form of the food)
    assert table.derivation("16070", "energy_kcal") == "NC"
    assert table.derivation("11508", "beta_carotene_ug") == "BFSN"
    assert table.derivation("16070", "methionine_cystine_g") == "=506+507"


def test_derivation_of_a_missing_value_is_refused(table):
    with pytest.raises(FoodError, match="no value of alpha_linolenic_n3_g: it was not measured"):
        table.derivation("16070", "alpha_linolenic_n3_g")


def test_the_basis_tells_analysed_calculated_assumed_derived_and_missing_apart(table):
    # source: published, USDA SR28 NUT_DATA source codes 1, 4 and 7; 11 with 197 samples pooled
    keys = ["alpha_carotene_ug", "beta_carotene_ug", "vitamin_a_rae_ug", "retinol_ug"]
    assert list(table.basis_matrix(["11124"], keys)[0]) == [
        "analysed",
        "analysed",
        "calculated",
        "assumed zero",
    ]
    keys = ["niacin_ne_mg", "alpha_linolenic_n3_g"]
    assert list(table.basis_matrix(["16070"], keys)[0]) == ["derived", "missing"]


def test_portions_keep_an_amount_that_is_not_one(table):
    half_cup = table.portions("11090")[4]
    # source: published, USDA SR28 file WEIGHT: .5 cup, chopped or diced, 44 g
    assert (half_cup.amount, half_cup.measure, half_cup.grams) == (0.5, "cup, chopped or diced", 44)
    assert half_cup.grams_each == 88


def test_a_food_without_measures_has_no_portions(table):
    without = [ndb for ndb in table.offered if not table.portions(ndb)]
    assert without
    assert len(without) < 0.1 * len(table.offered)


def test_an_unknown_number_is_answered_with_near_ones(table):
    with pytest.raises(
        FoodError, match=r"'1109' is not in the table.*leading zeros.*Near it: \d{5}"
    ):
        table.food("1109")


def test_a_food_that_is_not_offered_says_why_its_values_are_not_kept(table):
    with pytest.raises(FoodError, match=r"Butter, salted.*plant-based is 'no', because food group"):
        table.per_100g("01001")


def test_an_unknown_nutrient_is_refused_by_the_matrix(table):
    with pytest.raises(FoodError, match="'protein' is not in the registry"):
        table.matrix(["11090"], ["protein"])


@pytest.mark.parametrize(
    ("text", "ndb"),
    [
        ("lentils cooked", "16070"),
        ("raw broccoli", "11090"),
        ("tofu firm calcium", "16426"),
        ("tomato", "11529"),
        ("snowpeas", "11300"),
        ("oatmeal", "08120"),
        ("Lactuca", "11252"),
    ],
)
def test_search_finds_a_food_by_words_in_any_order(table, text, ndb):
    assert ndb in {food.ndb for food in table.search(text, limit=100)}


def test_search_puts_offered_foods_first_and_keeps_the_others_with_their_reason(table):
    found = table.search("butter", limit=200)
    offered = [food.offered for food in found]
    assert offered == sorted(offered, reverse=True)
    assert {food.plant_based for food in found} >= {"yes", "no"}
    assert all(food.reason for food in found)


@pytest.mark.parametrize("text", ["", "  ,", "zzzz"])
def test_search_without_a_match_is_empty(table, text):
    assert table.search(text) == ()


def test_search_hands_back_no_more_than_asked(table):
    assert len(table.search("beans", limit=3)) == 3


def test_no_offered_food_is_unclear_animal_or_for_infants(table):
    for ndb in table.offered:
        food = table.food(ndb)
        assert food.offered
        assert food.plant_based == "yes"
        assert food.group != "Baby Foods"


# source: regression; about 2,400 foods can be accepted from what the release says
def test_the_number_of_offered_foods_is_known(table):
    assert 2300 <= len(table.offered) <= 2500
