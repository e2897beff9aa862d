"""What was logged without signal: sent later from the device that kept it, carried out once."""

from __future__ import annotations

import datetime as dt
import hashlib
from typing import Annotated

from fastapi import APIRouter, Header
from fastapi.responses import JSONResponse, Response

from api.desk.deps import AnyRecords, TheClient
from api.desk.form_body import Form, FormRefused, TheForm
from api.forms.log import read_form
from api.pages.checkins import with_plan
from api.pages.eaten import refuse_to_come, say_eaten
from api.pages.planned import day_of, meal_of
from api.pages.ticks import say_line
from api.records.book import Records
from api.records.reading import plan_of
from api.security.idempotency import LONGEST_KEY, OnceOnly
from mealplan.errors import CheckInError, IntakeError, SafetyRefusal
from mealplan.redaction import hide_numbers
from mealplan.store.base import NotThere
from mealplan.store.records import Client

router = APIRouter(prefix="/clients/{client_id}/waiting", include_in_schema=False)

EATEN = ("ate", "rest", "undo")
LONGEST_SENTENCE = 400
"""Longest sentence on what was eaten. [characters]"""


@router.post("")
def take(
    client: TheClient,
    records: AnyRecords,
    form: TheForm,
    idempotency_key: Annotated[str, Header(min_length=8, max_length=LONGEST_KEY)],
) -> Response:
    """Take one entry of a device's queue; the same one again gets the first answer."""
    said = sorted((name, values) for name, values in form.typed().items())
    fingerprint = hashlib.sha256(f"{client.id} {said}".encode()).hexdigest()
    once = OnceOnly(idempotency_key, fingerprint, client.id)
    try:
        return once.do(records, lambda: _done(records, client, form))
    except (CheckInError, IntakeError, NotThere, SafetyRefusal) as error:
        why = hide_numbers(str(error)) if records.principal.hide else str(error)
        return JSONResponse({"why": why}, status_code=422)


def _done(records: Records, client: Client, form: Form) -> Response:
    what = form.text("what")
    if what == "weigh-in":
        typed = {name: values[-1] for name, values in form.typed().items()}
        del typed["what"]
        records.log.add(client, with_plan(records, client, read_form(what, typed)))
    elif what in EATEN:
        say_eaten(records, client, _date(form), form.number("slot"), what)
    elif what == "tick":
        say_line(records, client, _date(form), form.text("food"), form.text("state"))
    elif what == "something else":
        _said(records, client, _date(form), form.number("slot"), form.text("foods"))
    else:
        raise FormRefused(f"what={what[:40]!r} is nothing that waits for signal; load the page")
    return JSONResponse({"taken": what})


def _said(records: Records, client: Client, date: dt.date, slot: int, text: str) -> None:
    """Keep a sentence until somebody with signal looks at how it was understood."""
    sentence = " ".join(text.split())
    if not sentence or len(sentence) > LONGEST_SENTENCE:
        raise IntakeError(
            f"what was eaten is said in 1 to {LONGEST_SENTENCE} letters; write it again"
        )
    meal_of(day_of(plan_of(records.plans.to_act_on(client, date=date).body), date), slot)
    refuse_to_come(records, client, date)
    records.marks.say(client, date, slot, "said", sentence)


def _date(form: Form) -> dt.date:
    try:
        return dt.date.fromisoformat(form.text("date"))
    except ValueError:
        raise FormRefused(f"date={form.text('date')[:40]!r} is no date; load the page") from None
