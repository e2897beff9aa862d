"""A resting test counts as far as it can be believed, and never steers a plan by itself."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mealplan.physiology.resting.evidence import FAULTY_SHARE, compare_reported, pool
from mealplan.physiology.resting.measurement import RestingConditions, judge_resting

GOOD = RestingConditions(11, 30, 24, False, 12, 12)


# source: worked by hand (weights 1/60^2 and 1/150^2, the test surely sound)
def test_a_test_that_fits_is_weighed_by_precision():
    found = pool(1600, 60, 1650, 150, 0.0)
    assert found.test_weight == pytest.approx(150**2 / (150**2 + 60**2))
    weight = 60**-2 / (60**-2 + 150**-2)
    assert found.energy_kcal == pytest.approx(weight * 1600 + (1 - weight) * 1650)
    assert found.sound == 1.0


@pytest.mark.parametrize(
    ("test", "predicted"), [(1010, 1568), (900, 1368), (3161, 1900), (1200, 2000)]
)
def test_an_impossible_test_neither_steers_nor_hides(test, predicted):
    found = pool(test, 0.05 * test, predicted, 0.09 * predicted)
    assert abs(found.energy_kcal - predicted) < 0.1 * predicted
    assert found.sound < 0.2
    # The range still holds the prediction and is wider than without the test.
    assert abs(found.energy_kcal - predicted) < 1.645 * found.sd_kcal
    assert found.sd_kcal > 0.085 * predicted


@given(st.floats(800, 3500), st.floats(1000, 3000), st.sampled_from(sorted(FAULTY_SHARE.values())))
def test_the_pooled_value_lies_between_and_its_spread_is_never_nil(test, predicted, share):
    found = pool(test, 0.05 * test, predicted, 0.09 * predicted, share)
    low, high = sorted((test, predicted))
    assert low - 1e-6 <= found.energy_kcal <= high + 1e-6
    assert found.sd_kcal > 0.03 * min(test, predicted)


def test_the_further_off_the_less_it_is_believed():
    sound = [pool(1600 + 80 * step, 80, 1600, 140).sound for step in range(10)]
    assert sound == sorted(sound, reverse=True)


def test_conditions_count_the_same_for_kilocalories_and_for_gas():
    by_gas = judge_resting(
        231, 189, conditions=RestingConditions(3, 30, 24, False, 12, 12), cv_fraction=0.05
    )
    by_kcal = judge_resting(
        reported_kcal=1610, conditions=RestingConditions(3, 30, 24, False, 12, 12), cv_fraction=0.05
    )
    assert by_gas.verdict == by_kcal.verdict == "repeat the test"
    assert judge_resting(reported_kcal=1610, conditions=GOOD, cv_fraction=0.05).verdict == "good"


@pytest.mark.parametrize(
    ("vo2", "vco2", "mass", "words"),
    [(440, 370, 70, "mL/kg/min"), (135, 110, 90, "mL/kg/min"), (250, 165, 70, "ratio 0.66")],
)
def test_gas_that_no_resting_body_gives_is_to_be_repeated(vo2, vco2, mass, words):
    found = judge_resting(vo2, vco2, conditions=GOOD, cv_fraction=0.05, mass_kg=mass)
    assert found.verdict == "repeat the test"
    assert words in "; ".join(found.reasons)


def test_energy_no_fat_free_mass_can_burn_is_to_be_repeated():
    found = judge_resting(reported_kcal=3161, conditions=GOOD, cv_fraction=0.05, ffm_kg=60)
    assert found.verdict == "repeat the test"


def test_printed_and_recomputed_energy_are_compared():
    assert compare_reported(1720, 1737) == ""
    assert "copied or measured wrong" in compare_reported(1720, 2100)
