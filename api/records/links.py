"""Links that show one client's pages: handed out, listed, taken back."""

from __future__ import annotations

import dataclasses
import datetime as dt
import secrets

from api.records.view import View, hashed
from mealplan.errors import IntakeError
from mealplan.store.base import NotThere
from mealplan.store.records import Client, Link, new_id


class Links:
    """
    Addresses that show one client's pages alone.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view

    def all(self, client: Client) -> tuple[Link, ...]:
        """
        Return every link handed out, newest first.

        Parameters
        ----------
        client : Client
            Whose file it is.
        """
        with self.view.store.reading() as unit:
            return unit.find(Link, client_id=client.id, newest_first=True)

    def hand_out(self, client: Client, days: int) -> tuple[str, Link]:
        """
        Make an address that shows this client's pages alone.

        Parameters
        ----------
        client : Client
        days : int
            How long it lasts, 1 to 366. [days]

        Returns
        -------
        token : str
            The secret part; kept nowhere, so it is shown once.
        link : Link
        """
        if not 1 <= days <= 366:
            raise IntakeError(f"days={days} is outside 1 to 366; a link should end some day")
        token = secrets.token_urlsafe(24)
        now = self.view.settings.now()
        link = Link(
            id=new_id(),
            made_at=now,
            client_id=client.id,
            token_hash=hashed(token),
            ends_at=now + dt.timedelta(days=days),
            revoked_at=None,
            made_by=self.view.principal.name,
        )
        with self.view.store.writing() as unit:
            unit.add(link)
            self.view.note(unit, client.id, "link handed out", f"until {link.ends_at:%Y-%m-%d}")
        return token, link

    def take_back(self, client: Client, link_id: str) -> None:
        """
        Take a link back; it stops working at once.

        Parameters
        ----------
        client : Client
            Whose file it is.
        link_id : str
            Identifier of the link.
        """
        with self.view.store.writing() as unit:
            found = unit.find(Link, id=link_id, client_id=client.id)
            if not found:
                raise NotThere(f"there is no link {link_id!r} of this client")
            if found[0].revoked_at is None:
                unit.change(dataclasses.replace(found[0], revoked_at=self.view.settings.now()))
                self.view.note(unit, client.id, "link taken back", "")
