"""A table shared by clients: agreed by both coaches, seen as far as plates, erased one by one."""

import dataclasses
import datetime as dt

import pytest

from api.pages import tables
from api.security import accounts
from mealplan.client.read import parse_intake
from mealplan.store.records import KINDS, Seat, SharedTable
from tests.api.conftest import PASSWORD, records_for

pytestmark = pytest.mark.parametrize("store", ["memory"], indirect=True)


def eater(role, weight_kg, pal, **more):
    return parse_intake(
        {
            "schema_version": 1, "role": role, "sex": "female", "age_years": 31, "height_cm": 168,
            "weight_kg": weight_kg, "start": "2026-12-02", "goal": {"phase": "hold"},
            "activity": {"method": "multiplier", "pal": pal}, **more,
        }
    )  # fmt: skip


@pytest.fixture
def settings(settings):
    return dataclasses.replace(settings, accounts=True)


@pytest.fixture
def coaches(app, browse, store, clock):
    found = {}
    for login in ("north", "south"):
        made = accounts.add_coach(store, login, PASSWORD, clock.at)
        browser = browse(app)
        browser.post_form("/sign-in", login=login, password=PASSWORD)
        found[login] = (browser, records_for(app, made.id))
    return found


@pytest.fixture
def seated(coaches, monkeypatch):
    """North's rower and south's climber, who must not have gluten and is shown no numbers."""
    monkeypatch.setattr(tables, "PLANNED_DAYS", 1)
    (north, of_north), (south, of_south) = coaches["north"], coaches["south"]
    rower = of_north.clients.take_on(eater("harbour rower", 70, 1.9))
    climber = of_south.clients.take_on(
        eater("quiet climber", 54, 1.5, tastes={"allergies": ["gluten"]}, hide_numbers=True)
    )
    north.post_form(f"/clients/{rower.id}/table", do="lay", meals="dinner", guests="child 0.5 nuts")
    said = north.post_form(f"/clients/{rower.id}/table", do="offer").text
    offer = said.split("of their client: <strong>")[1].split("<")[0]
    taken = south.post_form(f"/clients/{climber.id}/table", do="accept", offer=offer)
    assert "harbour rower, quiet climber" in taken.text
    return rower, climber, offer


def linked(app, browse, records, client):
    token, _ = records.links.hand_out(client, 7)
    browser = browse(app)
    browser.get(f"/link/{token}")
    return browser


def test_two_coaches_clients_share_dinner_once_both_agreed(app, browse, coaches, seated):
    (north, of_north), (south, of_south) = coaches["north"], coaches["south"]
    rower, climber, offer = seated
    page = north.post_form(f"/clients/{rower.id}/table", do="plan").text
    assert "Cooking, for everyone at once" in page
    assert "quiet climber: " in page
    assert "% of the pot" in page
    days = []
    for records, client in ((of_north, rower), (of_south, climber)):
        client = records.clients.one(client.id)
        assert client.plan_number == 1
        running = records.plans.running(client)
        days.append(running.days[dt.date(2026, 12, 2)].day)
    dishes = [meal.dish for day in days for meal in day.meals if meal.occasion == "evening"]
    assert dishes[0] == dishes[1]

    # Each sees roles, plates and the one list: nothing else of the other.
    for browser, other in (
        (north, climber),
        (south, rower),
        (linked(app, browse, of_north, rower), climber),
        (linked(app, browse, of_south, climber), rower),
    ):
        mine = rower if other is climber else climber
        for address in (f"/clients/{mine.id}/table", f"/api/clients/{mine.id}/table"):
            answer = browser.get(address)
            assert answer.status_code == 200
            assert other.role in answer.text
            assert other.id not in answer.text
            assert "kcal" not in answer.text
            theirs = days[1] if other is climber else days[0]
            alone = {m.name for m in theirs.meals} - {
                m.name for day in days if day is not theirs for m in day.meals
            }
            assert alone
            assert not [name for name in alone if name in answer.text]
        assert browser.get(f"/clients/{other.id}/table").status_code == 404
        assert browser.get(f"/api/clients/{other.id}/table").status_code == 404
    assert (
        south.post_form(f"/clients/{climber.id}/table", do="accept", offer=offer).status_code > 399
    )


def test_erasing_one_leaves_the_others_days_and_the_table(coaches, seated, store):
    (north, of_north), (_, of_south) = coaches["north"], coaches["south"]
    rower, climber, _ = seated
    north.post_form(f"/clients/{rower.id}/table", do="plan")
    before = of_north.plans.running(of_north.clients.one(rower.id)).days
    assert of_south.file.export(climber)["Seat"][0]["place"] == 1
    of_south.file.erase(of_south.clients.one(climber.id))
    with store.reading() as unit:
        left = repr([record for kind in KINDS for record in unit.find(kind)])
        assert [seat.client_id for seat in unit.find(Seat)] == [rower.id]
    assert climber.id not in left
    assert "quiet climber" not in left.replace("harbour", "")
    assert of_north.plans.running(of_north.clients.one(rower.id)).days == before
    page = north.get(f"/clients/{rower.id}/table").text
    assert "quiet climber" not in page
    assert "Cooking, for everyone at once" in page
    north.post_form(f"/clients/{rower.id}/table", do="leave")
    with store.reading() as unit:
        assert not unit.find(Seat)
        assert not unit.find(SharedTable)


def test_nobody_sits_down_uninvited_and_a_refusal_tells_only_its_own_coach(coaches, seated):
    (north, _), (south, of_south) = coaches["north"], coaches["south"]
    rower, climber, _ = seated
    table = f"/clients/{rower.id}/table"
    assert north.post_form(table, do="seat", other=climber.id).status_code == 404
    lost = of_south.clients.take_on(eater("sprinter", 60, 1.6))
    wrong = south.post_form(f"/clients/{lost.id}/table", do="accept", offer="guessed")
    assert wrong.status_code == 404
    assert of_south.tables.of(lost) is None
    refused = eater("quiet climber", 54, 1.5, health=["pregnant"])
    of_south.intakes.amend(climber.id, refused, "told today", 1)
    answer = north.post_form(table, do="plan")
    assert answer.status_code >= 400
    assert "their own coach sees why" in answer.text
    assert "trimester" not in answer.text


def test_a_program_lays_plans_and_reads_a_table(coaches):
    north, records = coaches["north"]
    first, other = (
        records.clients.take_on(eater(role, 60, pal))
        for role, pal in (("first rower", 1.7), ("second rower", 1.5))
    )
    table = f"/api/clients/{first.id}/table"
    assert north.get(table).status_code == 404
    laid = north.put(table, json={"shared": ["dinner"], "guests": [{"label": "guest"}]})
    assert laid.json()["shared"] == ["dinner"]
    seats = north.post(f"{table}/seats", json={"client_id": other.id})
    assert seats.json()["eaters"] == ["first rower", "second rower"]
    assert north.post(f"{table}/seats", json={"client_id": other.id}).status_code == 422
    made = north.post(f"{table}/plans", json={"days": 1})
    assert made.status_code == 202
    body = north.get(table).json()
    assert body["shopping"]["people"] == 3
    assert len(body["pots"][0]["plates"]) == 3
    assert north.post(f"{table}/offers").status_code == 201
    assert north.delete(table).status_code == 204
    assert north.get(table).status_code == 404
    assert north.get(f"/api/clients/{other.id}/table").json()["eaters"] == ["second rower"]
