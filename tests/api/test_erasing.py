"""Erasing erases: records, replies, caches, the file itself, and whatever a backup brings back."""

import dataclasses
import datetime as dt
import json
import types

import pytest
from sqlalchemy import text

from api.app.app import create_app
from api.records.reading import plan_of, targets_of
from api.records.readings import keep, kept_for
from mealplan.checkin.log.entries import WeighIn
from mealplan.store.backup import ERASED_FILE, backup, restore
from mealplan.store.records import (
    KINDS,
    OF_A_CLIENT,
    Client,
    Coach,
    Job,
    Link,
    Reply,
    Seat,
    SignIn,
    Snapshot,
    Tombstone,
    new_id,
)
from mealplan.store.sql import SqlStore
from tests.api.conftest import NOW, add_planned, intake_json, records_for
from tests.mealplan.store.memory import MemoryStore

MARKER = "zebrafinch"


@pytest.fixture
def marked(app, browser, lifter, planned):
    """A client whose every record holds the marker."""
    intake = lifter.model_copy(update={"role": f"{MARKER} lifter"})
    client = add_planned(app, intake, planned.replace("lifter", MARKER))
    records = records_for(app)
    records.intakes.amend(client.id, intake, f"{MARKER} amended", 1)
    client = records.clients.one(client.id)
    records.log.add(client, [WeighIn(on=NOW.date(), mass_kg=80.5, note=MARKER)])
    records.marks.say(client, dt.date(2026, 11, 30), 0, "ate else", MARKER)
    records.ticks.say(client, dt.date(2026, 11, 30), MARKER, "bought")
    records.links.hand_out(client, 7)
    records.notes.write(client, f"{MARKER} sleeps badly", shown=False)
    records.decisions.decide(client, "decline", reason=MARKER, step_kcal=None, was=2)
    records.decisions.standing(records.clients.one(client.id))
    for key in ("one", "two"):
        answer = browser.post(
            f"/api/clients/{client.id}/log",
            json={
                "entries": [{"kind": "weigh-in", "on": "2026-11-30", "value": 80.1, "note": MARKER}]
            },
            headers={"Idempotency-Key": key},
        )
        assert answer.status_code == 201, answer.text
    records.decisions.standing(records.clients.one(client.id))
    with app.state.service.store.writing() as unit:
        # What these keep by themselves quotes nothing that anyone typed.
        (link,), (snapshot,) = unit.find(Link), unit.find(Snapshot)
        unit.change(dataclasses.replace(link, made_by=MARKER))
        unit.change(dataclasses.replace(snapshot, body=f'{{"said": "{MARKER}"}}'))
        unit.add(Seat(new_id(), NOW, client.id, MARKER, 0))
        unit.add(
            Job(
                id=new_id(),
                made_at=NOW,
                coach_id=client.coach_id,
                client_id=client.id,
                asker="coach",
                by_link=False,
                by="coach",
                task="day",
                what=f"a day for {MARKER}",
                back_to="/",
                wish=json.dumps({"eaten": MARKER}),
                error=MARKER,
            )
        )
    return records.clients.one(client.id)


def every_record(store):
    with store.reading() as unit:
        return [record for kind in KINDS for record in unit.find(kind)]


def hits(store):
    return [record for record in every_record(store) if MARKER in repr(record)]


def test_there_is_something_to_erase_in_every_kind(app, marked):
    found = {type(record).__name__ for record in hits(app.state.service.store)}
    assert found == {kind.__name__ for kind in OF_A_CLIENT} | {"Client"}


def test_nothing_of_an_erased_client_is_left(app, browser, marked, tmp_path):
    store = app.state.service.store
    with store.reading() as unit:
        jobs = [job.id for job in unit.find(Job)]
    keep(marked.id, types.SimpleNamespace(said=MARKER))
    assert browser.delete(
        f"/api/clients/{marked.id}", headers={"if-match": f'"{marked.intake_number}"'}
    ).status_code == 204  # fmt: skip
    assert hits(store) == []
    assert kept_for(marked.id) is None
    gone = [f"/api/clients/{marked.id}/export", f"/clients/{marked.id}/export.json"]
    for address in [*gone, *(f"/api/solves/{id_}" for id_ in jobs)]:
        assert browser.get(address).status_code == 404, address
    assert not [r for r in every_record(store) if marked.id in repr(r)]
    assert targets_of.cache_info().currsize == plan_of.cache_info().currsize == 0
    answer = browser.post(
        f"/api/clients/{marked.id}/log",
        json={"entries": [{"kind": "weigh-in", "on": "2026-11-30", "value": 80.1, "note": MARKER}]},
        headers={"Idempotency-Key": "one"},
    )
    assert answer.status_code == 404
    if isinstance(store, SqlStore) and store.engine.dialect.name == "sqlite":
        path = tmp_path / "plans.sqlite"
        for file in (path, path.with_name(path.name + "-wal")):
            assert MARKER.encode() not in (file.read_bytes() if file.exists() else b"")
    elif isinstance(store, SqlStore):
        with store.engine.connect() as connection:
            tables = connection.execute(
                text("select schemaname, tablename from pg_tables where schemaname !~ '^(pg_|inf)'")
            ).all()
            assert len(tables) >= len(KINDS)
            for schema, table in tables:
                rows = connection.execute(text(f'select t::text from {schema}."{table}" t'))
                assert not [row for row in rows if MARKER in row[0]]


def test_every_kind_that_names_a_client_is_erased_with_them():
    naming = {
        kind for kind in KINDS if "client_id" in {item.name for item in dataclasses.fields(kind)}
    }
    assert naming == set(OF_A_CLIENT)


@pytest.mark.parametrize("where", ["the same machine", "another machine"])
def test_an_older_backup_brings_no_erased_client_back(app, browser, marked, tmp_path, where):
    service = app.state.service
    folder = tmp_path / "kept"
    folder.mkdir()
    backup(service.store, folder / "monday.backup", NOW)
    records_for(app).file.erase(marked)
    other = tmp_path / "elsewhere.sqlite"
    store = service.store if where == "the same machine" else SqlStore(f"sqlite:///{other}")
    restore(store, folder / "monday.backup", replace=True)
    assert hits(store) == []
    if where == "another machine":
        assert not any(MARKER.encode() in file.read_bytes() for file in tmp_path.glob("elsewhere*"))
    with store.reading() as unit:
        assert unit.count(Client) == 0
        assert unit.count(Tombstone) == 1
    # and a backup made after it says so by itself, wherever it is brought back
    backup(store, folder / "tuesday.backup", NOW)
    (folder / ERASED_FILE).unlink()
    if where == "another machine":
        store.close()
    third = MemoryStore()
    restore(third, folder / "tuesday.backup")
    with third.reading() as unit:
        assert unit.count(Tombstone) == 1


def test_a_backup_opens_no_doors(app, client, tmp_path):
    service = app.state.service
    records = records_for(app)
    records.ticks.say(client, dt.date(2026, 11, 30), MARKER, "bought")
    records.links.hand_out(client, 7)
    coach = Coach(id=new_id(), made_at=NOW, login="north", password_hash="old")
    with service.store.writing() as unit:
        unit.add(coach)
        unit.add(SignIn(id="token", made_at=NOW, coach_id=coach.id, ends_at=NOW))
    backup(service.store, tmp_path / "one.backup", NOW)
    with service.store.writing() as unit:
        unit.change(dataclasses.replace(coach, password_hash="new", second_factor="secret"))
    restore(service.store, tmp_path / "one.backup", replace=True)
    with service.store.reading() as unit:
        assert unit.count(Link) == unit.count(SignIn) == 0
        found = unit.get(Coach, coach.id)
        assert (found.password_hash, found.second_factor) == ("new", "secret")


def test_a_backup_whose_erasures_cannot_be_read_is_not_brought_back(app, client, tmp_path):
    from mealplan.errors import StoreError

    backup(app.state.service.store, tmp_path / "one.backup", NOW)
    (tmp_path / ERASED_FILE).write_bytes(b"\xff\xfe")
    with pytest.raises(StoreError, match="nothing was changed"):
        restore(app.state.service.store, tmp_path / "one.backup", replace=True)


def test_a_killed_write_frees_its_key_and_replies_end(app, browser, client, clock, lifter):
    body = {"intake": intake_json(lifter), "reason": "first"}
    headers = {"Idempotency-Key": "again"}
    first = browser.post("/api/clients", json=body, headers=headers)
    assert first.status_code == 201
    assert browser.post("/api/clients", json=body, headers=headers).headers["idempotent-replay"]
    store = app.state.service.store
    with store.writing() as unit:
        (kept,) = unit.find(Reply)
        unit.change(dataclasses.replace(kept, status=0, body=""))
    assert browser.post("/api/clients", json=body, headers=headers).status_code == 409
    clock.at += dt.timedelta(minutes=6)
    second = browser.post("/api/clients", json=body, headers=headers)
    assert (second.status_code, "idempotent-replay" in second.headers) == (201, False)
    clock.at += dt.timedelta(hours=25)
    third = browser.post("/api/clients", json=body, headers=headers)
    assert (third.status_code, "idempotent-replay" in third.headers) == (201, False)


def test_an_application_over_a_restored_store_starts(settings, app, client, tmp_path):
    backup(app.state.service.store, tmp_path / "one.backup", NOW)
    store = MemoryStore()
    restore(store, tmp_path / "one.backup")
    assert create_app(settings, store).state.service.store is store
