import datetime as dt
import os

import pytest
from sqlalchemy import create_engine, text

from mealplan.store.records import Client, Coach, IntakeVersion, new_id
from mealplan.store.sql import SqlStore
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


@pytest.fixture(params=["memory", "sqlite", "postgres"])
def store(request, tmp_path):
    if request.param == "postgres" and not POSTGRES:
        pytest.skip("MEALPLAN_TEST_POSTGRES_URL is not set")
    opened = {
        "memory": MemoryStore,
        "sqlite": lambda: SqlStore(f"sqlite:///{tmp_path / 'plans.sqlite'}"),
        "postgres": lambda: SqlStore(emptied(POSTGRES)),
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
