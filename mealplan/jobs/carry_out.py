"""Carry one job out, exactly once whatever happens to the worker."""

from __future__ import annotations

import dataclasses
import datetime as dt
import logging
from collections.abc import Callable

from foods.registry.errors import FoodError
from mealplan.errors import MealPlanError, StoreError
from mealplan.jobs.model import MOST_TRIES, UNDER_WAY, Run, Stopped, Work, ended
from mealplan.jobs.outcome import packed
from mealplan.store.base import NotThere, Store, Writer
from mealplan.store.records import Job, JobState

_log = logging.getLogger("mealplan.jobs")


def carry_out(store: Store, id_: str, run: Run, now: Callable[[], dt.datetime]) -> None:
    """
    Carry a job out and keep how it ended.

    A job that has ended, or was erased, is left alone: asking twice does nothing the second time.

    Parameters
    ----------
    store : Store
    id_ : str
    run : mapping
        Kind of job to what carries it out.
    now : callable
        The clock.
    """
    job = _begun(store, id_, now)
    if job is None:
        return
    try:
        run[job.task](Work(store, job, now))
    except Stopped:
        _log.info("job %s was stopped", id_)
    except (MealPlanError, FoodError) as error:
        end(store, job, "failed", now, packed(error))
    except Exception as error:
        # The traceback's own text may quote what was typed: only its kind and place are logged.
        _log.error("job %s of kind %s failed: %s%s", id_, job.task, type(error).__name__,
                   _place(error))  # fmt: skip
        end(store, job, "failed", now, packed(StoreError(
            "planning failed for a reason the log of the service tells; try again")))  # fmt: skip


def _place(error: BaseException) -> str:
    trace = error.__traceback__
    lines = []
    while trace is not None:
        lines.append(f"{trace.tb_frame.f_code.co_filename}:{trace.tb_lineno}")
        trace = trace.tb_next
    return "".join(f" < {line}" for line in reversed(lines[-6:]))


def _begun(store: Store, id_: str, now: Callable[[], dt.datetime]) -> Job | None:
    with store.writing() as unit:
        try:
            job = unit.get(Job, id_)
        except NotThere:
            return None
        if job.state not in UNDER_WAY:
            return None
        begun = dataclasses.replace(job, state="working", tries=job.tries + 1)
        if begun.tries > MOST_TRIES:
            lost = StoreError(f"its worker was lost {MOST_TRIES} times; ask again for less")
            unit.change(ended(job, "failed", now(), packed(lost)))
            return None
        unit.change(begun)
        return begun


def end(
    store: Store, job: Job, state: JobState, now: Callable[[], dt.datetime], error: str = ""
) -> bool:
    """
    Note that a job ended otherwise than by its result.

    Parameters
    ----------
    store : Store
    job : Job
    state : {"failed", "stopped"}
    now : callable
        The clock.
    error : str
        What :func:`mealplan.jobs.outcome.packed` wrote.

    Returns
    -------
    bool
        False when it had ended before, or is gone.
    """

    def note(unit: Writer) -> bool:
        found = unit.find(Job, id=job.id)
        if not found or found[0].state not in UNDER_WAY:
            return False
        unit.change(ended(found[0], state, now(), error))
        return True

    with store.writing() as unit:
        return note(unit)
