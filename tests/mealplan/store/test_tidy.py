"""A plan is kept lean, and what was kept long enough is let go."""

import datetime as dt
import json

import pytest
from sqlalchemy import text

from api.settings import keeping_of_environment
from mealplan.errors import StoreError
from mealplan.store.records import Job, Link, Reply, SavedPlan, new_id
from mealplan.store.sql import SqlStore
from mealplan.store.tidy import RetentionSpans, let_go
from tests.mealplan.store.conftest import NOW, a_client, a_coach

OLD = NOW - dt.timedelta(days=400)


def test_what_was_kept_long_enough_goes_and_the_rest_stays(store):
    coach = a_coach()
    client = a_client(coach)
    with store.writing() as unit:
        unit.add(coach)
        unit.add(client)
        for made in (OLD, NOW):
            unit.add(Reply(new_id(), made, coach.id, "f", 200, "body", client.id))
            unit.add(Link(new_id(), made, client.id, new_id(), made, None, "coach"))
            for state in ("done", "waiting"):
                unit.add(
                    Job(
                        id=new_id(),
                        made_at=made,
                        coach_id=coach.id,
                        client_id=client.id,
                        asker="",
                        by_link=False,
                        by="",
                        task="week",
                        what="",
                        back_to="",
                        wish="",
                        state=state,
                        ended_at=made if state == "done" else None,
                    )
                )
    assert len(let_go(store, NOW, RetentionSpans())) == 1
    with store.reading() as unit:
        assert [reply.made_at for reply in unit.find(Reply)] == [NOW]
        assert [link.ends_at for link in unit.find(Link)] == [NOW]
        assert sorted(job.state for job in unit.find(Job)) == ["done", "waiting", "waiting"]


def test_a_plan_is_kept_compressed_and_an_older_one_still_reads(tmp_path):
    store = SqlStore(f"sqlite:///{tmp_path / 'p.sqlite'}")
    coach = a_coach()
    client = a_client(coach)
    body = json.dumps({"days": [{"dish": "chickpeas with spinach", "g": 82.5}] * 2_000})
    plan = SavedPlan(new_id(), NOW, client.id, 1, 1, NOW.date(), 7, body, "{}", "coach", "7 days")
    with store.writing() as unit:
        for record in (coach, client, plan):
            unit.add(record)
    with store.engine.begin() as connection:
        kept = connection.execute(text("select body from saved_plan")).scalar_one()
        assert len(kept) < len(body) / 10
    with store.reading() as unit:
        assert unit.get(SavedPlan, plan.id) == plan
    with store.engine.begin() as connection:
        connection.execute(text("update saved_plan set body = :body"), {"body": body})
    with store.reading() as unit:
        assert unit.get(SavedPlan, plan.id) == plan
    store.close()


def test_how_long_things_are_kept_can_be_set(monkeypatch):
    monkeypatch.setenv("MEALPLAN_KEEP", "jobs=3, trail=365")
    assert keeping_of_environment() == RetentionSpans(
        jobs=dt.timedelta(days=3), trail=dt.timedelta(days=365)
    )
    for wrong in ("jobs", "jobs=x", "plans=3"):
        monkeypatch.setenv("MEALPLAN_KEEP", wrong)
        with pytest.raises(StoreError, match="such as jobs=3"):
            keeping_of_environment()
