"""
Back a store up into one file and bring it back, whichever database is behind it.

The file is gzipped JSON, one record a line between a head and a foot that counts and sums them up,
so that a file cut short is noticed before anything is replaced.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import gzip
import hashlib
import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_type_hints

from mealplan.errors import StoreError
from mealplan.store.base import Store
from mealplan.store.records import KINDS, Record

FORMAT = "mealplan backup 1"
_BY_NAME = {kind.__name__: kind for kind in KINDS}


def backup(store: Store, target: Path, now: dt.datetime) -> int:
    """
    Write everything a store holds into a file, readable by its owner only.

    Parameters
    ----------
    store : Store
        May be in use; the file shows one moment of it.
    target : Path
        Written whole or not at all; an existing file is not replaced.
    now : datetime
        For the head.

    Returns
    -------
    int
        Records written.

    Raises
    ------
    StoreError
        When the file is already there.
    """
    if target.exists():
        raise StoreError(
            f"{target} is already there; choose another name, backups are not replaced"
        )
    part = target.with_name(f"{target.name}.{os.getpid()}.part")
    digest = hashlib.sha256()
    count = 0
    try:
        descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "wb") as raw:
            with gzip.open(raw, "wt", encoding="utf-8", newline="\n") as out:
                out.write(json.dumps({"format": FORMAT, "made_at": now.isoformat()}) + "\n")
                with store.reading() as unit:
                    for kind in KINDS:
                        for record in unit.find(kind):
                            line = json.dumps([kind.__name__, _plain(record)], ensure_ascii=False)
                            digest.update(line.encode())
                            out.write(line + "\n")
                            count += 1
                out.write(json.dumps({"records": count, "sha256": digest.hexdigest()}) + "\n")
            raw.flush()
            os.fsync(raw.fileno())
        part.replace(target)
    finally:
        part.unlink(missing_ok=True)
    return count


def restore(store: Store, source: Path, *, replace: bool = False) -> int:
    """
    Bring a backup back, all of it or nothing.

    Parameters
    ----------
    store : Store
    source : Path
        File that :func:`backup` wrote.
    replace : bool
        True lets go of what the store holds now.

    Returns
    -------
    int
        Records brought back.

    Raises
    ------
    StoreError
        When the file is damaged or cut short, or the store is not empty and may not be replaced.
    """
    records = _read(source)
    with store.writing() as unit:
        for kind in reversed(KINDS):
            for old in unit.find(kind):
                if not replace:
                    raise StoreError(
                        "the database already holds records; add --replace to put the backup "
                        "in their place"
                    )
                unit.remove(kind, id=old.id)
        for record in records:
            unit.add(record)
    return len(records)


def _read(source: Path) -> list[Record]:
    try:
        with gzip.open(source, "rt", encoding="utf-8", newline="\n") as lines:
            return list(_records(lines, source))
    except (OSError, EOFError, ValueError, TypeError, KeyError) as error:
        raise StoreError(
            f"{source} cannot be read as a backup ({type(error).__name__}: {error}); nothing "
            "was changed"
        ) from None


def _records(lines: Iterator[str], source: Path) -> Iterator[Record]:
    head = json.loads(next(lines, "{}"))
    if head.get("format") != FORMAT:
        raise StoreError(f"{source} is not a backup of this program; nothing was changed")
    digest = hashlib.sha256()
    count = 0
    for line in lines:
        data = json.loads(line)
        if isinstance(data, dict):
            if (data["records"], data["sha256"]) != (count, digest.hexdigest()):
                raise StoreError(
                    f"{source} does not add up to its own checksum; nothing was changed"
                )
            return
        digest.update(line.rstrip("\n").encode())
        count += 1
        yield _record(*data)
    raise StoreError(f"{source} was cut short after {count} records; nothing was changed")


def _plain(record: Record) -> dict[str, Any]:
    return {
        item.name: value.isoformat() if isinstance(value, dt.date) else value
        for item in dataclasses.fields(record)
        for value in (getattr(record, item.name),)
    }


def _record(name: str, data: dict[str, Any]) -> Record:
    kind = _BY_NAME[name]
    hints = get_type_hints(kind)
    values = {}
    for item in dataclasses.fields(kind):
        if item.name not in data:
            continue  # a field newer than the backup: its default counts
        value = data[item.name]
        if isinstance(value, str) and hints[item.name] in (dt.datetime, dt.datetime | None):
            value = dt.datetime.fromisoformat(value)
        elif isinstance(value, str) and hints[item.name] in (dt.date, dt.date | None):
            value = dt.date.fromisoformat(value)
        values[item.name] = value
    return kind(**values)
