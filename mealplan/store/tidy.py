"""What a store lets go of by itself, and after how long."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from mealplan.store.base import Store
from mealplan.store.records import (
    Entry,
    Job,
    Link,
    Record,
    Reply,
    SignIn,
    Try,
    WorkerSeen,
)


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


STEPS = 8
"""In how many changes :func:`let_go` goes: one for each kind, and one to settle."""


def let_go(
    store: Store,
    now: dt.datetime,
    keeping: RetentionSpans,
    tell: Callable[[int, int], None] = lambda done, total: None,
    forget: Callable[[Sequence[str]], None] = lambda ids: None,
) -> tuple[str, ...]:
    """
    Let go of what was kept long enough, kind by kind, so that nobody waits for all of it.

    Parameters
    ----------
    store : Store
    now : datetime
    keeping : RetentionSpans
    tell : callable, optional
        Called with (steps done, steps in all) before each.
    forget : callable, optional
        Lets go of jobs in the queue that ran them; called with their identifiers while the records
        are still there, so that it is done again when it was interrupted.

    Returns
    -------
    tuple of str
        Identifiers of jobs let go.
    """
    spans: tuple[tuple[type[Record], str, dt.datetime], ...] = (
        (Reply, "made_at", now - keeping.replies),
        (Link, "ends_at", now - keeping.links),
        (Entry, "made_at", now - keeping.trail),
        (Try, "made_at", now - keeping.tries),
        (SignIn, "ends_at", now),
        (WorkerSeen, "seen_at", now - keeping.tries),
    )
    for step, (kind, field, before) in enumerate(spans):
        tell(step, STEPS)
        with store.writing() as unit:
            unit.remove(kind, before=(field, before))
    tell(len(spans), STEPS)
    gone = _ended_jobs(store, now - keeping.jobs)
    forget(gone)
    with store.writing() as unit:
        for id_ in gone:
            unit.remove(Job, id=id_)
    tell(STEPS - 1, STEPS)
    store.settle()
    return gone


def _ended_jobs(store: Store, before: dt.datetime) -> tuple[str, ...]:
    with store.reading() as unit:
        return tuple(
            job.id
            for state in ("done", "failed", "stopped")
            for job in unit.find(Job, state=state)
            if job.ended_at is not None and job.ended_at < before
        )
