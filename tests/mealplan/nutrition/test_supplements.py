import pytest
from hypothesis import given
from hypothesis import strategies as st

from foods.registry.nutrients import NUTRIENT_KEYS
from mealplan.errors import TargetError
from mealplan.nutrition.b12_uptake import b12_absorbed_ug, b12_food_equivalent_ug
from mealplan.nutrition.reference_intakes import all_reference_intakes, reference_intake
from mealplan.nutrition.supplements import (
    ALWAYS_ON,
    CAUTIONS,
    choose_lines,
    prescribed_iron,
    regimens,
    supplement_line,
)
from mealplan.nutrition.upper_limits import limit_findings

LINES = ("vitamin_b12", "vitamin_d", "iodine", "algae_oil", "calcium")
EVERY = [(key, regimen) for key in LINES for regimen in regimens(key)]


def test_b12_vitamin_d_and_iodine_are_on_by_default() -> None:
    choice = choose_lines("female", 30)
    assert tuple(line.key for line in choice.lines) == ALWAYS_ON
    assert choice.warnings == ()


@given(sex=st.sampled_from(["male", "female"]), age=st.integers(14, 110))
def test_default_lines_reach_the_recommended_intake_at_every_age(sex: str, age: int) -> None:
    counted = choose_lines(sex, age).counted
    for nutrient in ("vitamin_b12_ug", "vitamin_d_ug", "iodine_ug"):
        assert counted[nutrient] >= reference_intake(nutrient, sex, age).goal


@given(sex=st.sampled_from(["male", "female"]), age=st.integers(14, 110))
def test_all_lines_together_stay_below_every_upper_limit(sex: str, age: int) -> None:
    choice = choose_lines(sex, age, switches={"algae_oil": True, "calcium": True})
    assert limit_findings(all_reference_intakes(sex, age).values(), {}, choice.nutrients) == ()


# source: published (IOM 2011: 20 µg from 71 years)
def test_vitamin_d_takes_the_next_dose_step_from_seventy_one_years() -> None:
    doses = [choose_lines("female", age).nutrients["vitamin_d_ug"] for age in (70, 71)]
    assert doses == [15, 20]


# source: published (IOM 2001: iodine 220 µg in pregnancy)
def test_a_line_that_falls_short_says_so() -> None:
    choice = choose_lines("female", 30, "pregnancy")
    assert any("150 of 220" in warning for warning in choice.warnings)
    salt = choose_lines("female", 30, "pregnancy", regimen={"iodine": "iodised_salt"})
    assert any("150 of 220" in warning for warning in salt.warnings)


def test_turning_a_default_line_off_leaves_a_warning() -> None:
    choice = choose_lines("male", 30, switches={"vitamin_b12": False, "calcium": False})
    assert "vitamin_b12_ug" not in choice.counted
    [warning] = choice.warnings
    assert "Vitamin B12 was turned off" in warning


@pytest.mark.parametrize(("key", "regimen"), EVERY)
def test_every_regimen_is_complete(key: str, regimen: str) -> None:
    line = supplement_line(key, regimen)
    assert set(line.nutrients) == set(line.counted)
    assert set(line.nutrients) - set(NUTRIENT_KEYS) <= {"iodine_ug"}
    assert line.caution == CAUTIONS[key]
    assert line.source
    assert line.label
    assert all(amount > 0 for amount in line.nutrients.values())


# source: published (dietetic consensus: 10-200 µg a day, 2,000-2,500 a week, 2-5 twice a day)
@pytest.mark.parametrize(
    ("regimen", "swallowed"),
    [("daily", 50), ("weekly", 2000 / 7), ("fortified", 6)],
)
def test_b12_regimens_have_the_published_doses(regimen: str, swallowed: float) -> None:
    line = supplement_line("vitamin_b12", regimen)
    assert line.nutrients["vitamin_b12_ug"] == pytest.approx(swallowed)


# source: published (IOM 1998: half of a small dose; Adams 1971: 5 % of 25 µg; table 9-2: about 1 %
# of a high dose)
@pytest.mark.parametrize(
    ("dose", "fraction", "tolerance"),
    [(1, 0.5, 0.02), (25, 0.05, 0.001), (500, 0.01, 0.0025), (2000, 0.01, 0.001)],
)
def test_large_b12_doses_are_absorbed_in_small_part(
    dose: float, fraction: float, tolerance: float
) -> None:
    assert b12_absorbed_ug(dose) / dose == pytest.approx(fraction, abs=tolerance)


def test_nothing_is_absorbed_of_nothing() -> None:
    assert b12_absorbed_ug(0) == 0


# source: worked by hand (1 + 20 µg a week over 7 days, twice that since half of food's is absorbed)
def test_a_weekly_dose_is_not_divided_by_seven() -> None:
    assert b12_food_equivalent_ug(2000, 1) == pytest.approx(6.0)


@given(dose=st.floats(0.5, 3000), more=st.floats(0.1, 1000))
def test_more_b12_is_never_absorbed_less(dose: float, more: float) -> None:
    assert b12_absorbed_ug(dose + more) > b12_absorbed_ug(dose)


# source: worked by hand (150 µg at 45 µg/g is 3.33 g of salt, 39.34 % of it sodium)
def test_iodised_salt_brings_its_sodium() -> None:
    line = supplement_line("iodine", "iodised_salt")
    assert line.nutrients["sodium_mg"] == pytest.approx(150 / 45 * 393.4, abs=1)


def test_a_dose_must_be_one_of_the_steps() -> None:
    assert supplement_line("vitamin_d", dose=20).nutrients == {"vitamin_d_ug": 20}
    assert supplement_line("vitamin_d", dose=15).label == "Vitamin D: 15 µg (600 IU) a day"
    with pytest.raises(TargetError, match="steps: 15, 20, 25"):
        supplement_line("vitamin_d", dose=17)
    with pytest.raises(TargetError, match="steps"):
        supplement_line("algae_oil", dose=0.34)


def test_a_label_in_milligrams_keeps_its_unit() -> None:
    assert "mg" in supplement_line("calcium", "one", dose=250).label


# source: published (EFSA 2010: 250 mg of EPA and DHA a day)
def test_algae_oil_brings_a_quarter_gram_of_epa_and_dha() -> None:
    amounts = supplement_line("algae_oil").nutrients
    assert amounts["epa_g"] + amounts["dha_g"] == pytest.approx(0.25)


def test_iron_needs_a_prescriber() -> None:
    line = prescribed_iron(30, "general practitioner")
    assert line.counted == {"iron_mg": 30}
    assert line.prescribed_by == "general practitioner"
    with pytest.raises(TargetError, match="name their role"):
        prescribed_iron(30, " ")
    with pytest.raises(TargetError, match="elemental"):
        prescribed_iron(325, "general practitioner")


@pytest.mark.parametrize(
    ("call", "hint"),
    [
        (lambda: choose_lines("male", 30, switches={"iron": True}), "see a doctor"),
        (lambda: choose_lines("male", 30, switches={"spirulina": True}), "there are vitamin_b12"),
        (lambda: supplement_line("vitamin_b12", "hourly"), "choose one of daily"),
        (lambda: regimens("iron"), "prescribed_iron"),
        (lambda: b12_absorbed_ug(-1), "negative"),
    ],
)
def test_impossible_choice_says_how_to_mend_it(call, hint: str) -> None:
    with pytest.raises(TargetError, match=hint):
        call()
