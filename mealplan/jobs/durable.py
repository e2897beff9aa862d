"""
Jobs handed to a durable engine: kept with the record in one change, run by any worker anywhere.

The engine (DBOS) keeps its queue as rows in the same database as the records, so that a job that
was acknowledged outlives the service, its workers and the machine.
"""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from dbos import (
    DBOS,
    DBOSClient,
    DBOSPortableJSONSerializer,
    EnqueueOptions,
)
from dbos import (
    error as engine_errors,
)

from mealplan.errors import StoreError
from mealplan.jobs.carry_out import end
from mealplan.jobs.model import UNDER_WAY, refuse_too_many
from mealplan.store.records import Job
from mealplan.store.sql import SqlStore, answering

SOON, LATER = "soon", "later"
"""The two queues: what someone waits for at a page, and what may take longer."""
WORKFLOW = "job"
"""Name under which workers know how to carry a job out."""
APPLICATION = "mealplan"
HOUSE = "house"
"""Whose share of a queue the service's own jobs have."""
LIMIT_S: dict[str, float] = {SOON: 120.0, LATER: 900.0}
"""Longest that a job of each queue may take before it is ended. [s]"""
HOUSE_LIMIT_S = 4 * 3600.0
"""Longest that a job of the service's own may take: it grows with the database. [s]"""
WAITED_FOR, PART, BEHIND = 1, 5, 9
"""Priorities within a coach's share of a queue: lower ones come first."""


def lay(store: SqlStore) -> None:
    """
    Make or renew the engine's tables; two that start at once wait for each other.

    Parameters
    ----------
    store : SqlStore
    """
    logging.getLogger("dbos").setLevel(logging.CRITICAL)
    with store.alone("engine tables"):
        try:
            with answering("the queue's tables"):
                DBOS.migrate(store.url)
        except engine_errors.DBOSException as error:
            raise StoreError(
                f"the queue's tables cannot be made in this database ({type(error).__name__}); see "
                "that its user may make a schema, then start again"
            ) from None


def queue_of(job: Job) -> str:
    """
    Say which queue a job belongs to.

    Parameters
    ----------
    job : Job

    Returns
    -------
    str
    """
    return SOON if job.task in ("week", "day") and not job.part_of else LATER


def limit_s(job: Job) -> float:
    """
    Say how long a job may take.

    Parameters
    ----------
    job : Job

    Returns
    -------
    float
        [s]
    """
    return LIMIT_S[queue_of(job)] if job.coach_id else HOUSE_LIMIT_S


class Durable:
    """
    Hands jobs in and stops them; running them is the workers' part.

    Parameters
    ----------
    store : SqlStore
    now : callable
        The clock.
    """

    def __init__(self, store: SqlStore, now: Callable[[], dt.datetime]) -> None:
        lay(store)
        self._store, self._now = store, now
        self._client = DBOSClient(
            system_database_url=store.url,
            serializer=DBOSPortableJSONSerializer(),
            application_name=APPLICATION,
            lazy=True,
            retry_connection_errors=False,
        )

    def submit(self, job: Job) -> Job:
        """Keep a job and queue it, both or neither."""
        queue = queue_of(job)
        options: EnqueueOptions = {
            "workflow_name": WORKFLOW,
            "queue_name": queue,
            "workflow_id": job.id,
            "queue_partition_key": job.coach_id or HOUSE,
            "priority": BEHIND if job.task == "logs" else PART if job.part_of else WAITED_FOR,
            "application_name": APPLICATION,
        }
        with self._store.writing() as unit:
            refuse_too_many(unit, job)
            unit.add(job)
            self._client.enqueue_in_transaction(unit.connection, options, job.id)
        return job

    def stop(self, job: Job) -> None:
        """Stop a job and its parts; a worker that is at one leaves it within two seconds."""
        with self._store.reading() as unit:
            parts = [
                part for state in UNDER_WAY for part in unit.find(Job, part_of=job.id, state=state)
            ]
        stopped = [one.id for one in (job, *parts) if end(self._store, one, "stopped", self._now)]
        if stopped:
            with _answering():
                self._client.cancel_workflows(stopped)

    def forget(self, ids: Sequence[str]) -> None:
        """Let the engine's rows of jobs go whose records were let go."""
        if ids:
            with _answering():
                self._client.delete_workflows(list(ids))

    def hand_back(self, executors: Sequence[str]) -> int:
        """
        Put what these workers had at hand back into its queue.

        Parameters
        ----------
        executors : sequence of str
            Identifiers of workers that are gone.

        Returns
        -------
        int
            Jobs put back.
        """
        if not executors:
            return 0
        with _answering():
            found = self._client.list_workflows(
                status="PENDING", executor_id=list(executors), load_input=False, load_output=False
            )
            for one in found:
                self._client.resume_workflow(one.workflow_id, queue_name=one.queue_name)
        return len(found)

    def close(self) -> None:
        """Let go of the connections."""
        self._client.destroy()


@contextmanager
def _answering() -> Iterator[None]:
    try:
        with answering("the queue"):
            yield
    except engine_errors.DBOSException as error:
        raise StoreError(f"the queue did not answer ({type(error).__name__}); try again") from None
