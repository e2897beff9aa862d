"""A change is looked at before it is kept: nothing moves until then, and it can be left."""

import re

import pytest

from tests.api.conftest import records_for
from tests.mealplan.store.memory import MemoryStore

DAY = "2026-12-01"


@pytest.fixture(params=["memory"])
def store(request):
    return MemoryStore()


@pytest.fixture(autouse=True)
def before_breakfast(clock):
    """No meal of the day has passed yet."""
    clock.at = clock.at.replace(hour=5)


def days_of(app, client):
    return {d: held.day for d, held in records_for(app).plans.running(client).days.items()}


def looked_at(browser, client):
    page = browser.post_form(f"/clients/{client.id}/days/{DAY}/another", was="1", look="yes")
    assert "What would change" in page.text
    return page, re.search(r"/solves/(\w+)/keep", page.text)[0]


def test_another_day_is_shown_before_it_is_kept_and_then_kept_as_shown(app, browser, client):
    before = days_of(app, client)
    page, keep = looked_at(browser, client)
    assert days_of(app, client) == before
    offered = re.findall(r"<ins>([^<]+)</ins>", page.text)
    assert offered
    browser.post_form(keep, do="keep")
    fresh = records_for(app).clients.one(client.id)
    assert fresh.plan_number == 2
    names = [meal.name for day in days_of(app, fresh).values() for meal in day.meals]
    assert set(offered) <= set(names)
    browser.post_form(keep, do="keep")
    assert records_for(app).clients.one(client.id).plan_number == 2


def test_a_change_that_is_left_changes_nothing(app, browser, client):
    before = days_of(app, client)
    _, keep = looked_at(browser, client)
    browser.post_form(keep, do="leave")
    assert records_for(app).clients.one(client.id).plan_number == 1
    assert days_of(app, client) == before


def test_a_change_looked_at_too_long_is_not_kept_over_a_newer_one(app, browser, client):
    _, keep = looked_at(browser, client)
    browser.post_form(f"/clients/{client.id}/days/{DAY}/another", was="1")
    now = days_of(app, records_for(app).clients.one(client.id))
    answer = browser.post_form(keep, do="keep")
    assert answer.status_code == 412
    assert days_of(app, records_for(app).clients.one(client.id)) == now


def test_a_week_planned_again_is_looked_at_day_by_day(app, browser, client):
    fields = {"first": "2026-12-05", "days": "2", "do": "look"}
    page = browser.post_form(f"/clients/{client.id}/plans", **fields)
    assert "What would change" in page.text
    shown = re.findall(r"<h2>(\w+day \d+ December)", page.text)
    assert shown[-2:] == ["Saturday 05 December", "Sunday 06 December"]
    # An earlier day is shown only where its pot no longer feeds one of these two.
    assert page.text.count("(2 now)") + page.text.count("(3 now)") >= len(shown) - 2
    assert records_for(app).clients.one(client.id).plan_number == 1
    browser.post_form(re.search(r"/solves/(\w+)/keep", page.text)[0], do="keep")
    fresh = records_for(app).clients.one(client.id)
    assert fresh.plan_number == 2
    assert len(days_of(app, fresh)) == 7
