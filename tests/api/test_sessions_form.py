"""The training week as rows: read as typed, a fault beside its box, nothing typed lost."""

import re

import pytest

from api.forms.sessions import WORDS, name_of, read_rows, rows_of, shown_rows
from mealplan.physiology.tables import activities
from tests.api.conftest import records_for
from tests.api.test_coach_pages import FORM


def row(number, **parts):
    return {name_of(number, part): (text,) for part, text in parts.items()}


def test_a_row_is_read_with_its_sport_found_by_words():
    typed = row(0, day="mon", sport="easy run", minutes="45", hard="light", time="17:30")
    sessions, faults = read_rows(typed)
    assert faults == {}
    (one,) = sessions
    # source: published (compendium of physical activities, code 12029)
    assert one["activity"] == WORDS["easy run"] == "12029"
    assert (one["day"], one["minutes"], one["load"], one["time"]) == ("mon", 45, "light", "17:30")


def test_one_row_may_stand_for_several_days_and_empty_rows_for_none():
    typed = row(0, day="tue and fri", sport="strength", minutes="1 h 30") | row(3, hard="hard")
    sessions, faults = read_rows(typed)
    assert faults == {}
    assert [(s["day"], s["minutes"]) for s in sessions] == [("tue", 90), ("fri", 90)]
    assert rows_of(typed) == 4


@pytest.mark.parametrize(
    ("part", "text", "about"),
    [
        ("day", "", "which day"),
        ("day", "someday", "day"),
        ("sport", "", "what it is"),
        ("sport", "zorbing", "one sport"),
        ("minutes", "", "how long"),
        ("minutes", "a while", ""),
        ("hard", "like mad", "choose one"),
    ],
)
def test_a_fault_stands_at_the_box_it_is_about(part, text, about):
    typed = row(0, day="mon", sport="easy run", minutes="45") | row(0, **{part: text})
    sessions, faults = read_rows(typed)
    assert sessions == []
    assert list(faults) == [name_of(0, part)]
    assert about in faults[name_of(0, part)]


@pytest.mark.parametrize("code", sorted(set(WORDS.values())))
def test_what_a_row_shows_reads_back_as_the_same_session(code):
    session = {"day": "sat", "activity": code, "minutes": 50, "load": "hard", "time": "09:00"}
    assert code in activities()
    read, faults = read_rows(shown_rows([session]))
    assert faults == {}
    assert read == [session]


@pytest.mark.parametrize("store", ["memory"], indirect=True)
def test_rows_that_do_not_read_come_back_with_what_was_typed(app, browser):
    rows = row(0, day="mon", sport="easy run", minutes="45")
    rows |= row(1, day="wed", sport="zorbing", minutes="60")
    fields = {**FORM, **{name: list(values) for name, values in rows.items()}}
    fields.pop("activity.sessions")
    page = browser.post_form("/clients", **fields)
    assert page.status_code == 422
    assert re.search(r'name="session.1.sport" value="zorbing"[^>]*aria-invalid="true"', page.text)
    assert 'value="easy run"' in page.text
    fields["session.1.sport"] = "swim"
    assert browser.post_form("/clients", **fields).status_code == 200
    (client,) = records_for(app).clients.all()
    kept = records_for(app).intakes.in_force(client).activity.sessions
    assert [(one.day, one.activity) for one in kept] == [("mon", "12029"), ("wed", "18240")]
    again = browser.get(f"/clients/{client.id}/amend").text
    assert 'name="session.1.sport" value="swim"' in again
