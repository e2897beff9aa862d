"""
The seam between the service and whatever keeps its records: two contexts, six verbs.

A ``reading`` sees one consistent state. A ``writing`` is all or nothing: leaving it by an exception
keeps nothing, and once it is left without one the records outlive the process.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager
from typing import Protocol, TypeVar

from mealplan.errors import StoreError
from mealplan.store.records import Record

R = TypeVar("R", bound=Record)


class NotThere(StoreError):  # noqa: N818  (reads as what happened)
    """No such record."""


class AlreadyThere(StoreError):  # noqa: N818  (reads as what happened)
    """Someone else wrote the same number or name first."""


class Unkeepable(StoreError):  # noqa: N818  (reads as what is wrong with it)
    """A value that no database here can hold."""


class Reader(Protocol):
    """Verbs that change nothing."""

    def get(self, kind: type[R], id_: str) -> R:
        """
        Return the record of this kind and identifier; raise :class:`NotThere` without one.

        Parameters
        ----------
        kind : type[R]
            Class of the record.
        id_ : str
            Its identifier.
        """
        ...

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
        """
        Return the records whose fields equal these, in the order they were made.

        ``by`` orders by other fields first. ``words`` keeps those in whose searched fields each
        word occurs, in any case.

        Parameters
        ----------
        kind : type[R]
            Class of the records.
        newest_first : bool
            True turns the order round.
        by : Sequence[str]
            Fields that order before the moment of making.
        words : str
            Each of them occurs in a searched field, in any case.
        offset : int
            Records passed over first.
        limit : int or None
            Most records given; all when left out.
        """
        ...

    def each(self, kind: type[R]) -> Iterator[R]:
        """
        Give every record of a kind, one after the other, in the order they were made.

        Parameters
        ----------
        kind : type[R]
            Class of the records.
        """
        ...

    def count(
        self,
        kind: type[Record],
        *,
        words: str = "",
        up_to: tuple[str, str] | None = None,
        **equals: object,
    ) -> int:
        """
        Return how many records :meth:`find` would give.

        ``up_to`` names a text field and the highest value of it that counts.

        Parameters
        ----------
        kind : type[Record]
            Class of the records.
        words : str
            Each of them occurs in a searched field, in any case.
        up_to : tuple[str, str] or None
            A text field and the highest value of it that counts.
        """
        ...


class Writer(Reader, Protocol):
    """Verbs that write as well."""

    def add(self, record: Record) -> None:
        """
        Keep a new record; raise :class:`AlreadyThere` when its unique fields are taken.

        Parameters
        ----------
        record : Record
            With an identifier of its own.
        """
        ...

    def change(self, record: Record) -> None:
        """
        Put this record in the place of the one with its identifier.

        Parameters
        ----------
        record : Record
            As it is from now on.
        """
        ...

    def remove(
        self, kind: type[Record], *, before: tuple[str, dt.datetime] | None = None, **equals: object
    ) -> int:
        """
        Remove the records whose fields equal these and say how many; at least one is needed.

        ``before`` names a moment's field; only records count whose moment lies before that one.

        Parameters
        ----------
        kind : type[Record]
            Class of the records.
        before : tuple[str, dt.datetime] or None
            A moment's field and the moment before which a record counts.
        """
        ...


class Store(Protocol):
    """A place for records."""

    def reading(self) -> AbstractContextManager[Reader]:
        """Open a consistent view."""
        ...

    def writing(self) -> AbstractContextManager[Writer]:
        """Open a change that is kept whole or not at all."""
        ...

    def settle(self) -> None:
        """See that nothing that was removed is left lying about."""
        ...

    def close(self) -> None:
        """Let go of files and connections."""
        ...
