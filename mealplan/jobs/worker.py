"""
One worker: takes one job at a time from one queue until it is told to end.

A thread beside the work says every few seconds that the worker is there, ends it when a job was
stopped or takes too long and cannot be interrupted otherwise, when its service is gone, and hands
the jobs of workers that are no longer there back to the queue.
"""

from __future__ import annotations

import contextlib
import dataclasses
import datetime as dt
import logging
import os
import signal
import socket
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from dbos import DBOS, DBOSPortableJSONSerializer

from mealplan.errors import StoreError
from mealplan.jobs.carry_out import carry_out, end
from mealplan.jobs.durable import (
    APPLICATION,
    LATER,
    SOON,
    WORKFLOW,
    Durable,
    limit_s,
)
from mealplan.jobs.house import hand_in_retention
from mealplan.jobs.model import UNDER_WAY, Run, job_of
from mealplan.jobs.outcome import packed
from mealplan.store.base import NotThere
from mealplan.store.records import WorkerSeen, new_id
from mealplan.store.sql import SqlStore

POLL_S = 0.1
"""How often an idle worker looks into the queue. [s]"""
WATCH_S = 0.5
"""How often a worker looks whether it should go on. [s]"""
TIDY_LOOK_S = 60.0
"""How often a worker looks whether it is time to let go of what was kept long enough. [s]"""
SEEN_S = 5.0
"""How often a worker says that it is there. [s]"""
STALE_S = 20.0
"""A worker of another machine that was not seen for this long is gone. [s]"""
LEAVE_S = 2.0
"""What a stopped job gets to end by itself before its worker ends with it. [s]"""
NICE = {SOON: 5, LATER: 15}
"""How far workers stand back behind the pages."""
PARENT = "MEALPLAN_WORKS_FOR"
"""Environment: process whose worker this is; it ends when that one is gone."""
LEFT = 75
"""Exit code of a worker that ended with a job that could not be interrupted."""

_log = logging.getLogger("mealplan.jobs")


@dataclass
class _AtHand:
    """The job at hand, told to the thread that watches."""

    id: str = ""
    since: float = 0.0


def stand_back(queue: str) -> None:
    """
    Let pages, and whoever is waited for, have the processor first; before anything is loaded.

    Parameters
    ----------
    queue : str
    """
    if os.name == "posix":
        os.nice(NICE[queue])


def take_jobs(
    store: SqlStore,
    queues: Durable,
    queue: str,
    run: Run,
    now: Callable[[], dt.datetime],
) -> None:
    """
    Take jobs until the process is told to end.

    Parameters
    ----------
    store : SqlStore
    queues : Durable
    queue : str
        The queue to serve.
    run : mapping
        Kind of job to what carries it out.
    now : callable
        The clock.
    """
    ending = threading.Event()
    for name in (signal.SIGTERM, signal.SIGINT):
        signal.signal(name, lambda *_: ending.set())
    me = WorkerSeen(
        id=f"{socket.gethostname()[:40]}-{os.getpid()}-{new_id()}",
        made_at=now(),
        host=socket.gethostname(),
        process=os.getpid(),
        seen_at=now(),
    )
    with store.writing() as unit:
        unit.add(me)
    at_hand = _AtHand()
    _launch(store, me.id, queue, run, now, at_hand)
    _Watch(store, queues, me, queue, now, at_hand).start()
    while not ending.wait(WATCH_S):
        pass
    with contextlib.suppress(StoreError):
        queues.hand_back([me.id])
        with store.writing() as unit:
            unit.remove(WorkerSeen, id=me.id)
    os._exit(0)  # a job at hand is in the queue again; it must not be waited for


def _launch(
    store: SqlStore,
    executor: str,
    queue: str,
    run: Run,
    now: Callable[[], dt.datetime],
    at_hand: _AtHand,
) -> None:
    DBOS(
        config={
            "name": APPLICATION,
            "system_database_url": store.url,
            "executor_id": executor,
            # Jobs are told by their records alone, so any release may go on with another's.
            "application_version": "1",
            "serializer": DBOSPortableJSONSerializer(),
            "log_level": "CRITICAL",
            "run_migrations": False,
            "use_listen_notify": False,
            "max_executor_threads": 4,
            "scheduler_polling_interval_sec": 3600.0,
        }
    )

    @DBOS.workflow(name=WORKFLOW, max_recovery_attempts=1000)
    def job(id_: str) -> str:
        at_hand.id, at_hand.since = id_, time.monotonic()
        try:
            carry_out(store, id_, run, now)
        finally:
            at_hand.id = ""
        return ""

    DBOS.listen_queues([queue])
    DBOS.launch()
    DBOS.register_queue(
        queue, worker_concurrency=1, partition_worker_concurrency=1, polling_interval_sec=POLL_S
    )


class _Watch(threading.Thread):
    """Looks after the worker while it works."""

    def __init__(
        self,
        store: SqlStore,
        queues: Durable,
        me: WorkerSeen,
        queue: str,
        now: Callable[[], dt.datetime],
        at_hand: _AtHand,
    ) -> None:
        super().__init__(name="watch", daemon=True)
        self._store, self._queues, self._me, self._queue = store, queues, me, queue
        self._now, self._at_hand = now, at_hand
        # Told by the parent itself: it may be gone before this is reached.
        self._parent = int(os.environ.get(PARENT) or os.getppid())
        self._leave_at = 0.0

    def run(self) -> None:
        """Look again and again until the process ends."""
        seen = 0.0
        looked = time.monotonic()
        while True:
            time.sleep(WATCH_S)
            if os.getppid() != self._parent:
                os._exit(LEFT)  # the service is gone; what was at hand is taken over
            try:
                if time.monotonic() - seen >= SEEN_S:
                    self._say_seen()
                    take_over(self._store, self._queues, self._now)
                    seen = time.monotonic()
                self._leave_if_needed()
                if self._queue == LATER and time.monotonic() - looked >= TIDY_LOOK_S:
                    looked = time.monotonic()
                    hand_in_retention(self._store, self._queues, self._now())
            except StoreError as error:
                _log.warning("a worker cannot reach the database: %s", type(error).__name__)

    def _say_seen(self) -> None:
        with self._store.writing() as unit:
            seen = dataclasses.replace(self._me, seen_at=self._now())
            if unit.find(WorkerSeen, id=seen.id):
                unit.change(seen)
            else:
                unit.add(seen)  # it was taken for gone: the machine slept, say

    def _leave_if_needed(self) -> None:
        """End the process when the job at hand should not go on and does not end by itself."""
        id_, since = self._at_hand.id, self._at_hand.since
        if not id_ or self._may_go_on(id_, since):
            self._leave_at = 0.0
        elif not self._leave_at:
            self._leave_at = time.monotonic() + LEAVE_S
        elif time.monotonic() >= self._leave_at and self._at_hand.id == id_:
            os._exit(LEFT)

    def _may_go_on(self, id_: str, since: float) -> bool:
        try:
            job = job_of(self._store, id_)
        except NotThere:
            return False
        limit = limit_s(job)
        if job.state in UNDER_WAY and time.monotonic() - since > limit:
            late = StoreError(f"it took longer than {limit:.0f} s; ask for less at a time")
            end(self._store, job, "failed", self._now, packed(late))
            return False
        return job.state in UNDER_WAY


def take_over(store: SqlStore, queues: Durable, now: Callable[[], dt.datetime]) -> int:
    """
    Hand the jobs of workers that are gone back to the queue.

    Parameters
    ----------
    store : SqlStore
    queues : Durable
    now : callable
        The clock.

    Returns
    -------
    int
        Workers found gone.
    """
    at = now()
    with store.reading() as unit:
        gone = [worker.id for worker in unit.find(WorkerSeen) if _gone(worker, at)]
    if gone:
        queues.hand_back(gone)
        with store.writing() as unit:
            for id_ in gone:
                unit.remove(WorkerSeen, id=id_)
    return len(gone)


def _gone(worker: WorkerSeen, at: dt.datetime) -> bool:
    if (at - worker.seen_at).total_seconds() > STALE_S:
        return True
    if worker.host != socket.gethostname() or os.name != "posix":
        return False
    try:
        os.kill(worker.process, 0)
    except ProcessLookupError:
        return True
    except PermissionError:
        return False
    return False
