"""Tables from elsewhere: each cell by its own mark, headings and months in other languages."""

import datetime as dt

import pytest

from mealplan.checkin.log.csv_import import read_csv, without_repeats
from mealplan.checkin.table.amounts import said_of, values_of
from mealplan.checkin.table.daytext import day_in, day_text
from mealplan.checkin.table.headings import read_heading


@pytest.mark.parametrize("comma", [True, False])
@pytest.mark.parametrize(
    ("cell", "value"), [("62.9kg", 62.9), ("62,9 kg", 62.9), ("62.9", 62.9), ("62,95", 62.95)]
)
def test_a_cell_says_its_own_decimal_mark(cell, value, comma):
    assert values_of(said_of(cell).parts[0].digits, comma)[0] == value


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
    assert day_in(day_text(cell), order) == dt.date(2026, 3, 9)


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
    assert day_in(day_text(text), "dmy") == dt.date(2026, 11, 14)


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
    assert (len(first), repeated) == (2, 0)
    assert [one.why for one in read_csv(table, expected_kg=62).aside] == [
        "it is the very same as line 3"
    ]
    assert without_repeats(entries, first) == ((), 2)


MIXED = """Date,Weight
1 Nov 2026,80.5
2 Nov 2026,177.9 lb
3 Nov 2026,178
4 Nov 2026,12st 9
5 Nov 2026,~80.4
6 Nov 2026,80.6*
7 Nov 2026,80.3 (after a run)
8 Nov 2026,805
9 Nov 2026,120
10 Nov 2026,80 5
"""


# source: worked by hand from 0.45359237 kg a pound and 14 pounds a stone
def test_each_mass_is_judged_by_the_clients_own():
    reading = read_csv(MIXED, expected_kg=80)
    masses = [round(entry.mass_kg, 1) for entry in reading.entries]
    assert masses == [80.5, 80.7, 80.7, 80.3, 80.4, 80.6, 80.3, 80.5, 80.5]
    assert [(doubt.cell, doubt.options[0]) for doubt in reading.doubts] == [
        ("178", "178 lb"),
        ("805", "80.5 kg"),
        ("120", "leave it out"),
        ("80 5", "80.5 kg"),
    ]


def test_a_mass_far_from_the_clients_is_believed_with_its_unit():
    reading = read_csv("date,weight\n2026-11-01,120 kg\n2026-11-02,80\n", expected_kg=80)
    assert [entry.mass_kg for entry in reading.entries] == [120, 80]


def test_a_kilogram_among_pounds_is_asked_and_taken_as_one():
    table = "Date,Weight (lbs)\n46327,177.5\n46328,80.5\n46329,177.0\n"
    reading = read_csv(table, expected_kg=80)
    # source: published, spreadsheets count days from 30 December 1899: 46327 is 1 November 2026
    assert [entry.on.day for entry in reading.entries] == [1, 2, 3]
    assert [entry.unit for entry in reading.entries] == ["lb", "kg", "lb"]
    assert [doubt.options[0] for doubt in reading.doubts] == ["80.5 kg"]


def test_titles_above_a_heading_and_means_below_are_set_aside_in_words():
    table = (
        "Gewichtsprotokoll 2026\n\nDatum;Uhrzeit;Gewicht (kg);Notiz\n14.11.2026;07:10;80,5;\n"
        "15.11.2026;;80.6;spät\nMittel;;80,55;\n"
    )
    reading = read_csv(table, expected_kg=80)
    assert [entry.mass_kg for entry in reading.entries] == [80.5, 80.6]
    assert [cell.line for cell in reading.aside] == [1, 6]
    assert reading.unread == ()


def test_a_table_without_a_heading_is_asked_about():
    reading = read_csv("2026-11-01,80.5\n2026-11-02,80.4\n", expected_kg=80)
    assert [entry.mass_kg for entry in reading.entries] == [80.5, 80.4]
    assert any(guess.topic == "column" for guess in reading.open_guesses)


def test_strokes_between_cells_are_a_table_too():
    table = "| date | weight | kcal |\n|---|---|---|\n| 2026-11-01 | 80.5 | 2500 |\n"
    reading = read_csv(table + "| 2026-11-02 | 80.1 | 10500 |\n", expected_kg=80)
    assert [(doubt.cell, doubt.options[0]) for doubt in reading.doubts] == [("10500", "10500 kJ")]
    # source: worked by hand: 10500 kJ / 4.184 = 2509.6 kcal
    assert reading.entries[-1].kcal == pytest.approx(2509.6, abs=0.1)


def test_a_waist_in_inches_among_centimetres_is_asked():
    table = "date,waist\n2026-11-01,85\n2026-11-02,33.5\n2026-11-03,84\n"
    reading = read_csv(table, expected_kg=80)
    assert [(entry.value, entry.unit) for entry in reading.entries] == [
        (85, "cm"),
        (33.5, "in"),
        (84, "cm"),
    ]
    assert reading.doubts[0].options[0] == "33.5 in"
