"""What was said of the lines of a shopping list, the same for all who hold it."""

from __future__ import annotations

import datetime as dt

from api.records.view import View
from mealplan.store.records import Client, Tick, TickKind, new_id


class Ticks:
    """
    What is bought and what was not found.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view

    def of(self, client: Client, start: dt.date) -> dict[str, TickKind]:
        """
        Return what was said of a list's lines.

        Parameters
        ----------
        client : Client
        start : date
            First day of the plan whose list it is.

        Returns
        -------
        dict of str to str
            ``bought`` or ``not found`` by the line's food; lines nobody spoke of are left out.
        """
        with self.view.store.reading() as unit:
            found = unit.find(Tick, client_id=client.id, start=start)
        return {tick.food: tick.what for tick in found}

    def say(self, client: Client, start: dt.date, food: str, what: TickKind | None) -> None:
        """
        Say that a line is bought or was not found, or take back what was said of it.

        Parameters
        ----------
        client : Client
        start : date
            First day of the plan whose list it is.
        food : str
            A line of that list.
        what : str or None
            None takes it back.
        """
        with self.view.store.writing() as unit:
            unit.remove(Tick, client_id=client.id, start=start, food=food)
            if what is None:
                return
            unit.add(
                Tick(
                    id=new_id(),
                    made_at=self.view.settings.now(),
                    client_id=client.id,
                    start=start,
                    food=food,
                    what=what,
                    by=self.view.principal.name,
                )
            )
