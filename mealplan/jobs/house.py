"""What the service does for itself by jobs: backups, and letting go of what is past its time."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
from dataclasses import dataclass
from pathlib import Path

from mealplan.errors import StoreError
from mealplan.jobs.durable import Durable
from mealplan.jobs.model import UNDER_WAY, Jobs, Run, Work
from mealplan.store.backup import backup
from mealplan.store.records import Job, WorkerSeen, new_id
from mealplan.store.sealed import secret_in
from mealplan.store.sql import SqlStore
from mealplan.store.tidy import STEPS, RetentionSpans, let_go

BACKUP, RETENTION = "backup", "retention"
"""Kinds of jobs that are no coach's."""
RETENTION_EVERY = dt.timedelta(hours=1)
SEEN_LATELY = dt.timedelta(seconds=30)
"""A worker seen since then takes jobs."""


@dataclass(frozen=True)
class BackupOrder:
    """Where a backup goes; the secret stays in its file, it is never kept with the job."""

    file: str
    key_file: str = ""
    """File whose first line is the secret; empty leaves the backup readable to its finder."""


def hand_in_backup(store: SqlStore, jobs: Jobs, order: BackupOrder, now: dt.datetime) -> Job:
    """
    Queue a backup.

    Parameters
    ----------
    store : SqlStore
    jobs : Jobs
    order : BackupOrder
        Absolute paths, on a disk that every worker sees.
    now : datetime

    Returns
    -------
    Job

    Raises
    ------
    StoreError
        When nobody would take it.
    """
    with store.reading() as unit:
        workers = [one for one in unit.find(WorkerSeen) if now - one.seen_at < SEEN_LATELY]
    if not workers:
        raise StoreError(
            "no worker takes jobs of this database just now; start `mealplan serve` or `mealplan "
            "work`, or leave --by-workers out"
        )
    return jobs.submit(_job(BACKUP, "a backup", json.dumps(dataclasses.asdict(order)), 1, now))


def hand_in_retention(store: SqlStore, jobs: Jobs, now: dt.datetime) -> Job | None:
    """
    Queue the letting go of what was kept long enough, when it is time.

    Parameters
    ----------
    store : SqlStore
    jobs : Jobs
    now : datetime

    Returns
    -------
    Job or None
        None when one waits, is at work or ended within the hour.
    """
    with store.alone(RETENTION), store.reading() as unit:
        known = unit.find(Job, task=RETENTION)
        if any(
            job.state in UNDER_WAY or job.ended_at is None or now - job.ended_at < RETENTION_EVERY
            for job in known
        ):
            return None
    return jobs.submit(_job(RETENTION, "letting go of what was kept long enough", "", STEPS, now))


def _job(task: str, what: str, wish: str, total: int, now: dt.datetime) -> Job:
    return Job(
        id=new_id(),
        made_at=now,
        coach_id="",
        client_id="",
        asker="",
        by_link=False,
        by="the service",
        task=task,
        what=what,
        back_to="/",
        wish=wish,
        total=total,
    )


def carry_out_backup(work: Work) -> None:
    """
    Write the backup that a job asks for; one that an earlier worker had written counts.

    Parameters
    ----------
    work : Work
    """
    order = BackupOrder(**json.loads(work.job.wish))
    file = Path(order.file)
    if not file.parent.is_dir():
        raise StoreError(
            f"the worker that took the backup sees no folder {file.parent}; name one that the "
            "machines of all workers see"
        )
    secret = secret_in(Path(order.key_file)) if order.key_file else ""
    backup(work.store, file, work.job.made_at, secret, made_for=work.job.id, tell=work.tell)
    with work.store.writing() as unit:
        work.finish(unit)


def house_run(queues: Durable, keeping: RetentionSpans) -> Run:
    """
    Say what carries each of these out.

    Parameters
    ----------
    queues : Durable
        Lets go of the jobs whose records go.
    keeping : RetentionSpans

    Returns
    -------
    mapping
    """

    def retention(work: Work) -> None:
        let_go(work.store, work.now(), keeping, work.tell, queues.forget)
        with work.store.writing() as unit:
            work.finish(unit)

    return {BACKUP: carry_out_backup, RETENTION: retention}
