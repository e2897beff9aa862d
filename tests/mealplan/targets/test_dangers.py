"""What must not pass on a worksheet, whoever has decided on the condition behind it."""

import pytest

from mealplan.errors import SafetyRefusal
from mealplan.targets.make import make_targets
from tests.mealplan.targets.clients import client, decided, training

DIABETIC = {"health": ["sglt2 inhibitor"], "professional_overrides": decided("sglt2_inhibitor")}
INSULIN = {
    "health": ["insulin or sulfonylurea"],
    "professional_overrides": decided("insulin_or_sulfonylurea"),
}


def codes(made):
    return {one.code: one for one in made.notices}


def refusal(intake):
    with pytest.raises(SafetyRefusal) as refused:
        make_targets(intake)
    return {one.code: one for one in refused.value.findings}


def bound(key, **ends):
    return {"nutrition": {"bounds": {key: ends}}}


@pytest.mark.parametrize("key", ["net_carbohydrate_g", "carbohydrate_g"])
@pytest.mark.parametrize("ends", [{"low": 20, "high": 50}, {"low": 100, "high": 300}])
def test_no_decision_lets_carbohydrate_be_low_with_an_sglt2_inhibitor(key, ends):
    # source: published (RDA 130 g, IOM 2005); from memory (FDA 2015: ketoacidosis)
    found = refusal(client(**DIABETIC, **bound(key, **ends)))
    assert found["carbohydrate_low_sglt2"].severity == "refuse"
    assert "ketoacidosis" in found["carbohydrate_low_sglt2"].message


def test_enough_carbohydrate_passes_with_an_sglt2_inhibitor():
    made = make_targets(client(**DIABETIC, **bound("net_carbohydrate_g", low=130, high=300)))
    said = codes(made)["sglt2_inhibitor"].message
    assert "ketones" in said
    assert "sick" in said


def test_little_carbohydrate_with_insulin_takes_a_decision_of_its_own():
    # source: common practice (doses are set on the usual food)
    low = bound("net_carbohydrate_g", low=20, high=50)
    assert set(refusal(client(**INSULIN, **low))) == {"carbohydrate_low_insulin"}
    both = decided("insulin_or_sulfonylurea", "carbohydrate_low_insulin")
    made = make_targets(client(health=INSULIN["health"], professional_overrides=both, **low))
    assert codes(made)["carbohydrate_low_insulin"].severity == "warn"
    assert make_targets(client(**low))


def test_carbohydrate_that_swings_is_said_with_insulin():
    # source: common practice
    week = [("mon", "Running 6 mph (9.7 km/h)", 120), ("wed", "Running 6 mph (9.7 km/h)", 40)]
    said = codes(make_targets(training(*week, **INSULIN)))
    assert "Agree doses" in said["carbohydrate_swing"].message
    assert "carbohydrate_swing" not in codes(make_targets(training(*week)))
    assert "carbohydrate_swing" not in codes(make_targets(client(**INSULIN)))


@pytest.mark.parametrize(("bmi", "sessions", "today"), [(14, 0, True), (15.5, 4, True),
                                                        (15.5, 0, False)])  # fmt: skip
def test_a_very_low_mass_is_an_emergency_today(bmi, sessions, today):
    # source: from memory (Royal College of Psychiatrists CR233, 2022)
    found = refusal(client(weight_kg=bmi * 1.8**2, sessions_per_week=sessions))["bmi_severe"]
    said = f"{found.message} {found.see}"
    for words in ("admission today", "training stops now", "today, and an eating-disorder team"):
        assert (words in said) == today
    assert found.severity == "refuse"


CUT = {"goal": {"phase": "cut", "change_kg": -3, "weeks": 8}}


def test_a_decision_on_a_sign_does_not_cover_a_deficit():
    # source: published (Mountjoy et al. 2023: no weight loss with signs of energy deficiency)
    hurt = {"health": ["stress fracture"]}
    found = refusal(client(**hurt, **CUT, professional_overrides=decided("stress_fracture")))
    assert set(found) == {"deficit_despite"}
    both = decided("stress_fracture", "deficit_despite")
    assert make_targets(client(**hurt, **CUT, professional_overrides=both)).energy.value > 0
    held = make_targets(client(**hurt, professional_overrides=decided("stress_fracture")))
    assert "deficit_despite" not in codes(held)


def forecast_days(made):
    keys = [line.key for line in made.worksheet if line.key.startswith("mass_day_")]
    return [int(key.split("_")[2]) for key in keys]


@pytest.mark.parametrize(("weeks", "days"), [(8, [28, 56]), (3, [21]), (26, [28, 84])])
def test_a_forecast_ends_with_its_phase(weeks, days):
    # source: worked by hand
    goal = {"phase": "cut", "change_kg": -0.05 * weeks, "weeks": weeks}
    allowed = decided("availability_reduced")
    made = make_targets(client(goal=goal, professional_overrides=allowed))
    assert forecast_days(made) == days


def test_a_forecast_that_passes_the_fat_floor_says_so():
    # source: published (Garthe et al. 2011: 5 % for men)
    def lean(percent):
        scan = {"date": "2026-11-20", "method": "dxa", "fat_percent": percent}
        return codes(make_targets(client(**CUT, scan=scan)))

    assert "below 5 %" in lean(5.6)["fat_floor_ahead"].message
    assert "fat_floor_ahead" not in lean(18)


@pytest.mark.parametrize(
    "changes",
    [
        {"age_years": 17, "guardian_agrees": True},
        {"sex": "female", "age_years": 30, "health": ["pregnant"], "pregnancy_trimester": 2},
        {"weight_kg": 57},
    ],
)
@pytest.mark.parametrize("kilograms", [-5, -12])
def test_nobody_who_must_not_lose_is_told_to_lose_slower(changes, kilograms):
    # source: common practice
    goal = {"phase": "cut", "change_kg": kilograms, "weeks": 5}
    found = refusal(client(**changes, goal=goal))
    assert found
    assert not any("slower loss" in one.message for one in found.values())


def test_whoever_may_lose_is_told_to_lose_slower():
    found = refusal(client(goal={"phase": "cut", "change_kg": -6, "weeks": 5}))
    assert any("slower loss" in one.message for one in found.values())


def resting(kcal):
    test = {"date": "2026-11-20", "kcal": kcal, "fasted_hours": 12, "rested_minutes": 30}
    scan = {"date": "2026-11-20", "method": "dxa", "fat_percent": 20}
    return client(resting_test=test, scan=scan, sessions_per_week=4)


@pytest.mark.parametrize("kcal", [1050, 3131])
def test_a_test_that_no_body_has_counts_for_nothing(kcal):
    # source: worked by hand: 1,050 and 3,131 kcal on 62.4 kg of fat-free mass are 17 and 50
    made = make_targets(resting(kcal))
    rest = next(one for one in made.worksheet if one.key == "resting_energy_predicted_kcal")
    plain = make_targets(resting(kcal).model_copy(update={"resting_test": None}))
    assert made.energy.value == plain.energy.value
    assert rest.value == pytest.approx(
        next(o for o in plain.worksheet if o.key == "resting_energy_predicted_kcal").value
    )
    assert not any(one.key == "resting_energy_kcal" for one in made.worksheet)
    said = " ".join(one.message for one in made.notices)
    assert "counts for nothing" in said
    assert "Repeat it" in said
    assert "thyroid" in said


def test_a_test_near_the_prediction_counts():
    assert any(one.key == "resting_energy_kcal" for one in make_targets(resting(1700)).worksheet)


def test_a_deficit_on_a_low_test_is_told_to_repeat_it():
    # source: common practice
    found = refusal(resting(1150).model_copy(update={"goal": client(**CUT).goal}))
    assert "repeat the resting test" in found["energy_deficiency_signs"].message
