"""The nutrient registry: keys, units and the rules of derived nutrients."""

from decimal import Decimal

import pytest

from foods import NUTRIENT_KEYS, NUTRIENTS, FoodError, by_number, nutrient
from foods.registry.nutrients import DerivedRule

UNIT_ENDINGS = {"kcal": "_kcal", "kJ": "_kj", "g": "_g", "mg": "_mg", "µg": "_ug"}


@pytest.mark.parametrize("item", NUTRIENTS, ids=NUTRIENT_KEYS)
def test_every_key_ends_in_its_unit(item):
    assert item.key.endswith(UNIT_ENDINGS[item.unit])
    assert item.ucum == item.unit.replace("µ", "u")


def test_keys_and_numbers_are_unique():
    numbers = [item.usda_number for item in NUTRIENTS if item.usda_number is not None]
    assert len(set(NUTRIENT_KEYS)) == len(NUTRIENT_KEYS)
    assert len(set(numbers)) == len(numbers)


def test_a_nutrient_is_either_released_or_derived():
    assert all((item.usda_number is None) == item.derived for item in NUTRIENTS)


def test_derived_nutrients_are_made_of_released_ones():
    for item in NUTRIENTS:
        for part in item.rule.parts if item.rule else ():
            assert nutrient(part).usda_number is not None


# source: published, USDA SR28 file NUTR_DEF (number, unit, INFOODS tagname)
@pytest.mark.parametrize(
    ("number", "key", "tagname"),
    [
        (203, "protein_g", "PROCNT"),
        (208, "energy_kcal", "ENERC_KCAL"),
        (268, "energy_kj", "ENERC_KJ"),
        (291, "fibre_g", "FIBTG"),
        (303, "iron_mg", "FE"),
        (320, "vitamin_a_rae_ug", "VITA_RAE"),
        (328, "vitamin_d_ug", "VITD"),
        (418, "vitamin_b12_ug", "VITB12"),
        (435, "folate_dfe_ug", "FOLDFE"),
        (505, "lysine_g", "LYS_G"),
        (621, "dha_g", "F22D6"),
        (851, "alpha_linolenic_n3_g", "F18D3CN3"),
    ],
)
def test_numbers_and_tagnames_are_those_of_the_release(number, key, tagname):
    assert (by_number(number).key, by_number(number).tagname) == (key, tagname)


def test_an_unknown_key_is_answered_with_near_ones():
    with pytest.raises(FoodError, match=r"'iron' is not in the registry.*iron_mg"):
        nutrient("iron")


def test_a_number_that_is_not_kept_points_to_the_source_note():
    with pytest.raises(FoodError, match=r"318 is not kept.*SOURCE.md"):
        by_number(318)


A, B = Decimal("1.5"), Decimal("0.3")


# source: worked by hand; niacin: published, IOM 1998 (60 mg of tryptophan count as 1 mg)
@pytest.mark.parametrize(
    ("operation", "amounts", "expected"),
    [
        ("sum", (A, B), (Decimal("1.8"), ("a", "b"))),
        ("sum", (A, None), (A, ("a",))),
        ("sum", (None, None), None),
        ("first", (A, B), (A, ("a",))),
        ("first", (None, B), (B, ("b",))),
        ("first", (None, None), None),
        ("minus", (A, B), (Decimal("1.2"), ("a", "b"))),
        ("minus", (A, None), None),
        ("niacin_equivalents", (A, B), (Decimal("6.5"), ("a", "b"))),
        ("niacin_equivalents", (None, B), (Decimal(5), ("b",))),
        ("niacin_equivalents", (A, None), (A, ("a",))),
    ],
)
def test_a_derived_amount_says_which_parts_it_rests_on(operation, amounts, expected):
    assert DerivedRule(operation, ("a", "b")).apply(amounts) == expected


def test_a_measured_zero_comes_before_a_fallback():
    assert DerivedRule("first", ("a", "b")).apply((Decimal(0), B)) == (Decimal(0), ("a",))
