"""What should worry a coach, and what a client is spared."""

import datetime as dt
import re
from types import SimpleNamespace

import numpy as np
import pytest

from mealplan.checkin.decide.warning_checks import check_pace
from mealplan.checkin.decide.warnings import find_warnings, for_client, hide_numbers
from mealplan.checkin.decide.watched import WatchedClient, logged_kcal
from mealplan.checkin.log.entries import (
    CycleDay,
    Event,
    Feeling,
    IntakeRecord,
    TrainingDone,
    WeighIn,
)
from mealplan.checkin.log.log import log_of
from mealplan.checkin.trend.trend import weight_trend

START = dt.date(2026, 1, 5)
TODAY = START + dt.timedelta(days=59)


def day(number):
    return START + dt.timedelta(days=number)


def weighed(slope_kg_per_week, days=60, mass=80.0):
    rng = np.random.default_rng(0)
    return [
        WeighIn(on=day(i), mass_kg=mass + slope_kg_per_week * i / 7 + rng.normal(0, 0.3))
        for i in range(days)
    ]


def codes(entries, client, today=TODAY, *, trend=True):
    log = log_of(entries)
    found = find_warnings(log, client, today, weight_trend(log) if trend else None)
    return {f.code: f for f in found}


def plain(**more):
    return WatchedClient(sex="female", losing_planned=True, **more)


# source: published: 1 %/week (Helms 2014); common practice: 1.5 %/week stops
@pytest.mark.parametrize(
    ("rate", "code"),
    [
        (-0.6, None),
        (-1.0, "losing over 1 % a week"),
        (-1.5, "losing over 1.5 % a week"),
        (0.2, None),
        (0.6, "gaining over 0.5 % a week"),
        (1.2, "gaining over 1 % a week"),
    ],
)
def test_a_pace_past_its_limit_is_warned_of(rate, code):
    found = [c for c in codes(weighed(rate, mass=78.0), plain()) if "over" in c]
    assert found == ([code] if code else [])


def test_fast_loss_names_a_physician():
    found = codes(weighed(-1.6), plain())["losing over 1.5 % a week"]
    assert found.see == "a physician"
    assert found.severity == "override"


def test_a_pace_that_may_be_noise_is_only_a_note():
    found = codes(weighed(-1.3, days=12), plain(), day(11))
    assert all(f.severity == "note" for c, f in found.items() if "over" in c)


def test_loss_nobody_planned_is_sent_to_a_physician():
    found = codes(weighed(-1.2, mass=70.0), WatchedClient(sex="male"))
    assert found["unplanned loss"].see == "a physician"
    assert "unplanned loss" not in codes(
        weighed(-1.2, mass=70.0), WatchedClient(sex="male", losing_planned=True)
    )


def lost_since_a_month(percent, error_kg):
    """A trend of two mornings a month apart, each known to so many kilograms."""
    now = 80.0 * (1 - percent / 100)
    mornings = [
        SimpleNamespace(on=day(at), level_kg=kg, low_kg=kg - error_kg, high_kg=kg + error_kg)
        for at, kg in ((0, 80.0), (30, now))
    ]
    still = dict.fromkeys(
        ("slope_kg_per_week", "slope_low_kg_per_week", "slope_high_kg_per_week"), 0.0
    )
    return SimpleNamespace(level_kg=now, days=mornings, **still)


# source: published (5 % in a month, loss_month of safety_thresholds.csv); worked by hand: 6 % of
# 80 kg are 4.8 kg, more than two errors of 2 kg and less than two of 3 kg
@pytest.mark.parametrize(
    ("percent", "error_kg", "said"),
    [(6, 2.0, True), (6, 3.0, False), (4.5, 0.1, False)],
)
def test_loss_nobody_planned_is_said_once_it_is_sure(percent, error_kg, said):
    found = check_pace(lost_since_a_month(percent, error_kg), WatchedClient(sex="male"))
    assert [one.code for one in found] == (["unplanned loss"] if said else [])


# source: worked by hand (what was counted, else the plan where it was followed)
@pytest.mark.parametrize(
    ("fields", "kcal"),
    [
        ({"adherence": "other", "kcal": 1900.0, "planned_kcal": 2500.0}, 1900.0),
        ({"adherence": "as planned", "planned_kcal": 2500.0}, 2500.0),
        ({"adherence": "other", "planned_kcal": 2500.0}, None),
        ({"adherence": "as planned"}, None),
    ],
)
def test_a_day_counts_by_what_was_counted_else_by_the_plan_that_was_followed(fields, kcal):
    assert logged_kcal(IntakeRecord(on=TODAY, **fields)) == kcal


def eaten(kcal, training, days=range(52, 59)):
    return [
        *[IntakeRecord(on=day(i), adherence="other", kcal=kcal) for i in days],
        *[TrainingDone(on=day(i), what="run", net_kcal=training) for i in days],
    ]


def test_low_energy_availability_is_sent_to_both():
    # source: worked by hand: (1500 - 600) / 46.8 = 19.2, below 30 with its whole range
    found = codes([*weighed(0), *eaten(1500, 600)], plain(ffm_kg=46.8))["low energy availability"]
    assert found.severity == "override"
    assert "about 19 kcal" in found.message
    assert "physician and a registered dietitian" in found.see


def test_enough_energy_raises_nothing():
    # source: worked by hand: (2700 - 500) / 46.8 = 47
    assert "low energy availability" not in codes(
        [*weighed(0), *eaten(2700, 500)], plain(ffm_kg=46.8)
    )


def test_without_fat_free_mass_or_records_availability_is_not_guessed():
    assert "low energy availability" not in codes([*weighed(0), *eaten(1500, 600)], plain())
    few = eaten(1500, 600, days=range(56, 59))
    assert "low energy availability" not in codes([*weighed(0), *few], plain(ffm_kg=46.8))


@pytest.mark.parametrize(
    ("started", "code"), [(20, None), (50, "long cycle"), (95, "missed periods")]
)
def test_periods_that_stay_away_are_noticed(started, code):
    entries = [*weighed(0), CycleDay(on=TODAY - dt.timedelta(days=started), day=1)]
    found = codes(entries, plain(periods_expected=True))
    assert ("missed periods" in found or "long cycle" in found) == (code is not None)
    if code:
        assert code in found
    assert not {"missed periods", "long cycle"} & set(codes(entries, plain()))


def test_three_spells_of_illness_are_worth_a_look():
    spells = [Event(on=day(i), until=day(i + 2), what="sick") for i in (2, 20)]
    third = [Feeling(on=day(45), illness=5)]
    assert "repeated illness" in codes([*weighed(0), *spells, *third], plain())
    assert "repeated illness" not in codes([*weighed(0), *spells], plain())


def test_days_off_plan_speak_about_the_plan():
    off = [IntakeRecord(on=day(i), adherence="other") for i in range(47, 59)]
    hungry = [Feeling(on=day(i), hunger=5) for i in range(50, 59)]
    found = codes([*weighed(0), *off, *hungry], plain())["plan not fitting"]
    assert "hunger was high" in found.message
    assert "about the plan, not about the person" in found.reason


def test_days_off_plan_while_travelling_are_excused():
    off = [IntakeRecord(on=day(i), adherence="other") for i in range(47, 59)]
    trip = Event(on=day(46), until=day(59), what="travel")
    assert "plan not fitting" not in codes([*weighed(0), *off, trip], plain())


def test_silence_is_noted_without_blame():
    found = codes(weighed(0, days=40), plain(), trend=False)["gone quiet"]
    assert found.severity == "note"
    assert "Nothing needs to be made up for" in found.reason


def test_every_grave_finding_names_whom_to_see():
    entries = [*weighed(-1.6), *eaten(1500, 600), CycleDay(on=TODAY - dt.timedelta(days=95), day=1)]
    client = WatchedClient(sex="female", ffm_kg=46.8, periods_expected=True)
    grave = [f for f in codes(entries, client).values() if f.severity in ("override", "refuse")]
    assert len(grave) >= 3
    assert all(f.see and f.source and f.provenance for f in grave)


def test_a_client_who_hides_numbers_reads_none():
    entries = [*weighed(-1.6), *eaten(1500, 600), CycleDay(on=TODAY - dt.timedelta(days=95), day=1)]
    client = WatchedClient(sex="female", ffm_kg=46.8, periods_expected=True)
    log = log_of(entries)
    found = find_warnings(log, client, TODAY, weight_trend(log))
    shown = for_client(found, hide=True)
    assert shown
    for one in shown:
        assert not re.search(r"\d", one.message + one.reason + one.code)
    assert {f.see for f in shown} >= {"a physician", "a physician and a registered dietitian"}
    assert [f.message for f in for_client(found, hide=False)] == [f.message for f in found]


def test_a_client_is_spoken_to_and_not_about():
    off = [IntakeRecord(on=day(i), adherence="other") for i in range(47, 59)]
    log = log_of([*weighed(0), *off])
    found = find_warnings(log, plain(), TODAY, weight_trend(log))
    quiet = find_warnings(log_of(weighed(0, days=40)), plain(), TODAY)
    for hide in (False, True):
        read = for_client([*found, *quiet], hide=hide)
        assert {f.code for f in read} >= {"plan not fitting", "gone quiet"}
        for one in read:
            assert "ask what" not in one.reason
            assert "A message costs" not in one.reason
    assert any("not about you" in f.reason for f in for_client(found, hide=False))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Weight is 80.2 kg today", "Weight is … today"),
        ("move by -120 kcal to 2,980 kcal a day", "move by … to …"),
        ("between 1.5 and 2 % a week", "…"),
        ("wait 14 days and log 10 days", "wait 14 days and log 10 days"),
        ("12 st 7 lb on 3 March", "… … on 3 March"),
    ],
)
def test_numbers_of_weight_and_energy_are_hidden(text, expected):
    assert hide_numbers(text) == expected
