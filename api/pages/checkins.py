"""Pages of the check-in: what was logged, what it can tell, and the coach's decision."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup
from pydantic import ValidationError

from api.desk.deps import AnyRecords, CoachedClient, CoachRecords, TheClient
from api.desk.form_body import Form, TheForm
from api.forms.log import forms_for, read_form
from api.forms.log_questions import read_entry
from api.pages.coach_contexts import CheckInPage, LoggedLine
from api.pages.rendering import page
from api.records.book import Records
from api.records.reading import plan_of
from mealplan.checkin.decide.proposed import words_for_client
from mealplan.checkin.decide.record import Action
from mealplan.checkin.decide.warnings import for_client
from mealplan.checkin.log.csv_import import read_csv, without_repeats
from mealplan.checkin.log.entries import KG_PER_UNIT, AnyEntry, IntakeRecord, WeighIn
from mealplan.checkin.log.questions import other_unit
from mealplan.checkin.log.words import entry_words, fault_of
from mealplan.checkin.review.reviewed import reading_unit
from mealplan.checkin.table.grid import text_of
from mealplan.checkin.table.reading import Choices, CsvReading
from mealplan.errors import CheckInError
from mealplan.redaction import hide_numbers
from mealplan.render.charts.trend import trend_plot
from mealplan.store.base import NotThere
from mealplan.store.records import Client

router = APIRouter(prefix="/clients/{client_id}/checkin", include_in_schema=False)

LISTED = 40
"""Entries listed at first, the newest ones: a page with many is heavy on a phone."""
MOST_LISTED = 4000
IMPORTS_LISTED = 3
"""Tables that can be taken back, the newest ones."""
CHOICES = {
    "mass unit": "mass_unit",
    "date order": "date_order",
    "decimal mark": "decimal_comma",
    "energy unit": "energy_unit",
    "girth unit": "girth_unit",
    "year": "year",
}
"""What a table may leave open, and the choice that settles it."""
ACTIONS: tuple[Action, ...] = ("accept", "amend", "decline")


@router.get("")
def show(
    request: Request,
    client: TheClient,
    records: AnyRecords,
    listed: Annotated[int, Query(ge=1, le=MOST_LISTED)] = LISTED,
) -> Response:
    """Show the log, what it can tell, and the proposal."""
    return page(request, check_in_page(records, client, listed=listed))


@router.post("/table")
def table(request: Request, client: TheClient, records: AnyRecords, form: TheForm) -> Response:
    """Take a table of readings in, once what it leaves open is confirmed."""
    content = form.upload("file")
    pasted = text_of(content) if content else form.text("pasted")
    reading: CsvReading | None = None
    confirmed = bool(form.text("confirmed"))
    try:
        if not pasted.strip():
            raise CheckInError("nothing was pasted; copy a table with a heading row, dates in it")
        logged = records.log.read(client)
        weighed = logged.of(WeighIn)
        weight_kg = weighed[-1].mass_kg if weighed else records.intakes.in_force(client).weight_kg
        today = records.settings.today()
        reading = read_csv(pasted, choices_of(form), expected_kg=weight_kg, today=today)
        log = reading.to_log(confirmed=confirmed and not unseen(reading, form))
        if reading.unread and not confirmed:
            raise CheckInError(
                f"{len(reading.unread)} of the table's rows or cells were not understood and would "
                "be left out; mend them, or tick that the rest is taken in"
            )
        if not log.entries:
            raise CheckInError(
                "no row of the table holds anything a log knows; look at its heading"
            )
        new, repeated = without_repeats(log.entries, logged.entries)
        if not new:
            raise CheckInError(
                f"all {repeated} readings of the table are in the log already; nothing was added"
            )
        records.log.add(client, new, together=True)
        if repeated:
            return page(request, _taken(records, client, len(new), repeated))
    except CheckInError as error:
        context = check_in_page(
            records,
            client,
            message=hide_numbers(str(error)) if records.principal.hide else str(error),
            pasted=pasted,
            reading=reading,
            typed={"form": "table"},
        )
        return page(request, context, status=422)
    return _back(client)


def unseen(reading: CsvReading, form: Form) -> bool:
    """
    Say whether a cell is asked about that the form did not show, since another choice changed it.

    Parameters
    ----------
    reading : CsvReading
    form : Form

    Returns
    -------
    bool
    """
    return any(form.text(f"cell {doubt.key}") not in doubt.options for doubt in reading.doubts)


def _taken(records: Records, client: Client, new: int, repeated: int) -> CheckInPage:
    """Say how many readings were new and how many stood twice."""
    were = "reading stood" if repeated == 1 else "readings stood"
    said = f"{new} taken in; {repeated} {were} twice or in the log already and counts once"
    return check_in_page(records, client, message=said)


@router.post("/activity")
def activity(request: Request, client: TheClient, records: AnyRecords, form: TheForm) -> Response:
    """Take the sessions of a watch's file in."""
    try:
        content = form.upload("file")
        if not content:
            raise CheckInError("no file was chosen; choose a FIT, GPX or TCX file of a session")
        records.log.add_recorded(client, content)
    except CheckInError as error:
        said = hide_numbers(str(error)) if records.principal.hide else str(error)
        context = check_in_page(records, client, message=said, typed={"form": "activity"})
        return page(request, context, status=422)
    return _back(client)


def choices_of(form: Form) -> Choices:
    """
    Read what was chosen about a table that leaves something open.

    Parameters
    ----------
    form : Form

    Returns
    -------
    Choices

    Raises
    ------
    CheckInError
        When a choice is not one of those offered.
    """
    chosen = {name: form.text(f"choose {topic}") for topic, name in CHOICES.items()}
    mark = chosen.pop("decimal_comma")
    fields: dict[str, object] = {name: text for name, text in chosen.items() if text}
    if mark:
        fields["decimal_comma"] = mark == "comma"
    typed = {name: values[-1] for name, values in form.typed().items()}
    for kind, begins in (("columns", "column "), ("cells", "cell ")):
        fields[kind] = {n.removeprefix(begins): v for n, v in typed.items() if n.startswith(begins)}
    try:
        return Choices.model_validate(fields)
    except ValidationError as error:
        raise CheckInError(fault_of(error)) from None


@router.post("/tables/{batch}/undo")
def undo_table(client: TheClient, records: AnyRecords, form: TheForm, batch: str) -> Response:
    """Take what came in as one table back."""
    records.log.undo_import(client, batch)
    return _back(client)


@router.post("/entries/{entry_id}/withdraw")
def withdraw(client: TheClient, records: AnyRecords, form: TheForm, entry_id: str) -> Response:
    """Take an entry out; it stays in the history."""
    records.log.withdraw(client, entry_id, form.text("why"))
    return _back(client)


@router.post("/decide")
def decide(
    request: Request, client: CoachedClient, records: CoachRecords, form: TheForm
) -> Response:
    """Accept, amend or decline the proposal."""
    try:
        action = next((known for known in ACTIONS if known == form.text("do")), None)
        if action is None:
            raise CheckInError(f"do={form.text('do')[:40]!r} is not accept, amend or decline")
        records.decisions.decide(
            client,
            action,
            reason=form.text("reason"),
            step_kcal=_number(form.text("step")) if action == "amend" else None,
            was=form.number("was"),
            seen_kcal=_number(form.text("seen")) if form.text("seen") else None,
        )
    except CheckInError as error:
        context = check_in_page(
            records,
            client,
            message=str(error),
            reason=form.text("reason"),
            typed={"form": "decide", "step": form.text("step")},
        )
        return page(request, context, status=422)
    return _back(client)


@router.post("/entries/{entry_id}/answer")
def answer(client: TheClient, records: AnyRecords, form: TheForm, entry_id: str) -> Response:
    """Confirm an odd reading, put its unit right, or withdraw it."""
    if form.text("do") == "right":
        records.log.confirm(client, entry_id)
    elif form.text("do") == "unit":
        put_unit_right(records, client, entry_id)
    else:
        records.log.withdraw(client, entry_id, "the reading was wrong")
    return _back(client)


def put_unit_right(records: Records, client: Client, entry_id: str) -> None:
    """
    Log a reading again in the other unit; the slip goes into the history.

    Parameters
    ----------
    records : Records
    client : Client
    entry_id : str

    Raises
    ------
    NotThere
        When there is no such weigh-in.
    """
    log = records.log.read(client)
    slip = log.get(entry_id) if entry_id in log else None
    if not isinstance(slip, WeighIn):
        raise NotThere(f"there is no weigh-in {entry_id[:40]!r} in this log; load it again")
    meant = slip.model_copy(update={"unit": other_unit(slip)})
    read_again = read_entry(**meant.model_dump(exclude={"id", "extras"}))
    records.log.add(client, [read_again])
    records.log.withdraw(client, entry_id, f"{slip.unit} was a slip for {meant.unit}")


@router.post("/{form_name}")
def log_form(
    request: Request, client: TheClient, records: AnyRecords, form: TheForm, form_name: str
) -> Response:
    """Log what one of the page's forms says, or give it back with what to mend."""
    typed = {name: values[-1] for name, values in form.typed().items()}
    from_today = typed.pop("back", "") == "today"
    try:
        records.log.add(client, with_plan(records, client, read_form(form_name, typed)))
    except CheckInError as error:
        context = check_in_page(
            records, client, message=str(error), typed=typed | {"form": form_name}
        )
        return page(request, context, status=422)
    if from_today:
        return RedirectResponse(f"/clients/{client.id}/today", status_code=303)
    return _back(client)


def with_plan(records: Records, client: Client, entries: list[AnyEntry]) -> list[AnyEntry]:
    """
    Write beside each day of eating what was planned for it.

    Parameters
    ----------
    records : Records
    client : Client
    entries : list of entry

    Returns
    -------
    list of entry
    """
    return [
        entry.model_copy(update={"planned_kcal": planned_kcal(records, client, entry.on)})
        if isinstance(entry, IntakeRecord)
        else entry
        for entry in entries
    ]


def planned_kcal(records: Records, client: Client, on: dt.date) -> float:
    """
    Say what was planned for a day: the plan's energy, else the target's.

    Parameters
    ----------
    records : Records
    client : Client
    on : date

    Returns
    -------
    float
        [kcal]
    """
    try:
        plan = plan_of(records.plans.kept(client).body)
    except NotThere:
        plan = None
    for planned in plan.days if plan is not None else ():
        if planned.date == on:
            return planned.energy_kcal + planned.training_kcal
    return round(records.intakes.targets(client).on_date(on).energy_kcal, 1)


def check_in_page(
    records: Records,
    client: Client,
    *,
    message: str = "",
    pasted: str = "",
    reading: CsvReading | None = None,
    reason: str = "",
    typed: Mapping[str, str] | None = None,
    listed: int = LISTED,
) -> CheckInPage:
    """
    Gather what the check-in page shows.

    Parameters
    ----------
    records : Records
    client : Client
    message : str
        What to mend.
    pasted : str
        A table given back.
    reading : CsvReading, optional
        What was understood of it.
    reason : str
        A reason given back.
    typed : mapping, optional
        What was typed into a form that was not taken, given back; its name under ``form``.
    listed : int
        How many entries to list.

    Returns
    -------
    CheckInPage
    """
    found = records.decisions.standing(client)
    hide, reader = records.principal.hide, records.principal.kind == "client"
    log = records.log.read(client)
    intake = records.intakes.in_force(client)
    unit = reading_unit(log, "lb" if intake.kitchen.units == "us" else "kg")
    plot = trend_plot(found.trend, unit) if found.trend is not None and not hide else ""
    newest = tuple(reversed(log.entries))
    return CheckInPage(
        client=client,
        today=records.settings.today(),
        standing=found,
        warnings=for_client(found.warnings, hide=hide) if reader else found.warnings,
        said=words_for_client(found.proposal, hide=hide),
        plot=Markup(plot),
        unit=unit,
        unit_kg=KG_PER_UNIT[unit],
        forms=forms_for(intake, log, hide=hide),
        entries=tuple(
            LoggedLine(entry.id, entry.on, entry.kind, entry_words(entry, hide=hide))
            for entry in newest[:listed]
        ),
        logged=len(newest),
        unfolded=listed != LISTED,
        withdrawn=len(log.history),
        imports=records.log.imports(client)[:IMPORTS_LISTED],
        notes=() if records.principal.kind == "coach" else records.notes.all(client),
        decisions=tuple(reversed(records.decisions.made(client))),
        message=message,
        pasted=pasted,
        reading=reading,
        reason=reason,
        typed=typed or {},
    )


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise CheckInError(
            f"step {text[:40]!r} is not a number; write kilocalories a day, such as 100 or -100"
        ) from None


def _back(client: Client) -> Response:
    return RedirectResponse(f"/clients/{client.id}/checkin", status_code=303)
