import datetime as dt
import os
import tempfile
from functools import cache
from pathlib import Path

import pytest
from sqlalchemy import create_engine, inspect, text

from mealplan.store.records import Client, Coach, IntakeVersion, new_id
from mealplan.store.sql import SqlStore
from mealplan.store.tables import METADATA
from tests.mealplan.store.memory import MemoryStore

POSTGRES = os.environ.get("MEALPLAN_TEST_POSTGRES_URL", "")
NOW = dt.datetime(2026, 11, 25, 11, 0, tzinfo=dt.UTC)


def emptied(url):
    engine = create_engine(url)
    with engine.begin() as connection:
        connection.execute(text("drop schema public cascade"))
        connection.execute(text("drop schema if exists dbos cascade"))
        connection.execute(text("create schema public"))
    engine.dispose()
    return url


@cache
def new_file() -> bytes:
    """A file of this release's schema without a record, migrated once a worker."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "new.sqlite"
        SqlStore(f"sqlite:///{path}").close()
        return path.read_bytes()


def file_store(path):
    """A store in a new file, as if its schema had been made there."""
    path.write_bytes(new_file())
    return SqlStore(f"sqlite:///{path}")


_OPENED = set()
"""Databases whose schema this worker has made by opening a store."""


def server_store(url):
    """A store without a record on a server: its schema made anew once a worker, later emptied."""
    if url not in _OPENED:
        emptied(url)
    engine = create_engine(url)
    with engine.begin() as connection:
        connection.execute(text("drop schema if exists dbos cascade"))
        if inspect(connection).has_table("alembic_version"):
            tables = reversed(METADATA.sorted_tables)
            connection.exec_driver_sql(";".join(f'delete from "{t.name}"' for t in tables))
    engine.dispose()
    opened = SqlStore(url)
    _OPENED.add(url)
    return opened


@pytest.fixture(params=["memory", "sqlite", "postgres"])
def store(request, tmp_path):
    if request.param == "postgres" and not POSTGRES:
        pytest.skip("MEALPLAN_TEST_POSTGRES_URL is not set")
    opened = {
        "memory": MemoryStore,
        "sqlite": lambda: file_store(tmp_path / "plans.sqlite"),
        "postgres": lambda: server_store(POSTGRES),
    }[request.param]()
    yield opened
    opened.close()


def a_coach(login="first"):
    return Coach(id=new_id(), made_at=NOW, login=login, password_hash="x")


def a_client(coach, **changes):
    facts = {
        "id": new_id(),
        "made_at": NOW,
        "coach_id": coach.id,
        "role": "club rower",
        "phase": "gain",
        "start": dt.date(2026, 11, 30),
        "intake_number": 1,
        "plan_number": 0,
        "planned_until": None,
        "gravest": "",
    }
    return Client(**(facts | changes))


def an_intake(client, number=1):
    return IntakeVersion(
        id=new_id(),
        made_at=NOW,
        client_id=client.id,
        number=number,
        body="{}",
        by="coach",
        reason="first",
    )
