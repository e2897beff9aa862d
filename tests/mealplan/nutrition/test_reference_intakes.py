import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foods.registry.nutrients import NUTRIENTS
from mealplan.errors import TargetError
from mealplan.nutrition.reference_intakes import (
    NOT_ASSESSED,
    all_reference_intakes,
    energy_share,
    nutrients_with_reference,
    reference_intake,
)
from mealplan.references.tables import intake_rows, upper_limit_scopes

AGES = st.integers(14, 120)
SEXES = st.sampled_from(["male", "female"])


def test_every_row_has_an_rda_or_an_ai_and_never_both() -> None:
    for row in intake_rows():
        assert (row.rda is None) != (row.ai is None), row


def test_an_average_requirement_is_below_the_allowance_and_an_ai_has_none() -> None:
    for row in intake_rows():
        if row.rda is None:
            assert row.ear is None, row
        else:
            assert row.ear is not None, row
            assert row.ear < row.rda, row


def test_upper_limits_lie_above_the_goal_except_magnesium() -> None:
    below = {row.nutrient for row in intake_rows() if row.ul and row.ul <= (row.rda or row.ai or 0)}
    assert below == {"magnesium_mg"}


@given(age=AGES, sex=SEXES)
def test_every_age_and_sex_has_one_row_for_each_nutrient(age: int, sex: str) -> None:
    intakes = all_reference_intakes(sex, age)
    assert tuple(intakes) == nutrients_with_reference()
    for nutrient, intake in intakes.items():
        assert intake.nutrient == nutrient
        assert intake.age_low_years <= age <= intake.age_high_years
        assert intake.goal > 0


def test_bands_cover_every_age_once() -> None:
    seen: dict[tuple[str, str, str], list[tuple[int, int]]] = {}
    for row in intake_rows():
        key = (row.nutrient, row.sex, row.condition)
        seen.setdefault(key, []).append((row.age_low_years, row.age_high_years))
    for (_, _, condition), bands in seen.items():
        ages = [age for low, high in sorted(bands) for age in range(low, high + 1)]
        assert ages == list(range(14, 121 if condition == "none" else 51))


def test_units_in_the_rows_match_the_unit_that_ends_the_key() -> None:
    for row in intake_rows():
        ending = "g/kg" if row.nutrient == "protein_g_per_kg" else row.nutrient.rsplit("_", 1)[1]
        assert row.unit == ending, row


def test_nutrients_that_can_be_assessed_are_in_the_food_registry() -> None:
    registry = {nutrient.key for nutrient in NUTRIENTS}
    assessed = set(nutrients_with_reference()) - NOT_ASSESSED - {"protein_g_per_kg"}
    assert assessed <= registry


def test_keys_that_upper_limits_cap_are_in_the_food_registry() -> None:
    registry = {nutrient.key for nutrient in NUTRIENTS}
    limits = {row.limits for row in upper_limit_scopes().values()} - {""}
    assert limits - registry == {"iodine_ug", "molybdenum_ug", "chloride_mg"}


def test_every_upper_limit_says_what_it_counts() -> None:
    assert {row.nutrient for row in intake_rows() if row.ul is not None} == set(
        upper_limit_scopes()
    )


# source: published (NASEM 2019, tables of upper levels, notes on vitamins A, E, niacin and folate)
@pytest.mark.parametrize(
    ("nutrient", "ceiling"),
    [
        ("vitamin_a_rae_ug", ("retinol_ug", 3000)),
        ("folate_dfe_ug", ("folic_acid_ug", 1000)),
        ("vitamin_e_mg", ("vitamin_e_added_mg", 1000)),
        ("niacin_ne_mg", None),
        ("magnesium_mg", None),
        ("potassium_mg", None),
        ("zinc_mg", ("zinc_mg", 40)),
    ],
)
def test_food_ceiling_is_on_what_the_limit_counts(
    nutrient: str, ceiling: tuple[str, float] | None
) -> None:
    assert reference_intake(nutrient, "male", 30).food_ceiling == ceiling


# source: published (NASEM 2019: potassium 3,400 and 2,600 mg replaced 4,700; no upper limit)
def test_potassium_has_the_2019_values_and_no_limit() -> None:
    man, woman = (reference_intake("potassium_mg", sex, 30) for sex in ("male", "female"))
    assert (man.goal, woman.goal) == (3400, 2600)
    assert (man.goal_kind, man.ul, man.relaxed_floor) == ("AI", None, None)


# source: published (IOM 2001: EAR 8.1, RDA 18 mg for women of 19 to 50)
def test_average_requirement_is_the_relaxed_floor_and_not_the_goal() -> None:
    iron = reference_intake("iron_mg", "female", 30)
    assert (iron.goal, iron.goal_kind, iron.relaxed_floor) == (18, "RDA", 8.1)


# source: published (IOM 2001: iron of women falls from 18 to 8 mg at 51 years)
def test_a_band_lasts_until_the_birthday() -> None:
    assert reference_intake("iron_mg", "female", 50.99).goal == 18
    assert reference_intake("iron_mg", "female", 51).goal == 8


# source: published (IOM 2005: fat 20 to 35 % of energy for adults, linoleic acid 5 to 10 %)
@pytest.mark.parametrize(
    ("nutrient", "low", "high"), [("fat_g", 0.2, 0.35), ("linoleic_g", 0.05, 0.1)]
)
def test_energy_shares_are_fractions(nutrient: str, low: float, high: float) -> None:
    share = energy_share(nutrient, "female", 40)
    assert (share.low_fraction, share.high_fraction) == (low, high)


# source: published (IOM 2005: fat 25 to 35 % of energy at 14 to 18 years)
def test_adolescents_have_a_higher_share_of_fat() -> None:
    assert energy_share("fat_g", "male", 16).low_fraction == 0.25


def test_added_sugars_have_a_ceiling_and_no_floor() -> None:
    assert energy_share("sugars_added_g", "male", 30).low_fraction is None


@pytest.mark.parametrize(
    ("arguments", "hint"),
    [
        (("iron_mg", "female", 9), "paediatric dietitian"),
        (("iron_mg", "female", 130), "check the age"),
        (("iron", "female", 30), "did you mean iron_mg"),
        (("unobtainium_kg", "female", 30), "no reference intake"),
        (("iron_mg", "male", 30, "pregnancy"), "correct one of them"),
        (("iron_mg", "female", 55, "lactation"), "stop at 50"),
        (("iron_mg", "female", 30, "training"), "not one of none"),
        (("iron_mg", "robot", 30), "not one of male, female"),
    ],
)
def test_unanswerable_look_up_says_how_to_mend_it(arguments: tuple, hint: str) -> None:
    with pytest.raises(TargetError, match=hint):
        reference_intake(*arguments)


def test_a_row_without_goal_is_an_error_and_not_zero() -> None:
    bare = dataclasses.replace(reference_intake("choline_mg", "male", 30), ai=None)
    with pytest.raises(TargetError, match="neither an RDA nor an AI"):
        _ = bare.goal


def test_unknown_energy_share_lists_the_known_ones() -> None:
    with pytest.raises(TargetError, match="there is one for fat_g"):
        energy_share("fibre_g", "female", 30)
