"""
The part of the command line that runs and keeps the service: serve, coach, backup, restore.

The service imports this package, never the other way round: it is found by its name when asked for.
"""

from __future__ import annotations

import argparse
import contextlib
import datetime as dt
import getpass
import importlib
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from mealplan.cli.arguments import Add, read_date
from mealplan.errors import StoreError

LOOK_S = 2.0
"""How often a backup that workers write is looked at. [s]"""

if TYPE_CHECKING:
    from mealplan.store.base import Store
    from mealplan.store.sql import SqlStore


def add_commands(add: Add, port: Callable[[str], int]) -> None:
    """
    Add the service's commands to the command line.

    Parameters
    ----------
    add : callable
        Adds one command: name, what runs it, what it does, an example.
    port : callable
        Reads a port number.
    """
    _add_serve(add, port)
    _add_work(add)
    _add_roster(add)
    _add_coach(add)
    _add_backup(add)
    _add_restore(add)


def _add_serve(add: Add, port: Callable[[str], int]) -> None:
    serve = add(
        "serve", _serve, "serve the pages and the JSON interface", "mealplan serve --port 8080"
    )
    serve.add_argument(
        "--host", default="127.0.0.1", help="address to listen on (default 127.0.0.1)"
    )
    serve.add_argument("--port", type=port, default=8000, help="port (default 8000)")
    serve.add_argument(
        "--public",
        default="",
        metavar="NAME",
        help="name under which a proxy on this machine offers the service over HTTPS",
    )
    serve.add_argument(
        "--workers",
        type=int,
        default=None,
        metavar="N",
        help="workers for what takes longer, beside one for who waits at a page (default: one less "
        "than there are processors; 0 starts none and leaves all to `mealplan work`)",
    )
    serve.add_argument(
        "--print-unit",
        choices=("service", "work", "nginx"),
        default="",
        help="print a systemd unit or an nginx site to start from, and end",
    )
    _db_argument(serve)


def _add_work(add: Add) -> None:
    work = add(
        "work", _work, "take jobs of a service's database, here or on another machine",
        "mealplan work --workers 4 --db postgresql://mealplan@db/mealplan",
    )  # fmt: skip
    work.add_argument(
        "--workers", type=int, default=None, metavar="N", help="workers for what takes longer"
    )
    work.add_argument(
        "--soon", type=int, default=1, metavar="N", help="workers for who waits at a page"
    )
    work.add_argument("--only", choices=("soon", "later"), default="", help=argparse.SUPPRESS)
    _db_argument(work)


def _add_roster(add: Add) -> None:
    roster = add(
        "roster", _roster, "plan every client's days from a date, by the workers of a service",
        "mealplan roster --from 2026-12-07",
    )  # fmt: skip
    roster.add_argument(
        "--from", dest="first", type=read_date, metavar="DATE",
        help="first day (default: the coming Monday)",
    )  # fmt: skip
    roster.add_argument("--days", type=int, default=7, help="days, 1 to 28 (default 7)")
    roster.add_argument("--coach", default="", metavar="LOGIN", help="whose roster")
    roster.add_argument("--stop", default="", metavar="ID", help="stop a planning; plans stay")
    roster.add_argument("--resume", default="", metavar="ID", help="go on with a stopped one")
    roster.add_argument("--leave", action="store_true", help="start it and do not wait")
    _db_argument(roster)


def _add_coach(add: Add) -> None:
    coach = add(
        "coach", _coach, "add and list coaches' accounts", "mealplan coach add north-harbour"
    )
    coach.add_argument("do", choices=("add", "list", "password", "remove"), help="what to do")
    coach.add_argument("login", nargs="?", default="", help="the coach's login")
    coach.add_argument(
        "--hand-to", default="", metavar="LOGIN", help="who takes a removed coach's clients over"
    )
    _db_argument(coach)


def _add_backup(add: Add) -> None:
    backup = add(
        "backup", _backup, "copy the database into one file", "mealplan backup monday.backup"
    )
    backup.add_argument("file", type=Path, metavar="FILE", help="file to write")
    backup.add_argument(
        "--sealed", action="store_true", help="ask for a secret without which nobody can read it"
    )
    backup.add_argument(
        "--by-workers",
        action="store_true",
        help="let the service's workers write it, where every one of them sees the folder: it goes "
        "on when this command or a worker ends; sealed by --key-file only",
    )
    _key_argument(backup)
    _db_argument(backup)


def _add_restore(add: Add) -> None:
    restore = add("restore", _restore, "bring a backup back", "mealplan restore monday.backup")
    restore.add_argument("file", type=Path, metavar="FILE", help="file that backup wrote")
    _key_argument(restore)
    restore.add_argument("--replace", action="store_true", help="let go of what is there now")
    _db_argument(restore)


def _key_argument(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--key-file",
        type=Path,
        metavar="FILE",
        help="file whose first line is the secret of a sealed backup (default: ask for it)",
    )


def _db_argument(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--db",
        metavar="DATABASE",
        help="SQLite file or database URL (default: MEALPLAN_DB, else a file in your data folder)",
    )


def _service(name: str) -> Any:
    return importlib.import_module(f"api.{name}")


@contextlib.contextmanager
def _opened(db: str | None) -> Iterator[Store]:
    store: Store = _service("app.work").open_store(db)
    try:
        yield store
    finally:
        store.close()


def _serve(options: argparse.Namespace) -> int:
    if options.print_unit:
        print(_service("app.deploy").printed(options.print_unit), end="")
        return 0
    soon = 0 if options.workers == 0 else 1
    return int(
        _service("app.serve").run(
            options.host,
            options.port,
            options.db,
            options.public,
            soon=soon,
            later=options.workers,
        )
    )


def _roster(options: argparse.Namespace) -> int:
    return int(
        _service("app.overnight").plan_roster(
            options.db,
            options.coach,
            options.first,
            options.days,
            stop=options.stop,
            resume=options.resume,
            watch=not options.leave,
        )
    )


def _work(options: argparse.Namespace) -> int:
    work = _service("app.work")
    later = work.usual_workers() if options.workers is None else options.workers
    return int(work.work(options.db, soon=options.soon, later=later, only=options.only))


def _coach(options: argparse.Namespace) -> int:
    accounts = _service("security.accounts")
    with _opened(options.db) as store:
        if options.do == "list":
            for coach in accounts.accounts(store):
                print(f"{coach.login}  since {coach.made_at:%Y-%m-%d}")
            return 0
        if not options.login:
            raise StoreError(
                f"say which login, such as `mealplan coach {options.do} north-harbour`"
            )
        if options.do == "remove":
            now = dt.datetime.now(dt.UTC)
            count = accounts.remove_coach(store, options.login, options.hand_to, now)
            print(f"coach {options.login} is removed; {count} clients went to {options.hand_to}")
            return 0
        password = _password()
        if options.do == "add":
            accounts.add_coach(store, options.login, password, dt.datetime.now(dt.UTC))
            print(f"coach {options.login} may sign in; start the service again if it is running")
        else:
            accounts.change_password(store, options.login, password, dt.datetime.now(dt.UTC))
            print(f"coach {options.login} has a new password and was signed out everywhere")
    return 0


def _password(what: str = "Password", *, again: bool = True) -> str:
    """Ask, twice for a new one, on a terminal; read one line otherwise, for scripts."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    first = getpass.getpass(f"{what}: ")
    if again and getpass.getpass("Once more: ") != first:
        raise StoreError("the two differ; nothing was changed")
    return first


def _secret(options: argparse.Namespace, *, again: bool) -> str:
    from mealplan.store.sealed import secret_in

    if options.key_file is None:
        return _password("Secret of the backup", again=again)
    return secret_in(options.key_file)


def _backup(options: argparse.Namespace) -> int:
    from mealplan.store.backup import backup

    if options.by_workers:
        return _backup_by_workers(options)
    secret = _secret(options, again=True) if options.sealed or options.key_file else ""
    if options.sealed and not secret:
        raise StoreError("an empty secret seals nothing; nothing was written")
    with _opened(options.db) as store:
        count = backup(store, options.file, dt.datetime.now(dt.UTC), secret)
    kept = "sealed; without its secret nobody can open it" if secret else "readable to its finder"
    print(f"{count} records written to {options.file}, {kept}")
    return 0


def _backup_by_workers(options: argparse.Namespace) -> int:
    """Hand a backup in and say how far it is; it goes on when this ends."""
    from mealplan.jobs import error_of
    from mealplan.jobs.durable import Durable
    from mealplan.jobs.house import BackupOrder, hand_in_backup
    from mealplan.jobs.model import UNDER_WAY, wait_for

    if options.sealed and not options.key_file:
        raise StoreError(
            "a secret that is typed is kept nowhere, so no worker could seal by it; put it into "
            "the first line of a file and name that by --key-file"
        )
    key_file = str(options.key_file.absolute()) if options.key_file else ""
    with _opened(options.db) as store:
        queue = Durable(cast("SqlStore", store), lambda: dt.datetime.now(dt.UTC))
        try:
            order = BackupOrder(str(options.file.absolute()), key_file)
            job = hand_in_backup(cast("SqlStore", store), queue, order, dt.datetime.now(dt.UTC))
            while job.state in UNDER_WAY:
                sys.stderr.write(f"{job.done} of {job.total} records written\n")
                job = wait_for(store, job, LOOK_S)
        finally:
            queue.close()
    error = error_of(job.error)
    if error is not None:
        raise error
    print(f"{options.file} is written")
    return 0


def _restore(options: argparse.Namespace) -> int:
    from mealplan.store.backup import needs_secret, restore

    secret = _secret(options, again=False) if needs_secret(options.file) else ""
    with _opened(options.db) as store:
        count = restore(store, options.file, replace=options.replace, secret=secret)
    print(f"{count} records brought back")
    return 0
