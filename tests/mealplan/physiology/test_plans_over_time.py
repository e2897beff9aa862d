"""Rates, phases, hand-over, and holding at maintenance."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mealplan.errors import IntakeError
from mealplan.physiology.weight_change import rates
from mealplan.physiology.weight_change.phases import BodyReading, Phase, StopRule, check_hand_over

SEX = st.sampled_from(["male", "female"])


# source: common practice (gain, within Iraki 2019) and published (cut: Garthe 2011, Helms 2014)
@pytest.mark.parametrize(
    ("phase", "status", "sex", "fat", "rate"),
    [
        ("gain", "novice", "male", None, 0.35),
        ("gain", "intermediate", "male", None, 0.25),
        ("gain", "advanced", "female", 25, 0.15),
        ("cut", "novice", "male", None, -0.7),
        ("cut", "novice", "male", 14, -0.7),
        ("cut", "novice", "male", 10, -0.5),
        ("cut", "novice", "female", 22, -0.7),
        ("cut", "novice", "female", 18, -0.5),
        ("cut", "novice", "female", 20, -0.6),
        ("hold", "novice", "male", None, 0.0),
        ("endurance", "advanced", "female", None, 0.0),
    ],
)
def test_a_phase_starts_from_its_default_rate(phase, status, sex, fat, rate):
    assert rates.default_rate(phase, status, sex, fat) == pytest.approx(rate)


def test_unknown_phases_and_statuses_are_refused():
    with pytest.raises(IntakeError, match="phase 'bulk'"):
        rates.default_rate("bulk", "novice", "male")
    with pytest.raises(IntakeError, match="training status 'elite'"):
        rates.default_rate("gain", "elite", "male")


# source: common practice (5-20 % and 500 kcal up; 25 % and 750 kcal down)
@pytest.mark.parametrize(
    ("change", "maintenance", "value", "words"),
    [
        (0, 3000, 0, ""),
        (300, 3000, 300, ""),
        (150, 3000, 150, ""),
        (100, 3000, 150, "raised to 5 %"),
        (501, 3000, 500, "500 kcal a day"),
        (500, 3000, 500, ""),
        (450, 2000, 400, "20 % of maintenance"),
        (10, 12000, 500, "raised to 5 %"),
        (-750, 3200, -750, ""),
        (-751, 3200, -750, "750 kcal a day"),
        (-600, 2000, -500, "25 % of maintenance"),
        (-500, 2000, -500, ""),
    ],
)
def test_a_change_of_intake_is_held_within_limits(change, maintenance, value, words):
    made = rates.clamp_energy_change(change, maintenance)
    assert made.value == pytest.approx(value)
    assert made.asked == change
    assert words in made.reason
    assert bool(made.reason) is bool(words)


@given(st.floats(-2000, 2000), st.floats(1200, 6000))
def test_clamping_twice_changes_nothing(change, maintenance):
    once = rates.clamp_energy_change(change, maintenance).value
    assert rates.clamp_energy_change(once, maintenance).value == pytest.approx(once)
    assert once * change >= 0


def test_rates_need_sound_numbers():
    for call in (
        lambda: rates.loss_cap_kg(0, "male"),
        lambda: rates.clamp_energy_change(300, 0),
        lambda: rates.maintenance_share(0, 10),
    ):
        with pytest.raises(IntakeError, match="must be above 0"):
            call()


MONDAY = dt.date(2026, 1, 5)
LIMITS = StopRule(fat_mass_index=6.0, fat_percent=18.0, waist_cm=88.0)
GAIN = Phase("gain", MONDAY, MONDAY + dt.timedelta(weeks=12), 0.25, LIMITS)
CUT = Phase(
    "cut",
    GAIN.end,
    GAIN.end + dt.timedelta(weeks=8),
    -0.7,
    StopRule(fat_percent=10.0, waist_cm=80.0),
)
MIDWAY = MONDAY + dt.timedelta(days=30)


@pytest.mark.parametrize(
    ("phase", "reading", "decision", "words"),
    [
        (GAIN, BodyReading(MIDWAY, fat_mass_index=6.0), "hand over", "fat mass index 6 kg/m²"),
        (GAIN, BodyReading(MIDWAY, fat_percent=18.1), "hand over", "body fat 18.1 %"),
        (GAIN, BodyReading(MIDWAY, waist_cm=88.5), "hand over", "waist 88.5 cm has reached 88 cm"),
        (GAIN, BodyReading(MIDWAY, waist_cm=87.9), "stay", "54 days left"),
        (GAIN, BodyReading(MIDWAY, waist_cm=87.9), "stay", "body fat was not measured"),
        (GAIN, BodyReading(MIDWAY), "can't tell", "waist was not measured"),
        (GAIN, None, "can't tell", "fat mass index was not measured"),
        (CUT, BodyReading(MIDWAY, fat_percent=10.0), "hand over", "body fat 10 %"),
        (CUT, BodyReading(MIDWAY, fat_percent=10.1), "stay", "no limit reached"),
        (CUT, BodyReading(MIDWAY, waist_cm=79.0, fat_percent=12), "hand over", "waist 79"),
    ],
)
def test_the_body_ends_a_phase_before_the_calendar_does(phase, reading, decision, words):
    made = check_hand_over(phase, MIDWAY, reading)
    assert made.decision == decision
    assert words in "; ".join(made.reasons)


def test_the_calendar_ends_a_phase_in_any_case():
    assert check_hand_over(GAIN, GAIN.end, None).decision == "hand over"
    assert check_hand_over(GAIN, GAIN.end - dt.timedelta(days=1), None).decision == "can't tell"


def test_a_phase_without_limits_goes_by_the_calendar_alone():
    hold = Phase("hold", MONDAY, GAIN.end, 0.0, LIMITS)
    assert check_hand_over(hold, MIDWAY, None).decision == "stay"
    free = Phase("gain", MONDAY, GAIN.end, 0.25)
    assert check_hand_over(free, MIDWAY, None).decision == "stay"


CHANGES = {"gain": 250.0, "cut": -500.0, "endurance": 0.0}
