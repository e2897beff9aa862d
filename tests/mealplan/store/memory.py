"""A store that forgets: for tests and for trying the pages out."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from operator import attrgetter
from typing import TypeVar, cast

from mealplan.errors import StoreError
from mealplan.store.base import AlreadyThere, NotThere
from mealplan.store.deadline import go_on
from mealplan.store.records import KINDS, Record

R = TypeVar("R", bound=Record)


class _Shelf:
    """Records of one kind, at hand by identifier and by the client they belong to."""

    def __init__(self) -> None:
        self.records: dict[str, Record] = {}
        self.of_client: dict[object, dict[str, Record]] = {}

    def copy(self) -> _Shelf:
        """Return a shelf that can change without this one; the records are shared."""
        other = _Shelf()
        other.records = dict(self.records)
        other.of_client = {owner: dict(part) for owner, part in self.of_client.items()}
        return other

    def put(self, record: Record) -> None:
        self.records[record.id] = record
        owner = getattr(record, "client_id", None)
        if owner is not None:
            self.of_client.setdefault(owner, {})[record.id] = record

    def drop(self, record: Record) -> None:
        del self.records[record.id]
        owner = getattr(record, "client_id", None)
        if owner is not None:
            del self.of_client[owner][record.id]

    def among(self, equals: dict[str, object]) -> Iterable[Record]:
        """Return the few records that may have these fields."""
        if "id" in equals:
            found = self.records.get(cast("str", equals["id"]))
            return () if found is None else (found,)
        if "client_id" in equals:
            return self.of_client.get(equals["client_id"], {}).values()
        return self.records.values()


_Shelves = dict[type[Record], _Shelf]


class _Unit:
    """A view of some shelves; a writer copies those that it changes."""

    def __init__(self, shelves: _Shelves) -> None:
        self._shelves = shelves
        self.own: set[type[Record]] = set()

    @property
    def shelves(self) -> _Shelves:
        """What is kept, as long as whoever asked is waiting."""
        go_on()
        return self._shelves

    def _to_change(self, kind: type[Record]) -> _Shelf:
        if kind not in self.own:
            self.shelves[kind] = self.shelves[kind].copy()
            self.own.add(kind)
        return self.shelves[kind]

    def get(self, kind: type[R], id_: str) -> R:
        try:
            return cast("R", self.shelves[kind].records[id_])
        except KeyError:
            raise NotThere(f"there is no {kind.__name__.lower()} {id_!r}") from None

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
        found = self._matching(kind, words, equals)
        found.sort(key=attrgetter(*by, "made_at", "id"), reverse=newest_first)
        end = None if limit is None else offset + limit
        return tuple(cast("list[R]", found[offset:end]))

    def each(self, kind: type[R]) -> Iterator[R]:
        yield from self.find(kind)

    def count(
        self,
        kind: type[Record],
        *,
        words: str = "",
        up_to: tuple[str, str] | None = None,
        **equals: object,
    ) -> int:
        found = self._matching(kind, words, equals)
        if up_to is None:
            return len(found)
        of, highest = attrgetter(up_to[0]), up_to[1]
        return sum(of(record) <= highest for record in found)

    def _matching(self, kind: type[Record], words: str, equals: dict[str, object]) -> list[Record]:
        found = list(self.shelves[kind].among(equals))
        for name, value in equals.items():
            of = attrgetter(name)
            found = [record for record in found if of(record) == value]
        for word in words.lower().split():
            found = [
                record
                for record in found
                if any(word in getattr(record, name).lower() for name in kind.searched)
            ]
        return found

    def add(self, record: Record) -> None:
        shelf = self._to_change(type(record))
        for fields in (("id",), *record.unique):
            wanted = {name: getattr(record, name) for name in fields}
            if self._matching(type(record), "", wanted):
                raise AlreadyThere(
                    f"{type(record).__name__.lower()} {[*wanted.values()]} is already there"
                )
        shelf.put(record)

    def change(self, record: Record) -> None:
        old = self.get(type(record), record.id)
        shelf = self._to_change(type(record))
        shelf.drop(old)
        shelf.put(record)

    def remove(
        self, kind: type[Record], *, before: tuple[str, dt.datetime] | None = None, **equals: object
    ) -> int:
        if not equals and before is None:
            raise StoreError("remove needs at least one field; nothing was removed")
        gone = self._matching(kind, "", equals)
        if before is not None:
            name, moment = before
            gone = [
                record
                for record in gone
                if getattr(record, name) is not None and getattr(record, name) < moment
            ]
        shelf = self._to_change(kind)
        for record in gone:
            shelf.drop(record)
        return len(gone)


class MemoryStore:
    """Records in dictionaries; a writer works on a copy that replaces them when it succeeds."""

    def __init__(self) -> None:
        self._shelves: _Shelves = {kind: _Shelf() for kind in KINDS}
        self._lock = threading.RLock()

    @contextmanager
    def reading(self) -> Iterator[_Unit]:
        """Open a consistent view."""
        yield _Unit(self._shelves)

    @contextmanager
    def writing(self) -> Iterator[_Unit]:
        """Open a change that is kept whole or not at all."""
        with self._lock:
            unit = _Unit(dict(self._shelves))
            yield unit
            self._shelves = unit.shelves

    def settle(self) -> None:
        """Do nothing: what was removed is nowhere."""

    def close(self) -> None:
        """Do nothing: there is nothing to let go of."""
