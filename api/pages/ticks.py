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
    if said not in SAID:
        raise FormRefused(f"state={said[:40]!r} is not one of {', '.join(SAID)}; load the list")
    _, shopping = plan_and_list(records, client, start)
    if shopping.start != start or food not in {line.name for line in shopping.lines}:
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
    for food in sorted(now - was):
        say_line(records, client, start, food, "bought")
    for food in sorted(was - now):
        say_line(records, client, start, food, "open")
    for name, said in (("missing", "not found"), ("found", "open")):
        for food in form.all(name):
            say_line(records, client, start, food, said)
