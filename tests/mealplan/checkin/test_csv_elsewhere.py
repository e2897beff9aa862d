"""Tables from elsewhere: each cell by its own mark, headings and months in other languages."""

import datetime as dt

import pytest

from mealplan.checkin.log.csv_cells import read_date, read_heading, read_number
from mealplan.checkin.log.csv_import import read_csv, without_repeats


@pytest.mark.parametrize("comma", [True, False])
@pytest.mark.parametrize(
    ("cell", "value"), [("62.9kg", 62.9), ("62,9 kg", 62.9), ("62.9", 62.9), ("62,95", 62.95)]
)
def test_a_cell_says_its_own_decimal_mark(cell, value, comma):
    assert read_number(cell, decimal_comma=comma)[0] == value


# source: published (ISO 8601: year first) and worked by hand (the ninth of March 2026)
@pytest.mark.parametrize(
    ("cell", "order"),
    [
        ("2026-03-09", "ymd"),
        ("2026/3/9", "dmy"),  # a year of four digits in front wins
        ("09.03.2026", "dmy"),
        ("9/3/26", "dmy"),
        ("03/09/2026", "mdy"),
        ("3/9/26", "mdy"),
    ],
)
def test_one_day_is_read_in_every_order_it_is_written_in(cell, order):
    assert read_date(cell, order) == (dt.date(2026, 3, 9), None)


def test_one_column_may_hold_both_marks():
    reading = read_csv('date,weight\n2026-11-01,62.9kg\n2026-11-02,"62,7"\n', expected_kg=62)
    assert [entry.mass_kg for entry in reading.entries] == pytest.approx([62.9, 62.7])
    assert reading.unread == ()


@pytest.mark.parametrize(
    "text",
    ["14 Nov 2026", "14. November 2026", "Nov 14, 2026", "14 novembre 2026", "Sat 14 Nov 2026",
     "14 de noviembre de 2026", "14-Nov-26", "November 14th 2026"],
)  # fmt: skip
def test_a_month_may_stand_as_a_word(text):
    assert read_date(text, "dmy") == (dt.date(2026, 11, 14), None)


@pytest.mark.parametrize(
    ("heading", "field"),
    [("Kalorien", "energy"), ("Körpergewicht (kg)", "mass"), ("Poids", "mass"), ("Peso", "mass"),
     ("Fecha", "date"), ("Hüfte", "hip"), ("Énergie", "energy"), ("vægt", "mass"),
     ("Cintura", "waist"), ("Uhrzeit", "time"), ("Opmerking", "note")],
)  # fmt: skip
def test_headings_are_known_in_other_languages(heading, field):
    assert read_heading(heading).field == field


def test_a_reading_is_taken_once_however_often_its_table_is():
    table = "Datum;Gewicht\n14.11.2026;62,9\n15.11.2026;62,7\n15.11.2026;62,7\n"
    entries = read_csv(table, expected_kg=62).entries
    first, repeated = without_repeats(entries, ())
    assert (len(first), repeated) == (2, 1)
    assert without_repeats(entries, first) == ((), 3)
