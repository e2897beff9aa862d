"""Looking back on a phase."""

import datetime as dt

import numpy as np
import pytest

from mealplan.checkin.log.entries import (
    Event,
    Feeling,
    Girth,
    ScanRecord,
    TestResult,
    TrainingDone,
    WeighIn,
)
from mealplan.checkin.log.log import log_of
from mealplan.checkin.review.change import change_between, fieller, lean_share
from mealplan.checkin.review.phase_review import review_phase
from mealplan.errors import CheckInError, TooLittleDataError

START = dt.date(2026, 1, 5)


def day(number):
    return START + dt.timedelta(days=number)


def scan(on, fat, lean, **more):
    return ScanRecord(on=on, fat_kg=fat, lean_kg=lean, machine="one", **more)


def phase_log(slope=0.03, seed=1, extra=()):
    rng = np.random.default_rng(seed)
    weighed = [WeighIn(on=day(i), mass_kg=80 + slope * i + rng.normal(0, 0.4)) for i in range(84)]
    return log_of([*weighed, *extra])


# source: published: DXA precision fat 0.44 kg, lean 0.55 kg; 2.77 times it is 1.22 and 1.52 kg
@pytest.mark.parametrize(
    ("precision", "change", "word"),
    [
        (0.44, 1.20, "no detectable change"),
        (0.44, 1.23, "more"),
        (0.55, -1.50, "no detectable change"),
        (0.55, -1.53, "less"),
    ],
)
def test_a_change_counts_only_beyond_the_least_significant_one(precision, change, word):
    assert change_between("fat", "kg", 12.0, 12.0 + change, precision).word == word


def test_lean_share_of_a_large_change_has_an_interval():
    share = lean_share(scan(day(0), 12.0, 68.0), scan(day(84), 14.0, 71.0))
    assert share.value == pytest.approx(0.6)  # source: worked by hand: 3 of 5 kg
    assert share.low < 0.6 < share.high
    # source: worked by hand: Forbes at 12 kg fat: 10.4 / 22.4 lean
    assert share.expected == pytest.approx(0.464, abs=0.001)


def test_lean_share_of_a_small_change_has_none():
    share = lean_share(scan(day(0), 12.0, 68.0), scan(day(84), 12.3, 68.5))
    assert share.low is None
    assert "too small" in share.words


def test_the_interval_of_a_ratio_covers_as_often_as_it_says():
    # source: worked by hand: simulation of the definition, 90 % of many draws
    rng = np.random.default_rng(0)
    lean, fat = 3.0, 2.0
    inside = 0
    for _ in range(2000):
        seen_lean, seen_fat = lean + rng.normal(0, 0.78), fat + rng.normal(0, 0.62)
        low, high = fieller(seen_lean, seen_lean + seen_fat, 0.78**2, 0.78**2 + 0.62**2, 0.78**2)
        inside += low is None or low <= 0.6 <= high
    assert inside / 2000 == pytest.approx(0.90, abs=0.02)


def test_a_gain_with_scans_is_told_apart():
    log = phase_log(extra=[scan(day(0), 12.0, 68.0), scan(day(83), 12.4, 70.2)])
    review = review_phase(log, START, day(83), 0.2)
    assert "no detectable change of fat" in review.verdict
    assert "more lean tissue" in review.verdict
    assert review.mass_low_kg < 2.5 < review.mass_high_kg
    # source: published: DXA precision fat 0.44 kg, lean 0.55 kg; 2.77 times it is 1.22 and 1.52 kg
    takes = {one.what: one.least_significant for one in review.scans}
    assert takes["fat"] == pytest.approx(1.22, abs=0.005)
    assert takes["lean"] == pytest.approx(1.52, abs=0.005)


def test_a_machine_less_precise_at_one_end_makes_the_change_less_sure():
    rough = scan(day(83), 12.4, 70.2, rms_sd_fat_kg=0.88)
    review = review_phase(phase_log(extra=[scan(day(0), 12.0, 68.0), rough]), START, day(83), 0.2)
    # source: worked by hand: 2.77 x sqrt((0.44^2 + 0.88^2) / 2) = 1.93
    assert review.scans[0].least_significant == pytest.approx(1.93, abs=0.01)


def test_without_scans_nobody_can_say():
    review = review_phase(phase_log(), START, day(83), 0.2)
    assert "nobody can say" in review.verdict
    assert review.share is None
    assert "no scan at both ends" in review.cautions[0]


def test_no_change_is_said_when_weight_stood_still():
    review = review_phase(phase_log(slope=0.0), START, day(83), 0.0)
    assert "did not change by more than its noise" in review.verdict
    assert review.against_plan.startswith("as planned")


def test_a_course_beyond_noise_is_named():
    review = review_phase(phase_log(slope=0.06), START, day(83), 0.1)
    assert review.against_plan.startswith("above the plan of +1.2 kg")
    assert review.course[-1].expected_kg == pytest.approx(review.course[0].level_kg + 0.1 * 83 / 7)


def test_scans_of_different_machines_are_not_compared():
    other = ScanRecord(on=day(83), fat_kg=12.4, lean_kg=70.2, machine="two")
    review = review_phase(phase_log(extra=[scan(day(0), 12, 68), other]), START, day(83), 0.2)
    assert review.scans == ()
    assert "different methods or machines" in review.cautions[0]


def test_scans_close_together_are_cautioned():
    log = phase_log(extra=[scan(day(0), 12, 68), scan(day(40), 12.4, 69)])
    review = review_phase(log, START, day(40), 0.2)
    assert "under eight weeks" in review.cautions[0]


def test_scans_and_scale_that_cannot_both_be_right_are_pointed_out():
    log = phase_log(slope=0.0, extra=[scan(day(0), 12, 68), scan(day(83), 14, 71)])
    agreeing = phase_log(slope=0.03, extra=[scan(day(0), 12, 68), scan(day(83), 12.5, 70)])
    assert any("more apart" in c for c in review_phase(log, START, day(83), 0.2).cautions)
    assert not any("more apart" in c for c in review_phase(agreeing, START, day(83), 0.2).cautions)


def test_girths_and_tests_at_both_ends_are_shown():
    extra = [
        Girth(on=day(0), site="waist", length_cm=82.0),
        Girth(on=day(83), site="waist", length_cm=82.5),
        TestResult(on=day(1), name="Squat", value=120, unit="kg"),
        TestResult(on=day(80), name="squat", value=132.5, unit="kg"),
        TrainingDone(on=day(5), what="legs"),
        *[Feeling(on=day(10 * i), sleep=4) for i in range(6)],
        Event(on=day(0), what="phase change"),
        Event(on=day(30), until=day(33), what="travel"),
    ]
    review = review_phase(phase_log(extra=extra), START, day(83), 0.2)
    assert review.girths[0].word == "no detectable change"
    assert (review.tests[0].first, review.tests[0].last) == (120, 132.5)
    assert any("sleep averaged 4.0" in line for line in review.habits)
    assert any("travel days were counted as telling little" in line for line in review.habits)
    assert any("water and gut content" in line for line in review.cautions)


def test_a_phase_that_ends_before_it_starts_is_refused():
    with pytest.raises(CheckInError, match="swap them"):
        review_phase(phase_log(), day(10), day(10), 0.2)


def test_a_phase_without_weigh_ins_is_refused():
    with pytest.raises(TooLittleDataError, match="no weigh-in between"):
        review_phase(phase_log(), day(200), day(260), 0.2)


def test_scans_are_told_in_the_unit_the_client_weighs_in():
    scans = (scan(day(0), 12.0, 60.0), scan(day(83), 14.0, 61.0))
    found = review_phase(phase_log(extra=scans), day(0), day(83), rate_kg_per_week=0.2, unit="lb")
    assert {change.unit for change in (found.mass, *found.scans)} == {"lb"}
    fat = next(change for change in found.scans if change.what == "fat")
    # source: worked by hand (2 kg over 0.45359237 kg to the pound)
    assert fat.change == pytest.approx(4.41, abs=0.01)
