"""
Workers by command: as many processes as asked for, or one of them.

Nothing of the pages is loaded here, so that a worker is ready the sooner.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from typing import cast

from api.jobs.kinds import run_of
from api.jobs.tasks import rehearse, warm
from api.settings import Settings, database_url, default_url
from mealplan.jobs.crew import Crew
from mealplan.jobs.durable import SOON, Durable, lay
from mealplan.jobs.house import house_run
from mealplan.jobs.model import UNDER_WAY
from mealplan.jobs.worker import stand_back, take_jobs
from mealplan.store.base import Store
from mealplan.store.records import Job
from mealplan.store.sql import SqlStore, sqlite_path


def open_store(db: str | None = None) -> Store:
    """
    Open the database, making its folder when it is the default one.

    Parameters
    ----------
    db : str, optional
        Path or URL; the user's own file when left out.

    Returns
    -------
    Store
    """
    url = database_url(db) if db else default_url()
    path = sqlite_path(url)
    if path is not None:
        path.parent.mkdir(parents=True, exist_ok=True)
        if not path.exists():
            path.touch(mode=0o600)
    return SqlStore(url)


def usual_workers() -> int:
    """
    Say how many workers a service starts for what may take longer.

    Returns
    -------
    int
        One less than there are processors, since one more serves who waits at a page.
    """
    return max(1, min(8, (os.cpu_count() or 2) - 1))


def work(db: str | None, *, soon: int, later: int, only: str = "") -> int:
    """
    Take jobs from the queue until interrupted.

    Parameters
    ----------
    db : str, optional
        Path of an SQLite file or a database URL.
    soon, later : int
        Workers for what is waited for at a page, and for what may take longer.
    only : str
        The queue to serve in this very process; empty starts the workers as processes.

    Returns
    -------
    int
        Exit code.
    """
    url = database_url(db) if db else default_url()
    if only:
        return _work_here(url, only)
    store = open_store(url)
    try:
        lay(cast("SqlStore", store))
    finally:
        store.close()
    ending = threading.Event()
    for name in (signal.SIGTERM, signal.SIGINT):
        signal.signal(name, lambda *_: ending.set())
    crew = Crew(url, soon, later)
    sys.stderr.write(f"mealplan: {soon} + {later} workers take jobs  (Ctrl-C stops them)\n")
    while not ending.wait(1.0):
        pass
    crew.close()
    return 0


def _work_here(url: str, queue: str) -> int:
    """Be one worker."""
    stand_back(queue)
    store = cast("SqlStore", open_store(url))
    settings = Settings(accounts=True)
    queues = Durable(store, settings.now)
    warm()
    if queue == SOON and not _someone_waits(store):
        rehearse()
    run = {**run_of(settings, lambda: queues), **house_run(queues, settings.keeping)}
    take_jobs(store, queues, queue, run, settings.now)
    return 0


def _someone_waits(store: Store) -> bool:
    """Say whether a job is under way: it is not made to wait for a rehearsal as well."""
    with store.reading() as unit:
        return any(unit.count(Job, state=state) for state in UNDER_WAY)
