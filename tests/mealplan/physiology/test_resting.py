"""Predicted resting energy: properties, mix-ups, choice, spread, combination."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from mealplan.errors import IntakeError
from mealplan.physiology.resting import choice as resting_choice
from mealplan.physiology.resting import equations as resting
from mealplan.physiology.resting.choice import Body
from mealplan.physiology.tables import resting_equations
from mealplan.science.units import KG_PER_LB

SEX = st.sampled_from(["male", "female"])
WEIGHT = st.floats(40, 150)
HEIGHT = st.floats(145, 210)
AGE = st.floats(18, 90)
FFM = st.floats(30, 110)
STEP = st.floats(0.01, 20)

BY_SIZE = (
    resting.mifflin_st_jeor,
    resting.mifflin_st_jeor_unrounded,
    resting.harris_benedict_1919,
    resting.roza_shizgal_1984,
    resting.ten_haaf_weight,
    resting.henry_weight_height,
    resting.schofield_weight_height,
)
BY_FFM = (
    resting.mifflin_ffm,
    resting.cunningham_1980,
    resting.cunningham_1991,
    resting.ten_haaf_ffm,
    resting.tinsley_ffm,
)


@pytest.mark.parametrize("equation", BY_SIZE)
@given(weight=WEIGHT, more=STEP, height=HEIGHT, age=AGE, sex=SEX)
def test_more_mass_means_more_resting_energy(equation, weight, more, height, age, sex):
    assert equation(weight + more, height, age, sex) > equation(weight, height, age, sex)


@pytest.mark.parametrize("equation", BY_FFM)
@given(ffm=FFM, more=STEP)
def test_more_lean_mass_means_more_resting_energy(equation, ffm, more):
    assert equation(ffm + more) > equation(ffm)


@pytest.mark.parametrize("equation", BY_SIZE)
@given(weight=WEIGHT, height=HEIGHT, age=AGE, sex=SEX)
def test_pounds_give_what_kilograms_give(equation, weight, height, age, sex):
    pounds = weight / KG_PER_LB
    assert equation(pounds * KG_PER_LB, height, age, sex) == pytest.approx(
        equation(weight, height, age, sex), rel=1e-12
    )


CONTINUOUS_IN_AGE = (
    resting.mifflin_st_jeor,
    resting.mifflin_st_jeor_unrounded,
    resting.harris_benedict_1919,
    resting.roza_shizgal_1984,
    resting.ten_haaf_weight,
)


@pytest.mark.parametrize("equation", CONTINUOUS_IN_AGE)
@given(weight=WEIGHT, height=HEIGHT, age=AGE, sex=SEX)
def test_no_birthday_makes_a_step(equation, weight, height, age, sex):
    later = equation(weight, height, age + 1e-6, sex)
    assert later == pytest.approx(equation(weight, height, age, sex), abs=1e-3)


@given(weight=WEIGHT, age=AGE, sex=SEX)
def test_banded_equations_step_only_at_their_documented_edges(weight, age, sex):
    edges = (30, 60, 70)
    assume(all(not (age < edge <= age + 1e-6) for edge in edges))
    for equation in (
        lambda a: resting.schofield_weight(weight, a, sex),
        lambda a: resting.schofield_weight_mj(weight, a, sex),
        lambda a: resting.henry_weight(weight, a, sex),
        lambda a: resting.henry_weight_split(weight, a, sex),
    ):
        assert equation(age) == equation(age + 1e-6)


# source: published (Schofield 1985, bands 18-30 and 30-60; 80 kg man)
def test_the_thirtieth_birthday_belongs_to_the_next_band():
    before = resting.schofield_weight(80, 29.999, "male")
    after = resting.schofield_weight(80, 30, "male")
    assert (before, after) == (pytest.approx(1896.76), pytest.approx(1790.86))


# source: published (Henry 2005, bands 60-70 and from 70, as the CRAN package activAnalyzer 2.1.1
# transcribes them)
def test_henry_can_split_the_band_over_sixty():
    assert resting.henry_weight_split(80, 65, "male") == pytest.approx(1607)
    assert resting.henry_weight_split(80, 70, "male") == pytest.approx(1577)
    assert resting.henry_weight(80, 65, "male") == pytest.approx(1594)
    assert resting.henry_weight_split(65, 75, "female") == pytest.approx(1227)


@given(weight=WEIGHT, height=HEIGHT, age=AGE)
def test_unrounded_mifflin_keeps_its_sexes_166_apart(weight, height, age):
    # source: published (Mifflin 1990: + 166 for men); a public data set has it the wrong way round
    man = resting.mifflin_st_jeor_unrounded(weight, height, age, "male")
    woman = resting.mifflin_st_jeor_unrounded(weight, height, age, "female")
    assert man - woman == pytest.approx(166)


def test_cunningham_1980_and_1991_are_not_one_equation():
    # source: worked by hand, 500 + 22·68 against 370 + 21.6·68
    gap = resting.cunningham_1980(68) - resting.cunningham_1991(68)
    assert gap == pytest.approx(157.2)


def test_megajoule_and_kilocalorie_sets_agree():
    for sex in ("male", "female"):
        for age in (20, 45, 70):
            # source: published (Schofield 1985 prints both sets)
            assert resting.schofield_weight_mj(70, age, sex) == pytest.approx(
                resting.schofield_weight(70, age, sex), rel=0.006
            )


def test_each_function_uses_its_own_row_of_the_table():
    rows = resting_equations()
    mifflin = rows["mifflin_f"]
    by_hand = (
        mifflin.intercept
        + 60 * mifflin.weight_kg
        + 165 * mifflin.height_cm
        + 28 * mifflin.age_years
    )
    assert resting.mifflin_st_jeor(60, 165, 28, "female") == by_hand
    nelson = rows["nelson1992"]
    assert resting.nelson_1992(46.8, 13.2) == 46.8 * nelson.ffm_kg + 13.2 * nelson.fm_kg


def test_an_unknown_sex_is_refused_with_what_to_give():
    with pytest.raises(IntakeError, match='Give "male" or "female"'):
        resting.mifflin_st_jeor(60, 165, 28, "other")


@pytest.mark.parametrize("age", [120, 150])
def test_an_age_no_band_covers_is_refused(age):
    with pytest.raises(IntakeError, match="no age band covers it"):
        resting.schofield_weight(60, age, "male")


def test_a_negative_age_is_refused():
    with pytest.raises(IntakeError, match="age_years=-1"):
        resting.age_band(-1)


MAN = Body("male", 28, 80, 180, 68, 12, "dxa", 5)
WOMAN = Body("female", 28, 60, 165, 46.8, 13.2, "dxa", 5)


# source: common practice (selection rule by training, trust in fat-free mass and age)
@pytest.mark.parametrize(
    ("body", "key", "check"),
    [
        (MAN, "ten_haaf_ffm", "cunningham_1980"),
        (Body("male", 28, 80, 180, 68, 12, "dxa", 5, True), "ten_haaf_ffm", "tinsley_ffm"),
        (Body("male", 36, 80, 180, 68, 12, "skinfold", 3), "cunningham_1980", "cunningham_1991"),
        (Body("male", 40, 80, 180, 68, 12, "dxa", 3, True), "cunningham_1980", "tinsley_ffm"),
        (
            Body("male", 28, 80, 180, 68, 12, "bioimpedance", 5),
            "ten_haaf_weight",
            "henry_weight_height",
        ),
        (Body("male", 35, 80, 180, sessions_per_week=3), "ten_haaf_weight", "henry_weight_height"),
        (
            Body("male", 17.9, 80, 180, sessions_per_week=3),
            "henry_weight_height",
            "schofield_weight",
        ),
        (Body("male", 36, 80, 180, sessions_per_week=3), "mifflin_st_jeor", "henry_weight_height"),
        (
            Body("female", 28, 60, 165, 46.8, 13.2, "dxa", 2.9),
            "mifflin_st_jeor",
            "henry_weight_height",
        ),
        (Body("female", 28, 60), "henry_weight", "schofield_weight"),
        (Body("female", 28, 60, sessions_per_week=4), "henry_weight", "schofield_weight"),
    ],
)
def test_the_equation_is_chosen_by_the_rule(body, key, check):
    choice = resting_choice.choose(body)
    assert (choice.primary.key, choice.check.key) == (key, check)
    assert key not in {p.key for p in choice.others}
    assert check not in {p.key for p in choice.others}
    assert choice.reason


def test_the_choice_keeps_every_other_prediction():
    choice = resting_choice.choose(MAN)
    assert len(choice.others) + 2 == len(resting_choice.predict_all(MAN))


def test_men_only_and_height_equations_are_left_out_when_they_cannot_apply():
    keys = {p.key for p in resting_choice.predict_all(WOMAN)}
    assert "de_lorenzo_1999_men" not in keys
    bare = {p.key for p in resting_choice.predict_all(Body("male", 28, 80))}
    assert bare == {"schofield_weight", "henry_weight", "owen", "tinsley_weight"}
    no_fat = {p.key for p in resting_choice.predict_all(Body("male", 28, 80, None, 68))}
    assert no_fat == bare | {
        "mifflin_ffm",
        "cunningham_1980",
        "cunningham_1991",
        "ten_haaf_ffm",
        "tinsley_ffm",
    }


def test_every_prediction_equals_its_named_function():
    made = {p.key: p.energy_kcal for p in resting_choice.predict_all(MAN)}
    assert made == {
        "schofield_weight": resting.schofield_weight(80, 28, "male"),
        "henry_weight": resting.henry_weight(80, 28, "male"),
        "owen": resting.owen(80, "male"),
        "tinsley_weight": resting.tinsley_weight(80),
        "mifflin_st_jeor": resting.mifflin_st_jeor(80, 180, 28, "male"),
        "harris_benedict_1919": resting.harris_benedict_1919(80, 180, 28, "male"),
        "roza_shizgal_1984": resting.roza_shizgal_1984(80, 180, 28, "male"),
        "henry_weight_height": resting.henry_weight_height(80, 180, 28, "male"),
        "ten_haaf_weight": resting.ten_haaf_weight(80, 180, 28, "male"),
        "de_lorenzo_1999_men": resting.de_lorenzo_1999_men(80, 180),
        "mifflin_ffm": resting.mifflin_ffm(68),
        "cunningham_1980": resting.cunningham_1980(68),
        "cunningham_1991": resting.cunningham_1991(68),
        "ten_haaf_ffm": resting.ten_haaf_ffm(68),
        "tinsley_ffm": resting.tinsley_ffm(68),
        "nelson_1992": resting.nelson_1992(68, 12),
        "mueller_2004": resting.mueller_2004(68, 12, 28, "male"),
    }


def test_a_prediction_says_when_the_body_is_outside_its_ages_or_its_lean_mass_untrusted():
    old = Body("male", 60, 80, 180, 68, 12, "bioimpedance", 5)
    made = {p.key: p for p in resting_choice.predict_all(old)}
    assert not made["ten_haaf_ffm"].fits
    assert "outside its ages of 18 to 35" in made["ten_haaf_ffm"].note
    assert "not from a trusted method" in made["ten_haaf_ffm"].note
    assert made["mifflin_st_jeor"].fits
    assert "trusted" not in made["mifflin_st_jeor"].note
    trusted = {p.key: p for p in resting_choice.predict_all(MAN)}
    assert "trusted" not in trusted["ten_haaf_ffm"].note


# source: common practice (8 % for an athlete's equation in an athlete, 10 % else; Schofield's own)
def test_each_prediction_carries_its_own_spread():
    athlete = {p.key: p for p in resting_choice.predict_all(MAN)}
    assert athlete["ten_haaf_ffm"].sd_kcal == pytest.approx(0.08 * 2032.692)
    assert athlete["mifflin_st_jeor"].sd_kcal == pytest.approx(179.0)
    assert athlete["schofield_weight"].sd_kcal == 153
    idle = {
        p.key: p for p in resting_choice.predict_all(Body("male", 28, 80, 180, 68, 12, "dxa", 2.9))
    }
    assert idle["ten_haaf_ffm"].sd_kcal == pytest.approx(0.10 * 2032.692)


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (Body("male", 28, 0), "weight_kg=0"),
        (Body("male", 28, 80, -180), "height_cm=-180"),
        (Body("male", 28, 80, 180, 0), "ffm_kg=0"),
        (Body("male", 28, 80, 180, 68, 0), "fm_kg=0"),
        (Body("male", 28, 80, 180, 85), "Was it a percentage"),
        (Body("male", 28, 80, 180, 80), "Was it a percentage"),
    ],
)
def test_impossible_bodies_are_refused(body, words):
    with pytest.raises(IntakeError, match=words):
        resting_choice.predict_all(body)


# source: from memory (markers 0.90 with Harris-Benedict, 0.90-0.94 with fat-free mass)
@pytest.mark.parametrize(
    ("measured", "on_ffm", "reading"),
    [
        (899, False, "low"),
        (900, False, "usual"),
        (899, True, "low"),
        (900, True, "borderline"),
        (939, True, "borderline"),
        (940, True, "usual"),
    ],
)
def test_the_metabolic_ratio_is_read_by_its_equation(measured, on_ffm, reading):
    made = resting_choice.metabolic_ratio(measured, 1000, "named", on_ffm=on_ffm)
    assert (made.reading, made.equation, made.threshold) == (reading, "named", 0.90)


def test_a_ratio_needs_two_values():
    for pair in ((0, 1996), (1700, 0)):
        with pytest.raises(IntakeError, match="must be above 0"):
            resting_choice.metabolic_ratio(*pair, "Cunningham 1980", on_ffm=True)
