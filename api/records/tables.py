"""Tables that clients share: who sits at them, what they share, offers between coaches."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import secrets
from collections.abc import Sequence
from dataclasses import dataclass

from pydantic import TypeAdapter

from api.records.view import View, hashed
from mealplan.errors import IntakeError
from mealplan.store.base import NotThere, Reader, Writer
from mealplan.store.records import Client, Seat, SeatOffer, SharedTable, new_id
from mealplan.table.model import MOST_EATERS, Guest, SharedMeal, TableDecided

OFFER_DAYS = 14
"""How long an offered seat waits to be taken. [days]"""
_GUESTS = TypeAdapter(tuple[Guest, ...])
_MEALS = TypeAdapter(tuple[SharedMeal, ...])


@dataclass(frozen=True)
class Sitting:
    """A table as those who sit at it know it: roles and what is shared, nothing else of anyone."""

    table: SharedTable
    shared: tuple[str, ...]
    guests: tuple[Guest, ...]
    meals: tuple[SharedMeal, ...]
    clients: tuple[Client, ...]
    """Who sits at it, the one whose kitchen cooks first; for planning, never shown."""

    @property
    def roles(self) -> tuple[str, ...]:
        """Whose plates are filled."""
        return tuple(client.role for client in self.clients)

    @property
    def decided(self) -> TableDecided:
        """What is shared, for its list and cooking."""
        return TableDecided(
            shared=self.shared, eaters=self.roles, guests=self.guests, meals=self.meals
        )

    def of_one_coach(self, coach_id: str) -> bool:
        """
        Say whether everyone at it is a client of one coach.

        Parameters
        ----------
        coach_id : str
        """
        return all(client.coach_id == coach_id for client in self.clients)


class SharedTables:
    """
    Shared tables.

    A client's own seat is looked up as everything of a client is. From it one sees the table, and
    the roles of the others; their records stay their coaches'.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view

    def of(self, client: Client) -> Sitting | None:
        """
        Show the table a client sits at.

        Parameters
        ----------
        client : Client

        Returns
        -------
        Sitting or None
        """
        with self.view.store.reading() as unit:
            self.view.seen(unit, client.id)
            return _sitting(unit, client.id)

    def lay(self, client: Client, shared: Sequence[str], guests: Sequence[Guest]) -> None:
        """
        Say what is shared at a client's table; without one, lay it in this client's kitchen.

        Parameters
        ----------
        client : Client
        shared : sequence of str
            From :func:`mealplan.table.model.read_shared`.
        guests : sequence of Guest
        """

        def work(unit: Writer) -> None:
            self.view.seen(unit, client.id)
            there = _sitting(unit, client.id)
            meals, along = json.dumps(list(shared)), _GUESTS.dump_json(tuple(guests)).decode()
            if there is not None:
                _room_for(len(there.clients) + len(guests))
                unit.change(dataclasses.replace(there.table, shared=meals, guests=along))
                return
            unit.remove(Seat, client_id=client.id)
            now = self.view.settings.now()
            table = SharedTable(
                id=new_id(),
                made_at=now,
                coach_id=self.view.principal.coach_id,
                shared=meals,
                guests=along,
                meals="[]",
            )
            unit.add(table)
            unit.add(Seat(new_id(), now, client.id, table.id, 0))
            self.view.note(unit, client.id, "shared table laid", ", ".join(shared))

        self.view.write(work)

    def seat(self, client: Client, other: Client) -> None:
        """
        Give another of one's clients a seat.

        Parameters
        ----------
        client : Client
            At the table already.
        other : Client

        Raises
        ------
        IntakeError
            When the other sits at a table already, or there is no room.
        """

        def work(unit: Writer) -> None:
            self.view.seen(unit, client.id)
            self.view.seen(unit, other.id)
            self._sit(unit, other, _there(unit, client.id))

        self.view.write(work)

    def _sit(self, unit: Writer, client: Client, table: Sitting) -> None:
        if _sitting(unit, client.id) is not None:
            raise IntakeError(
                f"the {client.role} sits at a table already; let them leave it on their own page"
            )
        unit.remove(Seat, client_id=client.id)
        if client.role in table.roles:
            raise IntakeError(
                f"two at the table would be called {client.role!r}; plates are named by role, so "
                "give one another role in the intake first"
            )
        _room_for(len(table.clients) + len(table.guests) + 1)
        last = max(seat.place for seat in unit.find(Seat, table_id=table.table.id))
        unit.add(Seat(new_id(), self.view.settings.now(), client.id, table.table.id, last + 1))
        self.view.note(unit, client.id, "seat at a shared table", "")

    def offer(self, client: Client) -> str:
        """
        Offer a seat to another coach's client.

        Parameters
        ----------
        client : Client
            At the table.

        Returns
        -------
        str
            What the other coach types in; kept nowhere, so it is shown once.
        """
        token = secrets.token_urlsafe(12)
        now = self.view.settings.now()
        with self.view.store.writing() as unit:
            self.view.seen(unit, client.id)
            table = _there(unit, client.id)
            unit.add(
                SeatOffer(
                    new_id(),
                    now,
                    self.view.principal.coach_id,
                    table.table.id,
                    hashed(token),
                    now + dt.timedelta(days=OFFER_DAYS),
                )
            )
            self.view.note(unit, client.id, "seat at the shared table offered", "")
        return token

    def accept(self, client: Client, token: str) -> None:
        """
        Take a seat another coach offered: from then on both have agreed.

        Parameters
        ----------
        client : Client
            Who sits down.
        token : str
            As it was handed over.

        Raises
        ------
        NotThere
            When no such offer waits.
        """

        def work(unit: Writer) -> None:
            self.view.seen(unit, client.id)
            found = unit.find(SeatOffer, token_hash=hashed(token.strip()))
            seats = unit.find(Seat, table_id=found[0].table_id) if found else ()
            table = _sitting(unit, seats[0].client_id) if seats else None
            if table is None or found[0].ends_at <= self.view.settings.now():
                raise NotThere(
                    "no such offer waits: it was taken, or ended; ask the other coach for a new one"
                )
            self._sit(unit, client, table)
            unit.remove(SeatOffer, id=found[0].id)

        self.view.write(work)

    def leave(self, client: Client) -> None:
        """
        Let a client leave their table; what was planned stays theirs.

        Parameters
        ----------
        client : Client
        """
        with self.view.store.writing() as unit:
            self.view.seen(unit, client.id)
            table = _there(unit, client.id)
            unit.remove(Seat, client_id=client.id)
            if len(table.clients) == 1:
                unit.remove(SeatOffer, table_id=table.table.id)
                unit.remove(SharedTable, id=table.table.id)
            self.view.note(unit, client.id, "left the shared table", "")

    @staticmethod
    def planned(unit: Writer, table: SharedTable, meals: Sequence[SharedMeal]) -> None:
        """
        Keep what was planned to be shared, within the change that keeps the plans.

        Parameters
        ----------
        unit : Writer
        table : SharedTable
        meals : sequence of SharedMeal
            They take the place of those of the same days.
        """
        found = unit.find(SharedTable, id=table.id)
        if not found:
            return
        days = {meal.date for meal in meals}
        kept = [m for m in _MEALS.validate_json(found[0].meals) if m.date not in days]
        every = sorted((*kept, *meals), key=lambda meal: meal.date)
        unit.change(
            dataclasses.replace(found[0], meals=_MEALS.dump_json(tuple(every[-84:])).decode())
        )


def _room_for(count: int) -> None:
    if count > MOST_EATERS:
        raise IntakeError(f"a table seats {MOST_EATERS} at most, guests counted, not {count}")


def _there(unit: Reader, client_id: str) -> Sitting:
    found = _sitting(unit, client_id)
    if found is None:
        raise NotThere("this client sits at no table; say first which meals are shared")
    return found


def _sitting(unit: Reader, client_id: str) -> Sitting | None:
    own = unit.find(Seat, client_id=client_id)
    tables = unit.find(SharedTable, id=own[0].table_id) if own else ()
    if not tables:
        return None
    table = tables[0]
    seats = sorted(unit.find(Seat, table_id=table.id), key=lambda seat: seat.place)
    return Sitting(
        table,
        tuple(json.loads(table.shared)),
        _GUESTS.validate_json(table.guests),
        _MEALS.validate_json(table.meals),
        tuple(unit.get(Client, seat.client_id) for seat in seats),
    )
