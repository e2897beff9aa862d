"""Tables as people keep them: every reading right, every doubtful cell asked."""

import datetime as dt

import pytest

from mealplan.checkin.log.csv_import import read_csv
from mealplan.checkin.log.entries import Girth, IntakeRecord, Steps, TrainingDone, WeighIn
from mealplan.checkin.table.grid import text_of
from tests.mealplan.checkin.tables_as_kept import KEPT

TODAY = dt.date(2026, 11, 30)
NEAR = 0.002


def said_of(entry):
    """Give an entry as (day, kind, amount, fed)."""
    match entry:
        case WeighIn():
            return entry.on, "kg", entry.mass_kg, entry.conditions.fasted is False
        case Girth():
            return entry.on, entry.place, entry.length_cm, False
        case IntakeRecord():
            return entry.on, "kcal", entry.kcal, False
        case TrainingDone():
            return entry.on, "min", entry.minutes, False
        case Steps():
            return entry.on, "steps", entry.count, False


def expected(line):
    """Read one line of what a table says."""
    words = line.split()
    fed = words[-1] == "fed"
    words = words[:-1] if fed else words
    kind, amount = " ".join(words[1:-1]), float(words[-1])
    if kind == "lb":
        kind, amount = "kg", amount * 0.45359237
    return dt.date.fromisoformat(words[0]), kind, amount, fed


def same(one, other):
    day, kind, amount, fed = one
    if (day, kind, fed) != (other[0], other[1], other[3]) or other[2] is None:
        return False
    return abs(amount - other[2]) <= NEAR * abs(amount)


def read(kept):
    text = kept.text if isinstance(kept.text, str) else text_of(kept.text)
    return read_csv(text, expected_kg=kept.kg, today=TODAY)


def judged(kept):
    """Give what is missing of a table's readings, and what was read and does not stand there."""
    reading = read(kept)
    left = [said_of(entry) for entry in reading.entries]
    missing = []
    for line in kept.readings:
        found = next((one for one in left if same(expected(line), one)), None)
        if found is None:
            missing.append(line)
        else:
            left.remove(found)
    return missing, left


def asked_in(reading):
    """Give every cell and row that is asked about or left out with a reason."""
    rows = [u.row for u in reading.unread]
    return [d.cell for d in reading.doubts] + [c.strip() for row in rows for c in row]


@pytest.mark.parametrize("name", KEPT)
def test_every_reading_of_a_table_is_right_and_none_is_made_up(name):
    assert judged(KEPT[name]) == ([], [])


@pytest.mark.parametrize("name", [name for name in KEPT if KEPT[name].asked])
def test_every_doubtful_cell_is_asked(name):
    found = asked_in(read(KEPT[name]))
    assert [cell for cell in KEPT[name].asked if cell not in found] == []


@pytest.mark.parametrize("name", [name for name in KEPT if KEPT[name].columns])
def test_a_column_that_leaves_it_open_is_asked(name):
    guesses = read(KEPT[name]).open_guesses
    asked = {guess.topic for guess in guesses} | {guess.column for guess in guesses}
    assert set(KEPT[name].columns) <= asked


@pytest.mark.parametrize("name", KEPT)
def test_hardly_a_plain_cell_is_asked(name):
    reading = read(KEPT[name])
    wanted = KEPT[name].asked
    needless = [doubt for doubt in reading.doubts if doubt.cell not in wanted]
    assert len(needless) <= 1
