"""A client's file as a whole: its trail, everything kept of it handed out, and erased."""

from __future__ import annotations

import logging

from api.records.reading import forget_read
from api.records.readings import keep
from api.records.set_aside import OnTheShelf, set_aside_of
from api.records.view import View
from mealplan.store.backup import bury, note_beside_all
from mealplan.store.ownership import erase_client, gather_client
from mealplan.store.records import Client, Entry

_log = logging.getLogger("api.records.erase")


class WholeFile:
    """
    Everything kept about a client.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view

    def trail(self, client: Client) -> tuple[Entry, ...]:
        """
        Return the audit trail, newest first.

        Parameters
        ----------
        client : Client
            Whose file it is.
        """
        with self.view.store.reading() as unit:
            return unit.find(Entry, client_id=client.id, newest_first=True)

    def set_aside(self, client: Client) -> tuple[OnTheShelf, ...]:
        """
        Return the documents that are kept and cannot be read.

        Parameters
        ----------
        client : Client
            Whose file it is.
        """
        with self.view.store.reading() as unit:
            return set_aside_of(unit, client.id)

    def export(self, client: Client, *, for_client: bool = False) -> dict[str, object]:
        """
        Gather everything kept about a client.

        Parameters
        ----------
        client : Client
        for_client : bool
            True leaves out what only the coach reads.

        Returns
        -------
        dict
            Ready for JSON; secrets left out.
        """
        with self.view.store.writing() as unit:
            self.view.note(unit, client.id, "exported", "for the client" if for_client else "")
            return gather_client(unit, client, for_client=for_client)

    def erase(self, client: Client) -> None:
        """
        Remove a client and everything kept about them; only that it happened stays on record.

        Parameters
        ----------
        client : Client
            Whose file it is.
        """
        with self.view.store.writing() as unit:
            erase_client(unit, client.id)
            bury(unit, client.id, self.view.settings.now())
            self.view.note(unit, "", "client erased", "")
        self.view.store.settle()
        forget_read()
        keep(client.id, None)
        missed = note_beside_all(self.view.store)
        if missed:
            _log.warning("%d folders of backups could not be told of an erasure", len(missed))
