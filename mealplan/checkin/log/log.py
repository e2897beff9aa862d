"""
The client's log: what was weighed, measured, eaten, trained and felt, and what happened.

A :class:`Log` never changes: adding, correcting and withdrawing give a new one, and what was there
before is kept in its history. Everything else in the check-in is computed afresh from the log, so
the order of entry cannot matter and a corrected reading corrects all that rests on it.
"""

from __future__ import annotations

import bisect
import datetime as dt
from collections.abc import Iterable, Iterator
from typing import Self, TypeVar

from pydantic import BaseModel, ConfigDict, model_validator

from mealplan.checkin.log.entries import AnyEntry, Event, EventKind
from mealplan.checkin.log.entry import LogEntry, named_entry, sort_key
from mealplan.errors import CheckInError

FEW = 50
"""Entries that are put into a log one by one; more are put in order together."""

E = TypeVar("E", bound=LogEntry)


class Superseded(BaseModel):
    """An entry as it was before it was corrected or withdrawn."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    entry: AnyEntry
    why: str


class Log(BaseModel):
    """
    Everything one client logged, in one canonical order whatever the order of entry.

    Entries without an id get one from their content; the same content entered twice is kept twice.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    entries: tuple[AnyEntry, ...] = ()
    history: tuple[Superseded, ...] = ()

    @model_validator(mode="after")
    def _canonical(self) -> Self:
        taken = {entry.id for entry in self.entries if entry.id}
        if len(taken) < sum(1 for entry in self.entries if entry.id):
            twice = sorted(
                {e.id for e in self.entries if e.id and sum(o.id == e.id for o in self.entries) > 1}
            )
            raise ValueError(f"ids used twice: {', '.join(twice)}; give each entry its own id")
        # Ids once used by an entry now in the history are not given to another.
        taken |= {old.entry.id for old in self.history}
        named: list[AnyEntry] = []
        for entry in sorted(self.entries, key=sort_key):
            named.append(named_entry(entry, taken))
            taken.add(named[-1].id)
        named.sort(key=sort_key)
        object.__setattr__(self, "entries", tuple(named))
        return self

    def __len__(self) -> int:
        """Return the number of entries that stand."""
        return len(self.entries)

    def add(self, *entries: AnyEntry) -> Log:
        """Return a log with these entries too; the rest is not put in order again."""
        standing = {entry.id for entry in self.entries}
        if any(entry.id in standing for entry in entries) or len(entries) > FEW:
            return Log(entries=(*self.entries, *entries), history=self.history)
        taken = standing | {old.entry.id for old in self.history}
        kept = list(self.entries)
        for entry in entries:
            named = named_entry(entry, taken)
            taken.add(named.id)
            bisect.insort(kept, named, key=sort_key)
        return self.with_each(kept)

    def get(self, entry_id: str) -> AnyEntry:
        """
        Return one entry by its id.

        Parameters
        ----------
        entry_id : str
            Identifier of the entry.
        """
        for entry in self.entries:
            if entry.id == entry_id:
                return entry
        raise CheckInError(
            f"there is no entry {entry_id!r} in this log; it may have been withdrawn or corrected: "
            "reload the page and pick it again"
        )

    def correct(self, entry_id: str, entry: AnyEntry, why: str = "corrected") -> Log:
        """
        Return a log in which ``entry`` stands instead; the old one moves to the history.

        Parameters
        ----------
        entry_id : str
            Identifier of the entry.
        entry : AnyEntry
            What stands in its place.
        why : str
            Reason, for the history.
        """
        old = self.get(entry_id)
        kept = tuple(e for e in self.entries if e.id != entry_id)
        # The corrected entry keeps its identity only if the caller says so.
        fresh = entry if entry.id != entry_id else entry.model_copy(update={"id": ""})
        return Log(entries=(*kept, fresh), history=(*self.history, Superseded(entry=old, why=why)))

    def withdraw(self, entry_id: str, why: str) -> Log:
        """
        Return a log without the entry, which moves to the history with the reason.

        Parameters
        ----------
        entry_id : str
            Identifier of the entry.
        why : str
            Reason, for the history.
        """
        if not why.strip():
            raise CheckInError(f"withdrawing {entry_id!r} needs a reason; say in a few words why")
        old = self.get(entry_id)
        kept = tuple(e for e in self.entries if e.id != entry_id)
        return Log(entries=kept, history=(*self.history, Superseded(entry=old, why=why)))

    def merge(self, other: Log) -> Log:
        """
        Return a log with the entries of both; an entry with the same id counts once.

        Parameters
        ----------
        other : Log
            The other log.
        """
        mine = {entry.id for entry in self.entries}
        gone = {old.entry.id for old in self.history}
        new = tuple(e for e in other.entries if e.id not in mine and e.id not in gone)
        past = {old.entry.id for old in other.history}
        kept = tuple(e for e in self.entries if e.id not in past)
        older = tuple(o for o in other.history if o.entry.id not in gone)
        return Log(entries=(*kept, *new), history=(*self.history, *older))

    def of(self, kind: type[E]) -> tuple[E, ...]:
        """
        Return the entries of one kind, oldest first.

        Parameters
        ----------
        kind : type[E]
            Class of the entries.
        """
        return tuple(entry for entry in self.entries if isinstance(entry, kind))

    def between(self, first: dt.date, last: dt.date) -> Log:
        """
        Return the entries of the days from ``first`` to ``last``, and events that reach in.

        Parameters
        ----------
        first : date
            First day.
        last : date
            Last day.
        """
        return self.with_each(e for e in self.entries if _reaches(e, first, last))

    def with_each(self, entries: Iterable[AnyEntry]) -> Log:
        """
        Return a log of some of these entries, for reading only.

        Parameters
        ----------
        entries : iterable of entry
            In this log's order and under its ids; what they say may have been filled in.

        Returns
        -------
        Log
            Not put in order or checked again, which takes most of the time of making one.
        """
        return Log.model_construct(entries=tuple(entries), history=self.history)

    def days_of(self, *kinds: EventKind) -> frozenset[dt.date]:
        """Return every day covered by an event of these kinds."""
        return frozenset(
            event.on + dt.timedelta(days=offset)
            for event in self.of(Event)
            if event.what in kinds
            for offset in range((event.last_day - event.on).days + 1)
        )

    def phase_starts(self) -> tuple[dt.date, ...]:
        """Return the days on which a phase began, oldest first."""
        return tuple(sorted(e.on for e in self.of(Event) if e.what == "phase change"))

    def __contains__(self, entry_id: object) -> bool:
        """Return whether an entry of this id stands."""
        return any(entry.id == entry_id for entry in self.entries)

    def each(self) -> Iterator[AnyEntry]:
        """Go through the entries, oldest first."""
        return iter(self.entries)


def _reaches(entry: LogEntry, first: dt.date, last: dt.date) -> bool:
    end = entry.last_day if isinstance(entry, Event) else entry.on
    return entry.on <= last and end >= first


def log_of(entries: Iterable[AnyEntry]) -> Log:
    """
    Return a log of these entries.

    Parameters
    ----------
    entries : Iterable[AnyEntry]
        Entries in any order.
    """
    return Log(entries=tuple(entries))
