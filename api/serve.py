"""Start the service: which database, which mode, and where it may listen."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import sys
import threading
from typing import cast

import uvicorn

from api.app import create_app
from api.jobs.kinds import run_of
from api.jobs.tasks import warm
from api.security.accounts import accounts
from api.settings import LOOPBACK, Settings, database_url, default_url
from mealplan.errors import StoreError
from mealplan.jobs.crew import Crew
from mealplan.jobs.durable import Durable, lay
from mealplan.jobs.worker import take_jobs
from mealplan.store.base import Store
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


def settings_for(store: Store, host: str, public: str = "") -> Settings:
    """
    Decide the mode.

    Parameters
    ----------
    store : Store
    host : str
        Address to listen on.
    public : str
        Names under which a proxy offers the service over HTTPS, commas between.

    Returns
    -------
    Settings

    Raises
    ------
    StoreError
        When others could reach a service without accounts.
    """
    has_accounts = bool(accounts(store))
    names = frozenset(name.strip().lower() for name in public.split(",") if name.strip())
    if not has_accounts and (host not in LOOPBACK or names):
        raise StoreError(
            f"listening on {(names and ', '.join(sorted(names))) or host} without accounts "
            "would let anyone in: "
            "add a coach with `mealplan coach add LOGIN` first, or listen on 127.0.0.1"
        )
    # A proxy that ends HTTPS makes cookies secure; without one only this machine is served.
    allowed = LOOPBACK | names | ({host.lower()} if host not in ("0.0.0.0", "::") else set())
    return Settings(
        accounts=has_accounts,
        hosts=frozenset(allowed),
        secure_cookies=bool(names),
    )


def listen(host: str, port: int) -> socket.socket:
    """
    Take a port before anything is started.

    Parameters
    ----------
    host : str
    port : int

    Returns
    -------
    socket

    Raises
    ------
    StoreError
        When it cannot be had, with what to do.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host, port), family=family, backlog=256)
    except OSError as error:
        raise StoreError(
            f"{host} port {port} cannot be listened on ({error.strerror or error}); "
            "choose another with --port, or stop what runs there"
        ) from None


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
    store = cast("SqlStore", open_store(url))
    settings = Settings(accounts=True)
    queues = Durable(store, settings.now)
    warm()
    take_jobs(
        store, queues, queue, run_of(settings, lambda: queues), settings.now, settings.keeping
    )
    return 0


def run(
    host: str,
    port: int,
    db: str | None = None,
    public: str = "",
    *,
    soon: int = 1,
    later: int | None = None,
) -> int:
    """
    Serve until interrupted.

    Parameters
    ----------
    host : str
        Address to listen on.
    port : int
    db : str, optional
        Path of an SQLite file or a database URL.
    public : str
        Names under which a proxy offers the service over HTTPS.
    soon, later : int
        Workers started beside the service; 0 and 0 leave the work to ``mealplan work`` elsewhere.

    Returns
    -------
    int
        Exit code.
    """
    store = open_store(db)
    crew = None
    try:
        settings = settings_for(store, host, public or os.environ.get("MEALPLAN_PUBLIC", ""))
        listening = listen(host, port)
        queues = Durable(cast("SqlStore", store), settings.now)
        app = create_app(settings, store, queues)
        url = database_url(db) if db else default_url()
        crew = Crew(url, soon, usual_workers() if later is None else later)
        shown = f"[{host}]" if ":" in host else host
        mode = "coaches sign in" if settings.accounts else "one coach on this machine, no password"
        sys.stderr.write(f"mealplan: http://{shown}:{port}  ({mode}; Ctrl-C stops it)\n")
        config = uvicorn.Config(
            app,
            log_level="warning",
            proxy_headers=settings.secure_cookies,
            server_header=False,
        )
        with contextlib.suppress(KeyboardInterrupt), listening:
            uvicorn.Server(config).run(sockets=[listening])
    finally:
        if crew is not None:
            crew.close()
        store.close()
    return 0
