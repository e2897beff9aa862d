"""The log: nothing lost, order of entry irrelevant, corrections kept."""

import datetime as dt
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from mealplan.checkin.log.entries import (
    ENTRY,
    CycleDay,
    Event,
    Feeling,
    Girth,
    IntakeRecord,
    RmrTest,
    ScanRecord,
    TestResult,
    TrainingDone,
    WeighIn,
)
from mealplan.checkin.log.log import Log, log_of
from mealplan.errors import CheckInError

DATES = st.dates(dt.date(2024, 1, 1), dt.date(2026, 12, 31))
NOTES = st.text(max_size=40).map(str.strip)
ENTRIES = st.one_of(
    st.builds(WeighIn, on=DATES, value=st.floats(40, 180), unit=st.just("kg"), note=NOTES),
    st.builds(WeighIn, on=DATES, value=st.floats(90, 400), unit=st.just("lb")),
    st.builds(WeighIn, on=DATES, value=st.floats(7, 25), unit=st.just("st")),
    st.builds(Girth, on=DATES, site=st.just("waist"), value=st.floats(25, 50), unit=st.just("in")),
    st.builds(ScanRecord, on=DATES, fat_kg=st.floats(5, 40), lean_kg=st.floats(40, 90)),
    st.builds(RmrTest, on=DATES, kcal=st.floats(900, 3000)),
    st.builds(
        IntakeRecord,
        on=DATES,
        adherence=st.sampled_from(["as planned", "roughly", "other"]),
        kcal=st.none() | st.floats(500, 6000),
        what=NOTES,
    ),
    st.builds(TrainingDone, on=DATES, what=NOTES, net_kcal=st.none() | st.floats(0, 2000)),
    st.builds(Feeling, on=DATES, hunger=st.none() | st.integers(1, 5)),
    st.builds(CycleDay, on=DATES, day=st.integers(1, 60)),
    st.builds(TestResult, on=DATES, name=st.just("squat"), value=st.floats(1, 400)),
    st.builds(Event, on=DATES, what=st.sampled_from(["travel", "sick", "phase change"])),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(ENTRIES, max_size=12), st.randoms(use_true_random=False))
def test_the_order_of_entry_never_matters(entries, shuffler: random.Random):
    shuffled = list(entries)
    shuffler.shuffle(shuffled)
    one = log_of(entries)
    other = Log()
    for entry in shuffled:
        other = other.add(entry)
    assert sorted(one.entries, key=repr) == sorted(other.entries, key=repr)
    assert [e.id for e in one.entries] == [e.id for e in log_of(shuffled).entries]


@settings(max_examples=60, deadline=None)
@given(st.lists(ENTRIES, max_size=12))
def test_everything_logged_is_kept_duplicates_too(entries):
    assert len(log_of(entries + entries)) == 2 * len(entries)


@settings(max_examples=60, deadline=None)
@given(st.lists(ENTRIES, min_size=1, max_size=8))
def test_a_log_survives_its_own_json(entries):
    log = log_of(entries)
    log = log.withdraw(log.entries[0].id, "entered twice")
    assert Log.model_validate_json(log.model_dump_json()) == log


def test_a_corrected_entry_stays_in_the_history():
    log = log_of([WeighIn(on=dt.date(2026, 3, 1), mass_kg=176.0)])
    fixed = log.correct(log.entries[0].id, WeighIn(on=dt.date(2026, 3, 1), value=176.0, unit="lb"))
    assert fixed.entries[0].mass_kg == pytest.approx(79.83, abs=0.01)  # source: worked by hand
    assert fixed.history[0].entry.mass_kg == 176.0
    assert log.entries[0].mass_kg == 176.0


def test_a_withdrawn_entry_needs_a_reason():
    log = log_of([WeighIn(on=dt.date(2026, 3, 1), mass_kg=80.0)])
    with pytest.raises(CheckInError, match="needs a reason"):
        log.withdraw(log.entries[0].id, " ")


def test_an_unknown_entry_is_named():
    with pytest.raises(CheckInError, match="no entry 'nothing-1'"):
        Log().get("nothing-1")


def test_merging_twice_changes_nothing_more():
    a = log_of([WeighIn(on=dt.date(2026, 3, 1), mass_kg=80.0)])
    b = log_of([WeighIn(on=dt.date(2026, 3, 2), mass_kg=80.4)])
    assert a.merge(b).merge(b) == a.merge(b) == Log(entries=b.merge(a).entries)


def test_stones_and_pounds_are_kept_as_read():
    # source: worked by hand: 12.5 st = 175 lb = 79.379 kg
    reading = WeighIn(on=dt.date(2026, 3, 1), value=12.5, unit="st")
    assert reading.mass_kg == pytest.approx(79.379, abs=0.001)
    assert (reading.value, reading.unit) == (12.5, "st")


def test_an_impossible_mass_is_refused_with_the_unit_it_may_have_been():
    with pytest.raises(ValidationError, match=r"12\.5 st is 79 kg"):
        WeighIn(on=dt.date(2026, 3, 1), value=12.5, unit="kg")


def test_an_event_cannot_end_before_it_begins():
    with pytest.raises(ValidationError, match="swap the two dates"):
        Event(on=dt.date(2026, 3, 5), until=dt.date(2026, 3, 1), what="travel")


def test_an_event_reaches_into_a_later_span():
    trip = Event(on=dt.date(2026, 3, 1), until=dt.date(2026, 3, 9), what="travel")
    log = log_of([trip])
    assert len(log.between(dt.date(2026, 3, 8), dt.date(2026, 3, 20))) == 1
    assert len(log.days_of("travel")) == 9


def test_plain_data_becomes_the_right_kind_of_entry():
    entry = ENTRY.validate_python({"kind": "feeling", "on": "2026-03-01", "sleep": 4})
    assert entry == Feeling(on=dt.date(2026, 3, 1), sleep=4)


def test_two_entries_cannot_share_an_id():
    with pytest.raises(ValidationError, match="ids used twice: a"):
        Log(
            entries=(
                WeighIn(on=dt.date(2026, 3, 1), mass_kg=80, id="a"),
                WeighIn(on=dt.date(2026, 3, 2), mass_kg=80, id="a"),
            )
        )
