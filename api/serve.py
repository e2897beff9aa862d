"""Start the service: which database, which mode, and where it may listen."""

from __future__ import annotations

import contextlib
import os
import socket
import sys

import uvicorn

from api.app import create_app
from api.security.accounts import accounts
from api.settings import LOOPBACK, Settings, database_url, default_url
from mealplan.errors import StoreError
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
        solvers=max(1, min(4, (os.cpu_count() or 2) - 1)),
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


def run(host: str, port: int, db: str | None = None, public: str = "") -> int:
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

    Returns
    -------
    int
        Exit code.
    """
    store = open_store(db)
    try:
        settings = settings_for(store, host, public or os.environ.get("MEALPLAN_PUBLIC", ""))
        listening = listen(host, port)
        app = create_app(settings, store)
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
        store.close()
    return 0
