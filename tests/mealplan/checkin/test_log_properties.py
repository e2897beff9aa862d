"""What holds of every log: order, mending, units, and that nothing is lost."""

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mealplan.checkin.decide.status import standing
from mealplan.checkin.log.entries import IntakeRecord, WeighIn
from mealplan.checkin.log.log import Log, log_of
from mealplan.demo.folders import demo_intake
from mealplan.science.units import KG_PER_LB

FIRST = dt.date(2026, 12, 1)
TODAY = FIRST + dt.timedelta(days=28)
DAYS = st.integers(0, 27).map(lambda n: FIRST + dt.timedelta(days=n))
WEIGH_INS = st.builds(
    lambda on, tenths: WeighIn(on=on, mass_kg=tenths / 10), DAYS, st.integers(780, 820)
)
EATEN = st.builds(
    lambda on, kcal: IntakeRecord(on=on, adherence="other", kcal=kcal),
    st.integers(0, 3).map(lambda n: FIRST + dt.timedelta(days=n)),
    st.integers(2500, 4000),
)
LOGS = st.tuples(st.lists(WEIGH_INS, min_size=3, max_size=12), st.lists(EATEN, max_size=6)).map(
    lambda parts: [*parts[0], *parts[1]]
)
quick = settings(max_examples=12, deadline=None, derandomize=True)


@pytest.fixture(scope="module")
def said():
    """What a log says, without the identifiers its questions carry."""
    intake = demo_intake("club-lifter")

    def read(log):
        found = standing(intake, log, (), TODAY)
        if found.trend is None:
            return ((), 0.0, found.proposal, found.warnings)
        return (found.trend.days, found.trend.slope_kg_per_week, found.proposal, found.warnings)

    return read


@quick
@given(entries=LOGS, data=st.data())
def test_what_a_log_says_hangs_on_neither_order_nor_identifiers(said, entries, data):
    names = data.draw(st.permutations([f"n{place}" for place in range(len(entries))]))
    named = [e.model_copy(update={"id": name}) for e, name in zip(entries, names, strict=True)]
    one_by_one = Log()
    for entry in data.draw(st.permutations(named)):
        one_by_one = one_by_one.add(entry)
    assert said(one_by_one) == said(log_of(entries))


def test_of_two_records_of_a_day_the_same_one_stands_whatever_they_are_called(said):
    pairs = [
        (
            IntakeRecord(on=FIRST + dt.timedelta(days=n), adherence="other", kcal=kcal),
            WeighIn(on=FIRST + dt.timedelta(days=n), mass_kg=mass),
        )
        for n in range(8)
        for kcal, mass in ((2900, 80.0), (3500, 80.6))
    ]
    entries = [entry for pair in pairs for entry in pair]
    up = [e.model_copy(update={"id": f"n{n:02}"}) for n, e in enumerate(entries)]
    down = [e.model_copy(update={"id": f"n{99 - n:02}"}) for n, e in enumerate(entries)]
    assert said(log_of(up)) == said(log_of(down))


@quick
@given(entries=LOGS, wrong=st.integers(780, 820))
def test_a_corrected_reading_is_as_if_it_had_been_right(said, entries, wrong):
    first, *others = entries
    log = log_of([*others, first.model_copy(update={"value": wrong / 10, "id": "slip"})])
    said(log)
    mended = log.correct("slip", first)
    assert said(mended) == said(log_of(entries))
    assert [old.entry.value for old in mended.history] == [wrong / 10]


@quick
@given(entries=LOGS, data=st.data())
def test_whatever_is_withdrawn_or_corrected_stays_in_the_history(entries, data):
    log = log_of(entries)
    everything = {entry.id: entry for entry in log.entries}
    for _ in range(data.draw(st.integers(0, 4))):
        entry = data.draw(st.sampled_from(log.entries))
        if data.draw(st.booleans()) or not isinstance(entry, WeighIn):
            log = log.withdraw(entry.id, "entered twice")
        else:
            log = log.correct(entry.id, entry.model_copy(update={"value": 80.0, "id": ""}))
        everything |= {e.id: e for e in log.entries}
        if not log.entries:
            break
    kept = {e.id: e for e in log.entries} | {old.entry.id: old.entry for old in log.history}
    assert kept == everything


@quick
@given(entries=LOGS)
def test_pounds_come_out_as_pounds_and_say_what_kilograms_say(said, entries):
    in_lb = [
        WeighIn(on=e.on, value=e.mass_kg / KG_PER_LB, unit="lb") if isinstance(e, WeighIn) else e
        for e in entries
    ]
    log = log_of(in_lb)
    assert sorted(w.value for w in log.of(WeighIn)) == sorted(
        w.value for w in in_lb if isinstance(w, WeighIn)
    )
    levels = [[day.level_kg for day in said(one)[0]] for one in (log, log_of(entries))]
    assert levels[0] == pytest.approx(levels[1], abs=1e-6)
