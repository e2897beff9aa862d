"""Pages are kept on a device only when its holder asks, and never for another."""

import dataclasses

import pytest

from api.app.app import create_app
from api.security import accounts
from mealplan.store.records import Link
from tests.api.conftest import PASSWORD, add_planned, records_for


@pytest.fixture
def guarded(settings, store, clock, lifter, planned):
    app = create_app(dataclasses.replace(settings, accounts=True), store)
    coach = accounts.add_coach(store, "north", PASSWORD, clock.now())
    client = add_planned(app, lifter, planned, coach.id)
    yield app, client
    app.state.service.jobs.close()


def linked(guarded, browse):
    app, client = guarded
    browser = browse(app)
    token, link = records_for(app, client.coach_id).links.hand_out(client, 7)
    browser.get(f"/link/{token}")
    return browser, link


def today(browser, client):
    return browser.get(f"/clients/{client.id}/today")


def test_nothing_is_kept_unless_it_is_asked_for(guarded, browse):
    browser, _ = linked(guarded, browse)
    _, client = guarded
    page = today(browser, client)
    assert page.headers["cache-control"] == "no-store"
    assert "kept-for" not in page.headers
    browser.post_form("/kept-copy", do="keep")
    kept = today(browser, client)
    assert kept.headers["cache-control"] == "no-store"
    assert kept.headers["kept-for"]
    browser.post_form("/kept-copy", do="drop")
    assert "kept-for" not in today(browser, client).headers


def test_a_copy_ends_with_its_link(guarded, browse, clock):
    browser, link = linked(guarded, browse)
    app, client = guarded
    browser.post_form("/kept-copy", do="keep")
    until = int(today(browser, client).headers["kept-until"]) / 1000
    assert until == pytest.approx(link.ends_at.timestamp(), abs=1)
    records_for(app, client.coach_id).links.take_back(client, link.id)
    browser.follow_redirects = False
    refused = today(browser, client)
    assert refused.status_code == 303
    assert refused.headers["clear-site-data"] == '"cache", "storage"'
    assert "kept-for" not in refused.headers


def test_a_copy_ends_when_numbers_are_hidden(guarded, browse):
    browser, _ = linked(guarded, browse)
    app, client = guarded
    browser.post_form("/kept-copy", do="keep")
    before = today(browser, client).headers["kept-for"]
    records = records_for(app, client.coach_id)
    hidden = records.intakes.in_force(client).model_copy(update={"hide_numbers": True})
    records.intakes.amend(client.id, hidden, "kept from them", 1)
    assert "kept-for" not in today(browser, client).headers
    browser.post_form("/kept-copy", do="keep")
    assert today(browser, client).headers["kept-for"] not in ("", before)


def test_another_link_or_sign_in_does_not_join_the_copy(guarded, browse, lifter, planned):
    browser, _ = linked(guarded, browse)
    app, client = guarded
    browser.post_form("/kept-copy", do="keep")
    other = add_planned(app, lifter, planned, client.coach_id)
    token, _ = records_for(app, client.coach_id).links.hand_out(other, 7)
    browser.follow_redirects = False
    opened = browser.get(f"/link/{token}")
    assert opened.headers["clear-site-data"] == '"cache", "storage"'
    assert "kept-for" not in today(browser, other).headers
    signed_in = browser.post_form("/sign-in", login="north", password=PASSWORD)
    assert signed_in.headers["clear-site-data"] == '"cache", "storage"'
    assert "kept-for" not in today(browser, client).headers


def test_a_client_can_have_a_device_forgotten(guarded, browse):
    browser, _ = linked(guarded, browse)
    app, client = guarded
    browser.post_form("/kept-copy", do="keep")
    page = browser.post_form("/forget")
    assert "holds no page and no link any more" in page.text
    assert "client_link" not in browser.cookies
    assert "kept_copy" not in browser.cookies
    assert "Sign in" in today(browser, client).text
    with app.state.service.store.reading() as unit:
        assert unit.find(Link, client_id=client.id)[0].revoked_at is None


def test_signing_out_lets_the_browser_go_of_everything(guarded, browse):
    app, _ = guarded
    browser = browse(app)
    browser.post_form("/sign-in", login="north", password=PASSWORD)
    browser.follow_redirects = False
    assert browser.post_form("/sign-out").headers["clear-site-data"] == '"cache", "storage"'
