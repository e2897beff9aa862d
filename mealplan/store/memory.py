"""A store that forgets: for tests and for trying the pages out."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TypeVar, cast

from mealplan.errors import StoreError
from mealplan.store.base import Clash, NotThere
from mealplan.store.records import KINDS, Record

R = TypeVar("R", bound=Record)
_Shelves = dict[type[Record], dict[str, Record]]


class _Unit:
    """A view of some shelves; a writer gets its own copy of them."""

    def __init__(self, shelves: _Shelves) -> None:
        self.shelves = shelves

    def get(self, kind: type[R], id_: str) -> R:
        try:
            return cast("R", self.shelves[kind][id_])
        except KeyError:
            raise NotThere(f"there is no {kind.__name__.lower()} {id_!r}") from None

    def find(
        self,
        kind: type[R],
        *,
        newest_first: bool = False,
        limit: int | None = None,
        **equals: object,
    ) -> tuple[R, ...]:
        found = [
            record
            for record in self.shelves[kind].values()
            if all(getattr(record, name) == value for name, value in equals.items())
        ]
        found.sort(key=lambda record: (record.made_at, record.id), reverse=newest_first)
        return tuple(cast("list[R]", found[:limit]))

    def add(self, record: Record) -> None:
        shelf = self.shelves[type(record)]
        for fields in (("id",), *record.unique):
            wanted = [getattr(record, name) for name in fields]
            if any([getattr(other, name) for name in fields] == wanted for other in shelf.values()):
                raise Clash(f"{type(record).__name__.lower()} {wanted} is already there")
        shelf[record.id] = record

    def change(self, record: Record) -> None:
        self.get(type(record), record.id)
        self.shelves[type(record)][record.id] = record

    def remove(self, kind: type[Record], **equals: object) -> int:
        if not equals:
            raise StoreError("remove needs at least one field; nothing was removed")
        gone = self.find(kind, **equals)  # type: ignore[arg-type]  # fields are named by the caller
        for record in gone:
            del self.shelves[kind][record.id]
        return len(gone)


class MemoryStore:
    """Records in dictionaries; a writer works on a copy that replaces them when it succeeds."""

    def __init__(self) -> None:
        self._shelves: _Shelves = {kind: {} for kind in KINDS}
        self._lock = threading.RLock()

    @contextmanager
    def reading(self) -> Iterator[_Unit]:
        """Open a consistent view."""
        yield _Unit(self._shelves)

    @contextmanager
    def writing(self) -> Iterator[_Unit]:
        """Open a change that is kept whole or not at all."""
        with self._lock:
            unit = _Unit({kind: dict(shelf) for kind, shelf in self._shelves.items()})
            yield unit
            self._shelves = unit.shelves

    def close(self) -> None:
        """Do nothing: there is nothing to let go of."""
