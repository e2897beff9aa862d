"""Every kind of record says whose data it is; erasing and exporting follow from that alone."""

import dataclasses
import gzip
import json
from pathlib import Path

import pytest

from mealplan.store.backup import restore
from mealplan.store.ownership import erase_client, gather_client
from mealplan.store.records import KINDS, OF_A_CLIENT, Client, Coach, Note, Record
from mealplan.store.tables import TABLES
from tests.mealplan.store.memory import MemoryStore

FIXTURES = Path(__file__).parent / "fixtures"


def every_kind(parent=Record):
    for kind in parent.__subclasses__():
        yield kind
        yield from every_kind(kind)


@pytest.fixture
def held():
    """A store that holds records of every kind as of 30 November 2026."""
    store = MemoryStore()
    restore(store, FIXTURES / "backup.json.gz")
    with store.writing() as unit:  # what came later than that backup
        client = unit.find(Client)[0]
        unit.add(Note("n1", client.made_at, client.id, "Sleeps badly.", shown=False, by="coach"))
    return store


@pytest.mark.parametrize("kind", sorted(every_kind(), key=lambda kind: kind.__name__))
def test_every_kind_declares_whose_data_it_is_and_names_its_owner(kind):
    assert "whose" in vars(kind), f"{kind.__name__} does not say whose data it is"
    assert kind in KINDS
    assert kind in TABLES
    fields = {item.name for item in dataclasses.fields(kind)}
    if kind not in (Client, Coach):
        assert {"client": "client_id", "coach": "coach_id"}.get(kind.whose, "id") in fields
    assert set(kind.secret) | set(kind.documents) <= fields
    assert not [n for n in fields if n.endswith(("_hash", "password")) and n not in kind.secret]


def test_what_names_a_client_is_the_clients():
    named = {k for k in KINDS if "client_id" in {item.name for item in dataclasses.fields(k)}}
    assert named == set(OF_A_CLIENT)


def test_erasing_a_client_leaves_no_trace_of_it_in_any_record(held):
    with held.reading() as unit:
        client = unit.find(Client)[0]
        before = {kind: unit.count(kind, client_id=client.id) for kind in OF_A_CLIENT}
    assert all(before[kind] for kind in OF_A_CLIENT if kind.__name__ not in ADDED_LATER), before
    with held.writing() as unit:
        assert erase_client(unit, client.id) == sum(before.values()) + 1
    with held.reading() as unit:
        left = [record for kind in KINDS for record in unit.find(kind)]
    assert left
    assert not [record for record in left if client.id in repr(record)]


def test_an_export_holds_every_kind_and_no_secret(held):
    with held.reading() as unit:
        client = unit.find(Client)[0]
        secrets = [
            str(getattr(record, name))
            for kind in KINDS
            for record in unit.find(kind)
            for name in kind.secret
        ]
        data = gather_client(unit, client)
    assert set(data) == {"client", *(kind.__name__ for kind in OF_A_CLIENT)}
    text = json.dumps(data)
    assert not [secret for secret in secrets if secret and secret in text]
    lines = gzip.decompress((FIXTURES / "backup.json.gz").read_bytes()).decode().splitlines()
    weighed = [line for line in lines if '"Logged"' in line]
    assert len(data["Logged"]) == len(weighed)


ADDED_LATER = frozenset({"Job", "Reply", "Link", "Seat", "Tick"})
"""Kinds of a client that the kept backup does not hold, or that none brings back."""
