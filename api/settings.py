"""What an operator may set, with defaults that need no setting up."""

from __future__ import annotations

import datetime as dt
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

from mealplan.errors import StoreError
from mealplan.store.tidy import RetentionSpans

LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1", "[::1]"})
"""Names of this machine that other machines cannot reach."""


def data_folder() -> Path:
    """
    Say where this user's data belongs.

    Returns
    -------
    Path
        The platform's usual folder with ``mealplan`` in it; not made here.
    """
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local"))
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return base / "mealplan"


def default_url() -> str:
    """
    Say which database is used when none is named.

    Returns
    -------
    str
        ``MEALPLAN_DB`` of the environment, else an SQLite file in the data folder.
    """
    return database_url(os.environ.get("MEALPLAN_DB") or str(data_folder() / "mealplan.sqlite"))


def database_url(text: str) -> str:
    """
    Turn a path or a URL into a URL.

    A database on another machine is spoken to over TLS with a certificate that is checked, unless
    the URL says otherwise by ``sslmode``.

    Parameters
    ----------
    text : str
        Path of an SQLite file, or a database URL.

    Returns
    -------
    str
    """
    if text.startswith(("postgresql://", "postgres://")):
        return _over_tls("postgresql+psycopg://" + text.partition("://")[2])
    return text if "://" in text else f"sqlite:///{Path(text).expanduser().absolute()}"


def _over_tls(url: str) -> str:
    parts = urlsplit(url)
    asked = parse_qs(parts.query)
    host = parts.hostname or ""
    if not host or host in LOOPBACK or "sslmode" in asked or "host" in asked:
        return url
    return f"{url}{'&' if parts.query else '?'}sslmode=verify-full&sslrootcert=system"


def keeping_of_environment() -> RetentionSpans:
    """
    Say how long what is not a client's file is kept.

    ``MEALPLAN_KEEP`` may change the usual spans, in days, such as ``jobs=3,trail=365``.

    Returns
    -------
    RetentionSpans

    Raises
    ------
    StoreError
        When it does not read so.
    """
    spans = {}
    for part in filter(None, os.environ.get("MEALPLAN_KEEP", "").replace(" ", "").split(",")):
        name, _, days = part.partition("=")
        if name not in RetentionSpans.__dataclass_fields__ or not days.isdigit():
            raise StoreError(
                f"MEALPLAN_KEEP={part[:40]!r} is not one of "
                f"{', '.join(RetentionSpans.__dataclass_fields__)} with days, such as jobs=3"
            )
        spans[name] = dt.timedelta(days=int(days))
    return RetentionSpans(**spans)


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


@dataclass(frozen=True)
class Settings:
    """Everything :func:`api.app.app.create_app` needs to know."""

    accounts: bool = False
    """True asks everyone to sign in; False is one coach on this machine."""
    hosts: frozenset[str] = LOOPBACK
    """Names the service answers to in a request's Host header."""
    secure_cookies: bool = False
    """True sends cookies over HTTPS only."""
    patience_s: float = 1.0
    """How long a page waits for a plan before it shows progress. [s]"""
    reading_s: float = 0.4
    """How long the roster reads logs for the page it shows; the rest are read behind it. [s]"""
    longest_s: float = 40.0
    """How long a request may take before it is answered without its result. [s]"""
    keeping: RetentionSpans = field(default_factory=keeping_of_environment)
    """How long what is not a client's file is kept."""
    sign_in_hours: float = 12.0
    link_days: int = 28
    """How long a client's link lasts unless said otherwise. [days]"""
    tries: int = 5
    """Failed sign-ins in a quarter of an hour before waiting is asked for."""
    now: Callable[[], dt.datetime] = field(default=_now)
    """The clock."""
    today: Callable[[], dt.date] = field(default=dt.date.today)
    """The date where the coach is."""
