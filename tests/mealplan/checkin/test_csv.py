"""Tables in and out: guesses are said, nothing is lost, units come back as they went in."""

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mealplan.checkin.log.csv_export import write_csv
from mealplan.checkin.log.csv_import import read_csv
from mealplan.checkin.log.entries import (
    CycleDay,
    Event,
    Feeling,
    Girth,
    IntakeRecord,
    ScanRecord,
    TestResult,
    TrainingDone,
    WeighIn,
    WeighInConditions,
)
from mealplan.checkin.log.log import Log, log_of
from mealplan.checkin.table.reading import Choices
from mealplan.checkin.table.words import is_nothing
from mealplan.errors import CheckInError

DATES = st.dates(dt.date(2024, 1, 1), dt.date(2026, 12, 31))
TIMES = st.none() | st.times()
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=30).map(str.strip)
ANY = st.one_of(
    st.builds(
        WeighIn,
        on=DATES,
        at=TIMES,
        value=st.floats(90, 400),
        unit=st.just("lb"),
        note=TEXT,
        extras=st.lists(st.tuples(TEXT, TEXT), max_size=2).map(tuple),
        conditions=st.builds(WeighInConditions, fasted=st.none() | st.booleans()),
    ),
    st.builds(
        WeighIn, on=DATES, value=st.floats(7, 25), unit=st.just("st"), confirmed=st.booleans()
    ),
    st.builds(Girth, on=DATES, site=st.just("hip"), value=st.floats(25, 50), unit=st.just("in")),
    st.builds(ScanRecord, on=DATES, fat_kg=st.floats(5, 40), lean_kg=st.floats(40, 90)),
    st.builds(
        IntakeRecord,
        on=DATES,
        adherence=st.just("other"),
        kcal=st.none() | st.floats(1, 9000),
        what=TEXT,
    ),
    st.builds(TrainingDone, on=DATES, what=TEXT),
    st.builds(Feeling, on=DATES, illness=st.integers(1, 5)),
    st.builds(CycleDay, on=DATES, day=st.integers(1, 90)),
    st.builds(TestResult, on=DATES, name=st.just("row 2 km"), value=st.floats(-1e6, 1e6)),
    st.builds(Event, on=DATES, what=st.just("sick")),
)


@settings(max_examples=120, deadline=None)
@given(st.lists(ANY, max_size=8))
def test_a_log_comes_back_from_csv_the_same_in_every_unit(entries):
    log = log_of(entries)
    if len(log):
        log = log.withdraw(log.entries[0].id, "=not a formula")
    back = read_csv(write_csv(log))
    assert not back.unread
    assert not back.open_guesses
    again = back.to_log(confirmed=False)
    assert again.entries == log.entries
    assert sorted(again.history, key=repr) == sorted(log.history, key=repr)


CELLS = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"], exclude_characters='\r\n",;\t'), max_size=12),
    st.sampled_from(
        ["2026-03-01", "80.2", "12 st 7", "", "abc", "2026-02-30", "-", "9999", "177 lb"]
    ),
)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.lists(st.tuples(CELLS, CELLS, CELLS, CELLS), min_size=1, max_size=6))
def test_every_cell_that_says_something_is_kept_or_reported(rows):
    text = "date,weight,note,mood\n" + "\n".join(",".join(row) for row in rows)
    reading = read_csv(text)
    kept = " ".join(
        f"{e.on.isoformat()} {getattr(e, 'written', '')} {e.note} {e.extras}"
        for e in reading.entries
    )
    said = (*reading.unread, *reading.aside)
    unread = {u.line for u in said} | {d.line for d in reading.doubts}
    for number, row in enumerate(rows, start=2):
        if not any(cell.strip() for cell in row):
            continue
        if number in unread:
            told = [u.row for u in said if u.line == number]
            assert all(set(found) >= set(row) - {""} for found in told), (told, row)
            continue
        for cell in row[1:]:
            if is_nothing(cell) or not cell.strip("\0\u200b\ufeff "):
                continue
            assert repr(cell.strip())[1:-1] in kept or cell.strip() in kept, (cell, rows)
    for u in said:
        assert u.why
        assert u.mend
        assert u.what


def test_pounds_are_guessed_by_size_and_must_be_confirmed():
    reading = read_csv("date,weight\n2026-03-01,177.4\n2026-03-02,178\n2026-03-03,176.8\n")
    guess = reading.open_guesses[0]
    # source: worked by hand: 177.4 lb = 80.5 kg; 177.4 kg is no usual athlete
    assert (guess.topic, guess.choice) == ("mass unit", "lb")
    assert "only in lb" in guess.reason
    with pytest.raises(CheckInError, match="Confirm, or choose otherwise"):
        reading.to_log(confirmed=False)
    assert reading.to_log(confirmed=True).entries[0].mass_kg == pytest.approx(80.47, abs=0.01)


def test_a_mass_that_fits_two_units_says_so():
    guess = read_csv("date,weight\n2026-03-01,110\n2026-03-02,111\n").open_guesses[0]
    assert "110 kg as kg" in guess.reason or "50 kg as lb" in guess.reason
    assert set(guess.alternatives) >= {"st"}


def test_the_clients_own_mass_settles_the_unit():
    reading = read_csv("date,weight\n2026-03-01,110\n", expected_kg=50.5)
    assert reading.open_guesses[0].choice == "lb"


def test_a_choice_overrules_the_guess():
    reading = read_csv("date,weight\n2026-03-01,110\n", Choices(mass_unit="lb"))
    assert not reading.open_guesses
    assert reading.entries[0].unit == "lb"


def test_a_heading_with_its_unit_needs_no_question():
    reading = read_csv("Date,Weight (lbs)\n2026-03-01,177.4\n")
    assert not reading.open_guesses
    assert reading.entries[0].unit == "lb"


def test_a_unit_in_the_cell_wins():
    reading = read_csv(
        "date,weight (kg)\n2026-03-01,80\n2026-03-02,177 lb\n2026-03-03,12 st 7.5 lb\n"
    )
    # source: worked by hand: 177 lb = 80.286 kg; 12 st 7.5 lb = 175.5 lb = 79.605 kg
    assert [round(e.mass_kg, 3) for e in reading.entries] == [80.0, 80.286, 79.605]


@pytest.mark.parametrize(
    ("dates", "choice", "sure"),
    [
        (["13/03/2026", "14/03/2026"], "dmy", True),
        (["03/13/2026", "03/14/2026"], "mdy", True),
        (["01/03/2026", "02/03/2026", "03/03/2026"], "dmy", False),
        (["03/01/2026", "03/02/2026", "03/03/2026"], "mdy", False),
    ],
)
def test_the_order_of_day_and_month_is_worked_out_or_asked(dates, choice, sure):
    text = "date,weight kg\n" + "".join(f"{d},80\n" for d in dates)
    guess = next(g for g in read_csv(text).guesses if g.topic == "date order")
    assert (guess.choice, guess.sure) == (choice, sure)


def test_semicolons_and_decimal_commas_are_read():
    reading = read_csv("Datum;Gewicht kg\n05.01.2026;80,4\n17.01.2026;80,9\n")
    assert [e.mass_kg for e in reading.entries] == [80.4, 80.9]
    assert any(g.topic == "decimal mark" and g.choice == "comma" for g in reading.guesses)


def test_kilojoules_are_guessed_by_size():
    reading = read_csv("date,energy\n2026-03-01,12552\n2026-03-02,11900\n")
    # source: worked by hand: 12552 kJ / 4.184 = 3000 kcal
    assert reading.entries[0].kcal == pytest.approx(3000.0)


def test_girths_in_inches_stay_in_inches():
    reading = read_csv("date,weight kg,waist\n2026-03-01,80,32.5\n")
    waist = reading.entries[1]
    assert (waist.value, waist.unit) == (32.5, "in")
    assert waist.length_cm == pytest.approx(82.55)  # source: worked by hand


def test_a_bad_row_says_line_what_why_and_how_to_mend():
    reading = read_csv("date,weight kg\n2026-03-01,80\n2026-02-30,80.5\n2026-03-03,eighty\n")
    (first,), (second,) = reading.doubts, reading.unread
    assert (first.line, second.line) == (3, 4)
    assert "no day of the calendar" in first.why
    assert first.options[0] == "2 March 2026"  # source: worked by hand, the day between its rows
    assert "'eighty' is not a number" in second.why
    assert second.row == ("2026-03-03", "eighty")


def test_columns_of_other_kinds_stay_with_their_row():
    reading = read_csv("date,weight kg,mood,note\n2026-03-01,80,bright,after rest\n")
    assert reading.entries[0].extras == (("mood", "bright"),)
    assert reading.entries[0].note == "after rest"


def test_a_cell_over_two_lines_keeps_the_line_numbers_right():
    reading = read_csv('date,weight kg,note\n2026-03-01,80,"two\nlines"\n2026-03-02,heavy,\n')
    assert reading.unread[0].line == 4


@pytest.mark.parametrize(
    ("text", "message"),
    [("", "file is empty"), ("weight\n80\n", "is a date"), ("a" * 5_000_001, "right file")],
)
def test_a_file_that_is_no_table_is_refused_in_one_line(text, message):
    with pytest.raises(CheckInError, match=message) as caught:
        read_csv(text)
    assert "\n" not in str(caught.value)


def test_formula_cells_are_made_harmless_in_the_export():
    text = write_csv(log_of([WeighIn(on=dt.date(2026, 3, 1), mass_kg=80, note="=1+1")]))
    assert "'=1+1" in text


def test_an_own_file_with_a_broken_row_reports_that_row_only():
    text = write_csv(
        log_of(
            [WeighIn(on=dt.date(2026, 3, 1), mass_kg=80), Feeling(on=dt.date(2026, 3, 1), sleep=3)]
        )
    )
    broken = text.replace("80.0", "many")
    reading = read_csv(broken)
    assert len(reading.entries) == 1
    assert "value" in reading.unread[0].why
    assert isinstance(reading.to_log(confirmed=True), Log)
