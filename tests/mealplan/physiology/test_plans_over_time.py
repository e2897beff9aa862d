"""Rates, phases, hand-over, and holding at maintenance."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mealplan.errors import IntakeError
from mealplan.physiology.weight_change import phases, rates
from mealplan.physiology.weight_change.phases import (
    BodyReading,
    Phase,
    Season,
    StopRule,
    check_hand_over,
)

SEX = st.sampled_from(["male", "female"])


# source: common practice (gain, within Iraki 2019) and published (cut: Garthe 2011, Helms 2014)
@pytest.mark.parametrize(
    ("phase", "status", "sex", "fat", "rate"),
    [
        ("gain", "novice", "male", None, 0.35),
        ("gain", "intermediate", "male", None, 0.25),
        ("gain", "advanced", "female", 25, 0.15),
        ("cut", "novice", "male", None, -0.7),
        ("cut", "novice", "male", 12, -0.7),
        ("cut", "novice", "male", 11.9, -0.5),
        ("cut", "novice", "female", 20, -0.7),
        ("cut", "novice", "female", 19.9, -0.5),
        ("hold", "novice", "male", None, 0.0),
        ("endurance", "advanced", "female", None, 0.0),
    ],
)
def test_a_phase_starts_from_its_default_rate(phase, status, sex, fat, rate):
    assert rates.default_rate(phase, status, sex, fat) == rate


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


# source: published (Helms 2014: 1 %/week; Iraki 2019: 0.5) and common practice (0.7 when lean)
@pytest.mark.parametrize(
    ("rate", "sex", "fat", "value", "words"),
    [
        (-1.2, "male", 18, -1.0, "spares lean mass"),
        (-1.0, "male", 18, -1.0, ""),
        (-0.9, "male", 10, -0.7, "already lean"),
        (-0.9, "female", 19, -0.7, "already lean"),
        (0.8, "male", None, 0.5, "mainly fat"),
        (0.5, "male", None, 0.5, ""),
        (0.0, "male", None, 0.0, ""),
    ],
)
def test_a_rate_is_held_within_limits(rate, sex, fat, value, words):
    made = rates.clamp_rate(rate, sex, fat)
    assert (made.value, made.asked) == (value, rate)
    assert words in made.reason
    assert bool(made.reason) is bool(words)


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
SEASON = Season((GAIN, CUT))
MIDWAY = MONDAY + dt.timedelta(days=30)


def test_a_season_knows_the_phase_of_a_day_and_the_next_one():
    assert SEASON.on(MONDAY) is GAIN
    assert SEASON.on(GAIN.end - dt.timedelta(days=1)) is GAIN
    assert SEASON.on(GAIN.end) is CUT
    assert SEASON.on(CUT.end) is None
    assert SEASON.on(MONDAY - dt.timedelta(days=1)) is None
    assert SEASON.after(GAIN) is CUT
    assert SEASON.after(CUT) is None
    assert GAIN.days == 84


def test_phases_are_laid_out_end_to_end():
    season = phases.lay_out(
        MONDAY, [("gain", 12, 0.25), ("hold", 2, 0.0), ("cut", 6, -0.7)], StopRule(waist_cm=88)
    )
    assert [p.kind for p in season.phases] == ["gain", "hold", "cut"]
    assert season.phases[1].start == MONDAY + dt.timedelta(weeks=12)
    assert season.phases[-1].end == MONDAY + dt.timedelta(weeks=20)
    assert season.phases[0].stop == season.phases[2].stop == StopRule(waist_cm=88)
    assert season.phases[1].stop == StopRule()
    assert phases.lay_out(MONDAY, [("gain", 1, 0.25)]).phases[0].stop == StopRule()


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Phase("bulk", MONDAY, GAIN.end, 0.25), "phase 'bulk'"),
        (lambda: Phase("gain", MONDAY, MONDAY, 0.25), "correct a date"),
        (lambda: Phase("gain", MONDAY, GAIN.end, 0.0), "gain is above 0"),
        (lambda: Phase("cut", MONDAY, GAIN.end, 0.0), "cut below"),
        (lambda: Phase("hold", MONDAY, GAIN.end, 0.1), "hold and endurance 0"),
        (lambda: Phase("endurance", MONDAY, GAIN.end, -0.1), "hold and endurance 0"),
        (lambda: Season(()), "at least one phase"),
        (lambda: Season((GAIN, GAIN)), "overlap"),
        (
            lambda: Season((GAIN, Phase("hold", GAIN.end + dt.timedelta(days=1), CUT.end, 0.0))),
            "leave a gap",
        ),
        (lambda: phases.lay_out(MONDAY, [("gain", 0, 0.25)]), "at least one"),
    ],
)
def test_a_season_that_cannot_be_is_refused(call, words):
    with pytest.raises(IntakeError, match=words):
        call()


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


def test_each_day_gets_its_phase_s_energy():
    gain = phases.energy_for_day(SEASON, MIDWAY, 3000, CHANGES)
    assert (gain.energy_kcal, gain.reason, gain.held) == (3250, "gain", False)
    cut = phases.energy_for_day(SEASON, CUT.start, 3100, CHANGES)
    assert (cut.energy_kcal, cut.reason) == (2600, "cut")


@pytest.mark.parametrize("mark", ["sick", "travelling"])
def test_sick_and_travelling_days_hold_at_maintenance(mark):
    made = phases.energy_for_day(SEASON, MIDWAY, 3000, CHANGES, {MIDWAY: mark})
    assert (made.energy_kcal, made.held) == (3000, True)
    assert made.reason == f"{mark}: held at maintenance"
    other = phases.energy_for_day(SEASON, MIDWAY, 3000, CHANGES, {MONDAY: mark})
    assert not other.held


def test_holding_and_days_outside_the_season_are_maintenance():
    hold = phases.lay_out(MONDAY, [("hold", 4, 0.0)])
    made = phases.energy_for_day(hold, MIDWAY - dt.timedelta(days=10), 3000, {})
    assert (made.energy_kcal, made.reason, made.held) == (3000, "hold", False)
    outside = phases.energy_for_day(SEASON, CUT.end, 3000, CHANGES)
    assert (outside.energy_kcal, outside.held) == (3000, True)
    assert "outside the season" in outside.reason


def test_a_phase_without_a_change_of_intake_is_refused():
    with pytest.raises(IntakeError, match="no change of intake is given for the gain phase"):
        phases.energy_for_day(SEASON, MIDWAY, 3000, {"cut": -500})
    with pytest.raises(IntakeError, match="maintenance_kcal"):
        phases.energy_for_day(SEASON, MIDWAY, 0, CHANGES)


def test_lost_days_of_a_phase_are_counted():
    marks = {
        MONDAY: "sick",
        MIDWAY: "travelling",
        GAIN.end: "sick",
        MONDAY - dt.timedelta(days=1): "sick",
    }
    assert phases.lost_days(GAIN, marks) == 2
