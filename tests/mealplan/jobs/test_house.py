"""Backups and retention as jobs of the service's own: done once, whoever is lost meanwhile."""

import dataclasses
import datetime as dt
import json

import pytest

from mealplan.errors import StoreError
from mealplan.jobs import error_of
from mealplan.jobs.carry_out import carry_out
from mealplan.jobs.durable import HOUSE_LIMIT_S, LATER, LIMIT_S, limit_s, queue_of
from mealplan.jobs.house import (
    BACKUP,
    RETENTION,
    BackupOrder,
    hand_in_backup,
    hand_in_retention,
    house_run,
)
from mealplan.jobs.model import job_of, wait_for
from mealplan.store.backup import backup, restore
from mealplan.store.records import Coach, Job, Reply, WorkerSeen, new_id
from mealplan.store.tidy import RetentionSpans
from tests.mealplan.jobs.test_jobs import a_job, now, people, queue, store, workers
from tests.mealplan.store.conftest import a_client, a_coach
from tests.mealplan.store.memory import MemoryStore

__all__ = ["queue", "store", "workers"]


class Kept:
    """Jobs that nobody carries out; each is kept. Remembers what the queue was to forget."""

    def __init__(self, store):
        self.store, self.forgotten = store, []

    def submit(self, job):
        with self.store.writing() as unit:
            unit.add(job)
        return job

    def forget(self, ids):
        self.forgotten += ids


def test_the_services_own_jobs_take_their_time_behind_nobody():
    client = a_client(a_coach())
    house = a_job(client, task=BACKUP, coach_id="", client_id="")
    assert (queue_of(house), limit_s(house)) == (LATER, HOUSE_LIMIT_S)
    assert limit_s(a_job(client, task="further")) == LIMIT_S[LATER]


@pytest.mark.parametrize("sealed", [False, True])
def test_a_backup_is_written_once_by_whichever_worker_ends_it(store, tmp_path, sealed):
    client = people(store)
    file, key = tmp_path / "monday.backup", tmp_path / "key"
    key.write_text("quiet harbour in november\n")
    house = Kept(store)
    with store.writing() as unit:
        unit.add(WorkerSeen(new_id(), now(), "here", 1, now()))
    order = BackupOrder(str(file), str(key) if sealed else "")
    job = hand_in_backup(store, house, order, now())
    assert "harbour" not in job.wish
    # A first worker wrote the file and was lost before it could say so; another had begun.
    secret = "quiet harbour in november" if sealed else ""
    count = backup(store, file, job.made_at, secret, made_for=job.id)
    written = file.read_bytes()
    half = tmp_path / f"monday.backup.{job.id}.elsewhere-1.part"
    half.write_bytes(written[:50])
    carry_out(store, job.id, house_run(house, RetentionSpans()), now)
    assert job_of(store, job.id).state == "done"
    assert file.read_bytes() == written
    other = MemoryStore()
    assert restore(other, file, secret=secret) == count
    with other.reading() as unit:
        assert unit.count(Coach) == 1
        assert unit.get(Coach, client.coach_id).login == "first"


def test_what_a_lost_worker_began_goes_once_the_backup_is_whole(store, tmp_path):
    people(store)
    half = tmp_path / "monday.backup.job.elsewhere-1.part"
    half.write_bytes(b"begun")
    backup(store, tmp_path / "monday.backup", now(), made_for="job")
    assert {one.name for one in tmp_path.glob("monday*")} == {"monday.backup"}


@pytest.mark.parametrize(
    ("order", "said"),
    [
        ("there.backup", "already there"),
        ("nowhere/monday.backup", "sees no folder"),
        ("sealed.backup", "cannot be read"),
    ],
)
def test_a_backup_that_cannot_be_written_says_why(store, tmp_path, order, said):
    people(store)
    backup(store, tmp_path / "there.backup", now())
    before = (tmp_path / "there.backup").read_bytes()
    key = str(tmp_path / "no-key") if order == "sealed.backup" else ""
    wish = json.dumps(dataclasses.asdict(BackupOrder(str(tmp_path / order), key)))
    house = Kept(store)
    job = house.submit(
        a_job(a_client(a_coach()), task=BACKUP, coach_id="", client_id="", wish=wish)
    )
    carry_out(store, job.id, house_run(house, RetentionSpans()), now)
    assert said in str(error_of(job_of(store, job.id).error))
    assert (tmp_path / "there.backup").read_bytes() == before


def test_a_backup_without_workers_is_refused_rather_than_left_waiting(store, tmp_path):
    with pytest.raises(StoreError, match="no worker takes jobs"):
        hand_in_backup(store, Kept(store), BackupOrder(str(tmp_path / "x")), now())


def test_retention_is_handed_in_once_an_hour_and_lets_go(store):
    client = people(store)
    house, at = Kept(store), now()
    old = at - dt.timedelta(days=30)
    ended = a_job(client, state="done", ended_at=old)
    with store.writing() as unit:
        unit.add(ended)
        for made in (old, at):
            unit.add(Reply(new_id(), made, client.coach_id, "f", 200, "body", client.id))
    job = hand_in_retention(store, house, at)
    assert hand_in_retention(store, house, at) is None
    carry_out(store, job.id, house_run(house, RetentionSpans()), now)
    assert house.forgotten == [ended.id]
    with store.reading() as unit:
        assert [reply.made_at for reply in unit.find(Reply)] == [at]
        (left,) = unit.find(Job)
    assert (left.task, left.state, left.done, left.total) == (RETENTION, "done", 8, 8)
    assert hand_in_retention(store, house, now()) is None
    assert hand_in_retention(store, house, now() + dt.timedelta(minutes=61)) is not None


def test_a_worker_takes_both_from_the_queue(store, queue, workers, tmp_path):
    client = people(store)
    workers.start(LATER)
    seen = WorkerSeen(new_id(), now(), "elsewhere", 1, now())
    with store.writing() as unit:
        unit.add(seen)
    file = tmp_path / "monday.backup"
    jobs = [
        hand_in_backup(store, queue, BackupOrder(str(file)), now()),
        hand_in_retention(store, queue, now()),
    ]
    assert [wait_for(store, job, 60).state for job in jobs] == ["done", "done"]
    other = MemoryStore()
    restore(other, file)
    with other.reading() as unit:
        assert unit.count(Coach, id=client.coach_id) == 1
