"""Twelve logged weeks of two demo clients: how they came about and what they hold."""

import datetime as dt
import itertools
from importlib.resources import files

import pytest

from mealplan.checkin.decide.status import intake_after, standing
from mealplan.checkin.log.csv_import import read_csv
from mealplan.checkin.log.entries import (
    Event,
    Feeling,
    Girth,
    IntakeRecord,
    ScanRecord,
    TestResult,
    TrainingDone,
    WeighIn,
)
from mealplan.demo.folders import DEMO_CLIENTS, demo_intake
from mealplan.demo.history import DEMO_HISTORIES, demo_history, history_pages
from mealplan.demo.life import history_text
from mealplan.demo.scripts import DAYS, SCRIPTS

BY_CLIENT = {script.client: script for script in SCRIPTS}


@pytest.fixture(params=DEMO_HISTORIES)
def name(request):
    return request.param


@pytest.fixture
def history(name):
    return demo_history(name)


def test_the_seed_gives_the_files_that_ship_byte_for_byte(name):
    shipped = (files("mealplan.demo") / "histories" / f"{name}.json").read_bytes()
    assert history_text(BY_CLIENT[name]).encode() == shipped


def test_every_script_ships_and_every_history_has_a_script():
    assert set(DEMO_HISTORIES) == set(BY_CLIENT) <= set(DEMO_CLIENTS)


def test_a_client_without_a_log_has_no_history():
    assert demo_history("club-runner") is None


def test_a_history_holds_every_kind_of_entry(history):
    kinds = {type(entry) for entry in history.log.entries}
    assert {
        Event, Feeling, Girth, IntakeRecord, ScanRecord, TestResult, TrainingDone, WeighIn,
    } <= kinds  # fmt: skip


def test_a_history_has_a_sick_week(history):
    sick = [e for e in history.log.of(Event) if e.what == "sick"]
    # source: worked by hand (seven days, first and last counted)
    assert [(e.last_day - e.on).days + 1 for e in sick] == [7]
    assert all(
        entry.illness >= 3
        for entry in history.log.of(Feeling)
        if sick[0].on <= entry.on <= sick[0].last_day
    )


def test_a_history_misses_a_fortnight(history):
    days = sorted({entry.on for entry in history.log.of(WeighIn)})
    gaps = [(later - earlier).days - 1 for earlier, later in itertools.pairwise(days)]
    # source: worked by hand (fourteen days away; a day before or after may be missed as well)
    assert 14 <= max(gaps) <= 16
    assert sorted(gaps)[-2] < 7


def test_one_reading_is_in_the_wrong_unit_and_is_asked_about(history, name):
    today = history.intake.start + dt.timedelta(days=DAYS - 1)
    found = standing(history.intake, history.log, history.decisions, today)
    assert [q.what for q in found.trend.questions].count("unit slip") == 1
    slip = next(q for q in found.trend.questions if q.what == "unit slip")
    assert slip.on == history.intake.start + dt.timedelta(days=BY_CLIENT[name].slip)
    assert slip.suggested_kg == pytest.approx(found.trend.level_kg, rel=0.06)


def test_a_scan_stands_at_both_ends(history):
    first, last = history.log.of(ScanRecord)
    assert first.on == history.intake.scan.date
    assert (last.on - history.intake.start).days == DAYS - 7


def test_decisions_follow_one_another_and_the_diet_follows_them(history):
    assert history.decisions
    intake = history.intake
    for made in history.decisions:
        today = standing(intake, history.log, (), made.on).proposal.target_kcal
        assert made.old_target_kcal == pytest.approx(today, abs=0.06)
        intake = intake_after(intake, made)
    planned = [e.planned_kcal for e in history.log.of(IntakeRecord)]
    assert len(set(planned[:7])) < len(set(planned))


def test_the_gaining_client_gained_and_the_cutting_client_lost():
    change = {}
    for name in DEMO_HISTORIES:
        history = demo_history(name)
        today = history.intake.start + dt.timedelta(days=DAYS - 1)
        levels = standing(history.intake, history.log, (), today).trend.days
        change[name] = levels[-1].level_kg - levels[0].level_kg
    assert change["club-lifter"] > 1
    assert change["club-climber"] < -2


@pytest.mark.parametrize("day", range(7))
def test_the_phase_is_in_its_last_week_today_on_whatever_weekday(name, day):
    today = dt.date(2031, 3, 3) + dt.timedelta(days=day)
    moved = demo_history(name, today)
    # source: worked by hand (twelve weeks: days 77 to 83 are the last)
    assert 77 <= (today - moved.intake.start).days <= 83
    assert max(entry.on for entry in moved.log.entries) <= today
    assert max(made.on for made in moved.decisions) <= today
    assert moved.intake.start.weekday() == demo_intake(name).start.weekday()
    assert moved.log.of(ScanRecord)[-1].on <= today


def test_moving_keeps_every_distance(name, history):
    last = demo_intake(name).start + dt.timedelta(days=DAYS - 1)
    moved = demo_history(name, last + dt.timedelta(weeks=31))
    shift = dt.timedelta(weeks=31)
    assert [e.on for e in moved.log.entries] == [e.on + shift for e in history.log.entries]
    assert moved.intake.scan.date == history.intake.scan.date + shift
    ends = [(e.on, e.last_day) for e in history.log.of(Event)]
    assert [(e.on - shift, e.last_day - shift) for e in moved.log.of(Event)] == ends


def test_a_history_is_written_as_a_table_that_reads_back_and_a_page(name, history):
    pages = history_pages(name)
    assert set(pages) == {"log.csv", "review.html"}
    assert read_csv(pages["log.csv"]).to_log(confirmed=True) == history.log
    for words in ("Muscle, fat or noise?", "Strength and endurance", "waist"):
        assert words.lower() in pages["review.html"].lower()


def test_nothing_is_written_for_a_client_without_a_log():
    assert history_pages("club-runner") == {}
