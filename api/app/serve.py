"""Start the service: which database, which mode, and where it may listen."""

from __future__ import annotations

import contextlib
import os
import socket
import sys
from typing import cast

import uvicorn

from api.app.app import create_app
from api.app.work import open_store, usual_workers
from api.security.accounts import accounts
from api.settings import LOOPBACK, Settings, database_url, default_url
from mealplan.errors import StoreError
from mealplan.jobs.crew import Crew
from mealplan.jobs.durable import Durable
from mealplan.store.base import Store
from mealplan.store.sql import SqlStore


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
