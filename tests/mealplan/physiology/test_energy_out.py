"""Activity levels, session costs, and total energy by exactly one method."""

import dataclasses
import inspect

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mealplan.errors import IntakeError, TargetError
from mealplan.physiology.expenditure import activity, exercise
from mealplan.physiology.expenditure import daily as expenditure
from mealplan.physiology.expenditure.daily import (
    ComponentMethod,
    MultiplierMethod,
    TrainingSession,
    TrainingWeek,
    day_targets,
    total_energy,
)

COST = st.floats(0, 2000)


# source: published (FAO/WHO/UNU 2004; National Academies 2023; Institute of Medicine 2005)
@pytest.mark.parametrize(
    ("pal", "system", "label"),
    [
        (1.65, "fao2004", "sedentary or light"),
        (1.65, "nasem2023", "low active"),
        (1.65, "iom2005", "active"),
        (1.70, "fao2004", "moderately active"),
        (1.6999, "fao2004", "sedentary or light"),
        (1.0, "nasem2023", "inactive"),
        (1.53, "nasem2023", "low active"),
        (1.68, "nasem2023", "active"),
        (1.85, "nasem2023", "very active"),
        (1.2, "legacy", "desk, no training"),
        (1.3, "legacy", None),
        (1.3, "fao2004", None),
        (2.4, "fao2004", None),
        (2.5, "iom2005", None),
    ],
)
def test_the_same_ratio_has_another_name_in_another_system(pal, system, label):
    assert activity.classify(pal, system) == label


# source: published (National Academies 2023, ages 14 to 18)
def test_bands_depend_on_age_where_the_system_says_so():
    assert activity.classify(1.55, "nasem2023", 18.9) == "inactive"
    assert activity.classify(1.55, "nasem2023", 19) == "low active"


# source: published (FAO/WHO/UNU 2004, worked example: women of 55 kg, 1302 × 1.85 = 2410)
def test_the_published_example_of_a_moderately_active_life():
    assert activity.classify(1.85, "fao2004") == "moderately active"
    assert expenditure.multiplier_energy(1302, 1.85) == pytest.approx(2410, abs=2)


def test_unknown_words_and_systems_are_refused_with_the_known_ones():
    with pytest.raises(IntakeError, match="fao2004, nasem2023, iom2005, legacy"):
        activity.bands("who1985")
    with pytest.raises(IntakeError, match="at 12 years"):
        activity.bands("fao2004", 12)
    with pytest.raises(IntakeError, match="inactive, low active, active, very active"):
        activity.requirement_nasem_2023(80, 180, 28, "male", "sedentary")
    with pytest.raises(IntakeError, match="has no equation for sex='male' at 8 years"):
        activity.requirement_iom_2005(30, 130, 8, "male", "active")


# source: from memory (2023: growth of 20 kcal below 19) and published (2005: 25 kcal from 9 to 18)
def test_growing_bodies_get_their_growth():
    # source: worked by hand, -388.19 + 3.68·17 + 12.66·175 + 20.46·65 + 20
    made = activity.requirement_nasem_2023(65, 175, 17, "male", "active")
    assert made == pytest.approx(-388.19 + 3.68 * 17 + 12.66 * 175 + 20.46 * 65 + 20)
    # source: worked by hand, 88.5 - 61.9·17 + 1.26·(26.7·65 + 903·1.75) + 25
    made = activity.requirement_iom_2005(65, 175, 17, "male", "active")
    assert made == pytest.approx(88.5 - 61.9 * 17 + 1.26 * (26.7 * 65 + 903 * 1.75) + 25)


@given(
    st.floats(45, 120),
    st.floats(0.1, 20),
    st.floats(150, 200),
    st.floats(19, 80),
    st.sampled_from(["male", "female"]),
)
def test_a_heavier_body_needs_more(weight, more, height, age, sex):
    for function, category in (
        (activity.requirement_iom_2005, "active"),
        (activity.expenditure_iom_2005_overweight, "active"),
        (activity.requirement_nasem_2023, "active"),
    ):
        heavier = function(weight + more, height, age, sex, category)
        assert heavier > function(weight, height, age, sex, category)


@pytest.mark.parametrize(("weight", "height"), [(0, 180), (80, 0)])
def test_a_requirement_needs_a_size(weight, height):
    with pytest.raises(IntakeError, match="must be above 0"):
        activity.requirement_iom_2005(weight, height, 28, "male", "active")


def test_activities_are_found_by_code_and_by_words():
    assert exercise.activity_by_code("02054").met == 3.5
    found = exercise.find_activities("ROWING ergometer")
    assert {a.code for a in found} == {"02072", "02073", "02074"}
    assert exercise.find_activities("bicycling mountain")[0].code == "01009"
    assert exercise.find_activities("curling stone") == ()
    assert exercise.find_activities("  ") == ()
    with pytest.raises(IntakeError, match="'99999' is not in the compendium"):
        exercise.activity_by_code("99999")


# source: worked by hand (lifting with rests, 80 kg, 60 min)
def test_net_cost_takes_the_rest_off():
    assert exercise.met_energy_net(3.5, 80, 60) == pytest.approx(200)
    assert exercise.met_energy_net(3.5, 80, 60, 1920) == pytest.approx(200)
    assert exercise.met_energy_net(0.95, 80, 60) == 0.0


@given(st.floats(1, 20), st.floats(40, 150), st.floats(0, 300), st.floats(1000, 3000))
def test_net_cost_is_never_above_gross_nor_below_nothing(met, weight, minutes, rmr):
    gross = exercise.met_energy_gross(met, weight, minutes)
    assert 0 <= exercise.met_energy_net(met, weight, minutes) <= gross
    assert 0 <= exercise.met_energy_net(met, weight, minutes, rmr) <= gross


# source: worked by hand (3.5/4.2; 34 mL × 80 kg × 60 min × 5 kcal/L; 720 kJ at 22 %; 0.9 × 10 × 70)
def test_other_ways_to_cost_a_session():
    assert exercise.corrected_met(6, 4.2) == pytest.approx(5.0)
    assert exercise.oxygen_energy(34, 80, 60) == pytest.approx(816)
    assert exercise.cycling_energy_from_work(720) == pytest.approx(720 / 4.184 / 0.22)
    assert exercise.cycling_energy_from_work(720, 0.25) == pytest.approx(720 / 4.184 / 0.25)
    assert exercise.running_energy_net(10, 70) == pytest.approx(630)
    assert exercise.acsm_running_vo2(200, 0.05) == pytest.approx(52.5)
    assert exercise.acsm_walking_vo2(90) == pytest.approx(12.5)
    assert exercise.acsm_cycling_vo2(0, 80) == pytest.approx(7.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: exercise.met_energy_gross(0, 80, 60),
        lambda: exercise.met_energy_gross(6, 0, 60),
        lambda: exercise.met_energy_gross(6, 80, -1),
        lambda: exercise.met_energy_net(6, 80, 60, 0),
        lambda: exercise.resting_kcal_per_kg_h(0, 80),
        lambda: exercise.resting_kcal_per_kg_h(1996, 0),
        lambda: exercise.standard_resting_vo2(0),
        lambda: exercise.corrected_met(0, 3.5),
        lambda: exercise.corrected_met(6, 280),
        lambda: exercise.acsm_walking_vo2(0),
        lambda: exercise.acsm_walking_vo2(90, 5),
        lambda: exercise.acsm_running_vo2(0),
        lambda: exercise.acsm_running_vo2(200, -0.1),
        lambda: exercise.acsm_cycling_vo2(-1, 80),
        lambda: exercise.acsm_cycling_vo2(200, 0),
        lambda: exercise.oxygen_energy(-1, 80, 60),
        lambda: exercise.oxygen_energy(34, 0, 60),
        lambda: exercise.oxygen_energy(34, 80, -60),
        lambda: exercise.cycling_energy_from_work(-1),
        lambda: exercise.cycling_energy_from_work(720, 22),
        lambda: exercise.running_energy_net(-1, 70),
        lambda: exercise.running_energy_net(10, 0),
        lambda: exercise.thermic_effect(-1, 0, 0),
        lambda: exercise.thermic_effect(0, -1, 0),
        lambda: exercise.thermic_effect(0, 0, -1),
    ],
)
def test_impossible_sessions_are_refused(call, refusal):
    assert refusal(call)


LIFT = TrainingSession("lifting", 5.0, 60)
RUN = TrainingSession("running", 9.8, 45)
WEEK = TrainingWeek(((LIFT,), (), (LIFT,), (), (LIFT, RUN), (), ()))


def test_neither_method_has_a_place_for_the_other_s_training():
    multiplier = {f.name for f in dataclasses.fields(MultiplierMethod)}
    component = {f.name for f in dataclasses.fields(ComponentMethod)}
    assert multiplier == {"pal", "system", "label"}
    assert component == {"everyday_factor", "week", "tef_fraction"}
    accepted = set(inspect.signature(total_energy).parameters)
    assert accepted == {"rmr_kcal", "method", "weight_kg", "individual_rest"}


# source: worked by hand (1996 × 1.8)
def test_the_multiplier_method_gives_the_same_every_day():
    made = total_energy(1996, MultiplierMethod(1.8, "fao2004", "moderately active"), 80)
    assert made.daily_kcal == (1996 * 1.8,) * 7
    assert made.mean_kcal == 1996 * 1.8
    assert made.exercise_kcal is None
    assert made.implied_pal == 1.8
    assert made.method == "1996 × 1.8 (fao2004 moderately active)"
    assert made.warnings == ()


def test_a_legacy_factor_is_named_as_such():
    made = total_energy(1996, MultiplierMethod(1.55, "legacy"), 80)
    assert made.method == "1996 × 1.55 (legacy)"
    assert made.warnings == (
        "this factor comes from no resting-energy paper; prefer another system",
    )


# source: worked by hand (three hours at 4 net MET and 45 min at 8.8 net MET, 80 kg)
def test_the_component_method_adds_each_day_s_net_cost():
    made = total_energy(2000, ComponentMethod(1.3, WEEK), 80, individual_rest=False)
    assert made.exercise_kcal == pytest.approx((320, 0, 320, 0, 320 + 528, 0, 0))
    rest = 2600 / 0.9
    assert made.daily_kcal == pytest.approx(
        (rest + 320 / 0.9, rest, rest + 320 / 0.9, rest, rest + 848 / 0.9, rest, rest)
    )
    assert made.mean_kcal == pytest.approx(rest + 1488 / 7 / 0.9)
    assert made.implied_pal == pytest.approx(made.mean_kcal / 2000)
    assert made.method == "(2000 × 1.3 + 213 training) / (1 - 0.1)"


def test_the_client_s_own_rest_is_taken_off_unless_told_otherwise():
    own = total_energy(2000, ComponentMethod(1.3, WEEK), 80)
    assert own.exercise_kcal[0] == pytest.approx(400 - 2000 / 24)


def test_a_week_without_training_is_the_default():
    made = total_energy(2000, ComponentMethod(1.3), 80)
    assert made.exercise_kcal == (0,) * 7
    assert made.mean_kcal == pytest.approx(2600 / 0.9)


# source: common practice (1.3 and 2.5) and published (1.40 and 2.40, FAO/WHO/UNU 2004)
@pytest.mark.parametrize(
    ("pal", "words"),
    [
        (1.29, "check the everyday factor"),
        (1.30, "below 1.40"),
        (1.39, "below 1.40"),
        (1.40, ""),
        (2.40, ""),
        (2.41, "hard to keep up"),
        (2.50, "hard to keep up"),
        (2.51, "confirm the training week"),
    ],
)
def test_an_odd_ratio_is_said(pal, words):
    assert words in " ".join(expenditure.pal_warnings(pal))
    assert bool(expenditure.pal_warnings(pal)) is bool(words)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: TrainingWeek(((),) * 6), "6 day"),
        (lambda: MultiplierMethod(0.9, "fao2004"), "pal=0.9"),
        (lambda: MultiplierMethod(5.1, "fao2004"), "pal=5.1"),
        (lambda: MultiplierMethod(1.8, "harris"), "activity system 'harris'"),
        (lambda: ComponentMethod(0.99), "everyday_factor=0.99"),
        (lambda: ComponentMethod(2.1), "use the multiplier method"),
        (lambda: ComponentMethod(1.3, tef_fraction=0.3), "tef_fraction"),
        (lambda: total_energy(0, ComponentMethod(1.3), 80), "rmr_kcal"),
        (lambda: total_energy(1996, ComponentMethod(1.3), 0), "weight_kg"),
        (lambda: expenditure.component_energy(1996, 1.3, -1), "exercise_net_kcal"),
        (lambda: day_targets(2500, [0] * 6), "6 day"),
        (lambda: day_targets(0, [0] * 7), "mean_kcal"),
        (lambda: day_targets(2500, [0] * 7, follow=1.1), "follow"),
        (lambda: day_targets(2500, [-1] + [0] * 6), "exercise_kcal"),
    ],
)
def test_impossible_methods_are_refused(call, words):
    with pytest.raises(IntakeError, match=words):
        call()


@given(
    st.floats(2000, 5000),
    st.lists(COST, min_size=7, max_size=7),
    st.floats(0, 1),
    st.floats(0, 2000),
)
def test_seven_days_always_sum_to_seven_means_and_none_is_below_the_floor(
    mean, costs, follow, floor
):
    made = day_targets(mean, costs, follow=follow, floor_kcal=floor)
    assert sum(made) == pytest.approx(7 * mean, rel=1e-9)
    assert min(made) >= floor - 1e-6


# source: worked by hand (one day of 630 kcal: 90 a day on average, so +540/0.9 and -90/0.9)
def test_harder_days_get_more():
    made = day_targets(2800, [630, 0, 0, 0, 0, 0, 0])
    assert made == pytest.approx((3400, 2700, 2700, 2700, 2700, 2700, 2700))
    assert day_targets(2800, [630] + [0] * 6, follow=0) == (2800,) * 7
    half = day_targets(2800, [630] + [0] * 6, follow=0.5)
    assert half[0] == pytest.approx(3100)
    floored = day_targets(2800, [630] + [0] * 6, floor_kcal=2750)
    assert floored == pytest.approx((3100, 2750, 2750, 2750, 2750, 2750, 2750))
    other = day_targets(2800, [630] + [0] * 6, tef_fraction=0.0)
    assert other[0] == pytest.approx(3340)


def test_a_mean_below_the_floor_cannot_be_spread():
    with pytest.raises(TargetError, match="Raise the mean"):
        day_targets(1500, [0] * 7, floor_kcal=1600)
    assert day_targets(1600, [500] + [0] * 6, floor_kcal=1600) == pytest.approx((1600,) * 7)


def test_the_academies_own_example_of_2023_comes_out():
    # source: published (National Academies 2023, worked example of a woman of 22 years, 165 cm and
    # 63 kg, low active: 2,275 kcal; as an independent transcription quotes it)
    found = activity.requirement_nasem_2023(63, 165, 22, "female", "low active")
    assert found == pytest.approx(2275, abs=0.5)
