"""What was said of single meals: they stay, were eaten, or something else was."""

from __future__ import annotations

import datetime as dt

from api.records.view import View
from mealplan.store.records import Client, Mark, MarkKind, new_id

LOGGED: tuple[MarkKind, ...] = ("ate", "ate else", "said")
"""What says that a meal was eaten."""


class Marks:
    """
    What was said of a client's meals.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view

    def all(self, client: Client) -> tuple[Mark, ...]:
        """
        Return what was said about meals.

        Parameters
        ----------
        client : Client
            Whose they are.
        """
        with self.view.store.reading() as unit:
            return unit.find(Mark, client_id=client.id)

    def say(self, client: Client, date: dt.date, slot: int, kind: MarkKind, text: str = "") -> None:
        """
        Note that a meal stays, or what was eaten; a later note replaces an earlier one.

        Parameters
        ----------
        client : Client
            Who ate.
        date : dt.date
            Day of the meal.
        slot : int
            Place of the meal in the day, from 0.
        kind : MarkKind
            What is noted.
        text : str
            In the client's words, where there are any.
        """
        with self.view.store.writing() as unit:
            gone = LOGGED if kind in LOGGED else (kind,)
            for what in gone:
                unit.remove(Mark, client_id=client.id, date=date, slot=slot, what=what)
            unit.add(
                Mark(
                    id=new_id(),
                    made_at=self.view.settings.now(),
                    client_id=client.id,
                    date=date,
                    slot=slot,
                    what=kind,
                    text=text,
                    by=self.view.principal.name,
                )
            )

    def unsay(self, client: Client, date: dt.date, slot: int, kind: MarkKind) -> None:
        """
        Take a note on a meal back.

        Parameters
        ----------
        client : Client
            Who ate.
        date : dt.date
            Day of the meal.
        slot : int
            Place of the meal in the day, from 0.
        kind : MarkKind
            What is taken back.
        """
        with self.view.store.writing() as unit:
            unit.remove(Mark, client_id=client.id, date=date, slot=slot, what=kind)
