"""A day's or a meal's work at the stove, one step at a time."""

from __future__ import annotations

import datetime as dt

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.desk.deps import AnyRecords, TheClient
from api.pages.plan_contexts import StovePage
from api.pages.planned import batch_of, day_of, intake_of_plan, meal_of
from api.pages.rendering import page
from api.records.reading import plan_of
from mealplan.cooking.stove import stove_order

router = APIRouter(prefix="/clients/{client_id}", include_in_schema=False)


@router.get("/days/{date}/stove")
def stove(
    request: Request,
    client: TheClient,
    records: AnyRecords,
    date: dt.date,
    meal: int | None = None,
) -> Response:
    """Show the work of a day, or of one of its meals, as one order over all dishes."""
    saved = records.plans.to_read(client, date=date)
    day = day_of(plan_of(saved.body), date)
    serve = "" if meal is None else meal_of(day, meal).time
    batch = batch_of(saved.body, intake_of_plan(records, client, saved))
    cook = next(one for one in batch.days if one.date == date)
    steps = stove_order(cook, (serve,) if serve else None)
    status = records.plans.status(client, (date,))
    return page(request, StovePage(client, day, serve, steps, status=status))
