"""What comes through the door: shape before content, and the same headers on every answer."""

import asyncio
import json
import logging

import pytest

from api.app.door import DEEPEST_JSON, HEADERS, Door
from mealplan.store.sql import SqlStore
from tests.api.conftest import alert, records_for


@pytest.fixture
def store(tmp_path):
    opened = SqlStore(f"sqlite:///{tmp_path / 'plans.sqlite'}")
    yield opened
    opened.close()


def dressed(answer):
    return {name: answer.headers.get(name) for name in HEADERS} == HEADERS


def test_every_answer_is_dressed_a_mistake_of_our_own_included(app, browser, monkeypatch, caplog):
    secret = "weighs 80.5 kg"

    def broken(*_, **__):
        raise ZeroDivisionError(secret)

    monkeypatch.setattr("api.records.roster.Roster.page", broken)
    with caplog.at_level(logging.DEBUG):
        answer = browser.get("/")
    assert answer.status_code == 500
    assert dressed(answer)
    assert dressed(browser.get("/nowhere"))
    assert dressed(browser.get("/", headers={"host": "elsewhere"}))
    assert secret not in caplog.text
    assert "ZeroDivisionError" in caplog.text


@pytest.mark.parametrize(
    ("cookie", "field"), [("", ""), ("", "x" * 24), ("x" * 24, ""), ("x" * 24, "y" * 24)]
)
def test_a_form_is_refused_unless_cookie_and_field_hold_the_same_guard(browser, cookie, field):
    browser.cookies.clear()
    headers = {"cookie": f"guard={cookie}"} if cookie else {}
    answer = browser.post("/clients", data={"guard": field, "role": "rower"}, headers=headers)
    assert answer.status_code == 403
    assert "guard does not match" in answer.text


def test_a_database_that_went_away_is_said_with_when_to_come_back(app, browser, client, store):
    with store.engine.begin() as connection:
        connection.exec_driver_sql("alter table client rename to away")
    for address in ("/", f"/api/clients/{client.id}"):
        answer = browser.get(address)
        assert answer.status_code == 503
        assert answer.headers["retry-after"] == "5"
        assert dressed(answer)


def test_what_fails_in_the_database_is_not_quoted_in_the_log(app, browser, store, caplog):
    with store.engine.begin() as connection:
        connection.exec_driver_sql("create trigger no before insert on intake_version begin "
                                   "select raise(abort, 'no'); end")  # fmt: skip
    records = records_for(app)
    from mealplan.demo.folders import demo_intake

    marked = demo_intake("club-lifter").model_copy(update={"role": "marker lifter"})
    with caplog.at_level(logging.DEBUG):
        answer = browser.post(
            "/api/clients", json={"intake": json.loads(marked.model_dump_json()), "reason": "x"}
        )
    assert answer.status_code == 409
    assert "marker lifter" not in caplog.text + answer.text
    assert records.clients.all() == ()


DEEP = "[" * 100_000
SHAPES = [
    DEEP,
    '{"a":' * (DEEPEST_JSON + 1) + "1" + "}" * (DEEPEST_JSON + 1),
    '{"intake": ' + "9" * 5000 + "}",
    '{"reason": "a\\u0000b"}',
    "[" + "1," * 200_000 + "1]",
    '"' * 100_001,
    "\x00",
    '{"reason": "\\ud800"}',
    '{"intake": 1e999999}',
]


@pytest.mark.parametrize("place", range(len(SHAPES)))
def test_bodies_of_no_shape_of_ours_are_refused(browser, client, place):
    body = SHAPES[place]
    for method, address in (
        ("POST", "/api/clients"),
        ("PUT", f"/api/clients/{client.id}/intake"),
        ("POST", f"/api/clients/{client.id}/log"),
    ):
        answer = browser.request(
            method,
            address,
            content=body.encode(),
            headers={"content-type": "application/json", "if-match": '"1"'},
        )
        assert answer.status_code == 422, answer.text[:300]
        assert dressed(answer)


@pytest.mark.parametrize(
    "tail",
    [
        "days/9999-12-31",
        "days/0001-01-01",
        "days/99999-01-01",
        "plan?number=99999999999999999999",
        "plan?number=-99999999999999999999",
        "intake?number=9223372036854775808",
        "review?start=9999-12-31",
        "days/2026-11-30/meals/99999999999999999999",
        "intake?number=" + "1" * 3000,
        "%00",
        "plan?number=%00",
    ],
)
def test_numbers_and_dates_beyond_reckoning_are_no_mistake_of_ours(browser, client, tail):
    for root in ("/clients", "/api/clients"):
        answer = browser.get(f"{root}/{client.id}/{tail}")
        assert answer.status_code in (404, 422), (answer.status_code, answer.text[:300])


def test_form_fields_longer_than_anyone_types_are_refused(browser, client):
    answer = browser.post_form(
        f"/clients/{client.id}/days/2026-11-30/meals/0/eaten", foods="1" * 30_000, was="1"
    )
    assert answer.status_code == 422
    assert "shorten" in alert(answer.text)
    answer = browser.post_form(
        f"/clients/{client.id}/days/2026-11-30/meals/0/eaten", foods="a\0b 10", was="1"
    )
    assert answer.status_code == 422


@pytest.mark.parametrize("header", ["forwarded", "x-forwarded-for", "x-real-ip", "via"])
def test_without_accounts_nothing_comes_in_through_a_proxy(browser, header):
    answer = browser.get("/", headers={header: "203.0.113.9"})
    assert answer.status_code == 403
    assert "mealplan coach add" in answer.text


def ask(app, settings, messages, method="POST"):
    """Drive the door itself: what it is sent, and what it answers."""
    sent = []

    async def receive():
        if messages:
            return messages.pop(0)
        await asyncio.sleep(60)
        raise AssertionError

    async def send(message):
        sent.append(message)

    scope = {
        "type": "http", "method": method, "path": "/api/clients", "query_string": b"",
        "headers": [
            (b"host", b"testserver"), (b"content-length", b"10"),
            (b"content-type", b"application/json"),
        ],
        "app": app, "scheme": "http", "server": ("testserver", 80), "client": ("127.0.0.1", 1),
        "http_version": "1.1", "root_path": "", "raw_path": b"/api/clients", "extensions": {},
    }  # fmt: skip
    asyncio.run(Door(app, settings)(scope, receive, send))
    return sent


def test_a_body_that_trickles_is_cut_off(app, settings, monkeypatch):
    monkeypatch.setattr("api.app.door.LONGEST_BODY_WAIT_S", 0.05)
    sent = ask(app, settings, [{"type": "http.request", "body": b"{", "more_body": True}])
    assert sent[0]["status"] == 408


def test_an_answer_that_takes_too_long_is_given_up(settings, app):
    import dataclasses

    async def slow(scope, receive, send):
        await asyncio.sleep(0.3)
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"late"})

    class Slow:
        state = app.state

        async def __call__(self, scope, receive, send):
            await slow(scope, receive, send)

    quick = dataclasses.replace(settings, longest_s=0.05)
    sent = ask(Slow(), quick, [], method="GET")
    assert [message.get("status") for message in sent] == [503, None]
    assert b"late" not in b"".join(message.get("body", b"") for message in sent)


def test_metrics_are_for_this_machine_alone(app, browser, client):
    told = browser.get("/metrics").text
    assert 'mealplan_jobs{state="waiting"} 0' in told
    assert "mealplan_clients 1" in told
    assert client.id not in told


def test_units_are_printed(capsys):
    from mealplan.cli.main import main

    for name, said in (("service", "ExecStart="), ("work", "mealplan work"), ("nginx", "upstream")):
        assert main(["serve", "--print-unit", name]) == 0
        assert said in capsys.readouterr().out
