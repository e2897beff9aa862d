"""What was eaten, as said on a page: as planned, or something else in one sentence."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from api.pages.checkins import planned_kcal
from api.pages.planned import day_of, meal_of
from api.records.book import Records
from api.records.custom_foods import beside, pantry_of
from api.records.reading import plan_of
from mealplan.checkin.log.eaten_allergens import allergens_in
from mealplan.checkin.log.eaten_meal import in_place_of
from mealplan.checkin.log.eaten_model import EatenSentence
from mealplan.checkin.log.eaten_words import read_eaten
from mealplan.checkin.log.entries import IntakeRecord
from mealplan.errors import IntakeError
from mealplan.kitchen.custom_foods import catalogue_of
from mealplan.plan import EATEN, Meal, PlanDay
from mealplan.redaction import hide_numbers
from mealplan.store.records import Client


def what_was_eaten(
    records: Records, client: Client, date: dt.date, planned: Meal, text: str
) -> tuple[EatenSentence, str]:
    """
    Read a sentence on what was eaten, and warn of what the client must not have.

    Parameters
    ----------
    records : Records
    client : Client
    date : date
        Day it was eaten.
    planned : Meal
        What the plan has there.
    text : str
        As typed.

    Returns
    -------
    found : EatenSentence
    warning : str
        Names allergens of the client that it holds, and whom to call; empty without any.

    Raises
    ------
    IntakeError
        When something of it cannot be read at all.
    """
    intake = beside(records.intakes.in_force(client), pantry_of(records))
    known = catalogue_of(intake)
    found = in_place_of(
        read_eaten(text, known, intake.own_dishes), planned, _before(records, client, date, planned)
    )
    mine = set(intake.tastes.allergies) & allergens_in(text, found, known)
    warning = allergen_warning(sorted(mine)) if mine else ""
    if found.blocked:
        raise IntakeError(" ".join(filter(None, (warning, *found.asks))))
    return found, warning


def _before(records: Records, client: Client, date: dt.date, planned: Meal) -> Meal | None:
    """Give the meal of the same name on the day before, where the plan holds that day."""
    held = records.plans.running(client).days.get(date - dt.timedelta(days=1))
    if held is None:
        return None
    return next((meal for meal in held.day.meals if meal.label == planned.label), None)


def read_back(found: EatenSentence, *, hide: bool) -> str:
    """
    Say a meal as it is read, with what is not certain about it.

    Parameters
    ----------
    found : EatenSentence
    hide : bool
        True leaves energy out.

    Returns
    -------
    str
    """
    said = found.read_back(hide=hide)
    if not found.asks:
        return said
    asks = " ".join(f"{ask[:1].upper()}{ask[1:]}." for ask in found.asks)
    return f"{said} Not certain: {hide_numbers(asks) if hide else asks}"


def allergen_warning(allergens: Sequence[str]) -> str:
    """
    Say what to do when something was eaten that must be absent.

    Parameters
    ----------
    allergens : sequence of str

    Returns
    -------
    str
    """
    named = " and ".join(name.replace("_", " ") for name in allergens)
    return (
        f"This holds {named}, which must be absent for this client. With swelling, hives, "
        "vomiting, faintness or trouble breathing, call the emergency number (112, 911, 999) now "
        "and use an adrenaline pen if one is prescribed; without symptoms, tell the coach and a "
        "physician today."
    )


def say_eaten(records: Records, client: Client, date: dt.date, slot: int, wish: str) -> None:
    """
    Note that a meal, or the rest of its day, was eaten as planned; or take that back.

    Parameters
    ----------
    records : Records
    client : Client
    date : date
    slot : int
    wish : {"ate", "rest", "undo"}

    Raises
    ------
    IntakeError
        When the day has not come yet, or the wish is another.
    """
    day = day_of(plan_of(records.plans.to_act_on(client, date=date).body), date)
    meal_of(day, slot)
    if wish == "undo":
        records.marks.unsay(client, date, slot, "ate")
        _unsay_day(records, client, date)
    elif wish in ("ate", "rest"):
        refuse_to_come(records, client, date)
        for meal in day.meals:
            if (meal.dish != EATEN or meal.eaten_out) and (meal.slot == slot or wish == "rest"):
                records.marks.say(client, date, meal.slot, "ate")
        _say_day(records, client, day)
    else:
        raise IntakeError(f"do={wish[:40]!r} is not one of ate, rest, undo")


def refuse_to_come(records: Records, client: Client, date: dt.date) -> None:
    """
    Refuse to take as eaten what has not come yet.

    Parameters
    ----------
    records : Records
    client : Client
    date : date
    """
    if date > records.plans.today(client):
        raise IntakeError(f"{date:%A %d %B} has not come yet; say so when it was eaten")


def _say_day(records: Records, client: Client, day: PlanDay) -> None:
    """Log the day as eaten by the plan, once every meal of it was."""
    marked = {
        mark.slot
        for mark in records.marks.all(client)
        if mark.date == day.date and mark.what == "ate"
    }
    said = any(entry.on == day.date for entry in records.log.read(client).of(IntakeRecord))
    if said or not day.meals or {meal.slot for meal in day.meals} - marked:
        return
    entry = IntakeRecord(
        on=day.date,
        adherence="as planned",
        planned_kcal=planned_kcal(records, client, day.date),
    )
    records.log.add(client, [entry])


def _unsay_day(records: Records, client: Client, date: dt.date) -> None:
    for entry in records.log.read(client).of(IntakeRecord):
        if entry.on == date and entry.adherence == "as planned":
            records.log.withdraw(client, entry.id, "a meal of the day was not eaten after all")
