"""What a store lets go of by itself, and after how long."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from mealplan.store.base import Store
from mealplan.store.records import Entry, Job, Link, Reply, SignIn, Try, WorkerSeen


@dataclass(frozen=True)
class RetentionSpans:
    """How long each of these is kept."""

    replies: dt.timedelta = dt.timedelta(hours=24)
    """Answers kept for repeated requests."""
    jobs: dt.timedelta = dt.timedelta(days=7)
    """Jobs that have ended, with why when they failed."""
    links: dt.timedelta = dt.timedelta(days=90)
    """Links that have ended."""
    trail: dt.timedelta = dt.timedelta(days=3 * 366)
    """What was done to a client's file and to an account."""
    tries: dt.timedelta = dt.timedelta(hours=1)
    """Failed sign-ins."""


def let_go(store: Store, now: dt.datetime, keeping: RetentionSpans) -> tuple[str, ...]:
    """
    Let go of what was kept long enough.

    Parameters
    ----------
    store : Store
    now : datetime
    keeping : RetentionSpans

    Returns
    -------
    tuple of str
        Identifiers of jobs let go, for the queue that ran them.
    """
    with store.writing() as unit:
        unit.remove(Reply, before=("made_at", now - keeping.replies))
        unit.remove(Link, before=("ends_at", now - keeping.links))
        unit.remove(Entry, before=("made_at", now - keeping.trail))
        unit.remove(Try, before=("made_at", now - keeping.tries))
        unit.remove(SignIn, before=("ends_at", now))
        unit.remove(WorkerSeen, before=("seen_at", now - keeping.tries))
        ended = now - keeping.jobs
        gone = tuple(
            job.id
            for state in ("done", "failed", "stopped")
            for job in unit.find(Job, state=state)
            if job.ended_at is not None and job.ended_at < ended
        )
        for id_ in gone:
            unit.remove(Job, id=id_)
    store.settle()
    return gone
