"""Reading resting and incremental tests: units, steady state, verdicts, fuel use."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mealplan.errors import IntakeError
from mealplan.physiology.resting import gas_series
from mealplan.physiology.resting import measurement as resting_measurement
from mealplan.physiology.resting.calorimetry import (
    energy_weir_full,
    energy_weir_protein_built_in,
)
from mealplan.physiology.resting.gas_series import GasSample, read_gas_series
from mealplan.physiology.resting.measurement import RestingConditions, find_steady_state

HEAD = "time,VO2 (mL/min),VCO2 (mL/min),HR"


def resting_text(head=HEAD, scale=1.0, minutes=15):
    rows = [
        f"{m},{250 * scale + (m % 2) * scale},{200 * scale},{55 + m % 2}" for m in range(minutes)
    ]
    return "\n".join([head, *rows])


def steady_samples(minutes=12, vo2=250.0, vco2=200.0):
    return [GasSample(float(m), vo2 + (m % 2), vco2, 55.0) for m in range(minutes)]


def test_a_plain_export_is_read_in_millilitres():
    series = read_gas_series(resting_text())
    assert series.unit == "mL/min"
    assert len(series.samples) == 15
    assert series.samples[1] == GasSample(1.0, 251.0, 200.0, 56.0)
    assert series.messages == ("gas volumes read as mL/min (named in the header)",)


@pytest.mark.parametrize(
    "head",
    ["time,VO2,VCO2,HR", "Minute,VO2 (L/min),VCO2 (L/min),Pulse", "t,vo2_l_min,vco2_l_min,hr"],
)
def test_litres_are_told_and_turned_into_millilitres(head):
    series = read_gas_series(resting_text(head, scale=0.001))
    assert series.unit == "L/min"
    assert series.samples[0].vo2_ml_min == pytest.approx(250)
    assert series.samples[0].heart_rate_bpm == 55
    assert "read as L/min" in series.messages[0]


def test_unnamed_units_are_said_to_be_told_from_size():
    message = read_gas_series(resting_text("time,VO2,VCO2,HR")).messages[0]
    assert message == "gas volumes read as mL/min (told from the size of the numbers)"


def test_a_file_with_semicolons_and_decimal_commas_is_read():
    text = "Zeit t;x\nTime;VO2;VCO2\n0:30;0,250;0,200\n1:00;0,252;0,201\n1:02:03;1.000,5;0,2\n"
    series = read_gas_series(text)
    assert [s.minute for s in series.samples] == [0.5, 1.0, pytest.approx(62.05)]
    assert series.samples[0].vo2_ml_min == pytest.approx(250)
    assert series.samples[0].heart_rate_bpm is None


def test_a_per_kilogram_column_beside_the_absolute_one_is_passed_over():
    text = "Time,VO2/kg (mL/kg/min),VO2 (mL/min),VCO2 (mL/min)\n0,3.1,250,200\n1,3.2,252,200\n"
    assert read_gas_series(text).samples[0].vo2_ml_min == 250


def test_rows_without_numbers_are_left_out_and_counted():
    text = resting_text() + "\n15,,200,50\n16,0,200,50\nmean,250,200\n17\n1:2:3:4,250,200,50\n"
    series = read_gas_series(text)
    assert len(series.samples) == 15
    assert series.messages[0] == "5 row(s) without usable numbers were left out"


def test_a_missing_heart_rate_stays_missing():
    text = HEAD + "\n0,250,200,\n1,250,200\n2,250,200,nan\n"
    assert [s.heart_rate_bpm for s in read_gas_series(text).samples] == [None, None, None]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "file is empty"),
        ("a,b\n1,2\n", "no header line names both VO2 and VCO2"),
        ("VO2,VCO2\n250,200\n", "no column for time"),
        ("time,VO2 and VCO2\n0,250\n", "no column for VCO2"),
        (HEAD + "\n", "no row under the header"),
        (HEAD + "\n1,250,200\n1,250,200\n", "times do not rise"),
        (HEAD + "\n2,250,200\n1,250,200\n", "times do not rise"),
        ("time,VO2,VCO2\n0,3.4,2.8\n1,3.5,2.8\n", "multiply by body mass"),
        ("time,VO2,VCO2\n0,30,25\n1,31,25\n", "neither mL/min nor L/min"),
        ("time,VO2 (mL/kg/min),VCO2 (mL/kg/min)\n0,3.4,2.8\n", "multiply both gases"),
        ("time,VO2 (mL/min),VCO2 (L/min)\n0,250,0.2\n", "different units"),
        ("time,VO2 (L/min),VCO2 (L/min)\n0,250,200\n", "the header says L/min"),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_with_the_way_out(text, words):
    with pytest.raises(IntakeError, match=words):
        read_gas_series(text)


def test_a_file_of_too_many_rows_is_refused():
    text = HEAD + "\n" + "\n".join(f"{i},250,200,50" for i in range(20_001))
    with pytest.raises(IntakeError, match="more than 20000"):
        read_gas_series(text)


@pytest.mark.parametrize(
    ("vo2", "unit"), [([0.9, 2.0, 3.5], "L/min"), ([900, 2000, 3500], "mL/min")]
)
def test_an_exercise_test_is_read_in_either_unit(vo2, unit):
    rows = "\n".join(f"{i},{v},{v * 0.9}" for i, v in enumerate(vo2))
    assert read_gas_series("time,VO2,VCO2\n" + rows, "exercise").unit == unit


def test_an_exercise_test_per_kilogram_is_refused():
    with pytest.raises(IntakeError, match="multiply by body mass"):
        read_gas_series("time,VO2,VCO2\n0,12,10\n1,30,28\n2,50,52\n", "exercise")


@pytest.mark.parametrize("unit", ["VO2 mL.min-1", "VO2 [ml/min]", "vo2_ml_min"])
def test_a_unit_is_recognised_in_its_usual_spellings(unit):
    text = f"time,{unit},VCO2\n0,250,200\n"
    assert "named in the header" in read_gas_series(text).messages[0]


# source: worked by hand
def test_samples_are_averaged_over_whole_minutes():
    samples = [
        GasSample(0.0, 240, 190, 50),
        GasSample(0.5, 260, 210, None),
        GasSample(1.0, 250, 200, None),
    ]
    assert gas_series.minute_means(samples) == (
        GasSample(0.0, 250, 200, 50),
        GasSample(1.0, 250, 200, None),
    )


def test_the_first_five_minutes_are_left_out():
    samples = steady_samples()
    calm = [GasSample(s.minute, 200.0, 160.0) if s.minute < 5 else s for s in samples]
    steady = find_steady_state(calm)
    assert steady.start_minute >= 5
    assert steady.vo2_ml_min > 240


def test_the_steadiest_run_wins_and_the_earlier_on_a_tie():
    samples = [GasSample(float(m), 250.0, 200.0, 60.0) for m in range(14)]
    steady = find_steady_state(samples)
    assert (steady.start_minute, steady.end_minute) == (5.0, 10.0)
    assert steady.reached
    assert steady.heart_rate_bpm == 60.0
    rough = [GasSample(s.minute, 250.0 + 60 * (s.minute < 9), 200.0) for s in samples]
    assert find_steady_state(rough).start_minute == 9.0


# source: worked by hand (three minutes at 280 and two at 220: mean 256, SD 32.86)
def test_a_varying_run_is_not_called_steady():
    samples = [GasSample(float(m), 220.0 if m % 2 else 280.0, 200.0) for m in range(12)]
    steady = find_steady_state(samples)
    assert not steady.reached
    assert steady.cv_vo2 == pytest.approx(32.8634 / 256, abs=1e-4)
    assert steady.cv_vco2 == 0
    assert steady.heart_rate_bpm is None


def test_the_worse_of_the_two_gases_counts():
    samples = [GasSample(float(m), 250.0, 160.0 if m % 2 else 240.0) for m in range(12)]
    assert not find_steady_state(samples).reached


def test_a_gap_breaks_a_run():
    samples = [s for s in steady_samples(15) if s.minute not in (7.0, 12.0)]
    with pytest.raises(IntakeError, match="no 5 consecutive minutes"):
        find_steady_state(samples)


def test_ten_minutes_are_the_least():
    assert find_steady_state(steady_samples(10)).start_minute == 5.0
    with pytest.raises(IntakeError, match="at least 10 minutes"):
        find_steady_state(steady_samples(9))
    with pytest.raises(IntakeError, match="no samples"):
        find_steady_state([])


GOOD = RestingConditions(12, 30, 48, True, 12, 12)


def test_a_sound_test_is_called_good():
    made = resting_measurement.judge_series(steady_samples(), conditions=GOOD)
    assert made.verdict == "good"
    assert made.reasons == ()
    assert made.sd_fraction == 0.05
    assert made.rer == pytest.approx(200 / 250.5, abs=0.002)
    assert made.equation == "Weir 1949, protein built in"
    assert made.energy_kcal == pytest.approx(
        energy_weir_protein_built_in(made.steady.vo2_ml_min, made.steady.vco2_ml_min)
    )


def test_measured_nitrogen_is_used():
    made = resting_measurement.judge_resting(
        250, 200, nitrogen_g_per_day=12, conditions=GOOD, cv_fraction=0.05
    )
    assert made.equation == "Weir 1949, with urinary nitrogen"
    assert made.energy_kcal == energy_weir_full(250, 200, 12)
    assert made.steady is None


# source: from memory (best-practice conditions of the 2006 and 2015 evidence reviews)
@pytest.mark.parametrize(
    ("vo2", "vco2", "conditions", "cv", "verdict", "words"),
    [
        (250, 160, GOOD, 0.05, "repeat the test", "exchange ratio 0.64"),
        (250, 255, GOOD, 0.05, "repeat the test", "exchange ratio 1.02"),
        (250, 250, GOOD, 0.05, "use with care", "exchange ratio 1.00 is unusual"),
        (250, 180, GOOD, 0.05, "use with care", "exchange ratio 0.72 is unusual"),
        (250, 230, GOOD, 0.05, "use with care", "exchange ratio 0.92 is unusual"),
        (129, 103, GOOD, 0.05, "repeat the test", "VO2 of 129"),
        (451, 361, GOOD, 0.05, "repeat the test", "VO2 of 451"),
        (250, 200, GOOD, 0.11, "repeat the test", "varies by 11 %"),
        (250, 200, GOOD, None, "good", "not recorded: steadiness"),
        (
            250,
            200,
            RestingConditions(3.9, 30, 48, True, 12, 12),
            0.1,
            "repeat the test",
            "fasted 3.9 h",
        ),
        (
            250,
            200,
            RestingConditions(4, 30, 48, True, 12, 12),
            0.1,
            "use with care",
            "fasted 4 h instead",
        ),
        (250, 200, RestingConditions(7, 30, 48, True, 12, 12), 0.1, "good", ""),
        (
            250,
            200,
            RestingConditions(None, 30, 48, True, 12, 12),
            0.1,
            "use with care",
            "hours of fasting",
        ),
        (
            250,
            200,
            RestingConditions(8, 29, 48, True, 12, 12),
            0.1,
            "use with care",
            "minutes of rest",
        ),
        (
            250,
            200,
            RestingConditions(8, 30, 47, True, 12, 12),
            0.1,
            "use with care",
            "since training: 47",
        ),
        (250, 200, RestingConditions(8, 30, 12, False, 12, 12), 0.1, "good", ""),
        (
            250,
            200,
            RestingConditions(8, 30, 11, False, 12, 12),
            0.1,
            "use with care",
            "since training",
        ),
        (
            250,
            200,
            RestingConditions(8, 30, 48, True, 3.9, 12),
            0.1,
            "use with care",
            "since caffeine",
        ),
        (
            250,
            200,
            RestingConditions(8, 30, 48, True, 12, 2.3),
            0.1,
            "use with care",
            "since nicotine",
        ),
        (250, 200, RestingConditions(8, None, None), 0.1, "good", "not recorded: minutes of rest"),
        (250, 200, None, 0.1, "use with care", "not recorded: hours of fasting"),
    ],
)
def test_a_test_is_judged_in_words(vo2, vco2, conditions, cv, verdict, words):
    made = resting_measurement.judge_resting(vo2, vco2, conditions=conditions, cv_fraction=cv)
    assert made.verdict == verdict
    assert words in "; ".join(made.reasons)
    assert (
        made.sd_fraction == {"good": 0.05, "use with care": 0.08, "repeat the test": 0.10}[verdict]
    )


# source: common practice (nothing within 6 months and 5 % of mass)
@pytest.mark.parametrize(
    ("months", "now", "sd", "stale"),
    [
        (0, 80, 0.05, False),
        (6, 84, 0.05, False),
        (9, 80, (0.05**2 + 0.03**2) ** 0.5, True),
        (0, 88, (0.05**2 + 0.05**2) ** 0.5, True),
        (0, 72, (0.05**2 + 0.05**2) ** 0.5, True),
        (10, 88, (0.05**2 + 0.04**2 + 0.05**2) ** 0.5, True),
    ],
)
def test_a_measured_value_is_discounted_for_age_and_change_of_mass(months, now, sd, stale):
    made = resting_measurement.discount(0.05, months, 80, now)
    assert made.sd_fraction == pytest.approx(sd)
    assert made.stale is stale
    assert len(made.reasons) == (months > 6) + (abs(now - 80) > 4)


def test_a_discount_says_why():
    reasons = resting_measurement.discount(0.05, 9, 80, 88).reasons
    assert reasons == ("9 months old; test again after 6", "body mass has changed by 10 % since")


@given(st.floats(0, 60), st.floats(50, 120), st.floats(0.0001, 0.01))
def test_discounting_makes_no_jump(months, now, step):
    one = resting_measurement.discount(0.05, months, 80, now).sd_fraction
    two = resting_measurement.discount(0.05, months + step, 80, now + step).sd_fraction
    assert abs(two - one) < 0.001
    assert one >= 0.05


@pytest.mark.parametrize(
    "numbers", [(0, 1, 80, 80), (0.05, -1, 80, 80), (0.05, 1, 0, 80), (0.05, 1, 80, 0)]
)
def test_a_discount_needs_sound_numbers(numbers):
    with pytest.raises(IntakeError):
        resting_measurement.discount(*numbers)
