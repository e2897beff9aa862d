"""Pages of a plan: worksheet, week, dish, list and calendar."""

from __future__ import annotations

import datetime as dt

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from api.desk.deps import AnyRecords, TheClient
from api.desk.exports import calendar, list_csv, list_text, recipe
from api.desk.form_body import TheForm
from api.pages.dish_facts import gives, why
from api.pages.plan_contexts import (
    ChangesPage,
    CookingPage,
    DishPage,
    ListPage,
    WeekPage,
    WeeksPage,
    WorksheetPage,
)
from api.pages.planned import batch_of, day_of, days_of, intake_of_plan, meal_of, plan_and_list
from api.pages.rendering import page
from api.pages.ticks import say_lines
from api.records.custom_foods import beside, pantry_of
from api.records.reading import intake_of, plan_of, targets_of
from mealplan.menu.cost_and_swaps import cost_lines

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
    saved = records.plans.to_read(client, number, start)
    running = records.plans.running(client, number)
    context = WeekPage(
        client=client,
        plan=plan_of(saved.body),
        saved=saved,
        status=records.plans.status(client, days_of(saved)),
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
    status = records.plans.status(client, [date for sheet in sheets for date in sheet])
    return page(request, WeeksPage(client=client, plans=shown, today=today, status=status))


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


@router.get("/days/{date}/meals/{slot}")
def dish(
    request: Request, client: TheClient, records: AnyRecords, date: dt.date, slot: int
) -> Response:
    """Show one planned dish as a recipe, with what it gives and why it is there."""
    saved = records.plans.to_read(client, date=date)
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
        status=records.plans.status(client, (date,)),
    )
    return page(request, context)


@router.get("/cooking")
def cooking(
    request: Request, client: TheClient, records: AnyRecords, start: dt.date | None = None
) -> Response:
    """Show what is cooked when, with boxes and soaking."""
    saved = records.plans.to_read(client, date=start)
    intake = intake_of_plan(records, client, saved)
    status = records.plans.status(client, days_of(saved))
    plan, batch = plan_of(saved.body), batch_of(saved.body, intake)
    return page(request, CookingPage(client, plan, batch, status=status))


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
            status=records.plans.status(client, [day.date for day in plan.days]),
            said=records.ticks.of(client, plan.start),
        ),
    )


@router.post("/list")
def ticked(client: TheClient, records: AnyRecords, form: TheForm, start: dt.date) -> Response:
    """Keep what was ticked."""
    say_lines(records, client, start, form)
    return RedirectResponse(f"/clients/{client.id}/list?start={start}", status_code=303)


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
