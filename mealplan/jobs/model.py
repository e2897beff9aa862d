"""
What a job is to those who ask for it, run it and wait for it.

A job's record is the one place that says how far it is and how it ended; the engine behind the
queue knows only its identifier, so that nothing about a client is kept twice.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol

from mealplan.errors import MealPlanError
from mealplan.store.base import NotThere, Reader, Store, Writer
from mealplan.store.records import Job, JobState

MOST_WAITING_OF_ASKER = 6
"""Jobs that one client's link may have waiting or at work."""
MOST_WAITING_OF_COACH = 60
"""Jobs that a coach and all of their clients' links may have waiting or at work, rosters aside."""
LOOK_S = 0.05
"""How often a page that waits looks whether its job has ended. [s]"""
TELL_S = 0.25
"""Progress is written no more often than this. [s]"""
MOST_TRIES = 100
"""
How often a job is begun again whose worker was lost, before it counts as failed.

A job that ends every worker by itself is given up within minutes; one that is begun and lost again
and again for another's fault (workers killed every few seconds) outlasts it.
"""

UNDER_WAY = ("waiting", "working")
"""States of a job that has not ended."""


class Busy(MealPlanError):  # noqa: N818  (reads as what happened)
    """Too many jobs are waiting."""


class Stopped(Exception):  # noqa: N818  (not an error: someone asked for it)
    """The job was stopped from outside, or is no longer this worker's to finish."""


class Jobs(Protocol):
    """Where jobs are handed in."""

    def submit(self, job: Job) -> Job:
        """
        Keep a job and see that it runs; raise :class:`Busy` when its asker has too many.

        Parameters
        ----------
        job : Job
            The job.
        """
        ...

    def stop(self, job: Job) -> None:
        """
        Stop a job, waiting or running; one that has ended stays as it is.

        Parameters
        ----------
        job : Job
            The job.
        """
        ...

    def close(self) -> None:
        """Let go of what was opened; jobs that were handed in stay."""
        ...


@dataclass
class Work:
    """One job in the hands of a worker."""

    store: Store
    job: Job
    now: Callable[[], dt.datetime]
    told_at: float = 0.0

    def tell(self, done: int, total: int) -> None:
        """
        Note how far the work is.

        Parameters
        ----------
        done, total : int
            In the units of the job: days, clients, steps of a search.

        Raises
        ------
        Stopped
            When it should not go on.
        """
        at = time.monotonic()
        if at - self.told_at < TELL_S and done < total:
            return
        self.told_at = at

        def note(unit: Writer) -> None:
            self.job = dataclasses.replace(self._mine(unit), done=done, total=total)
            unit.change(self.job)

        with self.store.writing() as unit:
            note(unit)

    def finish(self, unit: Writer, result: str = "") -> None:
        """
        Count the job as done, within the change that keeps its result.

        Parameters
        ----------
        unit : Writer
            The change; when it is not kept, neither is this.
        result : str
            JSON: what was made and is to be looked at before it is kept.

        Raises
        ------
        Stopped
            When it was stopped or has ended already: its result must not be kept a second time.
        """
        mine = self._mine(unit)
        unit.change(dataclasses.replace(ended(mine, "done", self.now()), result=result))

    def _mine(self, unit: Reader) -> Job:
        try:
            job = unit.get(Job, self.job.id)
        except NotThere:
            raise Stopped from None
        if job.state != "working" or job.tries != self.job.tries:
            raise Stopped
        return job


Run = Mapping[str, Callable[[Work], None]]
"""Kind of job to what carries it out; each ends by :meth:`Work.finish`."""


def ended(job: Job, state: JobState, at: dt.datetime, error: str = "") -> Job:
    """
    Return a job as it stands once it has ended; what a client wished for is let go of.

    Parameters
    ----------
    job : Job
    state : {"done", "failed", "stopped"}
    at : datetime
    error : str
        What :func:`mealplan.jobs.outcome.packed` wrote.

    Returns
    -------
    Job
    """
    return dataclasses.replace(
        job,
        state=state,
        done=job.total if state == "done" else job.done,
        error=error,
        ended_at=at,
        wish="" if job.client_id else job.wish,
    )


def waited_for(store: Store, job: Job) -> int:
    """
    Count the jobs under way that were handed in before one that waits.

    Parameters
    ----------
    store : Store
    job : Job

    Returns
    -------
    int
        0 for a job that does not wait.
    """
    if job.state != "waiting":
        return 0
    with store.reading() as unit:
        earlier = [one for state in UNDER_WAY for one in unit.find(Job, state=state)]
    return sum(one.made_at < job.made_at for one in earlier)


def job_of(store: Store, id_: str) -> Job:
    """
    Look a job up.

    Parameters
    ----------
    store : Store
    id_ : str

    Returns
    -------
    Job

    Raises
    ------
    NotThere
        When there is none of this identifier.
    """
    with store.reading() as unit:
        return unit.get(Job, id_)


def wait_for(store: Store, job: Job, seconds: float) -> Job:
    """
    Wait until a job has ended.

    Parameters
    ----------
    store : Store
    job : Job
    seconds : float
        Longest wait. [s]

    Returns
    -------
    Job
        As it stands then, ended or not.
    """
    until = time.monotonic() + seconds
    while True:
        job = job_of(store, job.id)
        left = until - time.monotonic()
        if job.state not in UNDER_WAY or left <= 0:
            return job
        time.sleep(min(LOOK_S, left))


def refuse_too_many(unit: Reader, job: Job) -> None:
    """
    Turn a job away whose asker has enough of them under way.

    Parameters
    ----------
    unit : Reader
    job : Job
        A part of a roster is never turned away: the roster itself was taken.

    Raises
    ------
    Busy
    """
    if job.part_of:
        return
    under_way_of_asker = sum(
        unit.count(Job, state=state, part_of="", asker=job.asker) for state in UNDER_WAY
    )
    under_way_of_coach = sum(
        unit.count(Job, state=state, part_of="", coach_id=job.coach_id) for state in UNDER_WAY
    )
    for under_way, most in (
        (under_way_of_asker, MOST_WAITING_OF_ASKER if job.by_link else MOST_WAITING_OF_COACH),
        (under_way_of_coach, MOST_WAITING_OF_COACH),
    ):
        if under_way >= most:
            raise Busy(
                f"{under_way} plans are being made for you just now; wait half a minute and ask "
                "again"
            )
