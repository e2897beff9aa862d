"""Jobs carried out by whoever hands them in: for records that one process keeps to itself."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from mealplan.jobs.carry_out import carry_out, end
from mealplan.jobs.model import Run, job_of, refuse_too_many
from mealplan.store.base import Store
from mealplan.store.records import Job


class AtOnce:
    """
    Runs each job before :meth:`submit` returns.

    Parameters
    ----------
    store : Store
    run : mapping
        Kind of job to what carries it out.
    now : callable
        The clock.
    """

    def __init__(self, store: Store, run: Run, now: Callable[[], dt.datetime]) -> None:
        self._store, self._run, self._now = store, run, now

    def submit(self, job: Job) -> Job:
        """
        Keep a job and carry it out.

        Parameters
        ----------
        job : Job
            The job.
        """
        with self._store.writing() as unit:
            refuse_too_many(unit, job)
            unit.add(job)
        carry_out(self._store, job.id, self._run, self._now)
        return job_of(self._store, job.id)

    def stop(self, job: Job) -> None:
        """
        Stop a job that has not ended.

        Parameters
        ----------
        job : Job
            The job.
        """
        end(self._store, job, "stopped", self._now)

    def close(self) -> None:
        """Do nothing: nothing was opened."""
