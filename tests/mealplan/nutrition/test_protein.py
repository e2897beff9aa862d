import pytest
from hypothesis import given
from hypothesis import strategies as st

from mealplan.errors import TargetError
from mealplan.nutrition.protein import food_g_for_leucine, meal_protein, protein_target

PHASES = st.sampled_from(["gain", "hold", "cut", "endurance"])
TRAINING = st.sampled_from(["strength", "endurance", "mixed", "none"])
ALLOWANCES = st.sampled_from(["digestible amino acids", "uplift", "none"])


@given(
    mass=st.floats(35, 180), phase=PHASES, training=TRAINING, allowance=ALLOWANCES,
    age=st.integers(14, 100), lean=st.none() | st.floats(0.5, 0.97),
)  # fmt: skip
def test_range_is_ordered_and_inside_the_ceiling(
    mass: float, phase: str, training: str, allowance: str, age: int, lean: float | None
) -> None:
    target = protein_target(
        mass, phase, training, ffm_kg=None if lean is None else lean * mass,
        age_years=age, allowance=allowance,
    )  # fmt: skip
    assert 0 < target.low_g <= target.aim_g <= target.high_g <= 2.5 * mass + 1e-9
    assert target.low_g == pytest.approx(target.low_g_per_kg * target.reference_mass_kg)
    assert target.working


@given(mass=st.floats(35, 150), more=st.floats(0.1, 30), phase=PHASES, training=TRAINING)
def test_protein_rises_with_body_mass(mass: float, more: float, phase: str, training: str) -> None:
    light, heavy = (protein_target(m, phase, training) for m in (mass, mass + more))
    assert heavy.aim_g > light.aim_g


# source: published (ISSN 2017: 1.4 to 2.0 g/kg; default 1.6)
def test_strength_training_uses_the_range_for_building_muscle() -> None:
    target = protein_target(80, "gain", "strength")
    assert (target.low_g, target.aim_g, target.high_g) == pytest.approx((112, 128, 160))


# source: published (Hector and Phillips 2018: 1.6 to 2.4 g/kg for athletes losing weight)
def test_a_cut_without_a_scan_uses_body_mass() -> None:
    target = protein_target(80, "cut", "strength")
    assert (target.low_g, target.high_g, target.per) == (128, 192, "body mass")


# source: published (Helms 2014: 2.3 to 3.1 g per kg of fat-free mass)
def test_a_cut_with_a_scan_uses_fat_free_mass() -> None:
    target = protein_target(80, "cut", "mixed", ffm_kg=64)
    assert (target.low_g, target.per, target.reference_mass_kg) == (
        pytest.approx(147.2),
        "fat-free mass",
        64,
    )


def test_endurance_on_a_cut_uses_body_mass_even_with_a_scan() -> None:
    assert protein_target(60, "cut", "endurance", ffm_kg=50).per == "body mass"


# source: common practice (plant uplift of a tenth, instead of counting digestible amino acids)
def test_the_plant_allowance_is_made_once() -> None:
    counted = protein_target(75, "hold", "mixed")
    raised = protein_target(75, "hold", "mixed", allowance="uplift")
    plain = protein_target(75, "hold", "mixed", allowance="none")
    assert counted.aim_g == plain.aim_g == 120
    assert raised.aim_g == pytest.approx(132)


# source: published (ACSM, AND and DC 2016: 1.2 to 2.0 g/kg for athletes)
def test_endurance_phase_has_the_athletes_range() -> None:
    target = protein_target(60, "endurance", "endurance")
    assert (target.low_g, target.high_g) == (72, 120)


# source: common practice (range for athletes of 14 to 18 years: 1.2 to 1.8 g/kg)
def test_young_athletes_have_their_own_range_in_every_phase() -> None:
    assert protein_target(60, "gain", "strength", age_years=16).high_g == pytest.approx(108)
    assert protein_target(60, "hold", "none", age_years=18).low_g == pytest.approx(72)


# source: published (IOM 2005: 0.8 g/kg; PROT-AGE 2013: 1.2 g/kg and more from 65 years)
def test_without_training_the_allowance_is_the_floor() -> None:
    assert protein_target(70, "hold", "none").low_g == pytest.approx(56)
    assert protein_target(70, "hold", "none", age_years=70).low_g == pytest.approx(84)
    assert protein_target(70, "cut", "none").low_g == pytest.approx(84)


def test_the_ceiling_is_named_in_the_working() -> None:
    target = protein_target(80, "cut", "mixed", ffm_kg=78)
    assert target.high_g == 200
    assert "without a clinician" in target.working[-1]


# source: published (Schoenfeld and Aragon 2018: 0.4 to 0.55 g/kg a meal)
def test_meal_protein_follows_body_mass() -> None:
    meal = meal_protein(80)
    assert (meal.aim_g, meal.high_g, meal.leucine_g) == pytest.approx((32, 44, 2.5))


def test_a_meal_is_not_asked_for_more_than_an_even_share_of_the_day() -> None:
    meal = meal_protein(80, 6, day_protein_g=128)
    assert meal.aim_g == pytest.approx(128 / 6)
    assert meal.low_g <= meal.aim_g <= meal.high_g


def test_a_large_day_leaves_the_meal_goal_alone() -> None:
    assert meal_protein(60, 4, day_protein_g=140).aim_g == pytest.approx(24)


def test_a_meal_never_falls_below_a_quarter_gram_a_kg() -> None:
    assert meal_protein(80, 6, day_protein_g=60).aim_g == pytest.approx(20)


# source: from memory (Moore 2015; leucine 2.5 to 3 g for older people)
def test_older_people_get_more_leucine_a_meal() -> None:
    assert meal_protein(70, age_years=70).leucine_g == 3.0


@pytest.mark.parametrize(
    ("call", "hint"),
    [
        (lambda: protein_target(400, "hold"), "was it pounds"),
        (lambda: protein_target(70, "bulk"), "phase='bulk' is not one of gain"),
        (lambda: protein_target(70, "hold", "yoga"), "training='yoga'"),
        (lambda: protein_target(70, "hold", allowance="both"), "allowance='both'"),
        (lambda: protein_target(70, "hold", ffm_kg=71), "check the scan"),
        (lambda: meal_protein(70, 2), "3 to 6 meals"),
        (lambda: meal_protein(5, 4), "was it pounds"),
        (lambda: food_g_for_leucine(0), "cannot be sized"),
    ],
)
def test_impossible_input_says_how_to_mend_it(call, hint: str) -> None:
    with pytest.raises(TargetError, match=hint):
        call()
