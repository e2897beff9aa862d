"""Body composition, anthropometry, precision and heart rate."""

import datetime as dt
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mealplan.physiology.body import anthropometry, composition, precision
from mealplan.physiology.body.composition import Compartments
from mealplan.physiology.expenditure import fitness
from mealplan.science.units import CM_PER_INCH

SCAN = Compartments(12.0, 64.0, 3.2)
MASS = st.floats(1, 80)


@given(st.floats(2, 60), st.floats(30, 100), st.floats(1.5, 5))
def test_compartments_add_up_and_tissue_fat_is_the_larger_percentage(fat, lean, bone):
    scan = Compartments(fat, lean, bone)
    assert scan.total_kg == pytest.approx(scan.fat_kg + scan.ffm_kg)
    assert scan.tissue_fat_percent > scan.fat_percent


@given(
    st.floats(45, 150),
    st.floats(4, 50),
    st.floats(1.5, 4),
    st.sampled_from(["whole body", "tissue"]),
)
def test_a_percentage_gives_its_compartments_back(weight, percent, bone, definition):
    scan = composition.compartments_from_percent(weight, percent, definition, bone)
    found = scan.fat_percent if definition == "whole body" else scan.tissue_fat_percent
    assert found == pytest.approx(percent)
    assert scan.total_kg == pytest.approx(weight)


def test_taking_one_percentage_for_the_other_is_half_a_point_of_fat():
    # source: worked by hand from 12.0, 64.0 and 3.2 kg
    assert SCAN.tissue_fat_percent - SCAN.fat_percent == pytest.approx(0.638, abs=0.001)


@pytest.mark.parametrize(
    "call",
    [
        lambda: Compartments(0, 64, 3),
        lambda: Compartments(12, 0, 3),
        lambda: Compartments(12, 64, -1),
        lambda: composition.compartments_from_percent(0, 15, "tissue", 3),
        lambda: composition.compartments_from_percent(80, 0.15, "tissue", 3),
        lambda: composition.compartments_from_percent(80, 76, "tissue", 3),
        lambda: composition.compartments_from_percent(80, 15, "tissue", 6.1),
        lambda: composition.compartments_from_percent(20, 15, "tissue", 4.1),
        lambda: composition.fat_free_mass_index(0, 180),
        lambda: composition.fat_free_mass_index(67, 0),
        lambda: composition.fat_mass_index(0, 180),
        lambda: composition.fat_mass_index(12, 0),
    ],
)
def test_impossible_compartments_are_refused(call, refusal):
    assert refusal(call)


def test_at_one_metre_eighty_nothing_is_normalised():
    assert composition.normalised_ffmi(67.2, 180) == pytest.approx(
        composition.fat_free_mass_index(67.2, 180)
    )


# source: published (Kouri 1995, abstract: 6.3)
def test_the_slope_of_the_abstract_can_be_used():
    index = composition.normalised_ffmi(67.2, 170, slope=6.3)
    assert index == pytest.approx(67.2 / 1.7**2 + 0.63)


# source: from memory (Schutz 2002 ranges) and published (college athletes by DXA)
@pytest.mark.parametrize(
    ("ffm", "sex", "words"),
    [
        (16.6, "male", "below 16.7 to 19.8; college athletes 22.8 ± 2.8, 97.5th centile 28.3"),
        (16.71, "male", "within 16.7"),
        (19.9, "male", "above 16.7"),
        (14.5, "female", "below 14.6 to 16.8; college athletes 18.82 ± 2.08, 97.5th centile 23.9"),
        (16.9, "female", "above 14.6"),
    ],
)
def test_lean_index_is_read_against_its_ranges(ffm, sex, words):
    made = composition.read_ffmi(ffm, 100, sex)
    assert made.words.startswith(words)
    assert made.value == pytest.approx(ffm)
    assert made.low < made.high


@pytest.mark.parametrize(
    ("fat", "sex", "words"),
    [
        (1.7, "male", "below 1.8 to 5.2"),
        (3.7, "male", "within 1.8 to 5.2"),
        (5.3, "male", "above 1.8 to 5.2"),
        (3.8, "female", "below 3.9 to 8.2"),
        (8.3, "female", "above 3.9 to 8.2"),
    ],
)
def test_fat_index_is_read_against_its_range(fat, sex, words):
    assert composition.read_fmi(fat, 100, sex).words == words


SPRING = dt.date(2026, 3, 1)
SUMMER = dt.date(2026, 6, 1)


# source: published (WHO 2000 cut-offs)
@pytest.mark.parametrize(
    ("bmi", "group", "note"),
    [
        (18.4, "underweight", "whatever the build"),
        (18.51, "normal", ""),
        (24.9, "normal", ""),
        (25.01, "overweight", "cannot tell muscle from fat"),
        (29.9, "overweight", "cannot tell muscle from fat"),
        (30.01, "obese", "cannot tell muscle from fat"),
    ],
)
def test_body_mass_index_is_grouped_with_its_limits(bmi, group, note):
    made = anthropometry.read_bmi(bmi * 4, 200)
    assert made.group == group
    assert note in made.note
    assert bool(made.note) is bool(note)
    assert made.bmi == pytest.approx(bmi)


@given(st.floats(1.0, 1.1), st.floats(0.0001, 0.01))
def test_denser_bodies_have_less_fat(density, more):
    for convert in (anthropometry.fat_percent_siri, anthropometry.fat_percent_brozek):
        assert convert(density + more) < convert(density)


@given(st.floats(64, 76), st.floats(13, 17), st.floats(16, 26))
def test_inches_and_centimetres_agree_for_men(height, neck, larger):
    abdomen = neck + larger
    inches = anthropometry.fat_percent_girths_men_inches(height, neck, abdomen)
    made = anthropometry.fat_from_girths(
        "male", height * CM_PER_INCH, neck * CM_PER_INCH, abdomen_cm=abdomen * CM_PER_INCH
    )
    assert made.fat_percent == pytest.approx(inches, abs=0.8)


def test_inches_and_centimetres_agree_for_women():
    made = anthropometry.fat_from_girths("female", 165, 32, waist_cm=70, hip_cm=96)
    inches = anthropometry.fat_percent_girths_women_inches(
        *(girth / CM_PER_INCH for girth in (165, 32, 70, 96))
    )
    # source: worked by hand, 163.205·log(52.756) - 97.684·log(64.961) - 78.387
    assert inches == pytest.approx(25.63, abs=0.005)
    assert made.fat_percent == pytest.approx(inches, abs=0.3)
    # source: published (standard errors of 3.52 and 3.72 points)
    assert made.sd == 3.72
    assert anthropometry.fat_from_girths("male", 180, 38, abdomen_cm=85).sd == 3.52


def test_a_thicker_neck_means_less_fat_in_women_too():
    # source: published (Hodgdon & Beckett subtract the neck; some texts add it)
    thin = anthropometry.fat_from_girths("female", 165, 30, waist_cm=70, hip_cm=96)
    thick = anthropometry.fat_from_girths("female", 165, 36, waist_cm=70, hip_cm=96)
    assert thick.fat_percent < thin.fat_percent


@given(
    st.floats(20, 120),
    st.floats(0.1, 20),
    st.sampled_from(["male", "female"]),
    st.sampled_from([3, 7]),
)
def test_thicker_folds_mean_more_fat(total, more, sex, sites):
    thin = anthropometry.fat_from_skinfolds(total, 28, sex, sites).fat_percent
    assert anthropometry.fat_from_skinfolds(total + more, 28, sex, sites).fat_percent > thin


def test_skinfold_estimates_carry_their_error_and_method():
    made = anthropometry.fat_from_skinfolds(70, 28, "male", 7)
    assert made.sd == 3.5
    assert made.method == "7 skinfolds (Jackson-Pollock), Siri 1961"
    assert made.density_g_ml == anthropometry.density_skinfolds(70, 28, "male", 7)
    assert len(anthropometry.SITES_7) == 7


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: anthropometry.body_mass_index(0, 180), "weight_kg"),
        (lambda: anthropometry.body_mass_index(80, 0), "height_cm"),
        (lambda: anthropometry.fat_percent_siri(0.89), "density_g_ml"),
        (lambda: anthropometry.fat_percent_brozek(1.13), "density_g_ml"),
        (lambda: anthropometry.density_girths_men(180, 40, 40), "abdomen less neck is 0"),
        (lambda: anthropometry.density_girths_men(0, 38, 85), "height_cm"),
        (lambda: anthropometry.density_girths_women(165, 200, 70, 96), "waist and hip less neck"),
        (lambda: anthropometry.density_girths_women(0, 32, 70, 96), "height_cm"),
        (lambda: anthropometry.fat_percent_girths_men_inches(0, 15, 33), "height_in"),
        (lambda: anthropometry.fat_percent_girths_men_inches(70, 33, 15), "never added"),
        (lambda: anthropometry.fat_percent_girths_women_inches(0, 12, 28, 38), "height_in"),
        (lambda: anthropometry.fat_percent_girths_women_inches(65, 99, 28, 38), "never added"),
        (lambda: anthropometry.fat_from_girths("male", 180, 38), "abdomen_cm is missing"),
        (
            lambda: anthropometry.fat_from_girths("female", 165, 32, hip_cm=96),
            "waist_cm and hip_cm",
        ),
        (lambda: anthropometry.fat_from_girths("female", 165, 32, waist_cm=70), "waist_cm and hip"),
        (lambda: anthropometry.density_skinfolds(0, 28, "male", 7), "sum_mm"),
        (lambda: anthropometry.density_skinfolds(70, 0, "male", 7), "age_years"),
        (lambda: anthropometry.density_skinfolds(70, 28, "male", 4), "sites=4"),
    ],
)
def test_impossible_field_measurements_are_refused(call, words, refusal):
    assert words in refusal(call)


def test_one_s_own_repeats_give_the_least_significant_change():
    # source: worked by hand, 1.96·sqrt(2) = 2.7719 rounded to 2.77
    assert precision.least_significant_change(1.0) == pytest.approx(1.96 * math.sqrt(2), abs=0.003)


# source: worked by hand (for a normal scatter SD 0.5, half of all day pairs differ by 0.477 kg)
def test_scatter_is_told_from_how_often_days_differ():
    assert precision.weigh_in_sd(0.6745 * math.sqrt(2) * 0.5, 0.5) == pytest.approx(0.5, abs=1e-4)


# source: from memory (zones at 30, 40, 60 and 90 % of reserve); worked by hand for 60 and 190
def test_zones_split_the_heart_rate_reserve():
    zones = fitness.heart_rate_zones(60, 190)
    assert [z.name for z in zones] == ["light", "moderate", "vigorous", "near-maximal"]
    assert [z.low_bpm for z in zones] == pytest.approx([99, 112, 138, 177])
    assert [z.high_bpm for z in zones] == pytest.approx([112, 138, 177, 190])


def test_the_ends_of_an_index_range_are_inside_it():
    # source: from memory (Schutz 2002)
    for fat in (1.8, 5.2):
        assert composition.read_fmi(fat, 100, "male").words.startswith("within")


def test_the_ends_of_the_plausible_are_allowed():
    assert composition.compartments_from_percent(80, 1.0, "whole body", 0.0).fat_kg == 0.8
    assert composition.compartments_from_percent(20, 15, "whole body", 4.0).bone_kg == 4.0
