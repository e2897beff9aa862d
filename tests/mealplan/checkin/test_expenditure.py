"""Expenditure on the logging scale."""

import datetime as dt
import math

import numpy as np
import pytest

from mealplan.checkin.energy.expenditure import (
    Energetics,
    Prior,
    combine_estimates,
    energetics_of,
    learn_expenditure,
    need_drift_kcal,
    scan_balance,
    usual_intake,
    weigh_ins_until,
)
from mealplan.checkin.log.entries import Event, IntakeRecord, ScanRecord, WeighIn, log_of
from mealplan.errors import CheckInError

START = dt.date(2026, 1, 5)


def day(number):
    return START + dt.timedelta(days=number)


def living(days=56, *, expenditure=2900.0, intake=3100.0, share_logged=1.0, seed=0, mass=80.0):
    rng = np.random.default_rng(seed)
    entries = []
    for i in range(days):
        entries.append(WeighIn(on=day(i), mass_kg=round(mass + rng.normal(0, 0.48), 1)))
        eaten = intake + rng.normal(0, 150)
        entries.append(IntakeRecord(on=day(i), adherence="other", kcal=share_logged * eaten))
        mass += (eaten + rng.normal(0, 150) - expenditure) / 5900
    return entries


def test_estimates_are_combined_by_precision():
    # source: worked by hand: weights 1/280^2 and 1/90^2 give 2722.5 and 85.7 for 2900 and 2704
    kcal, sd = combine_estimates(2900, 280, 2704, 90)
    assert kcal == pytest.approx(2722.4, abs=0.5)
    assert sd == pytest.approx(85.7, abs=0.1)


def test_need_drifts_by_thirty_a_kilogram_in_a_lean_gain():
    # source: published: male reference body, 33.09 kcal/kg/day by the linear model (Hall 2011)
    body = energetics_of(12.0, 68.0, 1996.0, 1.7)
    assert need_drift_kcal(3.0, body.need_per_kg_kcal) == pytest.approx(99.3, abs=0.1)


def test_stored_density_follows_the_fat_share():
    # source: worked by hand from Forbes 1987 and 9441/1816 kcal/kg: 5901 at 12 kg fat
    assert energetics_of(12.0, 68.0, 1996.0, 1.7).density_kcal_per_kg == pytest.approx(5901, abs=1)
    assert energetics_of(None, 80.0, 1996.0, 1.7).density_sd_kcal_per_kg == 1500.0


@pytest.mark.parametrize("expenditure", [2500.0, 2900.0, 3300.0])
def test_the_true_expenditure_is_learned(expenditure):
    found = learn_expenditure(
        log_of(living(84, expenditure=expenditure)), Prior(3000, 300), Energetics(5900.0, 760.0)
    )
    assert abs(found.kcal - expenditure) < 2.5 * found.total_sd_kcal
    assert found.total_sd_kcal < 100


def test_prior_and_data_are_both_shown_and_lie_around_the_answer():
    found = learn_expenditure(
        log_of(living(28, expenditure=2700)), Prior(3100, 310), Energetics(5900.0, 760.0)
    )
    low, high = sorted((found.prior.kcal, found.data_kcal))
    assert low <= found.kcal <= high
    assert found.sd_kcal < min(found.prior.sd_kcal, found.data_sd_kcal)
    working = found.quantity()
    assert [q.key for q in working.inputs] == ["expenditure_prior_kcal", "expenditure_data_kcal"]
    assert working.sd == pytest.approx(found.total_sd_kcal)


def test_a_constant_logging_bias_scales_the_answer_with_it():
    honest = learn_expenditure(
        log_of(living(84, expenditure=2900)), Prior(2900, 290), Energetics(5900.0, 760.0)
    )
    short = learn_expenditure(
        log_of(living(84, expenditure=2900, share_logged=0.85)),
        Prior(2900, 290),
        Energetics(5900.0, 760.0),
    )
    # source: worked by hand: 15 % of 3100 kcal unlogged moves it by 465 kcal
    assert honest.kcal - short.kcal == pytest.approx(465, abs=25)


def test_a_gap_in_the_diary_does_not_move_it_much():
    entries = living(70)
    gappy = [
        e for e in entries if not (isinstance(e, IntakeRecord) and 30 <= (e.on - START).days < 44)
    ]
    full = learn_expenditure(log_of(entries), Prior(3000, 300), Energetics(5900.0, 760.0))
    less = learn_expenditure(log_of(gappy), Prior(3000, 300), Energetics(5900.0, 760.0))
    assert abs(full.kcal - less.kcal) < 60
    assert less.logged_days == 26 or less.logged_days == 28


def test_a_sick_week_teaches_nothing():
    entries = living(70)
    ill = [
        WeighIn(on=e.on, mass_kg=e.mass_kg - 2.0)
        if isinstance(e, WeighIn) and 50 <= (e.on - START).days <= 57
        else e
        for e in entries
    ]
    event = Event(on=day(50), until=day(56), what="sick")
    well = learn_expenditure(log_of(entries), Prior(3000, 300), Energetics(5900.0, 760.0))
    told = learn_expenditure(log_of([*ill, event]), Prior(3000, 300), Energetics(5900.0, 760.0))
    assert abs(told.kcal - well.kcal) < 1.5 * told.total_sd_kcal


def test_without_a_single_day_of_eating_nothing_is_said():
    with pytest.raises(CheckInError, match="log days as planned"):
        learn_expenditure(
            log_of([WeighIn(on=day(i), mass_kg=80) for i in range(20)]),
            Prior(3000, 300),
            Energetics(5900.0),
        )


def test_days_without_record_are_taken_as_the_usual_day():
    intake = np.array([[3000.0, np.nan, 3200.0, np.nan]])
    assert usual_intake(intake, np.array([2500.0]))[0] == pytest.approx(3100.0)
    assert usual_intake(np.full((1, 3), np.nan), np.array([2500.0]))[0] == 2500.0


def test_more_weigh_ins_a_week_get_there_in_fewer_days():
    found = learn_expenditure(log_of(living(21)), Prior(3000, 300), Energetics(5900.0, 760.0))
    daily, thrice = (weigh_ins_until(found, 80.0, per_week) for per_week in (7.0, 3.0))
    assert daily is not None
    assert thrice is not None
    assert daily / 7 < thrice / 3


def test_the_forecast_of_weigh_ins_comes_true():
    entries = living(70, seed=3)
    early = learn_expenditure(
        log_of(e for e in entries if e.on < day(21)), Prior(3000, 300), Energetics(5900.0, 760.0)
    )
    more = weigh_ins_until(early, 70.0, 7.0)
    later = learn_expenditure(
        log_of(e for e in entries if e.on < day(21 + more)),
        Prior(3000, 300),
        Energetics(5900.0, 760.0),
    )
    assert later.sd_kcal == pytest.approx(70.0, rel=0.3)


def test_some_precision_is_never_reached():
    found = learn_expenditure(log_of(living(21)), Prior(3000, 300), Energetics(5900.0, 760.0))
    assert weigh_ins_until(found, 1.0, 7.0) is None


def scan_log(days=56):
    eaten = [
        IntakeRecord(on=day(i), adherence="as planned", planned_kcal=3200.0) for i in range(days)
    ]
    first = ScanRecord(
        on=day(0), fat_kg=12.0, lean_kg=68.0, rms_sd_fat_kg=0.35, rms_sd_lean_kg=0.45
    )
    last = ScanRecord(
        on=day(days), fat_kg=12.8, lean_kg=69.0, rms_sd_fat_kg=0.35, rms_sd_lean_kg=0.45
    )
    return log_of([*eaten, first, last]), first, last


def test_two_scans_give_expenditure_by_balance():
    log, first, last = scan_log()
    balance = scan_balance(log, first, last)
    # source: worked by hand: 3200 - (9440.7 x 0.8 + 1816.4 x 1.0) / 56 = 3032.7; SD 86.0 kcal/day
    assert balance.expenditure_kcal == pytest.approx(3032.7, abs=0.1)
    assert balance.sd_kcal == pytest.approx(86.0, abs=0.1)


def test_scans_without_a_diary_between_them_say_nothing():
    _, first, last = scan_log()
    with pytest.raises(CheckInError, match="0 of the 56 days"):
        scan_balance(log_of([first, last]), first, last)


def test_the_spread_of_logging_is_added_to_the_prior():
    # source: worked by hand: hypot(300, 10 % of 3000)
    assert Prior(3000, 300).on_logging_scale().sd_kcal == pytest.approx(math.hypot(300, 300))
