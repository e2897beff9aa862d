"""Pages of a plan: worksheet, week, day, dish, list and calendar."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from functools import lru_cache

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from api.deps import AnyRecords, Form, TheClient, TheForm, TheService, missing
from api.exports import calendar, list_csv, list_text, recipe
from api.jobs.tasks import EatenInstead
from api.pages.contexts import (
    ChangesPage,
    CookingPage,
    DayPage,
    DishPage,
    ListPage,
    MealView,
    WeekPage,
    WeeksPage,
    WorksheetPage,
)
from api.pages.dish_facts import gives, why
from api.pages.jobs import follow
from api.pages.rendering import page
from api.planning import start_day
from api.records.book import Records
from api.records.custom_foods import beside, pantry_of, whole_intake
from api.records.reading import intake_of, plan_of, targets_of
from api.service import Service
from foods import FoodError
from mealplan.client.intake import Intake
from mealplan.cooking.sheet import BatchPlan, batch_plan
from mealplan.errors import IntakeError
from mealplan.kitchen.preferences import STEPS, check_tastes, with_word
from mealplan.menu.cost_and_swaps import cost_lines
from mealplan.plan import Meal, Plan, PlanDay
from mealplan.shopping.door import ShoppingList, shopping_list
from mealplan.store.records import Client, SavedPlan

router = APIRouter(prefix="/clients/{client_id}", include_in_schema=False)


@router.get("/worksheet")
def worksheet(
    request: Request, client: TheClient, records: AnyRecords, intake: int | None = None
) -> Response:
    """Show the targets with their working."""
    version = records.intakes.version(client, intake)
    context = WorksheetPage(
        client, intake_of(version.body), targets_of(version.body), version.number
    )
    return page(request, context)


@router.get("/week")
def week(
    request: Request,
    client: TheClient,
    records: AnyRecords,
    start: dt.date | None = None,
    number: int | None = None,
) -> Response:
    """Show the grid of the days planned together around a date, or as they stood earlier."""
    saved = records.plans.to_act_on(client, number, start)
    running = records.plans.running(client, number)
    context = WeekPage(
        client=client,
        plan=plan_of(saved.body),
        saved=saved,
        behind=saved.intake_number != client.intake_number,
        today=records.plans.today(client),
        sheets=tuple((sheet[0], sheet[-1]) for sheet in running.sheets),
        earlier=saved.number != client.plan_number,
    )
    return page(request, context)


@router.get("/weeks")
def weeks(request: Request, client: TheClient, records: AnyRecords) -> Response:
    """Show the weeks that run or are planned ahead, side by side."""
    today = records.plans.today(client)
    running = records.plans.running(client)
    sheets = [sheet for sheet in running.sheets if sheet[-1] >= today]
    shown = tuple(running.plan_of(sheet) for sheet in sheets)
    return page(request, WeeksPage(client=client, plans=shown, today=today))


@router.get("/changes")
def changes(request: Request, client: TheClient, records: AnyRecords) -> Response:
    """List what changed in the plan, newest first."""
    found = records.plans.changes(client)
    return page(request, ChangesPage(client=client, changes=found))


@router.post("/undo")
def take_back(client: TheClient, records: AnyRecords, form: TheForm) -> Response:
    """Take the last change of the plan back."""
    records.plans.undo(client, form.number("was"))
    return RedirectResponse(f"/clients/{client.id}/changes", status_code=303)


@router.get("/days/{date}")
def day(
    request: Request, client: TheClient, records: AnyRecords, date: dt.date, changed: str = ""
) -> Response:
    """Show one day as a cooking sheet."""
    saved = records.plans.to_act_on(client, date=date)
    context = _day_page(records, client, saved, date, changed=bool(changed))
    return page(request, context)


@router.post("/days/{date}/from-home")
def from_home(
    service: TheService, client: TheClient, records: AnyRecords, form: TheForm, date: dt.date
) -> Response:
    """Plan a day again from what is at home."""
    return _again(service, client, records, form, date, from_home=True)


@router.post("/days/{date}/another")
def another_day(
    service: TheService, client: TheClient, records: AnyRecords, form: TheForm, date: dt.date
) -> Response:
    """Plan a day again, leaving kept meals as they are."""
    return _again(service, client, records, form, date)


def _again(
    service: Service,
    client: Client,
    records: Records,
    form: Form,
    date: dt.date,
    *,
    from_home: bool = False,
) -> Response:
    """Plan a day again around the meals that are kept or settled."""
    kept, settled = _fixed(records, client, date)
    solve = start_day(
        service,
        records,
        client,
        date,
        keep=kept,
        settled=settled,
        from_home=from_home,
        was=form.number("was"),
    )
    return follow(service, solve)


@router.get("/days/{date}/meals/{slot}")
def dish(
    request: Request, client: TheClient, records: AnyRecords, date: dt.date, slot: int
) -> Response:
    """Show one planned dish as a recipe, with what it gives and why it is there."""
    saved = records.plans.to_act_on(client, date=date)
    plan = plan_of(saved.body)
    found = day_of(plan, date)
    meal = meal_of(found, slot)
    hide = records.principal.hide
    context = DishPage(
        client=client,
        day=found,
        meal=meal,
        linked_data=recipe(found, meal, hide=hide),
        gives=gives(meal, plan, hide=hide),
        why=why(plan, found, meal, records.intakes.in_force(client), hide=hide),
    )
    return page(request, context)


@router.post("/days/{date}/meals/{slot}")
def change_meal(
    service: TheService,
    client: TheClient,
    records: AnyRecords,
    form: TheForm,
    date: dt.date,
    slot: int,
) -> Response:
    """Another dish here, keep it, or a word on the dish for the time to come."""
    saved = records.plans.to_act_on(client, date=date)
    meal = meal_of(day_of(plan_of(saved.body), date), slot)
    wish = form.text("do")
    if wish == "keep":
        records.plans.mark(client, date, slot, "kept")
    elif wish == "free":
        records.plans.unmark(client, date, slot, "kept")
    elif wish in ("another", "never"):
        if wish == "never":
            say_taste(records, client, "never", meal.dish)
            client = records.clients.one(client.id)
        records.plans.unmark(client, date, slot, "kept")
        kept, settled = _fixed(records, client, date)
        solve = start_day(
            service,
            records,
            client,
            date,
            another=[slot],
            keep=kept,
            settled=settled,
            was=form.number("was"),
        )
        return follow(service, solve)
    elif wish in STEPS:
        say_taste(records, client, wish, meal.dish)
    else:
        known = ", ".join(("another", "keep", "free", *STEPS))
        raise IntakeError(f"do={wish[:40]!r} is not one of {known}")
    return RedirectResponse(f"/clients/{client.id}/days/{date}", status_code=303)


@router.post("/days/{date}/meals/{slot}/eaten")
def eaten(
    request: Request,
    service: TheService,
    client: TheClient,
    records: AnyRecords,
    form: TheForm,
    date: dt.date,
    slot: int,
) -> Response:
    """Note what was eaten instead and set the rest of the day again."""
    try:
        return _eaten(service, client, records, form, date, slot)
    except (IntakeError, FoodError) as error:
        context = replace(
            _day_page(
                records, client, records.plans.to_act_on(client, date=date), date, changed=False
            ),
            message=str(error),
            typed_slot=slot,
            typed=form.text("foods"),
        )
        return page(request, context, status=422)


def _eaten(
    service: Service, client: Client, records: Records, form: Form, date: dt.date, slot: int
) -> Response:
    meal_of(day_of(plan_of(records.plans.to_act_on(client, date=date).body), date), slot)
    instead = read_eaten(slot, form.text("foods"))
    kept, settled = _fixed(records, client, date)
    solve = start_day(
        service,
        records,
        client,
        date,
        another=[],
        keep=[s for s in kept if s != slot],
        settled=[s for s in settled if s != slot],
        eaten=[instead],
        was=form.number("was"),
    )
    records.plans.mark(client, date, slot, "ate else", form.text("foods").strip())
    return follow(service, solve)


@router.get("/cooking")
def cooking(
    request: Request, client: TheClient, records: AnyRecords, start: dt.date | None = None
) -> Response:
    """Show what is cooked when, with boxes and soaking."""
    saved = records.plans.to_act_on(client, date=start)
    intake = intake_of_plan(records, client, saved)
    plan, batch = plan_of(saved.body), batch_of(saved.body, intake)
    return page(request, CookingPage(client, plan, batch))


@router.get("/list")
def shopping(
    request: Request, client: TheClient, records: AnyRecords, start: dt.date | None = None
) -> Response:
    """Show the shopping list."""
    plan, bought = plan_and_list(records, client, start)
    return page(
        request,
        ListPage(
            client,
            plan,
            bought,
            cost_lines(plan, beside(records.intakes.in_force(client), pantry_of(records))),
        ),
    )


@router.get("/list.txt")
def shopping_text(client: TheClient, records: AnyRecords, start: dt.date | None = None) -> Response:
    """Hand the shopping list out as text."""
    _, bought = plan_and_list(records, client, start)
    return Response(list_text(bought, client.role), media_type="text/plain; charset=utf-8")


@router.get("/list.csv")
def shopping_csv(client: TheClient, records: AnyRecords, start: dt.date | None = None) -> Response:
    """Hand the shopping list out as CSV."""
    _, bought = plan_and_list(records, client, start)
    headers = {"Content-Disposition": "attachment; filename=shopping-list.csv"}
    return Response(list_csv(bought), media_type="text/csv; charset=utf-8", headers=headers)


@router.get("/calendar.ics")
def meals_calendar(client: TheClient, records: AnyRecords) -> Response:
    """Hand the meals out as a calendar file."""
    saved = records.plans.to_act_on(client)
    running = records.plans.running(client)
    text = calendar(client, running.plan_of(running.dates), saved.made_at)
    headers = {"Content-Disposition": "attachment; filename=meals.ics"}
    return Response(text, media_type="text/calendar; charset=utf-8", headers=headers)


def plan_and_list(
    records: Records, client: Client, start: dt.date | None = None
) -> tuple[Plan, ShoppingList]:
    """
    Return days of a client planned together and what to buy for them.

    Parameters
    ----------
    records : Records
    client : Client
    start : date, optional
        One of the days; the client's today when left out.

    Returns
    -------
    plan : Plan
    shopping : ShoppingList
    """
    saved = records.plans.to_act_on(client, date=start)
    intake = intake_of_plan(records, client, saved)
    return plan_of(saved.body), _list_of(saved.body, intake)


def intake_of_plan(records: Records, client: Client, saved: SavedPlan) -> str:
    """
    Return the intake a plan was made from, with the coach's own foods and dishes beside it.

    Parameters
    ----------
    records : Records
    client : Client
    saved : SavedPlan

    Returns
    -------
    str
        JSON.
    """
    body = records.intakes.version(client, saved.intake_number).body
    return whole_intake(records, body).model_dump_json()


@lru_cache(maxsize=64)
def batch_of(plan: str, intake: str) -> BatchPlan:
    """
    Work the order of cooking out of a plan and an intake kept as JSON text.

    Parameters
    ----------
    plan, intake : str

    Returns
    -------
    BatchPlan
    """
    return batch_plan(plan_of(plan), Intake.model_validate_json(intake))


@lru_cache(maxsize=64)
def _list_of(plan: str, intake: str) -> ShoppingList:
    """Work the list out of a plan and an intake kept as JSON text."""
    return shopping_list(plan_of(plan), Intake.model_validate_json(intake))


LONGEST_EATEN = 600
"""Longest line of what was eaten at one meal. [characters]"""


def _amount_behind(part: str) -> tuple[str, float, str]:
    """Read a food, its amount and its unit, from the end backwards."""
    rest, unit = part, ""
    for word in ("kcal", "g"):
        if rest.lower().endswith(word):
            rest, unit = rest[: -len(word)].rstrip(), word
            break
    name = rest.rstrip("0123456789.")
    digits = rest[len(name) :]
    whole, point, parts = digits.partition(".")
    if (
        not whole.isascii()
        or not whole.isdigit()
        or len(whole) > 5
        or (point and not (parts.isascii() and parts.isdigit()))
    ):
        raise IntakeError(
            f"{part[:60]!r} has no amount; write the food and its grams, such as banana 120"
        )
    return name.strip(), float(digits), unit


def read_eaten(slot: int, text: str) -> EatenInstead:
    """
    Read what was eaten from one typed line.

    Parameters
    ----------
    slot : int
        Meal, by its place in the day.
    text : str
        Such as ``banana 120, peanut butter 30`` or ``550 kcal``, or both.

    Returns
    -------
    EatenInstead

    Raises
    ------
    IntakeError
        When a part has no amount.
    """
    if len(text) > LONGEST_EATEN:
        raise IntakeError(
            f"what was eaten has {len(text):,} letters, more than {LONGEST_EATEN:,}; name one "
            "meal's foods"
        )
    foods = []
    other = 0.0
    for part in filter(None, (piece.strip() for piece in re.split(r"[,;\n]", text))):
        name, amount, unit = _amount_behind(part)
        if unit == "kcal":
            other += amount
        elif name:
            foods.append((name, amount))
        else:
            raise IntakeError(
                f"{part[:60]!r} names no food; write the food and its grams, or a number and kcal"
            )
    if not foods and not other:
        raise IntakeError(
            "nothing was typed; write what was eaten, such as banana 120, or its energy, such "
            "as 550 kcal"
        )
    return EatenInstead(slot, " ".join(text.split())[:80], tuple(foods), other)


def say_taste(records: Records, client: Client, where: str, word: str) -> None:
    """
    Add a word to a client's tastes, kept in the history like any amendment.

    Parameters
    ----------
    records : Records
    client : Client
    where : str
        A step of :data:`mealplan.kitchen.preferences.STEPS`, or ``nothing``.
    word : str
        Food, group or dish key.
    """
    intake = with_word(records.intakes.in_force(client), where, word)
    check_tastes(beside(intake, pantry_of(records)))
    records.intakes.amend(
        client.id, intake, f"{STEPS.get(where, where)}: {word}", client.intake_number
    )


def day_of(plan: Plan, date: dt.date) -> PlanDay:
    """
    Find a planned day.

    Parameters
    ----------
    plan : Plan
    date : date

    Returns
    -------
    PlanDay

    Raises
    ------
    NotThere
        When the plan does not hold it.
    """
    found = next((item for item in plan.days if item.date == date), None)
    if found is None:
        raise missing(f"day {date} in this plan")
    return found


def meal_of(found: PlanDay, slot: int) -> Meal:
    """
    Find a meal of a day.

    Parameters
    ----------
    found : PlanDay
    slot : int
        Its place in the day.

    Returns
    -------
    Meal

    Raises
    ------
    NotThere
        When the day has no such meal.
    """
    if not 0 <= slot < len(found.meals):
        raise missing(f"meal {slot} on this day")
    return found.meals[slot]


def _fixed(records: Records, client: Client, date: dt.date) -> tuple[list[int], list[int]]:
    """Meals marked kept, and meals already eaten, as planned or otherwise."""
    found = day_of(plan_of(records.plans.to_act_on(client, date=date).body), date)
    marked = {
        mark.slot
        for mark in records.plans.marks(client)
        if mark.date == date and mark.what == "kept"
    }
    ate = {
        mark.slot
        for mark in records.plans.marks(client)
        if mark.date == date and mark.what == "ate"
    }
    settled = [meal.slot for meal in found.meals if not meal.method or meal.slot in ate]
    return [
        slot for slot in sorted(marked) if slot not in settled and slot < len(found.meals)
    ], settled


def _day_page(
    records: Records, client: Client, saved: SavedPlan, date: dt.date, *, changed: bool
) -> DayPage:
    found = day_of(plan_of(saved.body), date)
    running = records.plans.running(client)
    place = running.dates.index(date)
    marks = {(mark.slot, mark.what) for mark in records.plans.marks(client) if mark.date == date}
    over = records.plans.settled(client, found)
    views = tuple(
        MealView(
            meal,
            (meal.slot, "kept") in marks,
            "",
            eaten=(meal.slot, "ate") in marks,
            settled=meal.slot in over,
        )
        for meal in found.meals
    )
    after = running.days[running.dates[place + 1]].day if date != running.dates[-1] else None
    today = records.plans.today(client)
    named = {today: "Today", today + dt.timedelta(days=1): "Tomorrow"}
    follows = after if after is not None and (after.date - date).days == 1 else None
    return DayPage(
        client=client,
        day=found,
        meals=views,
        saved=saved,
        before=running.dates[place - 1] if place else None,
        after=after.date if after else None,
        said=saved.reason if changed else "",
        soak=tuple(m.name for m in follows.meals if m.soak_night_before) if follows else (),
        heading=named.get(date, f"{date:%A}"),
    )
