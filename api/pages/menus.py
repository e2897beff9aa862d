"""Pages of a plan: worksheet, week, day, dish, list and calendar."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
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
from mealplan.checkin.log.eaten_words import EatenSentence, allergens_in, read_eaten
from mealplan.client.intake import Intake
from mealplan.cooking.sheet import BatchPlan, batch_plan
from mealplan.errors import IntakeError
from mealplan.kitchen.custom_foods import catalogue_of
from mealplan.kitchen.preferences import STEPS, check_tastes, with_word
from mealplan.menu.cost_and_swaps import cost_lines
from mealplan.plan import Meal, Plan, PlanDay
from mealplan.redaction import hide_numbers
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
    undone = records.plans.undo(client, form.number("was"))
    for day in plan_of(undone.body).days:
        if all(meal.method for meal in day.meals):
            records.log.unsay_day(client, day.date)
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
        return _eaten(request, service, client, records, form, date, slot)
    except (IntakeError, FoodError) as error:
        context = replace(
            _day_page(
                records, client, records.plans.to_act_on(client, date=date), date, changed=False
            ),
            message=hide_numbers(str(error)) if records.principal.hide else str(error),
            typed_slot=slot,
            typed=form.text("foods"),
        )
        return page(request, context, status=422)


def _eaten(
    request: Request,
    service: Service,
    client: Client,
    records: Records,
    form: Form,
    date: dt.date,
    slot: int,
) -> Response:
    saved = records.plans.to_act_on(client, date=date)
    meal_of(day_of(plan_of(saved.body), date), slot)
    typed = form.text("foods").strip()
    if date > records.plans.today(client):
        raise IntakeError(f"{date:%A %d %B} has not come yet; say so when it was eaten")
    found, warning = what_was_eaten(records, client, typed)
    if form.text("confirmed") != typed:
        context = replace(
            _day_page(records, client, saved, date, changed=False),
            read_back=found.read_back(hide=records.principal.hide),
            warning=warning,
            typed_slot=slot,
            typed=typed,
        )
        return page(request, context)
    instead = EatenInstead(slot, " ".join(typed.split())[:80], found.foods, found.other_kcal)
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
    records.plans.mark(client, date, slot, "ate else", typed)
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


def what_was_eaten(records: Records, client: Client, text: str) -> tuple[EatenSentence, str]:
    """
    Read a sentence on what was eaten, and warn of what the client must not have.

    Parameters
    ----------
    records : Records
    client : Client
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
        When something has to be said more clearly.
    """
    intake = beside(records.intakes.in_force(client), pantry_of(records))
    known = catalogue_of(intake)
    found = read_eaten(text, known)
    mine = set(intake.tastes.allergies) & allergens_in(text, found, known)
    warning = allergen_warning(sorted(mine)) if mine else ""
    if found.asks:
        raise IntakeError(" ".join(filter(None, (warning, *found.asks))))
    return found, warning


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
