from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from mealplan.errors import TargetError
from mealplan.nutrition.protein import (
    expected_share,
    meal_protein,
    protein_mass,
    protein_target,
)

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
    assert (meal.aim_g, meal.high_g) == pytest.approx((32, 44))


@pytest.mark.parametrize("age", [30, 70])
@pytest.mark.parametrize("mass", [50, 70, 95])
@pytest.mark.parametrize("day", [60, 100, 190])
def test_the_leucine_wish_never_needs_more_protein_than_the_meal_has(mass, age, day) -> None:
    # source: worked by hand (leucine 7.5 % of plant protein; threshold 2.5 g, older 3 g)
    meal = meal_protein(mass, 4, day_protein_g=day, age_years=age)
    assert meal.leucine_g <= 0.075 * meal.aim_g + 1e-9
    assert meal.leucine_g <= (3.0 if age >= 65 else 2.5)
    assert 3 * meal.aim_g <= day + 1e-9 or meal.aim_g <= 0.3 * day + 1e-9


def test_a_meal_is_not_asked_for_more_than_the_day_gives_its_main_meals() -> None:
    meal = meal_protein(80, 6, day_protein_g=90)
    assert meal.aim_g == pytest.approx(0.9 * 90 / 3)
    assert meal.low_g <= meal.aim_g <= meal.high_g


def test_a_large_day_leaves_the_meal_goal_alone() -> None:
    assert meal_protein(60, 4, day_protein_g=140).aim_g == pytest.approx(24)


# source: confirmed by independent transcription (Moore 2015: 0.4 to 0.6 g/kg a meal when older)
@pytest.mark.parametrize("mass", [55, 70, 85])
def test_older_people_get_their_own_range_at_a_meal(mass) -> None:
    meal = meal_protein(mass, age_years=70)
    assert 0.4 * mass <= meal.aim_g <= 0.6 * mass
    assert meal.leucine_g >= min(3.0, 0.075 * 0.6 * mass) - 1e-9


# source: worked by hand (25 x 1.83^2 = 83.7 kg; 83.7 + (130 - 83.7) / 4 = 95.3 kg)
def test_protein_of_a_heavy_man_is_set_by_adjusted_mass() -> None:
    reference = protein_mass(130, 183, 40.7, "male")
    assert reference.mass_kg == pytest.approx(95.3, abs=0.1)
    target = protein_target(130, "cut", "strength", reference=reference)
    assert target.per == "adjusted mass"
    assert target.high_g == pytest.approx(2.0 * 95.3, abs=0.5)


def test_a_heavy_lifter_with_little_fat_keeps_body_mass() -> None:
    assert protein_mass(110, 183, 14, "male").mass_kg == 110
    assert protein_mass(60, 165, 36, "female").mass_kg == 60


@pytest.mark.parametrize("fat", [25.0, 27.5, 30.0])
def test_a_tenth_of_a_point_of_fat_moves_the_mass_by_little(fat) -> None:
    before, after = (protein_mass(110, 180, f, "male").mass_kg for f in (fat - 0.05, fat + 0.05))
    assert 0 <= before - after < 0.5


# source: worked by hand (mean of a clipped normal variable, integrated by an independent library)
@pytest.mark.parametrize("value", [18.0, 24.0, 27.5, 33.9])
@pytest.mark.parametrize("sd", [0.5, 3.5, 6.0])
def test_a_share_is_averaged_over_the_error_of_what_it_rests_on(value, sd) -> None:
    share = stats.norm(value, sd).expect(lambda x: min(1.0, max(0.0, (x - 25) / 5)))
    assert expected_share(value, sd, 25, 30) == pytest.approx(share, abs=1e-4)
    assert expected_share(27.5, 0.0, 25, 30) == 0.5


# source: published (Helms 2014 reviewed lean people, up to 23 % fat in men and 35 % in women;
# ISSN 2017: 1.4 to 2.0 g/kg for all who train)
@pytest.mark.parametrize("ffm_known", [False, True])
def test_the_lean_athletes_range_in_a_deficit_fades_with_fat(ffm_known) -> None:
    def aim(fat: float) -> float:
        reference = protein_mass(75, 178, fat, "male", fat_sd=2.0)
        ffm = 75 * (1 - fat / 100) if ffm_known else None
        return protein_target(75, "cut", "strength", ffm_kg=ffm, reference=reference).aim_g / 75

    assert aim(12) == pytest.approx(2.6 * 0.88 if ffm_known else 2.0, abs=0.01)
    assert aim(32) == pytest.approx(1.6, abs=0.02)
    steps = [aim(fat / 2) for fat in range(24, 70)]
    assert all(0 <= a - b < 0.04 * a for a, b in pairwise(steps))


# source: published (Hector and Phillips 2018 for the lean; ISSN 2017), read by a dietitian: 85 to
# 130 g for a runner of 73 kg and 168 cm, whose home scale says a third is fat
def test_a_home_scale_brings_no_lean_athletes_protein() -> None:
    reference = protein_mass(73, 168, 33.9, "female", fat_sd=3.6)
    assert 85 <= protein_target(73, "cut", "mixed", reference=reference).aim_g <= 130


# source: published (PROT-AGE 2013: 1.2 g/kg and more for active older people)
def test_older_people_never_get_less_than_their_range() -> None:
    for phase in ("gain", "hold", "cut", "endurance"):
        for training in ("strength", "endurance", "mixed", "none"):
            assert protein_target(70, phase, training, age_years=70).low_g >= 1.2 * 70 - 1e-9


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
    ],
)
def test_impossible_input_says_how_to_mend_it(call, hint: str) -> None:
    with pytest.raises(TargetError, match=hint):
        call()
