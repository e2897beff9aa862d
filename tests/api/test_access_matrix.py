"""All routes, all kinds of people, own, foreign and made-up identifiers, on every store."""

import dataclasses
import sys

import pytest

from api.app.app import create_app
from api.security import accounts
from mealplan.menu.week import make_plan
from mealplan.targets.make import make_targets
from tests.api.conftest import PASSWORD, add_planned, records_for
from tests.api.test_isolation import (
    OPEN,
    ROUTES,
    SECRET,
    ask,
    everything,
    settings,  # noqa: F401  (accounts are on)
    theirs,  # noqa: F401
)

pytestmark = pytest.mark.study

LEAVING = {"/sign-out", "/api/sign-in", "/forget", "/kept-copy", "/account/sign-ins"}
"""Writes that would end the very sign-in that the next attempt needs."""


class Unserved:
    """Jobs that nobody carries out: whether a route lets someone in does not hang on them."""

    def submit(self, job):
        return job

    def stop(self, job):
        return None

    def close(self):
        return None


@pytest.fixture
def app(settings, store):  # noqa: F811
    return create_app(dataclasses.replace(settings, patience_s=0.0), store, Unserved())


@pytest.fixture(scope="module")
def planned(lifter):
    return make_plan(lifter, make_targets(lifter), days=1).model_dump_json()


def linked(app, browse, client, days=7):
    records = records_for(app, client.coach_id)
    token, link = records.links.hand_out(client, days)
    browser = browse(app)
    browser.get(f"/link/{token}")
    return browser, link, records


@pytest.fixture
def people(app, browse, store, clock, lifter, planned, theirs):  # noqa: F811
    """Everyone who is not theirs: a name and a browser each, and a client that is the asker's."""
    south = accounts.add_coach(store, "south", PASSWORD, clock.at)
    own = add_planned(app, lifter, planned, south.id)
    north = next(one for one in accounts.accounts(store) if one.login == "north")
    beside = add_planned(app, lifter, planned, north.id)
    found = {}
    found["another coach"] = browse(app)
    found["another coach"].post_form("/sign-in", login="south", password=PASSWORD)
    program = browse(app)
    token = program.post("/api/sign-in", json={"login": "south", "password": PASSWORD}).json()
    program.cookies.clear()
    program.headers["authorization"] = f"Bearer {token['token']}"
    found["another coach's program"] = program
    found["another client of the same coach"], _, _ = linked(app, browse, beside)
    found["a client of another coach"], _, _ = linked(app, browse, own)
    target = records_for(app, north.id).clients.one(theirs["client_id"])
    over, link, records = linked(app, browse, target)
    records.links.take_back(target, link.id)
    found["their link, taken back"] = over
    gone = browse(app)
    gone.post_form("/sign-in", login="north", password=PASSWORD)
    cookie = gone.cookies["sign_in"]
    gone.post_form("/sign-out")
    gone.cookies.set("sign_in", cookie)
    found["their coach, signed out"] = gone
    found["nobody"] = browse(app)
    return found, own


def shown(answer):
    return answer.status_code, answer.headers.get("content-type", "").partition(";")[0]


def test_no_route_leads_anyone_to_anothers_client(app, people, store, lifter, theirs, capsys):  # noqa: F811
    found, own = people
    before = everything(store, theirs["client_id"])
    made_up = {name: "x" * len(value) for name, value in theirs.items()}
    mine = theirs | {"client_id": own.id}
    attempts, leaks = 0, []
    for who, browser in found.items():
        browser.follow_redirects = False
        for method, path in ROUTES:
            if path in LEAVING and method != "GET":
                continue
            names_one = "{client_id}" in path or "{solve_id}" in path
            answers = [ask(browser, method, path, ids, lifter) for ids in (theirs, made_up)]
            if names_one:
                answers.append(ask(browser, method, path, mine, lifter))
            attempts += len(answers)
            said = "".join(one.text for one in answers)
            first = answers[0]
            # An identifier that was asked for may be repeated: "there is no client X here".
            if SECRET in said or (not names_one and theirs["client_id"] in said):
                leaks.append((who, method, path, "their words or identifier"))
            if names_one and shown(first) != shown(answers[1]):
                leaks.append((who, method, path, "a foreign identifier reads as another"))
            if names_one and first.status_code not in (303, 401, 403, 404):
                leaks.append((who, method, path, f"answered {first.status_code}"))
            if who == "nobody" and path not in OPEN and first.status_code not in (303, 401):
                leaks.append((who, method, path, f"answered {first.status_code}"))
            if any(one.status_code >= 500 for one in answers):
                leaks.append((who, method, path, "a fault"))
            if not path.startswith("/api/") and not names_one and method == "POST":
                browser.get("/sign-in")  # a form may have ended what the next one needs
    after = everything(store, theirs["client_id"])
    with capsys.disabled():
        kind = type(store).__name__
        sys.stdout.write(f"\n{kind}: {attempts} attempts, {len(leaks)} leaks {leaks[:30]}\n")
    assert not leaks
    assert after == before
    assert attempts > 1_500
