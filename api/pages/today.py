"""The one page an athlete needs: the next meal, tonight's work, the scale; and what else to eat."""

from __future__ import annotations

import datetime as dt
import json
import threading
from functools import lru_cache

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from api.desk.deps import AnyRecords, TheClient
from api.desk.form_body import TheForm
from api.pages.eaten import say_eaten
from api.pages.plan_contexts import MealNow, OthersPage, Said, TodayPage
from api.pages.planned import batch_of, day_of, intake_of_plan, meal_of
from api.pages.rendering import page
from api.records.book import Records
from api.records.reading import plan_of
from mealplan.checkin.log.entries import WeighIn
from mealplan.checkin.log.log import Log
from mealplan.checkin.log.words import entry_words
from mealplan.checkin.review.reviewed import reading_unit
from mealplan.client.intake import Intake
from mealplan.cooking.sheet import BatchPlan, CookDay
from mealplan.errors import IntakeError
from mealplan.menu.other_dishes import OtherDish, other_dishes
from mealplan.menu.running_plan import RunningPlan
from mealplan.menu.week import refuse_unsafe
from mealplan.plan import EATEN, Meal, PlanDay
from mealplan.store.records import Client, SavedPlan
from mealplan.targets.make import make_targets

router = APIRouter(prefix="/clients/{client_id}", include_in_schema=False)

STILL_NEXT_MIN = 90
"""A meal stays the next one for so long after its hour, unless it is said to be eaten. [min]"""
_one_at_a_time = threading.Lock()


@router.get("/today")
def today(request: Request, client: TheClient, records: AnyRecords) -> Response:
    """Show today at a glance, or the first planned day before the plan begins."""
    if not client.plan_number:  # the check-in has what is logged and what should worry
        return RedirectResponse(f"/clients/{client.id}/checkin", status_code=303)
    return page(request, today_page(records, client))


def today_page(records: Records, client: Client) -> TodayPage:
    """
    Gather what the page of today shows.

    Parameters
    ----------
    records : Records
    client : Client

    Returns
    -------
    TodayPage
    """
    now = records.plans.today(client)
    saved = records.plans.to_read(client, date=now)
    plan = plan_of(saved.body)
    date = min(max(now, plan.days[0].date), plan.days[-1].date)
    day = day_of(plan, date)
    batch = batch_of(saved.body, intake_of_plan(records, client, saved))
    cook = next(one for one in batch.days if one.date == date)
    meals = _meals(records, client, day, cook)
    log = records.log.read(client)
    intake = records.intakes.in_force(client)
    running = records.plans.running(client)
    return TodayPage(
        client=client,
        day=day,
        saved=saved,
        status=records.plans.status(client, (date,)),
        when=_when(date, now),
        next=_next(records, client, meals) if date == now else meals[0],
        meals=meals,
        unsaid=next((one for one in meals if not one.ate and not one.instead), None),
        tonight=_tonight(batch, cook, date, now),
        weighed=_weighed(log, now, hide=records.principal.hide),
        unit=reading_unit(log, "lb" if intake.kitchen.units == "us" else "kg"),
        today=now,
        after=next((later for later in running.dates if later > date), None),
        notes=() if records.principal.kind == "coach" else records.notes.all(client)[:1],
        said=_said(records, client, running),
    )


def _when(date: dt.date, now: dt.date) -> str:
    if date == now:
        return "Today"
    return "The plan begins" if date > now else "The plan has ended; its last day"


def _meals(records: Records, client: Client, day: PlanDay, cook: CookDay) -> tuple[MealNow, ...]:
    marks = {
        (mark.slot, mark.what): mark.text
        for mark in records.marks.all(client)
        if mark.date == day.date
    }
    return tuple(
        MealNow(
            meal=meal,
            ate=(meal.slot, "ate") in marks,
            instead=meal.name if meal.dish == EATEN and not meal.eaten_out else "",
            cooking=next((c for c in cook.cookings if _same(c.dish, c.serve, meal)), None),
            kept=next((k for k in cook.kept if _same(k.dish, k.serve, meal)), None),
        )
        for meal in day.meals
    )


def _said(records: Records, client: Client, running: RunningPlan) -> tuple[Said, ...]:
    """List what was said without signal, oldest first."""
    return tuple(
        Said(mark.date, mark.slot, meal_of(running.days[mark.date].day, mark.slot).label, mark.text)
        for mark in sorted(records.marks.all(client), key=lambda mark: (mark.date, mark.slot))
        if mark.what == "said" and mark.date in running.days
    )


def _same(dish: str, serve: str, meal: Meal) -> bool:
    return (dish, serve) == (meal.dish, meal.time)


def _next(records: Records, client: Client, meals: tuple[MealNow, ...]) -> MealNow | None:
    """Give the first meal that is neither eaten nor long past."""
    now = records.plans.clock(client)
    late = now - dt.timedelta(minutes=STILL_NEXT_MIN)
    begun = late.date() == now.date()
    return next(
        (
            one
            for one in meals
            if not one.ate and not one.instead and (not begun or one.meal.time >= f"{late:%H:%M}")
        ),
        None,
    )


def _tonight(batch: BatchPlan, cook: CookDay, date: dt.date, now: dt.date) -> tuple[str, ...]:
    """List what this evening has to begin."""
    if date == now:
        return cook.tonight
    return batch.evening_before if date == now + dt.timedelta(days=1) else ()


def _weighed(log: Log, now: dt.date, *, hide: bool) -> str:
    found = [entry for entry in log.of(WeighIn) if entry.on == now]
    return entry_words(found[-1], hide=hide) if found else ""


@router.post("/days/{date}/meals/{slot}/ate")
def ate(
    client: TheClient, records: AnyRecords, form: TheForm, date: dt.date, slot: int
) -> Response:
    """Note that a meal, or the rest of the day, was eaten as planned; or take that back."""
    say_eaten(records, client, date, slot, form.text("do"))
    return RedirectResponse(f"/clients/{client.id}/today#meal-{slot}", status_code=303)


@router.get("/days/{date}/meals/{slot}/others")
def others(
    request: Request, client: TheClient, records: AnyRecords, date: dt.date, slot: int
) -> Response:
    """Show three dishes to choose from, each with what it changes."""
    saved = records.plans.to_act_on(client, date=date)
    day = day_of(plan_of(saved.body), date)
    meal = meal_of(day, slot)
    offers = _offers(records, client, saved, date, slot)
    status = records.plans.status(client, (date,))
    return page(request, OthersPage(client, day, meal, saved, offers, status=status))


@router.post("/days/{date}/meals/{slot}/others")
def take_other(
    client: TheClient, records: AnyRecords, form: TheForm, date: dt.date, slot: int
) -> Response:
    """Put a dish that was offered on the plan."""
    saved = records.plans.kept(client, form.number("was"), date)
    day = day_of(plan_of(saved.body), date)
    meal = meal_of(day, slot)
    wanted = form.text("dish")
    offers = _offers(records, client, saved, date, slot)
    offer = next((one for one in offers if one.meal.dish == wanted), None)
    if offer is None:
        raise IntakeError(
            f"dish={wanted[:40]!r} is not one of those offered for this meal; look at them again"
        )
    shown: dict[str, list[list[str]]] = json.loads(saved.shown)
    turned_down = [*shown.get(date.isoformat(), []), [one.dish for one in day.meals]]
    said = f"{meal.label} on {date:%A}: {offer.meal.name} instead of {meal.name}."
    records.plans.keep(
        client.id,
        offer.plan.model_dump_json(),
        was=saved.number,
        intake_number=saved.intake_number,
        reason=" ".join([said, *offer.sentences]),
        shown=shown | {date.isoformat(): turned_down[-OTHERS_REMEMBERED:]},
        changes=date,
    )
    return RedirectResponse(f"/clients/{client.id}/days/{date}?changed=yes", status_code=303)


OTHERS_REMEMBERED = 12
"""Days turned down that are remembered for one date."""


def _offers(
    records: Records, client: Client, saved: SavedPlan, date: dt.date, slot: int
) -> tuple[OtherDish, ...]:
    refuse_unsafe(records.intakes.targets(client))
    day = day_of(plan_of(saved.body), date)
    settled = records.plans.settled(client, day)
    if slot in settled:
        raise IntakeError(
            f"{meal_of(day, slot).label.lower()} on {date:%A %d %B} has passed or was logged and "
            "does not move; say what was eaten instead"
        )
    with _one_at_a_time:  # so that one link's looks cannot take every processor
        return _worked_out(
            saved.body,
            intake_of_plan(records, client, saved),
            date,
            slot,
            tuple(sorted(settled)),
            saved.shown,
        )


@lru_cache(maxsize=12)
def _worked_out(
    plan: str, intake: str, date: dt.date, slot: int, settled: tuple[int, ...], shown: str
) -> tuple[OtherDish, ...]:
    known = Intake.model_validate_json(intake)
    return other_dishes(
        known,
        make_targets(known),
        plan_of(plan),
        date,
        slot,
        settled=settled,
        shown=json.loads(shown).get(date.isoformat(), []),
    )
