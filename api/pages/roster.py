"""Pages of the roster and of a client's file."""

from __future__ import annotations

import datetime as dt
import json
from contextlib import suppress
from functools import cache
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Query, Request
from fastapi.responses import RedirectResponse, Response

from api.desk.deps import CoachedClient, CoachRecords, TheService
from api.desk.form_body import Form, TheForm
from api.desk.planning import start_week, wake_log_refresh
from api.desk.service import Service
from api.forms.intake import blank, to_data, to_typed
from api.forms.intake_faults import FormFaults, faulty_fields, in_page_words
from api.forms.intake_fields import GROUPS, Typed
from api.pages.coach_contexts import ErasePage, FilePage, IntakePage, RosterPage, RosterResult
from api.pages.jobs import follow
from api.pages.ledger import first_open_day, is_behind, line_of
from api.pages.rendering import page
from api.records.book import Records
from api.records.custom_foods import beside, pantry_of
from api.records.roster_priority import needs
from foods import FoodError
from mealplan.client.clinic_file import is_clinic_file, read_clinic_file, with_clinic_file
from mealplan.client.clinic_file_out import write_clinic_file
from mealplan.client.intake import Intake
from mealplan.client.read import parse_intake, read_intake
from mealplan.demo.folders import DEMO_CLIENTS, demo_intake
from mealplan.demo.history import demo_history
from mealplan.errors import IntakeError, MealPlanError, SafetyRefusal, TargetError
from mealplan.kitchen.preferences import STEPS, check_tastes
from mealplan.render.text_table import decimals
from mealplan.store.base import NotThere
from mealplan.store.documents import Unreadable, opened
from mealplan.store.records import Client
from mealplan.targets.make import make_targets
from mealplan.targets.season import SeasonStep, season_steps

TASTES = tuple(f"tastes.{step}" for step in STEPS)
"""Fields that may change while a form is open, since likes are said on another page."""

router = APIRouter(include_in_schema=False)

LONGEST_SEARCH = 80
"""Letters of a search that count; a role has no more than 60."""
PageNumber = Annotated[str, Query(alias="page", max_length=9)]


@cache
def demo_role(name: str) -> str:
    """
    Return the role of a demo client.

    Parameters
    ----------
    name : str
        Of the demo client's folder.
    """
    return demo_intake(name).role


@router.get("/")
def roster(
    request: Request,
    service: TheService,
    records: CoachRecords,
    find: str = "",
    page_number: PageNumber = "1",
) -> Response:
    """Show the clients, those who need attention today first."""
    return roster_page(request, service, records, find, page_number)


def roster_page(
    request: Request,
    service: Service,
    records: Records,
    find: str = "",
    page_number: str = "1",
    outcomes: tuple[RosterResult, ...] = (),
) -> Response:
    """
    Show a page of the roster, after what was just done if anything was.

    Parameters
    ----------
    request : Request
    service : Service
    records : Records
    find, page_number : str
        As typed or sent.
    outcomes : tuple of RosterResult
        What became of each client's decision.

    Returns
    -------
    Response
    """
    today = records.settings.today()
    words = " ".join(find.replace("\0", " ").split())[:LONGEST_SEARCH]
    number = int(page_number) if page_number.isdecimal() else 1
    shown = records.roster.page(words, min(number, 1_000_000))
    if shown.unread:
        wake_log_refresh(service, records)
    lines = tuple(line_of(records, client) for client in shown.clients)
    missing = any(records.clients.of_role(demo_role(name)) is None for name in DEMO_CLIENTS)
    return page(request, RosterPage(lines, today, shown, words, missing, outcomes))


@router.post("/demo")
def load_demo(records: CoachRecords, form: TheForm) -> Response:
    """Take the made-up clients on who are not on the roster yet."""
    for name in DEMO_CLIENTS:
        if records.clients.of_role(demo_role(name)) is not None:
            continue
        past = demo_history(name, records.settings.today())
        if past is None:
            records.clients.take_on(demo_intake(name), "demo client, made up")
        else:
            client = records.clients.take_on(past.intake, "demo client, made up")
            records.decisions.take_over(client, past.log.entries, past.decisions)
    return RedirectResponse("/", status_code=303)


@router.get("/clients/new")
def new_client(request: Request, records: CoachRecords) -> Response:
    """Show the empty form."""
    typed = blank() | {"start": (records.settings.today().isoformat(),)}
    return page(request, _form_page(None, typed))


@router.post("/clients")
def take_on(request: Request, records: CoachRecords, form: TheForm) -> Response:
    """Take a client on from the form, or give it back with what to mend."""
    typed = form.typed()
    try:
        client = records.clients.take_on(_checked(records, parse_intake(to_data(typed))))
    except (IntakeError, TargetError, FoodError) as error:
        return page(request, _form_page(None, typed, error=error), status=422)
    return _opened(client)


@router.post("/clients/json")
def take_on_json(request: Request, records: CoachRecords, form: TheForm) -> Response:
    """Take a client on from JSON text or a file."""
    pasted = _pasted(form)
    try:
        client = records.clients.take_on(_checked(records, read_intake(pasted)))
    except (IntakeError, TargetError, FoodError) as error:
        context = _form_page(None, blank(), pasted=_readable(pasted), message=str(error))
        return page(request, context, status=422)
    return _opened(client)


@router.get("/clients/{client_id}")
def show_file(request: Request, client: CoachedClient, records: CoachRecords) -> Response:
    """Show a client's file."""
    today = records.settings.today()
    saved = None
    with suppress(Unreadable, NotThere):  # what is set aside is listed below
        saved = records.plans.kept(client) if client.plan_number else None
    return page(
        request,
        FilePage(
            client=client,
            intake=records.intakes.in_force(client),
            energy=_energy(records, client),
            needs=needs(client, today),
            versions=records.intakes.history(client),
            trail=records.file.trail(client),
            links=records.links.all(client),
            now=records.settings.now(),
            saved=saved,
            first=first_open_day(records, client),
            behind=is_behind(records, client),
            season=_season(records.intakes.in_force(client)),
            warnings=records.decisions.standing(client).warnings,
            notes=records.notes.all(client),
            set_aside=records.file.set_aside(client),
        ),
    )


def _season(intake: Intake) -> tuple[SeasonStep, ...]:
    """Lay the season out; nothing where there is none or no targets may be shown."""
    if not intake.season:
        return ()
    try:
        return season_steps(intake)
    except MealPlanError:
        return ()


@router.get("/clients/{client_id}/amend")
def show_amend(request: Request, client: CoachedClient, records: CoachRecords) -> Response:
    """Show the form with the intake in force."""
    try:
        typed = to_typed(records.intakes.in_force(client))
    except Unreadable as error:
        kept = opened(records.intakes.version(client).body)
        text = kept if isinstance(kept, str) else json.dumps(kept, indent=2, ensure_ascii=False)
        return page(request, _form_page(client, {}, pasted=text, message=str(error)))
    return page(request, _form_page(client, typed, pasted=_json(records, client)))


@router.post("/clients/{client_id}/amend")
def amend(
    request: Request, client: CoachedClient, records: CoachRecords, form: TheForm
) -> Response:
    """Put the form's intake in force."""
    typed = form.typed()
    in_force = records.intakes.in_force(client)
    before = in_force.model_dump(mode="json")
    said = to_typed(in_force)
    said_since = {
        name: said[name]
        for name in TASTES
        if f"shown.{name}" in typed and form.text(name).strip() == form.text(f"shown.{name}")
    }
    try:
        intake = _checked(records, parse_intake(to_data(typed | said_since, before)))
        records.intakes.amend(client.id, intake, form.text("reason"), form.number("was"))
    except (IntakeError, TargetError, FoodError) as error:
        context = _form_page(client, typed, pasted=_json(records, client), error=error)
        return page(request, context, status=422)
    return _opened(client)


@router.post("/clients/{client_id}/amend/json")
def amend_json(
    request: Request, client: CoachedClient, records: CoachRecords, form: TheForm
) -> Response:
    """Put an intake in force from JSON text or a file."""
    pasted = _pasted(form)
    try:
        intake = _checked(records, _read(records, client, pasted))
        records.intakes.amend(client.id, intake, form.text("reason"), form.number("was"))
    except (IntakeError, TargetError, FoodError) as error:
        typed = to_typed(records.intakes.in_force(client)) | {"reason": (form.text("reason"),)}
        context = _form_page(client, typed, pasted=_readable(pasted), message=str(error))
        return page(request, context, status=422)
    return _opened(client)


@router.post("/clients/{client_id}/plans")
def plan(
    service: TheService, client: CoachedClient, records: CoachRecords, form: TheForm
) -> Response:
    """Plan whole days."""
    try:
        first = dt.date.fromisoformat(form.text("first"))
    except ValueError:
        raise IntakeError(
            f"first day {form.text('first')[:40]!r} is not a date; write it as 2026-12-07"
        ) from None
    solve = start_week(
        service,
        records,
        client,
        first,
        form.number("days"),
        polish=form.text("polish") == "yes",
        compare=form.text("compare") == "yes",
        look=form.text("do") == "look",
    )
    return follow(service, solve)


@router.get("/clients/{client_id}/export.json")
def export(client: CoachedClient, records: CoachRecords, whose: str = "coach") -> Response:
    """Hand out everything kept about a client; the client's copy without private notes."""
    given = records.file.export(client, for_client=whose == "client")
    text = json.dumps(given, indent=2, ensure_ascii=False)
    name = client.role.replace(" ", "-")
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}.json"}
    return Response(text, media_type="application/json", headers=headers)


@router.get("/clients/{client_id}/erase")
def ask_erase(request: Request, client: CoachedClient) -> Response:
    """Ask before a client is erased."""
    return page(request, ErasePage(client, ""))


@router.post("/clients/{client_id}/erase")
def erase(
    request: Request, client: CoachedClient, records: CoachRecords, form: TheForm
) -> Response:
    """Erase a client whose role was typed to confirm."""
    sure = " ".join(form.text("sure").split()).casefold()
    if sure != client.role.casefold():
        message = (
            f"{form.text('sure')[:60]!r} is not the role; type {client.role} to erase this file"
        )
        return page(request, ErasePage(client, message), status=422)
    records.file.erase(client)
    return RedirectResponse("/", status_code=303)


def _read(records: Records, client: Client, pasted: str | bytes) -> Intake:
    """Read an intake, or a clinic's bundle into the one in force."""
    if is_clinic_file(pasted):
        return with_clinic_file(records.intakes.in_force(client), read_clinic_file(pasted))
    return read_intake(pasted)


@router.get("/clients/{client_id}/observations.json")
def observations(client: CoachedClient, records: CoachRecords) -> Response:
    """Hand out what was measured as a bundle that a clinic's program reads."""
    text = write_clinic_file(records.intakes.in_force(client))
    name = client.role.replace(" ", "-")
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}-fhir.json"}
    return Response(text, media_type="application/fhir+json", headers=headers)


def _checked(records: Records, intake: Intake) -> Intake:
    """Work the targets out once, so that an unknown activity or food is said while typing."""
    try:
        make_targets(intake)
    except SafetyRefusal:
        return intake  # kept with its refusal, which every page of the client then shows
    check_tastes(beside(intake, pantry_of(records)))
    return intake


def _opened(client: Client) -> Response:
    return RedirectResponse(f"/clients/{client.id}", status_code=303)


def _pasted(form: Form) -> bytes:
    return form.upload("file") or form.text("pasted").encode()


def _readable(pasted: bytes) -> str:
    return pasted[:1_000_000].decode("utf-8", errors="replace")


def _json(records: Records, client: Client) -> str:
    data: dict[str, Any] = records.intakes.in_force(client).model_dump(
        mode="json", exclude_defaults=True
    )
    activity = records.intakes.in_force(client).activity
    data["activity"] = {"method": activity.method} | data.get("activity", {})
    return json.dumps(data, indent=2, ensure_ascii=False)


def _form_page(
    client: Client | None,
    typed: Typed,
    pasted: str = "",
    message: str = "",
    error: Exception | None = None,
) -> IntakePage:
    faults: dict[str, str] = {}
    if isinstance(error, FormFaults):
        faults, message = error.faults, str(error)
    elif error is not None:
        message = in_page_words(str(error))
        named = faulty_fields(str(error))
        faults = dict.fromkeys(named, message) if len(named) == 1 else {}
    return IntakePage(
        title=f"Amend the {client.role}" if client else "New client",
        client=client,
        groups=GROUPS,
        typed=typed,
        pasted=pasted,
        message=message,
        faulty=frozenset(faults) or faulty_fields(str(error or message)),
        faults=faults,
        action=f"/clients/{client.id}/amend" if client else "/clients",
        was=client.intake_number if client else 0,
        shown_tastes={
            name: typed.get(f"shown.{name}", typed.get(name, ("",)) or ("",))[-1]
            for name in TASTES
            if client is not None
        },
    )


def _energy(records: Records, client: Client) -> str:
    try:
        energy = records.intakes.targets(client).energy
    except SafetyRefusal as refusal:
        return str(refusal)
    return (
        f"Energy to plan for: {decimals(energy.value)} {energy.unit}, "
        f"nine times in ten between {decimals(energy.low)} and {decimals(energy.high)}."
    )
