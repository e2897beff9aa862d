"""What every entry of a log has, the id it is given and the order it stands in."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from typing import TypeVar

from pydantic import BaseModel, ConfigDict, Field, field_validator


class LogEntry(BaseModel):
    """What every kind of entry has."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, str_strip_whitespace=True
    )

    on: dt.date
    at: dt.time | None = None
    note: str = Field(default="", max_length=2000)
    extras: tuple[tuple[str, str], ...] = ()
    """Cells of an imported row that have no place of their own, as (column, text)."""
    id: str = Field(default="", max_length=80)
    """Given by whoever stores the log, or made from the content by the log."""

    @field_validator("at")
    @classmethod
    def _local(cls, at: dt.time | None) -> dt.time | None:
        if at is not None and at.tzinfo is not None:
            raise ValueError(f"the time {at} has a time zone; log the client's own clock time")
        return at


E = TypeVar("E", bound=LogEntry)


def _content(entry: LogEntry) -> str:
    return json.dumps(entry.model_dump(mode="json", exclude={"id"}), sort_keys=True)


def named_entry(entry: E, taken: set[str]) -> E:
    """
    Give an entry without an id one that follows from its content.

    Parameters
    ----------
    entry : LogEntry
    taken : set of str
        Ids it may not have.

    Returns
    -------
    LogEntry
    """
    if entry.id:
        return entry
    stem = hashlib.sha256(_content(entry).encode()).hexdigest()[:12]
    number = 1
    while f"{stem}-{number}" in taken:
        number += 1
    return entry.model_copy(update={"id": f"{stem}-{number}"})


def sort_key(entry: LogEntry) -> tuple[dt.date, bool, dt.time, str, str, str]:
    """
    Say where an entry stands in a log: by day, time of day, kind and content.

    Parameters
    ----------
    entry : LogEntry
        Any log entry.
    """
    kind: str = getattr(entry, "kind", "")
    # Content before id: stores draw ids by chance, and the order must not hang on that.
    return (entry.on, entry.at is None, entry.at or dt.time(), kind, _content(entry), entry.id)
