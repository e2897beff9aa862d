"""The roster: a page of clients, those who need attention first, their logs read behind it."""

from __future__ import annotations

import dataclasses
import logging
import time
from dataclasses import dataclass

from api.records.clients import Clients
from api.records.decisions import Decisions
from api.records.roster_priority import last_place, placed, to_be_read
from api.records.view import View
from mealplan.errors import MealPlanError, StoreError
from mealplan.store.base import Writer
from mealplan.store.documents import Unreadable
from mealplan.store.records import Client

ROSTER_LINES = 30
"""Clients on one page of the roster."""

_log = logging.getLogger("api.records.roster")


@dataclass(frozen=True)
class RosterSlice:
    """One page of the roster."""

    clients: tuple[Client, ...]
    found: int
    """Clients in all, or those the words find."""
    everyone: int
    needing: int
    """Clients of everyone who need attention today."""
    page: int
    """Counted from 1."""
    pages: int
    unread: int
    """Logs that changed, or were last read on another day."""


class Roster:
    """
    The clients of a coach as one list.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view
        self.decisions = Decisions(view)

    def page(self, words: str = "", page: int = 1) -> RosterSlice:
        """
        Bring a page of the roster up to date, those who need attention first.

        Logs of clients on the page that have not been read today are read now, as many as a moment
        allows.

        Parameters
        ----------
        words : str
            Each must occur in the client's role or phase; empty for everyone.
        page : int
            Counted from 1; one past the last shows the last.

        Returns
        -------
        RosterSlice
        """
        self._place_everyone()
        found = self._slice(words, page)
        today = self.view.settings.today()
        until = time.perf_counter() + self.view.settings.reading_s
        read = 0
        for client in found.clients:
            if to_be_read(client, today) and (not read or time.perf_counter() < until):
                self.read(client)
                read += 1
        return self._slice(words, page) if read else found

    def _slice(self, words: str, page: int) -> RosterSlice:
        today = self.view.settings.today()
        coach_id = self.view.principal.coach_id
        with self.view.store.reading() as unit:
            everyone = unit.count(Client, coach_id=coach_id)
            found = unit.count(Client, coach_id=coach_id, words=words) if words else everyone
            pages = max(1, -(-found // ROSTER_LINES))
            page = min(max(page, 1), pages)
            return RosterSlice(
                clients=unit.find(
                    Client,
                    by=("place",),
                    words=words,
                    offset=(page - 1) * ROSTER_LINES,
                    limit=ROSTER_LINES,
                    coach_id=coach_id,
                ),
                found=found,
                everyone=everyone,
                needing=unit.count(Client, coach_id=coach_id, up_to=("place", last_place(today))),
                page=page,
                pages=pages,
                unread=everyone
                - unit.count(Client, coach_id=coach_id, read_on=today)
                - unit.count(Client, coach_id=coach_id, logged_on=None),
            )

    def _place_everyone(self) -> None:
        """Give clients a place who have none yet: those of an older release or backup."""
        with self.view.store.reading() as unit:
            if not unit.count(Client, coach_id=self.view.principal.coach_id, place=""):
                return

        def work(unit: Writer) -> None:
            for client in unit.find(Client, coach_id=self.view.principal.coach_id, place=""):
                unit.change(placed(client))

        self.view.write(work)

    def read(self, client: Client) -> None:
        """
        Read a client's log for the roster; one that cannot be read is put there as such.

        Parameters
        ----------
        client : Client
        """
        try:
            self.decisions.standing(client)
        except MealPlanError as error:
            if isinstance(error, StoreError) and not isinstance(error, Unreadable):
                return  # erased meanwhile, or the next look tries again
            _log.info("the log of a client cannot be read: %s", error)
            today = self.view.settings.today()

            def work(unit: Writer) -> None:
                marked = dataclasses.replace(
                    self.view.seen(unit, client.id),
                    read_on=today,
                    warning="log cannot be read",
                    warning_severity="warn",
                    warned_on=today,
                    move_kcal=0.0,
                )
                unit.change(placed(marked))

            self.view.write(work)

    def unread(self) -> tuple[Client, ...]:
        """Return the coach's clients whose log has to be read again."""
        today = self.view.settings.today()
        return tuple(client for client in Clients(self.view).all() if to_be_read(client, today))
