"""Nobody reads or changes another's client, by any route there is."""

import dataclasses
import re

import pytest

from api.security import accounts
from mealplan.checkin.log.entries import ENTRY
from mealplan.store.records import KINDS
from tests.api.conftest import PASSWORD, a_job, add_planned, records_for, routes

OPEN = {
    "/static/{name}", "/service-worker.js", "/offline", "/favicon.ico", "/health", "/sign-in",
    "/api/sign-in", "/link/{token}", "/metrics", "/forgotten", "/link-over",
}  # fmt: skip
"""Addresses that need no sign-in."""

ROUTES = sorted((method, route.path) for route in routes() for method in route.methods)
SECRET = "harbour pilot of north"

FORM = {
    "on": "2026-11-30", "value": "90", "unit": "kg", "why": "mine now", "adherence": "other",
    "first": "2026-12-07", "days": "7", "was": "1", "do": "another", "foods": "banana 120",
    "reason": "mine now", "sure": SECRET, "pasted": "{}",
}  # fmt: skip


@pytest.fixture
def settings(settings):
    return dataclasses.replace(settings, accounts=True)


@pytest.fixture
def theirs(app, store, clock, lifter, planned):
    """North's client, with a link and a plan in the making."""
    coach = accounts.add_coach(store, "north", PASSWORD, clock.at)
    client = add_planned(app, lifter.model_copy(update={"role": SECRET}), planned, coach.id)
    _, link = records_for(app, coach.id).links.hand_out(client, 7)
    solve = a_job(app, client, what=SECRET, by=SECRET)
    entry = ENTRY.validate_python({"kind": "weigh-in", "on": "2026-11-30", "value": 80})
    records = records_for(app, coach.id)
    records.log.add(client, [entry])
    return {
        "client_id": client.id,
        "link_id": link.id,
        "solve_id": solve.id,
        "entry_id": records.log.read(client).entries[0].id,
    }


@pytest.fixture
def south(app, store, clock, lifter, planned):
    return accounts.add_coach(store, "south", PASSWORD, clock.at)


@pytest.fixture
def coach_of_south(app, browse, south, theirs):
    browser = browse(app)
    browser.post_form("/sign-in", login="south", password=PASSWORD)
    return browser


@pytest.fixture
def client_of_north(app, browse, store, lifter, planned, theirs):
    """Another client of the same coach, in by a link."""
    owner = records_for(app).store
    with owner.reading() as unit:
        from mealplan.store.records import Client

        coach_id = unit.get(Client, theirs["client_id"]).coach_id
    records = records_for(app, coach_id)
    other = add_planned(app, lifter, planned, coach_id)
    token, _ = records.links.hand_out(other, 7)
    browser = browse(app)
    browser.get(f"/link/{token}")
    return browser


def filled(path, theirs):
    values = theirs | {
        "date": "2026-12-01",
        "key": "own-harbour-plate" if "/dishes/" in path else "own_harbour_burger",
        "slot": "0",
        "name": "sheet.css",
        "token": "x" * 32,
        "form_name": "weigh-in",
    }
    return re.sub(r"\{(\w+)\}", lambda match: values.get(match[1], "x" * 32), path)


def bodies(path, lifter):
    intake = lifter.model_dump(mode="json")
    if path.endswith("/api/targets"):
        return intake
    if path.endswith("/log"):
        return {"entries": [{"kind": "weigh-in", "on": "2026-11-30", "value": 90}]}
    if path.endswith("/withdraw"):
        return {"why": "mine now"}
    if path.endswith("/decisions"):
        return {"action": "decline", "reason": "mine now"}
    if path == "/api/roster-plans":
        return {"first": "2026-12-07"}
    if path.endswith("/intake") or path == "/api/clients":
        return {"intake": intake, "reason": "mine now"}
    return {}


def ask(browser, method, path, theirs, lifter):
    address = filled(path, theirs)
    if method in ("GET", "DELETE"):
        return browser.request(method, address, headers={"If-Match": "*"})
    if path.startswith("/api/"):
        return browser.request(
            method, address, json=bodies(path, lifter), headers={"If-Match": "*"}
        )
    return browser.post_form(address, **FORM)


def everything(store, client_id):
    with store.reading() as unit:
        return {
            kind: tuple(
                r for r in unit.find(kind) if client_id in (r.id, getattr(r, "client_id", ""))
            )
            for kind in KINDS
        }


def check(browser, theirs, store, lifter, method, path):
    before = everything(store, theirs["client_id"])
    answer = ask(browser, method, path, theirs, lifter)
    names_one = "{client_id}" in path or "{solve_id}" in path
    if names_one:
        assert answer.status_code in (403, 404), answer.text
    assert "guard does not match" not in answer.text  # else the route itself was not tried
    assert SECRET not in answer.text
    assert theirs["client_id"] not in answer.text.replace(filled(path, theirs), "") or names_one
    assert everything(store, theirs["client_id"]) == before


@pytest.mark.parametrize("store", ["memory"], indirect=True)
@pytest.mark.parametrize(("method", "path"), ROUTES)
def test_a_coach_reaches_no_client_of_another(coach_of_south, theirs, store, lifter, method, path):
    check(coach_of_south, theirs, store, lifter, method, path)


@pytest.mark.parametrize("store", ["memory"], indirect=True)
@pytest.mark.parametrize(("method", "path"), ROUTES)
def test_a_link_shows_no_other_client(client_of_north, theirs, store, lifter, method, path):
    check(client_of_north, theirs, store, lifter, method, path)


@pytest.mark.parametrize("store", ["memory"], indirect=True)
@pytest.mark.parametrize(("method", "path"), ROUTES)
def test_nobody_gets_anywhere_without_a_sign_in(app, browse, theirs, store, lifter, method, path):
    browser = browse(app)
    browser.get("/sign-in")
    browser.follow_redirects = False
    before = everything(store, theirs["client_id"])
    answer = ask(browser, method, path, theirs, lifter)
    assert SECRET not in answer.text
    assert everything(store, theirs["client_id"]) == before
    if path.startswith("/api/") and path not in OPEN:
        assert answer.status_code == 401
    elif path not in OPEN:
        assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in")


@pytest.mark.parametrize("store", ["memory"], indirect=True)
@pytest.mark.parametrize(
    ("method", "path"),
    [route for route in ROUTES if route[0] == "POST" and "/api/" not in route[1]],
)
def test_no_form_is_taken_without_its_guard(
    app, browse, coach_of_south, store, method, path, theirs
):
    answer = coach_of_south.post(filled(path, theirs), data=FORM)
    assert answer.status_code in (403, 404)
    answer = coach_of_south.post(filled(path, theirs), data=FORM | {"guard": "guessed"})
    assert answer.status_code in (403, 404)


def test_there_are_routes_to_try():
    # source: common practice (a generated test that generates nothing proves nothing)
    assert len(ROUTES) > 50
