"""Pages of one day: its meals, changed, kept, eaten otherwise."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from api.desk.deps import AnyRecords, TheClient, TheService
from api.desk.form_body import Form, TheForm
from api.desk.planning import start_day
from api.desk.service import Service
from api.jobs.tasks import EatenInstead
from api.pages.eaten import read_back, refuse_to_come, what_was_eaten
from api.pages.jobs import follow
from api.pages.plan_contexts import DayPage, MealView
from api.pages.planned import day_of, meal_of
from api.pages.rendering import page
from api.records.book import Records
from api.records.reading import plan_of
from api.records.tastes import say_tastes
from foods import FoodError
from mealplan.errors import IntakeError
from mealplan.kitchen.preferences import STEPS
from mealplan.redaction import hide_numbers
from mealplan.store.records import Client, SavedPlan

router = APIRouter(prefix="/clients/{client_id}", include_in_schema=False)


@router.get("/days/{date}")
def day(
    request: Request, client: TheClient, records: AnyRecords, date: dt.date, changed: str = ""
) -> Response:
    """Show one day as a cooking sheet."""
    saved = records.plans.to_read(client, date=date)
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
        look=form.text("look") == "yes",
        was=form.number("was"),
    )
    return follow(service, solve)


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
        records.marks.say(client, date, slot, "kept")
    elif wish == "free":
        records.marks.unsay(client, date, slot, "kept")
    elif wish in ("another", "never"):
        if wish == "never":
            say_tastes(records, client, {"never": (meal.dish,)})
        records.marks.unsay(client, date, slot, "kept")
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
        say_tastes(records, client, {wish: (meal.dish,)})
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
    planned = meal_of(day_of(plan_of(saved.body), date), slot)
    typed = form.text("foods").strip()
    refuse_to_come(records, client, date)
    found, warning = what_was_eaten(records, client, date, planned, typed)
    if form.text("confirmed") != typed:
        context = replace(
            _day_page(records, client, saved, date, changed=False),
            read_back=read_back(found, hide=records.principal.hide),
            warning=warning,
            typed_slot=slot,
            typed=typed,
        )
        return page(request, context)
    instead = EatenInstead(
        slot,
        " ".join(typed.split())[:80],
        found.foods,
        found.other_kcal,
        nothing=found.meaning == "nothing",
        sd_kcal=found.sd_kcal,
    )
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
    records.marks.say(client, date, slot, "ate else", typed)
    return follow(service, solve)


def _fixed(records: Records, client: Client, date: dt.date) -> tuple[list[int], list[int]]:
    """Meals marked kept, and meals already eaten, as planned or otherwise."""
    found = day_of(plan_of(records.plans.to_act_on(client, date=date).body), date)
    marked = {
        mark.slot for mark in records.marks.all(client) if mark.date == date and mark.what == "kept"
    }
    ate = {
        mark.slot for mark in records.marks.all(client) if mark.date == date and mark.what == "ate"
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
    marks = {(mark.slot, mark.what) for mark in records.marks.all(client) if mark.date == date}
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
        status=records.plans.status(client, (date,)),
    )
