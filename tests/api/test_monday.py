"""The coach's Monday: a line a client, decided and planned in place, all that agree at once."""

import datetime as dt
import re
import time

import pytest

from mealplan.checkin.log.entries import ENTRY
from tests.api.conftest import add_planned, records_for
from tests.api.test_checkins import history

MOST_PRESSES = 60
"""A Monday with thirty clients takes no more."""


@pytest.fixture(autouse=True)
def one_day(monkeypatch):
    """Plan a day where the roster plans a week: what is tested does not hang on how many."""
    monkeypatch.setattr("api.pages.monday.PLANNED_DAYS", 1)


@pytest.fixture
def slow(app, lifter, planned, clock):
    """Add clients whose gain is too slow for their plan, so that a move is proposed."""
    clock.at += dt.timedelta(days=84)

    def add(count):
        found = []
        for number in range(count):
            role = f"rower {number}"
            client = add_planned(app, lifter.model_copy(update={"role": role}), planned)
            entries = [
                ENTRY.validate_python(entry) for entry in history(84, -0.25, seed=number + 1)
            ]
            records_for(app).log.add(client, entries)
            records_for(app).decisions.standing(client)
            found.append(client.id)
        return found

    return add


def ticked(page):
    return re.findall(r'name="agree" value="([^"]+)" checked', page)


def planned_again(app, client_id, plan_number=2):
    """The client once the days asked for are planned; gives up after half a minute."""
    for _ in range(300):
        fresh = records_for(app).clients.one(client_id)
        if fresh.plan_number == plan_number:
            return fresh
        time.sleep(0.1)
    raise AssertionError("the days were not planned")


def test_a_proposal_stands_on_the_roster_with_its_trend_and_can_be_taken_there(app, browser, slow):
    (client,) = slow(1)
    page = browser.get("/").text
    (choice,) = ticked(page)
    assert re.search(r"[−+]\d\.\d\d kg a week", page)
    _, was, seen = choice.split()
    page = browser.post_form("/roster/decide", client=client, do="accept", was=was, seen=seen).text
    assert "kcal a day from now on; 1 day from" in page
    fresh = planned_again(app, client)
    assert fresh.intake_number == 2
    assert records_for(app).plans.kept(fresh).intake_number == 2
    assert ticked(browser.get("/").text) == []


def test_a_decline_needs_a_reason_and_plans_nothing(app, browser, slow):
    (client,) = slow(1)
    _, was, seen = ticked(browser.get("/").text)[0].split()
    fields = {"client": client, "do": "decline", "was": was, "seen": seen}
    assert "nothing decided" in browser.post_form("/roster/decide", **fields).text
    assert "declined" in browser.post_form("/roster/decide", reason="a holiday", **fields).text
    assert records_for(app).clients.one(client).plan_number == 1


def test_all_that_are_ticked_are_accepted_and_planned_in_one_press(app, browser, slow):
    slow(3)
    choices = ticked(browser.get("/").text)
    assert len(choices) == 3
    page = browser.post_form("/roster/agree", agree=choices).text
    assert page.count("is being planned") == 3
    # One press for the whole page: thirty clients take far fewer than sixty.
    assert MOST_PRESSES >= 1 + 30
    again = browser.post_form("/roster/agree", agree=choices).text
    assert again.count("nothing decided") == 3


def test_nothing_ticked_and_made_up_ticks_are_refused(browser, client):
    assert "no proposal is ticked" in browser.post_form("/roster/agree").text
    assert browser.post_form("/roster/agree", agree="x y z").status_code == 403
    assert browser.post_form("/roster/decide", client=client.id, do="cake").status_code == 403


def test_a_plan_from_older_targets_says_so_and_is_planned_again_from_its_start(
    app, browser, client, lifter, monkeypatch
):
    monkeypatch.setattr("api.pages.monday.PLANNED_DAYS", 5)  # all that is open of the week
    records = records_for(app)
    records.intakes.amend(client.id, lifter.model_copy(update={"age_years": 29}), "birthday", 1)
    assert "plan from older targets" in browser.get("/").text
    assert "Made from older targets" in browser.get(f"/clients/{client.id}").text
    assert "from older targets" in browser.get(f"/clients/{client.id}/today").text
    page = browser.post_form("/roster/decide", client=client.id, do="plan").text
    assert "5 days from Wednesday 02 December are being planned" in page
    planned_again(app, client.id)
    assert "plan from older targets" not in browser.get("/").text
