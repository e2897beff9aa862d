"""
Who is asking, and the one way from them to the records.

Every part of the records looks clients up by :meth:`View.seen`, which hands out a client only to
those who may see it; nothing else in the service looks a client up.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import random
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Literal, TypeVar

from api.settings import Settings
from mealplan.client.zone import local_time
from mealplan.errors import StoreError
from mealplan.store.base import AlreadyThere, NotThere, Reader, Store, Writer
from mealplan.store.documents import INTAKE, Unreadable
from mealplan.store.records import Client, Entry, IntakeVersion, new_id

TRIES = 12
"""How often a change is tried when others come in between."""
PAUSE_S = 0.01
"""Longest wait before the second try; it grows with each. [s]"""

T = TypeVar("T")


class NothingPlanned(NotThere):
    """
    The client has no plan yet.

    Attributes
    ----------
    client_id : str
        Whose plan was asked for.
    """

    def __init__(self, client_id: str, role: str):
        super().__init__(f"Nothing is planned yet for the {role}.")
        self.client_id = client_id


class Stale(StoreError):  # noqa: N818  (reads as what happened)
    """The record changed since the sender last saw it."""


@dataclass(frozen=True)
class Principal:
    """Who is asking."""

    kind: Literal["coach", "client"]
    coach_id: str
    name: str
    """How the audit trail calls them."""
    client_id: str = ""
    """The one client a link shows; empty for a coach."""
    sign_in_id: str = ""
    link_id: str = ""
    ends_at: dt.datetime | None = None
    """When the link or the sign-in ends; None on a machine without accounts."""
    hide: bool = False
    """True for a client who is not shown weights or calories."""


def hashed(token: str) -> str:
    """
    Turn a secret into what is kept of it.

    Parameters
    ----------
    token : str
        Random enough that a plain hash cannot be turned round.

    Returns
    -------
    str
    """
    return hashlib.sha256(token.encode()).hexdigest()


@dataclass(frozen=True)
class View:
    """One person's way to the records."""

    store: Store
    settings: Settings
    principal: Principal

    def seen(self, unit: Reader, client_id: str) -> Client:
        """
        Look a client up.

        Parameters
        ----------
        unit : Reader
        client_id : str

        Returns
        -------
        Client

        Raises
        ------
        NotThere
            When there is none, or it is not this person's to see: both read the same.
        """
        who = self.principal
        found = unit.find(Client, id=client_id, coach_id=who.coach_id)
        if not found or (who.kind == "client" and client_id != who.client_id):
            raise NotThere(
                f"there is no client {client_id!r} here; look on the roster for its address"
            )
        return found[0]

    def clock_of(self, unit: Reader, client: Client) -> dt.datetime:
        """
        Say what time it is where a client lives.

        Parameters
        ----------
        unit : Reader
        client : Client

        Returns
        -------
        datetime
            By the client's time zone, else by this machine's.
        """
        found = unit.find(IntakeVersion, client_id=client.id, number=client.intake_number)
        zone = ""
        with suppress(Unreadable):
            zone = INTAKE.read(found[0].body).time_zone if found else ""
        return local_time(self.settings.now(), zone)

    def write(self, work: Callable[[Writer], T]) -> T:
        """
        Do a change whole, again from the start when another one came in between.

        Parameters
        ----------
        work : callable
            Gets the writer; what it returns is returned.

        Returns
        -------
        T
        """
        for done in range(1, TRIES):
            try:
                with self.store.writing() as unit:
                    return work(unit)
            except AlreadyThere:
                time.sleep(random.uniform(0, done * PAUSE_S))  # so that two do not keep step
        with self.store.writing() as unit:
            return work(unit)

    def note(self, unit: Writer, client_id: str, what: str, detail: str) -> None:
        """
        Add a line to the audit trail, within the change it tells of.

        Parameters
        ----------
        unit : Writer
        client_id : str
            Empty for what concerns no client that is kept.
        what, detail : str
        """
        unit.add(
            Entry(
                id=new_id(),
                made_at=self.settings.now(),
                coach_id=self.principal.coach_id,
                client_id=client_id,
                by=self.principal.name,
                what=what,
                detail=detail,
            )
        )
