"""The trend of a log: robust, honest about what it cannot tell, and recomputed from scratch."""

import datetime as dt
import random

import numpy as np
import pytest

from mealplan.checkin.log.days import daily
from mealplan.checkin.log.entries import CycleDay, Event, WeighIn
from mealplan.checkin.log.log import log_of
from mealplan.checkin.log.questions import check_readings
from mealplan.checkin.trend.trend import weight_trend
from mealplan.errors import TooLittleDataError

START = dt.date(2026, 1, 5)


def day(number):
    return START + dt.timedelta(days=number)


def weights(days=56, slope=0.03, noise=0.48, seed=0, week=0.0, skip=()):
    rng = np.random.default_rng(seed)
    return [
        WeighIn(
            on=day(i),
            mass_kg=80
            + slope * i
            + rng.normal(0, noise)
            + week * np.cos(2 * np.pi * (i - 6.5) / 7),
        )
        for i in range(days)
        if i not in skip
    ]


def test_the_band_narrows_as_weigh_ins_come_in():
    spreads = []
    for days in (7, 14, 28, 56):
        trend = weight_trend(log_of(weights(days)))
        spreads.append((trend.slope_high_kg_per_week - trend.slope_low_kg_per_week) / 3.29)
    assert spreads == sorted(spreads, reverse=True)
    # source: worked by hand: two weeks of daily readings with likeness 0.3 give 0.29 kg/week
    assert spreads[1] == pytest.approx(0.29, rel=0.35)


def test_a_slope_is_never_said_to_be_surer_than_water_allows():
    # source: common practice: slow wander sets a floor of 0.05 kg/week
    trend = weight_trend(log_of(weights(160, noise=0.1)))
    assert trend.slope_high_kg_per_week - trend.slope_low_kg_per_week >= 3.29 * 0.05 - 1e-9


def test_the_true_slope_lies_in_the_band_of_most_clients():
    inside = 0
    for seed in range(60):
        trend = weight_trend(log_of(weights(35, seed=seed)))
        inside += trend.slope_low_kg_per_week <= 0.21 <= trend.slope_high_kg_per_week
    # source: worked by hand: 90 % of 60 is 54; 47 to 60 leaves out one run in a thousand
    assert 47 <= inside <= 60


def test_the_noise_of_the_client_is_learned():
    quiet = weight_trend(log_of(weights(70, noise=0.25, seed=4)))
    loud = weight_trend(log_of(weights(70, noise=0.9, seed=4)))
    assert quiet.noise_sd_kg == pytest.approx(0.25, rel=0.35)
    assert loud.noise_sd_kg == pytest.approx(0.9, rel=0.35)


def test_the_week_pattern_is_found():
    trend = weight_trend(log_of(weights(84, noise=0.2, week=0.25)))
    shift = trend.weekday_shift_kg
    # source: published: highest Sunday and Monday, lowest towards Friday (Orsama 2014)
    assert shift.index(max(shift)) in (0, 6)
    assert sum(shift) == pytest.approx(0.0, abs=1e-9)


def test_a_logged_cycle_explains_a_monthly_wave():
    rng = np.random.default_rng(2)
    entries = [CycleDay(on=day(28 * k), day=1) for k in range(4)]
    for i in range(98):
        wave = 0.6 * np.cos(2 * np.pi * (i - 1) / 28)
        entries.append(WeighIn(on=day(i), mass_kg=60 + wave + rng.normal(0, 0.3)))
    with_cycle, without = weight_trend(log_of(entries)), weight_trend(log_of(entries[4:]))
    flat = [abs(d.level_kg - 60) for d in with_cycle.days[28:]]
    wavy = [abs(d.level_kg - 60) for d in without.days[28:]]
    assert np.mean(flat) < 0.6 * np.mean(wavy)


def test_a_missing_fortnight_widens_the_band_inside_it():
    full = {d.on: d for d in weight_trend(log_of(weights(60))).days}
    gappy = {d.on: d for d in weight_trend(log_of(weights(60, skip=range(25, 39)))).days}
    wider = [
        (gappy[day(n)].high_kg - gappy[day(n)].low_kg)
        / (full[day(n)].high_kg - full[day(n)].low_kg)
        for n in range(25, 39)
    ]
    assert min(wider) > 1.05
    assert gappy[day(32)].reading_kg is None


def test_a_sick_week_is_not_read_as_loss():
    rng = np.random.default_rng(5)
    entries = [Event(on=day(35), until=day(41), what="sick")]
    for i in range(70):
        water = -1.5 if 36 <= i <= 43 else 0.0
        entries.append(WeighIn(on=day(i), mass_kg=80 + water + rng.normal(0, 0.3)))
    told = weight_trend(log_of(entries), last=day(44))
    untold = weight_trend(log_of(entries[1:]), last=day(44))
    assert untold.simple.least_squares_kg_per_week < -0.3
    assert abs(told.slope_kg_per_week) < 0.15
    assert abs(untold.slope_kg_per_week) < 0.15
    assert told.slope_high_kg_per_week > 0 > told.slope_low_kg_per_week


def test_a_unit_slip_is_held_out_and_asked_about():
    entries = weights(30)
    entries[20] = WeighIn(on=day(20), mass_kg=178.0)
    log = log_of(entries)
    trend = weight_trend(log)
    question = trend.questions[0]
    assert question.what == "unit slip"
    # source: worked by hand: 178 lb = 80.74 kg
    assert question.suggested_kg == pytest.approx(80.74, abs=0.01)
    assert trend.days[20].reading_kg is None


def test_a_confirmed_reading_raises_no_question():
    entries = weights(30)
    entries[20] = WeighIn(on=day(20), mass_kg=85.0, confirmed=True)
    assert not check_readings(tuple(entries))


def test_a_jump_over_three_per_cent_is_asked_about_but_kept():
    entries = weights(30, noise=0.1)
    entries[20] = WeighIn(on=day(20), mass_kg=84.0)
    trend = weight_trend(log_of(entries))
    assert [q.what for q in trend.questions] == ["jump"]
    assert trend.days[20].reading_kg == 84.0
    assert trend.days[20].set_aside


def test_two_readings_of_a_day_count_as_their_median():
    entries = [*weights(10), WeighIn(on=day(3), mass_kg=80.0), WeighIn(on=day(3), mass_kg=80.2)]
    three = sorted(w.mass_kg for w in entries if w.on == day(3))
    assert daily(log_of(entries)).rows[3].mass_kg == pytest.approx(three[1])


def test_the_order_of_entry_does_not_change_the_trend():
    entries = [*weights(40), Event(on=day(10), what="travel", until=day(12))]
    shuffled = list(entries)
    random.Random(1).shuffle(shuffled)
    assert weight_trend(log_of(entries)) == weight_trend(log_of(shuffled))


def test_correcting_an_old_reading_recomputes_everything_after_it():
    log = log_of(weights(40))
    old = log.of(WeighIn)[10]
    fixed = log.correct(old.id, WeighIn(on=old.on, mass_kg=old.mass_kg + 0.8))
    assert weight_trend(fixed).days[-1].level_kg != weight_trend(log).days[-1].level_kg
    back = fixed.correct(
        next(w.id for w in fixed.of(WeighIn) if w.on == old.on),
        WeighIn(on=old.on, mass_kg=old.mass_kg),
    )
    assert weight_trend(back).days == weight_trend(log).days


def test_units_do_not_change_the_trend():
    kilograms = weights(30)
    pounds = [WeighIn(on=w.on, value=w.mass_kg / 0.45359237, unit="lb") for w in kilograms]
    a, b = weight_trend(log_of(kilograms)), weight_trend(log_of(pounds))
    assert a.level_kg == pytest.approx(b.level_kg)
    assert a.slope_kg_per_week == pytest.approx(b.slope_kg_per_week, abs=1e-9)


def test_plain_methods_stand_beside_the_trend():
    simple = weight_trend(log_of(weights(60))).simple
    assert simple.readings == 28
    assert simple.least_squares_kg_per_week == pytest.approx(0.21, abs=0.25)
    assert simple.median_slope_kg_per_week == pytest.approx(0.21, abs=0.25)


def test_two_readings_are_too_few_for_a_trend():
    with pytest.raises(TooLittleDataError, match="about four weeks"):
        weight_trend(log_of(weights(2)))


def test_a_step_after_a_phase_change_does_not_become_a_slope():
    rng = np.random.default_rng(8)
    entries = [WeighIn(on=day(i), mass_kg=80 + rng.normal(0, 0.3)) for i in range(28)]
    for i in range(28, 42):
        step = 1.5 * (1 - np.exp(-(i - 27) / 3))
        entries.append(WeighIn(on=day(i), mass_kg=80 + step + rng.normal(0, 0.3)))
    change = Event(on=day(28), what="phase change", phase="gain")
    told = weight_trend(log_of([*entries, change]))
    untold = weight_trend(log_of(entries))
    plain = untold.simple.least_squares_kg_per_week
    assert abs(told.slope_kg_per_week) < abs(untold.slope_kg_per_week) < 0.6 * plain
