"""A job ends once, whoever carries it out, and how it ended is kept whole."""

import dataclasses
import datetime as dt
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from mealplan.errors import IntakeError, NoPlanError, SafetyRefusal, StoreError
from mealplan.jobs import Busy, Work, error_of
from mealplan.jobs.at_once import AtOnce
from mealplan.jobs.carry_out import carry_out, end
from mealplan.jobs.durable import LATER, SOON, Durable, queue_of
from mealplan.jobs.model import (
    MOST_TRIES,
    MOST_WAITING_OF_ASKER,
    MOST_WAITING_OF_COACH,
    job_of,
    wait_for,
)
from mealplan.jobs.worker import take_over
from mealplan.store.records import Job, Mark, WorkerSeen, new_id
from mealplan.store.sql import SqlStore
from mealplan.targets.ranges import Notice
from tests.mealplan.store.conftest import NOW, a_client, a_coach, emptied
from tests.mealplan.store.memory import MemoryStore

POSTGRES = os.environ.get("MEALPLAN_TEST_POSTGRES_URL", "")
WORKER = Path(__file__).parent / "worker_for_tests.py"


def now():
    return dt.datetime.now(dt.UTC)


@pytest.fixture(params=["sqlite", "postgres"])
def store(request, tmp_path):
    if request.param == "postgres" and not POSTGRES:
        pytest.skip("MEALPLAN_TEST_POSTGRES_URL is not set")
    url = emptied(POSTGRES) if request.param == "postgres" else f"sqlite:///{tmp_path / 'p.sqlite'}"
    opened = SqlStore(url)
    yield opened
    opened.close()


@pytest.fixture
def memory():
    return MemoryStore()


def people(store, login="first"):
    coach = a_coach(login)
    client = a_client(coach)
    with store.writing() as unit:
        unit.add(coach)
        unit.add(client)
    return client


def a_job(client, **changes):
    return Job(
        **{
            "id": new_id(), "made_at": now(), "coach_id": client.coach_id, "client_id": client.id,
            "asker": client.coach_id, "by_link": False, "by": "coach", "task": "week",
            "what": "a week", "back_to": "/", "wish": json.dumps({"steps": 1}),
        } | changes
    )  # fmt: skip


def keeps(work):
    with work.store.writing() as unit:
        unit.add(
            Mark(
                id=new_id(),
                made_at=NOW,
                client_id=work.job.client_id,
                date=NOW.date(),
                slot=0,
                what="kept",
                text="",
                by="job",
            )
        )
        work.finish(unit)


def marks(store, client):
    with store.reading() as unit:
        return unit.count(Mark, client_id=client.id)


def added(store, job):
    with store.writing() as unit:
        unit.add(job)
    return job


def test_a_result_is_kept_once_however_often_the_job_is_carried_out(memory):
    client = people(memory)
    job = added(memory, a_job(client))
    for _ in range(3):
        carry_out(memory, job.id, {"week": keeps}, now)
    assert marks(memory, client) == 1
    ended = job_of(memory, job.id)
    assert (ended.state, ended.done, ended.wish) == ("done", 1, "")


def test_a_worker_taken_for_lost_keeps_nothing_once_another_began(memory):
    client = people(memory)
    job = added(memory, a_job(client))

    def slow(work):
        carry_out(memory, job.id, {"week": keeps}, now)  # another worker, meanwhile
        keeps(work)

    carry_out(memory, job.id, {"week": slow}, now)
    assert marks(memory, client) == 1
    assert job_of(memory, job.id).tries == 2


def test_a_job_stopped_before_its_result_keeps_none(memory):
    client = people(memory)
    job = added(memory, a_job(client))

    def stopped_meanwhile(work):
        end(memory, work.job, "stopped", now)
        keeps(work)

    carry_out(memory, job.id, {"week": stopped_meanwhile}, now)
    assert marks(memory, client) == 0
    assert job_of(memory, job.id).state == "stopped"


def test_a_job_whose_client_was_erased_is_left_alone(memory):
    client = people(memory)
    job = added(memory, a_job(client))
    with memory.writing() as unit:
        unit.remove(Job, id=job.id)
    carry_out(memory, job.id, {"week": keeps}, now)
    assert marks(memory, client) == 0


def test_a_job_that_loses_every_worker_fails_at_last(memory):
    client = people(memory)
    job = added(memory, a_job(client, state="working", tries=MOST_TRIES))
    carry_out(memory, job.id, {"week": keeps}, now)
    failed = job_of(memory, job.id)
    assert failed.state == "failed"
    assert "worker was lost" in str(error_of(failed.error))


FINDING = Notice(code="bmi", severity="refuse", message="BMI 13.7", see="physician")


@pytest.mark.parametrize(
    "error",
    [
        NoPlanError("no day exists", ("never soy", "160 g protein")),
        SafetyRefusal("refused", (FINDING,)),
        IntakeError("mend it"),
        StoreError("try again"),
    ],
)
def test_an_error_is_kept_whole(memory, error):
    client = people(memory)
    job = added(memory, a_job(client))

    def fails(work):
        raise error

    carry_out(memory, job.id, {"week": fails}, now)
    found = error_of(job_of(memory, job.id).error)
    assert type(found) is type(error)
    assert str(found) == str(error)
    assert getattr(found, "clashing", ()) == getattr(error, "clashing", ())
    assert getattr(found, "findings", ()) == getattr(error, "findings", ())


def test_a_mistake_of_our_own_is_not_quoted(memory, caplog):
    client = people(memory)
    job = added(memory, a_job(client))

    def breaks(work):
        raise ZeroDivisionError("80.5 kg")

    carry_out(memory, job.id, {"week": breaks}, now)
    failed = job_of(memory, job.id)
    assert failed.state == "failed"
    assert "80.5" not in caplog.text + failed.error
    assert "ZeroDivisionError" in caplog.text


def test_one_link_and_one_coach_have_their_shares(memory):
    client = people(memory)
    jobs = AtOnce(memory, {"week": keeps}, now)
    for _ in range(MOST_WAITING_OF_ASKER):
        added(memory, a_job(client, asker="link", by_link=True))
    with pytest.raises(Busy, match="half a minute"):
        jobs.submit(a_job(client, asker="link", by_link=True))
    assert jobs.submit(a_job(client)).state == "done"
    for _ in range(MOST_WAITING_OF_COACH):
        added(memory, a_job(client))
    with pytest.raises(Busy, match="half a minute"):
        jobs.submit(a_job(client))
    other = people(memory, "second")
    assert jobs.submit(a_job(other)).state == "done"
    assert jobs.submit(a_job(client, part_of="roster")).state == "done"


def test_progress_is_told_and_stops_work_that_should_not_go_on(memory):
    client = people(memory)
    job = added(memory, a_job(client, state="working", tries=1, total=3))
    work = Work(memory, job, now)
    work.tell(1, 3)
    assert job_of(memory, job.id).done == 1
    work.tell(2, 3)  # too soon to be written again
    assert job_of(memory, job.id).done == 1
    work.tell(3, 3)
    assert job_of(memory, job.id).done == 3


def test_what_is_waited_for_and_what_takes_long_stand_in_two_queues():
    client = a_client(a_coach())
    assert {kind: queue_of(a_job(client, task=kind)) for kind in ("week", "day")} == {
        "week": SOON, "day": SOON,
    }  # fmt: skip
    for job in (
        a_job(client, task="further"),
        a_job(client, part_of="r"),
        a_job(client, task="logs"),
    ):
        assert queue_of(job) == LATER


class Workers:
    """Worker processes on a store, each ended at the end."""

    def __init__(self, store):
        self.store = store
        self.running = []

    def start(self, queue=SOON):
        process = subprocess.Popen(
            [sys.executable, WORKER, self.store.url, queue],
            env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[3])},
        )
        self.running.append(process)
        return process

    def close(self):
        for process in self.running:
            process.kill()
            process.wait()


@pytest.fixture
def workers(store):
    made = Workers(store)
    yield made
    made.close()


@pytest.fixture
def queue(store):
    made = Durable(store, now)
    yield made
    made.close()


def until(true, seconds=30):
    end_at = time.monotonic() + seconds
    while not true() and time.monotonic() < end_at:
        time.sleep(0.05)
    assert true()


def test_a_killed_worker_loses_no_job_and_nothing_is_kept_twice(store, queue, workers):
    client = people(store)
    first = workers.start()
    job = queue.submit(a_job(client, wish=json.dumps({"steps": 20}), total=20))
    until(lambda: job_of(store, job.id).done >= 2)
    first.send_signal(signal.SIGKILL)
    first.wait()
    workers.start()
    ended = wait_for(store, job, 40)
    assert (ended.state, ended.tries) == ("done", 2)
    assert marks(store, client) == 1


def test_a_stopped_job_leaves_even_a_worker_that_does_not_listen(store, queue, workers):
    client = people(store)
    stuck = workers.start()
    job = queue.submit(a_job(client, wish=json.dumps({"deaf": 60})))
    until(lambda: job_of(store, job.id).state == "working")
    queue.stop(job)
    assert job_of(store, job.id).state == "stopped"
    assert stuck.wait(timeout=15) == 75
    workers.start()
    assert wait_for(store, queue.submit(a_job(client)), 30).state == "done"


def test_a_coach_with_many_jobs_does_not_hold_another_up(store, queue, workers):
    busy, other = people(store), people(store, "second")
    many = [queue.submit(a_job(busy, wish=json.dumps({"steps": 2}))) for _ in range(12)]
    workers.start()
    until(lambda: job_of(store, many[0].id).state != "waiting" or marks(store, busy) > 0)
    asked = queue.submit(a_job(other))
    assert wait_for(store, asked, 30).state == "done"
    # Two of the busy coach's at most come before it in the mean; the whole row never does.
    assert sum(job_of(store, job.id).state == "done" for job in many) < len(many)


def test_two_workers_share_a_queue_and_each_job_is_done_once(store, queue, workers):
    client = people(store)
    workers.start()
    workers.start()
    jobs = [queue.submit(a_job(client, part_of="r", task="week")) for _ in range(0)] + [
        queue.submit(a_job(people(store, f"c{n}"), wish=json.dumps({"steps": 1}))) for n in range(6)
    ]
    assert {wait_for(store, job, 40).state for job in jobs} == {"done"}
    with store.reading() as unit:
        assert unit.count(Mark) == 6


def test_a_worker_of_another_machine_is_taken_for_gone_when_not_seen(store, queue):
    with store.writing() as unit:
        for host, age in (("elsewhere", 5), ("elsewhere", 60)):
            seen = now() - dt.timedelta(seconds=age)
            unit.add(WorkerSeen(id=new_id(), made_at=seen, host=host, process=1, seen_at=seen))
    assert take_over(store, queue, now) == 1


def test_a_job_is_queued_with_its_record_or_not_at_all(store, queue):
    client = people(store)
    job = a_job(client)
    queue.submit(job)
    with pytest.raises(Exception):  # noqa: B017, PT011  (each database has its own)
        queue.submit(dataclasses.replace(job, what="again"))
    assert job_of(store, job.id).what == "a week"
