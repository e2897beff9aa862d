"""Fat that nobody measured: published equations on body mass index, age and sex."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mealplan.physiology.body.fat_from_size import fat_equations, fat_from_size


# source: from memory (Gallagher 2000, table of %fat at the limits of body mass index)
@pytest.mark.parametrize(
    ("sex", "age", "bmi", "percent"),
    [
        ("female", 30, 18.5, 21), ("female", 30, 25, 33), ("female", 30, 30, 39),
        ("female", 50, 25, 34), ("male", 30, 18.5, 8), ("male", 30, 25, 20),
        ("male", 30, 30, 25), ("male", 50, 25, 22), ("male", 70, 25, 25),
    ],
)  # fmt: skip
def test_gallagher_gives_the_papers_own_table(sex, age, bmi, percent):
    found = fat_equations()["gallagher2000"].fat_percent(bmi, age, sex)
    assert found == pytest.approx(percent, abs=1.0)


# source: published (abstract of Deurenberg 1991: 1.20 BMI + 0.23 age - 10.8 male - 5.4)
@pytest.mark.parametrize("sex", ["male", "female"])
@pytest.mark.parametrize(("bmi", "age"), [(18, 20), (25, 40), (35, 70)])
def test_deurenberg_is_the_abstracts_equation(bmi, age, sex):
    expected = 1.20 * bmi + 0.23 * age - (10.8 if sex == "male" else 0) - 5.4
    assert fat_equations()["deurenberg1991"].fat_percent(bmi, age, sex) == pytest.approx(expected)


# source: confirmed by independent transcription (CUN-BAE as Molina-Luque 2020 prints it, women 1)
@pytest.mark.parametrize("sex", ["male", "female"])
@pytest.mark.parametrize(("bmi", "age"), [(20, 25), (28, 45), (40, 60)])
def test_cun_bae_is_the_printed_equation(bmi, age, sex):
    s = 1 if sex == "female" else 0
    expected = (
        -44.988 + 0.503 * age + 10.689 * s + 3.172 * bmi - 0.026 * bmi**2 + 0.181 * bmi * s
        - 0.02 * bmi * age - 0.005 * bmi**2 * s + 0.00021 * bmi**2 * age
    )  # fmt: skip
    assert fat_equations()["cunbae2012"].fat_percent(bmi, age, sex) == pytest.approx(expected)


@given(
    st.floats(17, 45), st.floats(150, 200), st.integers(16, 90), st.sampled_from(["male", "female"])
)
def test_a_birthday_or_a_kilogram_changes_little(bmi, height, age, sex):
    mass = bmi * (height / 100) ** 2
    here = fat_from_size(mass, height, age, sex).fat_percent
    assert abs(fat_from_size(mass, height, age + 1, sex).fat_percent - here) < 2.5
    assert abs(fat_from_size(mass + 0.5, height, age, sex).fat_percent - here) < 2.0


def test_heavy_people_are_no_longer_taken_for_lifters():
    man = fat_from_size(130, 183, 40, "male").fat_percent
    woman = fat_from_size(98, 165, 35, "female").fat_percent
    assert 33 <= man <= 45  # the tape said 37
    assert 42 <= woman <= 52
    assert 130 * (1 - man / 100) < 90


def test_the_others_are_shown_beside_and_training_widens_the_spread():
    lazy = fat_from_size(80, 180, 28, "male")
    assert all(name in lazy.words for name in ("Gallagher", "Deurenberg", "CUN-BAE", "Jackson"))
    trained = fat_from_size(80, 180, 28, "male", sessions_per_week=5)
    assert trained.sd_points > lazy.sd_points


def test_more_mass_on_the_same_height_is_never_less_fat():
    fats = [fat_from_size(mass, 175, 40, "male").fat_percent for mass in range(55, 140)]
    assert all(later >= earlier - 1e-9 for earlier, later in itertools.pairwise(fats))
