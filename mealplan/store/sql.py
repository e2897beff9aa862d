"""
The relational store: an SQLite file with nothing to set up, or PostgreSQL by its URL.

SQLite writes ahead into a log that is flushed to disk at every commit, so that what was
acknowledged survives the process being killed and the machine losing power.
"""

from __future__ import annotations

import contextlib
import dataclasses
import datetime as dt
import hashlib
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import (
    ColumnElement,
    Connection,
    Engine,
    Select,
    create_engine,
    delete,
    event,
    func,
    insert,
    or_,
    select,
    update,
)
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DataError, IntegrityError
from sqlalchemy.exc import SQLAlchemyError as AnyDatabaseError

from mealplan.errors import StoreError
from mealplan.store.base import AlreadyThere, NotThere, Unkeepable
from mealplan.store.deadline import go_on, left_s
from mealplan.store.records import Record
from mealplan.store.schema import migrate
from mealplan.store.tables import TABLES

R = TypeVar("R", bound=Record)

BUSY_TIMEOUT_S = 20.0
"""How long a writer waits for another one. [s]"""


POOL_TIMEOUT_S = 10.0
"""How long a request waits for a connection before it says that the database is busy. [s]"""
LOOK_EVERY = 50_000
"""SQLite looks whether anyone still waits after so many of its steps: some milliseconds."""
OVERTAKEN = ("40001", "40P01")
"""What PostgreSQL answers when a change that ran side by side was kept first."""


class _Unit:
    """One transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    @property
    def connection(self) -> Connection:
        """The connection of this transaction, as long as whoever asked is waiting."""
        go_on()
        return self._connection

    def get(self, kind: type[R], id_: str) -> R:
        table = TABLES[kind]
        row = self.connection.execute(select(table).where(table.c.id == id_)).one_or_none()
        if row is None:
            raise NotThere(f"there is no {kind.__name__.lower()} {id_!r}")
        return kind(**row._mapping)

    def find(
        self,
        kind: type[R],
        *,
        newest_first: bool = False,
        by: Sequence[str] = (),
        words: str = "",
        offset: int = 0,
        limit: int | None = None,
        **equals: object,
    ) -> tuple[R, ...]:
        table = TABLES[kind]
        order = [table.c[name] for name in (*by, "made_at", "id")]
        query: Select[Any] = select(table).where(*_conditions(kind, words, equals))
        query = query.order_by(*(c.desc() for c in order) if newest_first else order)
        if limit is not None:
            query = query.limit(limit).offset(offset)
        rows = self.connection.execute(query)
        return tuple(kind(**row._mapping) for row in rows)

    def each(self, kind: type[R]) -> Iterator[R]:
        table = TABLES[kind]
        query = select(table).order_by(table.c.made_at, table.c.id)
        for row in self.connection.execute(query, execution_options={"yield_per": 100}):
            yield kind(**row._mapping)

    def count(
        self,
        kind: type[Record],
        *,
        words: str = "",
        up_to: tuple[str, str] | None = None,
        **equals: object,
    ) -> int:
        table = TABLES[kind]
        conditions = _conditions(kind, words, equals)
        if up_to is not None:
            conditions.append(table.c[up_to[0]] <= up_to[1])
        query = select(func.count()).select_from(table).where(*conditions)
        return int(self.connection.execute(query).scalar_one())

    def add(self, record: Record) -> None:
        values = {f.name: getattr(record, f.name) for f in dataclasses.fields(record)}
        try:
            self.connection.execute(insert(TABLES[type(record)]).values(values))
        except IntegrityError:
            raise AlreadyThere(f"this {type(record).__name__.lower()} is already there") from None

    def change(self, record: Record) -> None:
        table = TABLES[type(record)]
        values = {f.name: getattr(record, f.name) for f in dataclasses.fields(record)}
        done = self.connection.execute(update(table).where(table.c.id == record.id).values(values))
        if done.rowcount != 1:
            raise NotThere(f"there is no {type(record).__name__.lower()} {record.id!r}")

    def remove(
        self, kind: type[Record], *, before: tuple[str, dt.datetime] | None = None, **equals: object
    ) -> int:
        if not equals and before is None:
            raise StoreError("remove needs at least one field; nothing was removed")
        table = TABLES[kind]
        conditions = [table.c[name] == value for name, value in equals.items()]
        if before is not None:
            conditions.append(table.c[before[0]] < before[1])
        done = self.connection.execute(delete(table).where(*conditions))
        return int(done.rowcount)


def _conditions(
    kind: type[Record], words: str, equals: Mapping[str, object]
) -> list[ColumnElement[bool]]:
    table = TABLES[kind]
    return [
        *(table.c[name] == value for name, value in equals.items()),
        *(
            or_(
                *(
                    func.lower(table.c[name]).contains(word, autoescape=True)
                    for name in kind.searched
                )
            )
            for word in words.lower().split()
        ),
    ]


class SqlStore:
    """
    Records in a relational database, brought to the newest schema when opened.

    Parameters
    ----------
    url : str
        Such as ``sqlite:////home/coach/plans.sqlite`` or ``postgresql+psycopg://user@host/name``.

    Raises
    ------
    StoreError
        When the database cannot be opened or is of a newer release than this one.
    """

    def __init__(self, url: str) -> None:
        self.url = url
        self.engine = _engine(url)
        try:
            with self.alone("tables"):
                migrate(self.engine)
        except AnyDatabaseError as error:
            self.engine.dispose()
            raise StoreError(
                f"the database {_shown(url)} cannot be opened: {error.args[0]}"
            ) from None

    @contextmanager
    def reading(self) -> Iterator[_Unit]:
        """Open a consistent view."""
        with self._open(writes=False) as connection:
            yield _Unit(connection)

    @contextmanager
    def writing(self) -> Iterator[_Unit]:
        """Open a change that is kept whole or not at all."""
        with self._open(writes=True) as connection:
            yield _Unit(connection)

    @contextmanager
    def _open(self, *, writes: bool) -> Iterator[Connection]:
        # No message repeats the database's own words: they quote what was to be kept.
        go_on()
        try:
            with self.engine.connect() as connection:
                connection.execution_options(writes=writes)
                with connection.begin():
                    self._break_off_in_time(connection)
                    yield connection
        except IntegrityError:
            raise AlreadyThere(
                "the change clashes with another one; look at what is there"
            ) from None
        except (DataError, OverflowError):
            raise Unkeepable(
                "a number or a sign sent is beyond what can be kept; send a smaller one"
            ) from None
        except AnyDatabaseError as error:
            if getattr(getattr(error, "orig", None), "sqlstate", "") in OVERTAKEN:
                raise AlreadyThere(
                    "another change came first; look at it, then try again"
                ) from None
            go_on()
            raise StoreError(
                f"the database did not answer ({type(error).__name__}); try again"
            ) from None

    def _break_off_in_time(self, connection: Connection) -> None:
        """Let the server itself end a question whose asker has gone; SQLite asks as it works."""
        left = left_s()
        if left is not None and self.engine.dialect.name != "sqlite":
            most_ms = max(1, int(left * 1000))
            connection.exec_driver_sql(f"SET LOCAL statement_timeout = {most_ms}")

    @contextmanager
    def alone(self, what: str) -> Iterator[None]:
        """
        Keep others of the same database waiting who want to do this too.

        Parameters
        ----------
        what : str
            Name of the work that one process does at a time.
        """
        if self.engine.dialect.name == "sqlite":
            yield  # whoever writes first has the file to himself until it is done
            return
        with _alone(self.engine, what):
            yield

    def settle(self) -> None:
        """Bring what was written and removed into the file itself, so that no log repeats it."""
        if self.engine.dialect.name == "sqlite":
            with contextlib.suppress(AnyDatabaseError), self.engine.connect() as connection:
                connection.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").close()

    def close(self) -> None:
        """Let go of files and connections."""
        self.engine.dispose()


def _engine(url: str) -> Engine:
    if make_url(url).get_backend_name() != "sqlite":
        return create_engine(
            url,
            pool_pre_ping=True,
            isolation_level="REPEATABLE READ",
            pool_timeout=POOL_TIMEOUT_S,
            hide_parameters=True,
            connect_args={"connect_timeout": 5, "application_name": "mealplan"},
        )
    engine = create_engine(url, connect_args={"timeout": BUSY_TIMEOUT_S}, hide_parameters=True)

    @event.listens_for(engine, "connect")
    def _set_up(connection: sqlite3.Connection, _: object) -> None:
        connection.isolation_level = None  # transactions are begun below, not by the driver
        connection.set_progress_handler(_asker_has_gone, LOOK_EVERY)
        # SQLite's own knows the letters A to Z alone.
        connection.create_function("lower", 1, _lower, deterministic=True)
        # What is removed is written over, so that erased data is not left lying in the file.
        for pragma in (
            "journal_mode=WAL",
            "synchronous=FULL",
            "foreign_keys=ON",
            "secure_delete=ON",
        ):
            connection.execute(f"PRAGMA {pragma}").close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # A writer takes its place at once: two that read first and then write would both fail.
        writes = connection.get_execution_options().get("writes", True)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


@contextmanager
def _alone(engine: Engine, what: str) -> Iterator[None]:
    key = int.from_bytes(hashlib.sha256(f"mealplan {what}".encode()).digest()[:8], signed=True)
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        connection.execute(select(func.pg_advisory_lock(key)))
        try:
            yield
        finally:
            connection.execute(select(func.pg_advisory_unlock(key)))


@contextmanager
def answering(what: str) -> Iterator[None]:
    """
    Say plainly when a database does not answer a library that asks it beside the store.

    Parameters
    ----------
    what : str
        What was asked, such as ``the queue``.

    Raises
    ------
    StoreError
        Without the database's own words: they quote what was to be kept.
    """
    try:
        yield
    except AnyDatabaseError as error:
        raise StoreError(f"{what} did not answer ({type(error).__name__}); try again") from None


def _asker_has_gone() -> bool:
    left = left_s()
    return left is not None and left <= 0


def _lower(text: str | None) -> str | None:
    return None if text is None else text.lower()


def _shown(url: str) -> str:
    return make_url(url).render_as_string(hide_password=True)


def sqlite_path(url: str) -> Path | None:
    """
    Say which file an SQLite URL means.

    Parameters
    ----------
    url : str

    Returns
    -------
    Path or None
        None for other databases.
    """
    parsed = make_url(url)
    return (
        Path(parsed.database) if parsed.get_backend_name() == "sqlite" and parsed.database else None
    )
