"""
Back a store up into one file and bring it back, whichever database is behind it.

The file is gzipped JSON, one record a line between a head and a foot that counts and sums them up,
so that a file cut short is noticed before anything is replaced. What opens doors (sign-ins, links)
is left out, and so is what soon ends by itself. On request the file is sealed: only who knows the
secret can read it (:mod:`mealplan.store.sealed`).
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import gzip
import hashlib
import io
import json
import os
import socket
import zlib
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any, BinaryIO, TextIO, cast, get_type_hints

from mealplan.errors import StoreError
from mealplan.store.base import Store, Writer
from mealplan.store.records import KINDS, BackupFolder, Client, Coach, Record, Tombstone
from mealplan.store.sealed import MAGIC, SealedReader, SealedWriter, is_sealed

FORMAT = "mealplan backup 1"
ERASED_FILE = "mealplan-erased.txt"
"""Beside the backups of a folder: hashes of the clients erased since, so that they stay so."""
TELL_EVERY = 200
"""Records between two words on how far it is."""
LONGEST_LINE = 16_000_000
"""Longest record as a line. [characters]"""
_BY_NAME = {kind.__name__: kind for kind in KINDS}


def backup(
    store: Store,
    target: Path,
    now: dt.datetime,
    secret: str = "",
    *,
    made_for: str = "",
    tell: Callable[[int, int], None] = lambda done, total: None,
) -> int:
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
    secret : str
        Seals the file; empty leaves it readable to whoever has it.
    made_for : str
        Who asks, for the head: a file that was made for the same one already is taken as it is,
        so that whoever was interrupted may ask again. Empty takes none.
    tell : callable, optional
        Called with (records written, records in all) every so often.

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
        if made_for and _head(target, secret).get("made_for") == made_for:
            return sum(1 for _ in _read(target, secret))
        raise StoreError(
            f"{target} is already there; choose another name, backups are not replaced"
        )
    mine = f"{target.name}.{made_for}"
    part = target.with_name(f"{mine}.{socket.gethostname()}-{os.getpid()}.part")
    try:
        descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "wb") as raw:
            with ExitStack() as closing:
                sink: BinaryIO = raw
                if secret:
                    sealing = closing.enter_context(SealedWriter(raw, secret))
                    sink = cast("BinaryIO", sealing)
                out = closing.enter_context(gzip.open(sink, "wt", encoding="utf-8", newline="\n"))
                count = _write(store, out, now, made_for, tell)
            raw.flush()
            os.fsync(raw.fileno())
        part.replace(target)
        for begun in target.parent.iterdir() if made_for else ():
            if begun.name.startswith(f"{mine}.") and begun.suffix == ".part":
                begun.unlink(missing_ok=True)  # by a worker that was lost
    finally:
        part.unlink(missing_ok=True)
    _remember(store, target.parent.absolute(), now)
    note_beside(store, target.parent)
    return count


def _write(
    store: Store, out: TextIO, now: dt.datetime, made_for: str, tell: Callable[[int, int], None]
) -> int:
    digest = hashlib.sha256()
    count = 0
    head = {"format": FORMAT, "made_at": now.isoformat(), "made_for": made_for}
    out.write(json.dumps({name: said for name, said in head.items() if said}) + "\n")
    with store.reading() as unit:
        total = sum(unit.count(kind) for kind in KINDS if kind.restored)
        for kind in KINDS:
            if not kind.restored:
                continue
            for record in unit.each(kind):
                line = json.dumps([kind.__name__, _plain(record)], ensure_ascii=False)
                digest.update(line.encode())
                out.write(line + "\n")
                count += 1
                if count % TELL_EVERY == 0:
                    tell(min(count, total), total)
    out.write(json.dumps({"records": count, "sha256": digest.hexdigest()}) + "\n")
    return count


def _head(source: Path, secret: str) -> dict[str, object]:
    """Read how a backup begins; empty when it does not begin as one."""
    try:
        with (
            _opened(source, secret) as raw,
            gzip.open(raw, "rt", encoding="utf-8", newline="\n") as lines,
        ):
            head = json.loads(next(_lines(lines), "{}"))
    except (OSError, EOFError, ValueError, StoreError, zlib.error):
        return {}
    return head if isinstance(head, dict) else {}


def needs_secret(source: Path) -> bool:
    """
    Say whether a backup is sealed.

    Parameters
    ----------
    source : Path

    Returns
    -------
    bool
        False also where it cannot be read: :func:`restore` says why.
    """
    try:
        with source.open("rb") as raw:
            return is_sealed(raw.read(len(MAGIC)))
    except OSError:
        return False


def restore(store: Store, source: Path, *, replace: bool = False, secret: str = "") -> int:
    """
    Bring a backup back, all of it or nothing.

    Clients who were erased after it was made stay erased, whether the database they were erased
    from, the file beside the backup or the backup itself says so. Sign-ins and links are not
    brought back: everyone signs in anew, and coaches hand out new links. A coach that the database
    still knows keeps the password and second factor of now.

    Parameters
    ----------
    store : Store
    source : Path
        File that :func:`backup` wrote.
    replace : bool
        True lets go of what the store holds now.
    secret : str
        What the file was sealed with; empty for one that is not.

    Returns
    -------
    int
        Records brought back.

    Raises
    ------
    StoreError
        When the file is damaged or cut short, or the store is not empty and may not be replaced.
    """
    erased = _erased_beside(source.parent)
    for record in _read(source, secret):  # the whole of it, before anything is replaced
        if isinstance(record, Tombstone):
            erased.add(record.id)
    with store.writing() as unit:
        known = {coach.id: coach for coach in unit.find(Coach)}
        erased |= {stone.id for stone in unit.find(Tombstone)}
        _clear(unit, replace=replace)
        count = 0
        for record in _read(source, secret):
            if not _comes_back(record, erased):
                continue
            if isinstance(record, Coach) and record.id in known:
                record = _with_doors_of(record, known[record.id])
            unit.add(record)
            count += 1
        for id_ in sorted(erased):
            unit.add(Tombstone(id=id_, made_at=dt.datetime.now(dt.UTC)))
    store.settle()
    return count


def _clear(unit: Writer, *, replace: bool) -> None:
    if not replace and any(unit.count(kind) for kind in KINDS):
        raise StoreError(
            "the database already holds records; add --replace to put the backup in their place"
        )
    for kind in reversed(KINDS):
        for old in list(unit.each(kind)):
            unit.remove(kind, id=old.id)


def _comes_back(record: Record, erased: set[str]) -> bool:
    if isinstance(record, Tombstone) or not record.restored:
        return False
    owner = record.id if isinstance(record, Client) else getattr(record, "client_id", "")
    return not owner or buried(owner) not in erased


def _remember(store: Store, folder: Path, now: dt.datetime) -> None:
    id_ = hashlib.sha256(str(folder).encode()).hexdigest()
    with store.writing() as unit:
        if not unit.find(BackupFolder, id=id_):
            unit.add(BackupFolder(id=id_, made_at=now, path=str(folder)))


def note_beside_all(store: Store) -> tuple[str, ...]:
    """
    Write who was erased beside every backup there may be.

    Parameters
    ----------
    store : Store

    Returns
    -------
    tuple of str
        Folders that cannot be reached from here; the next backup into one writes it there.
    """
    with store.reading() as unit:
        folders = unit.find(BackupFolder)
    missed = []
    for folder in folders:
        try:
            note_beside(store, Path(folder.path))
        except (OSError, StoreError):
            missed.append(folder.path)
    return tuple(missed)


def _with_doors_of(coach: Coach, now: Coach) -> Coach:
    return dataclasses.replace(
        coach,
        password_hash=now.password_hash,
        password_at=now.password_at,
        second_factor=now.second_factor,
        second_factor_step=now.second_factor_step,
    )


def buried(client_id: str) -> str:
    """
    Say what is kept of the identifier of a client who was erased.

    Parameters
    ----------
    client_id : str
        Random, so that the hash tells nothing.

    Returns
    -------
    str
    """
    return hashlib.sha256(f"erased client {client_id}".encode()).hexdigest()


def bury(unit: Writer, client_id: str, now: dt.datetime) -> None:
    """
    Note that a client is erased, for backups made before.

    Parameters
    ----------
    unit : Writer
        The change that erases them.
    client_id : str
    now : datetime
    """
    stone = Tombstone(id=buried(client_id), made_at=now)
    if not unit.find(Tombstone, id=stone.id):
        unit.add(stone)


def note_beside(store: Store, folder: Path) -> None:
    """
    Write who was erased into the file beside the backups of a folder.

    Parameters
    ----------
    store : Store
    folder : Path
        Where backups are kept.
    """
    with store.reading() as unit:
        known = {stone.id for stone in unit.each(Tombstone)} | _erased_beside(folder)
    part = folder / f"{ERASED_FILE}.{os.getpid()}.part"
    try:
        descriptor = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(descriptor, "w", encoding="ascii") as out:
            out.writelines(f"{line}\n" for line in sorted(known))
            out.flush()
            os.fsync(out.fileno())
        part.replace(folder / ERASED_FILE)
    finally:
        part.unlink(missing_ok=True)


def _erased_beside(folder: Path) -> set[str]:
    try:
        text = (folder / ERASED_FILE).read_text(encoding="ascii")
    except FileNotFoundError:
        return set()
    except (OSError, UnicodeDecodeError) as error:
        raise StoreError(
            f"{folder / ERASED_FILE} cannot be read ({type(error).__name__}), and without it "
            "erased clients would come back; nothing was changed"
        ) from None
    return {line for line in text.split() if len(line) == 64}


def _read(source: Path, secret: str) -> Iterator[Record]:
    try:
        with (
            _opened(source, secret) as raw,
            gzip.open(raw, "rt", encoding="utf-8", newline="\n") as lines,
        ):
            yield from _records(lines, source)
    except (OSError, EOFError, ValueError, TypeError, KeyError, zlib.error) as error:
        raise StoreError(
            f"{source} cannot be read as a backup ({type(error).__name__}); nothing was changed"
        ) from None


@contextmanager
def _opened(source: Path, secret: str) -> Iterator[BinaryIO]:
    with source.open("rb") as raw:
        if not needs_secret(source):
            yield raw
        elif not secret:
            raise StoreError(f"{source} is sealed; say its secret to open it")
        else:
            yield cast("BinaryIO", io.BufferedReader(SealedReader(raw, secret)))


def _lines(lines: TextIO) -> Iterator[str]:
    """Give lines of a sane length: a gzip of a few kilobytes may hold gigabytes of one letter."""
    while line := lines.readline(LONGEST_LINE + 1):
        if len(line) > LONGEST_LINE:
            raise ValueError("a line is longer than any record")
        yield line


def _records(file: TextIO, source: Path) -> Iterator[Record]:
    lines = _lines(file)
    head = json.loads(next(lines, "{}"))
    if not isinstance(head, dict) or head.get("format") != FORMAT:
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
