"""Lines of a shopping list ticked: bought, not found, or neither after all."""

from __future__ import annotations

import datetime as dt

from api.desk.form_body import Form, FormRefused
from api.pages.planned import plan_and_list
from api.records.book import Records
from mealplan.errors import IntakeError
from mealplan.store.records import Client, TickKind

SAID: dict[str, TickKind | None] = {"bought": "bought", "not found": "not found", "open": None}


def say_line(records: Records, client: Client, start: dt.date, food: str, said: str) -> None:
    """
    Keep what was said of one line.

    Parameters
    ----------
    records : Records
    client : Client
    start : date
        First day of the plan whose list it is.
    food : str
    said : {"bought", "not found", "open"}

    Raises
    ------
    FormRefused
        When it is none of these.
    IntakeError
        When the list has no such line.
    """
    _keep(records, client, start, [(food, said)])


def _keep(records: Records, client: Client, start: dt.date, told: list[tuple[str, str]]) -> None:
    """Keep what was said of some lines; the list is read once for all of them."""
    if not told:
        return
    _, shopping = plan_and_list(records, client, start)
    known = {line.name for line in shopping.lines} if shopping.start == start else set()
    for food, said in told:
        if said not in SAID:
            raise FormRefused(f"state={said[:40]!r} is not one of {', '.join(SAID)}; load the list")
        if food not in known:
            raise IntakeError(
                f"{food[:60]!r} is not on the list that begins on {start}; load the list again"
            )
        records.ticks.say(client, start, food, SAID[said])


def say_lines(records: Records, client: Client, start: dt.date, form: Form) -> None:
    """
    Keep what a whole list's form says that it did not say when it was loaded.

    Lines that somebody else ticked meanwhile stay as they are.

    Parameters
    ----------
    records : Records
    client : Client
    start : date
    form : Form
        Boxes ``bought`` as they are, ``was`` as they were; ``missing`` or ``found`` names the line
        whose button was pressed.
    """
    now, was = set(form.all("bought")), set(form.all("was"))
    told = [(food, "bought") for food in sorted(now - was)]
    told += [(food, "open") for food in sorted(was - now)]
    told += [(food, "not found") for food in form.all("missing")]
    told += [(food, "open") for food in form.all("found")]
    _keep(records, client, start, told)
