"""Plan a coach's whole roster from the command line, over the same queue as the pages."""

from __future__ import annotations

import datetime as dt
import sys
import time
from typing import cast

from api.app.work import open_store
from api.desk.planning import RosterRun, resume_roster, roster_run, start_roster
from api.desk.service import Service
from api.records.book import Records
from api.records.view import Principal
from api.settings import Settings
from mealplan.errors import StoreError
from mealplan.jobs import error_of
from mealplan.jobs.durable import Durable
from mealplan.store.records import Coach
from mealplan.store.sql import SqlStore

LOOK_S = 2.0
"""How often progress is looked at. [s]"""


def plan_roster(
    db: str | None,
    login: str,
    first: dt.date | None,
    days: int,
    *,
    stop: str = "",
    resume: str = "",
    watch: bool = True,
) -> int:
    """
    Start, stop or go on with the planning of a coach's roster, and say how far it is.

    Parameters
    ----------
    db : str, optional
        Path of an SQLite file or a database URL.
    login : str
        The coach's; the only one's when empty.
    first : date, optional
        First day; the coming Monday when left out.
    days : int
        1 to 28. [days]
    stop, resume : str
        Identifier of a planning to stop, or to go on with.
    watch : bool
        True stays until it has ended; ending the command does not end the planning.

    Returns
    -------
    int
        Exit code: 0 when everyone has a plan, 3 when someone has none.
    """
    store = cast("SqlStore", open_store(db))
    settings = Settings(accounts=True)
    queue = Durable(store, settings.now)
    try:
        records = Records(
            store, settings, Principal("coach", _coach(store, login).id, "coach by command")
        )
        service = Service(store, settings, queue)
        if stop:
            queue.stop(roster_run(service, records, stop).job)
            run = roster_run(service, records, stop)
        elif resume:
            run = roster_run(service, records, resume)
            resume_roster(service, records, run)
        else:
            today = settings.today()
            start = first or today + dt.timedelta(days=7 - today.weekday())
            run = roster_run(service, records, start_roster(service, records, start, days).id)
        sys.stderr.write(f"{run.job.what}; to stop: mealplan roster --stop {run.job.id}\n")
        return _watched(service, records, run.job.id, watch=watch)
    finally:
        queue.close()
        store.close()


def _coach(store: SqlStore, login: str) -> Coach:
    with store.reading() as unit:
        found = unit.find(Coach, login=login.strip().lower()) if login else unit.find(Coach)
    if len(found) != 1:
        raise StoreError(
            f"{len(found)} coaches fit; name one with --coach LOGIN, `mealplan coach list` lists "
            "them"
        )
    return found[0]


def _watched(service: Service, records: Records, id_: str, *, watch: bool) -> int:
    while True:
        run = roster_run(service, records, id_)
        sys.stderr.write(f"{_line(run)}\n")
        if run.ended or not watch:
            break
        time.sleep(LOOK_S)
    for one in run.refused:
        sys.stdout.write(f"{one.client_id}  {one.what}: {error_of(one.error)}\n")
    return 3 if run.failed else 0


def _line(run: RosterRun) -> str:
    return (
        f"{run.done} of {run.parts} planned, {run.under_way} to come, {run.failed} without a plan, "
        f"{run.stopped} stopped"
    )
