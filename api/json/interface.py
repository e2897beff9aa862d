"""The JSON interface: the pages' data, for programs."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any

from fastapi import APIRouter, Body, Header, Query, Request
from fastapi.responses import JSONResponse, Response

from api.deps import (
    AnyRecords,
    CoachedClient,
    CoachRecords,
    NotAllowed,
    TheClient,
    ThePrincipal,
    TheService,
    UnhiddenRecords,
)
from api.error_shape import ErrorBody, ErrorDetail
from api.errors import kind_of
from api.exports import list_csv, list_text
from api.jobs.tasks import EatenInstead
from api.json.schemas import (
    EXAMPLE,
    Amendment,
    CheckInBody,
    ClientBody,
    ClientList,
    DayBody,
    DayWish,
    DecisionList,
    DecisionWish,
    Export,
    IntakeBody,
    IntakeHistory,
    LinkBody,
    LinkList,
    LinkWish,
    ListBody,
    LogWish,
    NewClient,
    PlanBody,
    PlanChange,
    PlanChanges,
    PlanWish,
    SignInBody,
    SignInWish,
    SolveBody,
    TastesWish,
    Trail,
    TrailLine,
    TrendPoint,
    WarningBody,
    WithdrawWish,
)
from api.pages.jobs import find
from api.pages.planned import plan_and_list
from api.pages.reviews import chosen, looked_back, spans_of
from api.planning import start_day, start_week
from api.records.book import Records
from api.records.custom_foods import beside, pantry_of
from api.records.reading import intake_of, plan_of
from api.records.roster_priority import needs
from api.records.tastes import say_tastes
from api.records.view import Stale
from api.security import accounts
from api.security.idempotency import Once
from api.service import Service
from mealplan.checkin.decide.proposal import DecisionRecord
from mealplan.checkin.decide.warnings import for_client
from mealplan.checkin.log.entries import Log
from mealplan.checkin.phase import LookBack
from mealplan.client.intake import Intake
from mealplan.errors import SafetyRefusal
from mealplan.jobs import error_of
from mealplan.jobs.model import wait_for
from mealplan.kitchen.preferences import STEPS, check_tastes
from mealplan.redaction import hide_numbers
from mealplan.store.base import NotThere
from mealplan.store.records import Client, IntakeVersion, Job, Link, SavedPlan
from mealplan.targets.make import make_targets
from mealplan.targets.ranges import Targets

LONGEST_WAIT_S = 25.0
"""How long a request may wait for its plan. [s]"""

REFUSALS: dict[int | str, dict[str, Any]] = {
    status: {"model": ErrorBody, "description": text}
    for status, text in (
        (400, "Not understood"),
        (401, "Sign in first"),
        (403, "Not for this sign-in"),
        (404, "Not here"),
        (409, "Clashes with what is there"),
        (412, "Changed meanwhile"),
        (413, "Too large"),
        (422, "Cannot be used, or refused for safety"),
        (429, "Too many tries"),
        (503, "Busy; try again"),
    )
}

IN_THE_MAKING: dict[int | str, dict[str, Any]] = {
    202: {"model": SolveBody, "description": "In the making; ask at the Location"}
}

router = APIRouter(prefix="/api", responses=REFUSALS)

IfMatch = Annotated[
    str, Header(alias="If-Match", description="Number in the ETag last seen", examples=['"3"'])
]
MaybeMatch = Annotated[
    str | None,
    Header(alias="If-Match", description="Number in the ETag last seen", examples=['"3"']),
]
Wait = Annotated[
    float,
    Query(ge=0, le=LONGEST_WAIT_S, description="Seconds to wait for the plan before 202 is sent"),
]


@router.get("/clients", tags=["clients"])
def list_clients(records: AnyRecords) -> ClientList:
    """List the clients this sign-in may see."""
    return ClientList(clients=tuple(_client(client, records) for client in records.clients.all()))


@router.post("/clients", tags=["clients"], status_code=201, response_model=ClientBody)
def add_client(body: NewClient, records: CoachRecords, once: Once) -> Response:
    """Take a client on."""

    def work() -> Response:
        _checked(records, body.intake)
        client = records.clients.take_on(body.intake, body.reason)
        return _json(
            _client(client, records), 201, client.intake_number, f"/api/clients/{client.id}"
        )

    return once.do(records, work)


@router.get("/clients/{client_id}", tags=["clients"], response_model=ClientBody)
def get_client(client: TheClient, records: AnyRecords) -> Response:
    """Show one client."""
    return _json(_client(client, records), 200, client.intake_number)


@router.delete("/clients/{client_id}", tags=["clients"], status_code=204)
def erase_client(client: CoachedClient, records: CoachRecords, if_match: IfMatch) -> Response:
    """Erase a client and everything kept about them."""
    _matches(if_match, client.intake_number, "intake")
    records.file.erase(client)
    return Response(status_code=204)


@router.get("/clients/{client_id}/intake", tags=["clients"], response_model=IntakeBody)
def get_intake(client: TheClient, records: UnhiddenRecords, number: int | None = None) -> Response:
    """Show the intake in force, or one of the history by its number."""
    version = records.intakes.version(client, number)
    return _json(_version(version), 200, version.number)


@router.put("/clients/{client_id}/intake", tags=["clients"], response_model=IntakeBody)
def put_intake(
    body: Amendment, client: CoachedClient, records: CoachRecords, if_match: IfMatch, once: Once
) -> Response:
    """Put an intake in force; the old one stays in the history."""

    def work() -> Response:
        _matches(if_match, client.intake_number, "intake")
        _checked(records, body.intake)
        changed = records.intakes.amend(client.id, body.intake, body.reason, client.intake_number)
        return _json(_version(records.intakes.version(changed)), 200, changed.intake_number)

    return once.do(records, work)


@router.post("/clients/{client_id}/tastes", tags=["clients"], response_model=IntakeBody)
def add_tastes(
    body: TastesWish, client: TheClient, records: UnhiddenRecords, once: Once
) -> Response:
    """Put words on the steps of liking, from never to most of all."""

    def work() -> Response:
        say_tastes(records, client, {step: getattr(body, step) for step in (*STEPS, "nothing")})
        return _json(_version(records.intakes.version(client)), 200, client.intake_number)

    return once.do(records, work)


@router.get("/clients/{client_id}/history", tags=["clients"])
def get_history(client: CoachedClient, records: CoachRecords) -> IntakeHistory:
    """List every intake, newest first."""
    return IntakeHistory(
        versions=tuple(_version(version) for version in records.intakes.history(client))
    )


@router.get("/clients/{client_id}/trail", tags=["clients"])
def get_trail(client: CoachedClient, records: CoachRecords) -> Trail:
    """List what was done to the file, newest first."""
    return Trail(
        entries=tuple(
            TrailLine(made_at=entry.made_at, by=entry.by, what=entry.what, detail=entry.detail)
            for entry in records.file.trail(client)
        )
    )


@router.get("/clients/{client_id}/export", tags=["clients"])
def export_client(client: CoachedClient, records: CoachRecords) -> Export:
    """Hand out everything kept about a client."""
    return Export(data=records.file.export(client))


@router.post("/targets", tags=["targets"])
def work_out(
    body: Annotated[Intake, Body(examples=[EXAMPLE])], records: UnhiddenRecords
) -> Targets:
    """Work targets out of an intake without keeping anything."""
    return make_targets(body)


@router.get("/clients/{client_id}/targets", tags=["targets"])
def get_targets(client: TheClient, records: UnhiddenRecords) -> Targets:
    """Show a client's targets; every number carries its working."""
    return records.intakes.targets(client)


@router.post(
    "/clients/{client_id}/plans",
    tags=["plans"],
    status_code=201,
    response_model=PlanBody,
    responses=IN_THE_MAKING,
)
def add_plan(
    body: PlanWish,
    client: TheClient,
    records: CoachRecords,
    service: TheService,
    once: Once,
    wait: Wait = 5.0,
) -> Response:
    """Plan whole days; 202 with the address to ask at when it takes longer than the wait."""

    def work() -> Response:
        solve = start_week(service, records, client, body.first, body.days, polish=body.polish)
        return _followed(service, records, client, solve, wait)

    return once.do(records, work)


@router.get("/clients/{client_id}/plan", tags=["plans"], response_model=PlanBody)
def get_plan(
    client: TheClient,
    records: UnhiddenRecords,
    number: int | None = None,
    date: dt.date | None = None,
) -> Response:
    """Show the days planned around today or a date, or as they stood after an earlier change."""
    if number is None:
        records.plans.to_act_on(client)
    saved = records.plans.kept(client, number, date)
    return _json(_plan(saved), 200, saved.number)


@router.get("/clients/{client_id}/plan/changes", tags=["plans"])
def get_changes(client: TheClient, records: UnhiddenRecords) -> PlanChanges:
    """List what changed in the plan, newest first."""
    return PlanChanges(
        changes=tuple(
            PlanChange(number=row.number, made_at=row.made_at, by=row.by, reason=row.reason)
            for row in records.plans.changes(client)
        )
    )


@router.post("/clients/{client_id}/plan/undo", tags=["plans"], response_model=PlanBody)
def undo_change(
    client: TheClient, records: UnhiddenRecords, once: Once, if_match: IfMatch
) -> Response:
    """Take the last change of the plan back."""

    def work() -> Response:
        _matches(if_match, client.plan_number, "plan")
        records.plans.undo(client, client.plan_number)
        saved = records.plans.kept(records.clients.one(client.id))
        return _json(_plan(saved), 200, saved.number)

    return once.do(records, work)


@router.get("/clients/{client_id}/days/{date}", tags=["plans"], response_model=DayBody)
def get_day(client: TheClient, records: UnhiddenRecords, date: dt.date) -> Response:
    """Show one day of the latest plan."""
    saved = records.plans.to_act_on(client, date=date)
    day = next((item for item in plan_of(saved.body).days if item.date == date), None)
    if day is None:
        raise NotThere(f"there is no day {date} in plan {saved.number}")
    return _json(DayBody(plan_number=saved.number, day=day), 200, saved.number)


@router.post(
    "/clients/{client_id}/days/{date}",
    tags=["plans"],
    status_code=201,
    response_model=PlanBody,
    responses=IN_THE_MAKING,
)
def change_day(
    body: DayWish,
    client: TheClient,
    records: UnhiddenRecords,
    service: TheService,
    date: dt.date,
    once: Once,
    if_match: MaybeMatch = None,
    wait: Wait = 5.0,
) -> Response:
    """Change a day: another one, another dish, or the rest after something else was eaten."""

    def work() -> Response:
        if if_match is not None:
            _matches(if_match, client.plan_number, "plan")
        eaten = [
            EatenInstead(
                item.slot, item.name, tuple((f.food, f.grams) for f in item.foods), item.other_kcal
            )
            for item in body.eaten
        ]
        solve = start_day(
            service,
            records,
            client,
            date,
            another=body.another,
            keep=body.keep,
            settled=body.settled,
            eaten=eaten,
            from_home=body.from_home,
        )
        return _followed(service, records, client, solve, wait)

    return once.do(records, work)


@router.get("/solves/{solve_id}", tags=["plans"])
def get_solve(solve_id: str, service: TheService, records: AnyRecords) -> SolveBody:
    """Show how far a plan is."""
    return _solve(find(service, records, solve_id), hide=records.principal.hide)


@router.delete("/solves/{solve_id}", tags=["plans"])
def stop_solve(solve_id: str, service: TheService, records: AnyRecords) -> SolveBody:
    """Stop a plan in the making."""
    job = find(service, records, solve_id)
    service.jobs.stop(job)
    return _solve(wait_for(service.store, job, 2.0), hide=records.principal.hide)


@router.get("/clients/{client_id}/list", tags=["list"])
def get_list(client: TheClient, records: AnyRecords) -> ListBody:
    """Show what to buy for the latest plan."""
    _, shopping = plan_and_list(records, client)
    return ListBody(plan_number=client.plan_number, shopping=shopping)


@router.get(
    "/clients/{client_id}/list.csv",
    tags=["list"],
    response_class=Response,
    responses={200: {"content": {"text/csv": {}}}},
)
def get_list_csv(client: TheClient, records: AnyRecords) -> Response:
    """Hand the list out as RFC 4180 text."""
    _, shopping = plan_and_list(records, client)
    return Response(list_csv(shopping), media_type="text/csv; charset=utf-8")


@router.get(
    "/clients/{client_id}/list.txt",
    tags=["list"],
    response_class=Response,
    responses={200: {"content": {"text/plain": {}}}},
)
def get_list_text(client: TheClient, records: AnyRecords) -> Response:
    """Hand the list out as plain text."""
    _, shopping = plan_and_list(records, client)
    return Response(list_text(shopping, client.role), media_type="text/plain; charset=utf-8")


@router.get("/clients/{client_id}/log", tags=["check-in"])
def get_log(client: TheClient, records: UnhiddenRecords) -> Log:
    """Show what was logged; withdrawn entries are in its history."""
    return records.log.read(client)


@router.post("/clients/{client_id}/log", tags=["check-in"], status_code=201, response_model=Log)
def add_to_log(body: LogWish, client: TheClient, records: AnyRecords, once: Once) -> Response:
    """Log weigh-ins, days of eating, events and whatever else a log holds."""

    def work() -> Response:
        records.log.add(client, body.entries)
        shown = Log() if records.principal.hide else records.log.read(client)
        return JSONResponse(shown.model_dump(mode="json"), status_code=201)

    return once.do(records, work)


@router.post("/clients/{client_id}/log/{entry_id}/withdraw", tags=["check-in"], status_code=204)
def withdraw(body: WithdrawWish, client: TheClient, records: AnyRecords, entry_id: str) -> Response:
    """Take an entry out; it stays in the history."""
    records.log.withdraw(client, entry_id, body.why)
    return Response(status_code=204)


@router.get("/clients/{client_id}/checkin", tags=["check-in"])
def get_check_in(client: TheClient, records: UnhiddenRecords) -> CheckInBody:
    """Show what the log can tell, and the proposal with its working."""
    found = records.decisions.standing(client)
    trend = found.trend
    return CheckInBody(
        trend=tuple(
            TrendPoint(**{name: getattr(day, name) for name in TrendPoint.model_fields})
            for day in (trend.days if trend is not None else ())
        ),
        slope_kg_per_week=trend.slope_kg_per_week if trend is not None else None,
        slope_low_kg_per_week=trend.slope_low_kg_per_week if trend is not None else None,
        slope_high_kg_per_week=trend.slope_high_kg_per_week if trend is not None else None,
        proposal=found.proposal,
        warnings=tuple(
            WarningBody(**{name: getattr(one, name) for name in WarningBody.model_fields})
            for one in (
                for_client(found.warnings, hide=records.principal.hide)
                if records.principal.kind == "client"
                else found.warnings
            )
        ),
    )


@router.get("/clients/{client_id}/review", tags=["check-in"])
def get_review(
    client: TheClient, records: UnhiddenRecords, start: str = "", end: str = ""
) -> LookBack:
    """Look back on a phase, the running one unless other dates are given."""
    return looked_back(records, client, chosen(spans_of(records, client), start, end))


@router.post("/clients/{client_id}/decisions", tags=["check-in"], status_code=201)
def add_decision(
    body: DecisionWish, client: CoachedClient, records: CoachRecords, if_match: IfMatch
) -> DecisionRecord:
    """Accept, amend or decline the proposal; an accepted step enters the intake."""
    _matches(if_match, client.intake_number, "intake")
    return records.decisions.decide(
        client,
        body.action,
        reason=body.reason,
        step_kcal=body.step_kcal,
        was=client.intake_number,
        seen_kcal=body.seen_kcal,
    )


@router.get("/clients/{client_id}/decisions", tags=["check-in"])
def get_decisions(client: CoachedClient, records: CoachRecords) -> DecisionList:
    """List what was decided, oldest first."""
    return DecisionList(decisions=records.decisions.made(client))


@router.get("/clients/{client_id}/links", tags=["links"])
def get_links(client: CoachedClient, records: CoachRecords) -> LinkList:
    """List the links handed out, newest first."""
    return LinkList(links=tuple(_link(link) for link in records.links.all(client)))


@router.post("/clients/{client_id}/links", tags=["links"], status_code=201)
def add_link(
    request: Request, body: LinkWish, client: CoachedClient, records: CoachRecords
) -> LinkBody:
    """Hand a link out; its address is shown in this answer only."""
    if not records.settings.accounts:
        raise NotAllowed(
            "links need accounts: add one with `mealplan coach add`, then start the service again"
        )
    token, link = records.links.hand_out(client, body.days)
    return _link(link, f"{request.base_url}link/{token}")


@router.delete("/clients/{client_id}/links/{link_id}", tags=["links"], status_code=204)
def revoke_link(client: CoachedClient, records: CoachRecords, link_id: str) -> Response:
    """Take a link back."""
    records.links.take_back(client, link_id)
    return Response(status_code=204)


@router.post("/sign-in", tags=["sign-in"], status_code=201)
def sign_in(request: Request, body: SignInWish, service: TheService) -> SignInBody:
    """Trade a login and password for a token that ends."""
    settings = service.settings
    if not settings.accounts:
        raise NotAllowed(
            "there are no accounts on this machine; the interface answers without a token"
        )
    token, made = accounts.sign_in(
        service.store,
        settings,
        body.login,
        body.password,
        code=body.code,
        address=request.client.host if request.client else "",
        device=request.headers.get("user-agent", ""),
    )
    return SignInBody(token=token, ends_at=made.ends_at)


@router.delete("/sign-in", tags=["sign-in"], status_code=204)
def sign_out(service: TheService, principal: ThePrincipal) -> Response:
    """End this token."""
    if principal.sign_in_id:
        accounts.sign_out(service.store, principal.sign_in_id)
    return Response(status_code=204)


def _checked(records: Records, intake: Intake) -> None:
    try:
        make_targets(intake)
    except SafetyRefusal:
        return
    check_tastes(beside(intake, pantry_of(records)))


def _matches(if_match: str, number: int, what: str) -> None:
    if if_match.strip().removeprefix("W/").strip('"') not in (str(number), "*"):
        raise Stale(
            f"{what} {number} is the latest, not {if_match[:40]}; look at it, then make the "
            "change again"
        )


def _json(body: Any, status: int, number: int, location: str = "") -> Response:
    headers = {"ETag": f'"{number}"'} | ({"Location": location} if location else {})
    return JSONResponse(body.model_dump(mode="json"), status_code=status, headers=headers)


def _followed(
    service: Service, records: Records, client: Client, job: Job, wait_s: float
) -> Response:
    job = wait_for(service.store, job, wait_s)
    error = error_of(job.error)
    if error is not None:
        raise error
    if job.state != "done":
        headers = {"Location": f"/api/solves/{job.id}", "Retry-After": "1"}
        return JSONResponse(_solve(job).model_dump(mode="json"), status_code=202, headers=headers)
    now = records.clients.one(client.id)
    saved = records.plans.kept(now, now.plan_number)
    return _json(
        _plan(saved), 201, saved.number, f"/api/clients/{client.id}/plan?number={saved.number}"
    )


def _client(client: Client, records: Records) -> ClientBody:
    facts = {
        name: getattr(client, name) for name in ClientBody.model_fields if hasattr(client, name)
    }
    # Warnings speak of weight and energy, which some clients are not shown.
    wanted = records.principal.kind == "coach"
    return ClientBody(**facts, needs=needs(client, records.settings.today()) if wanted else ())


def _version(version: IntakeVersion) -> IntakeBody:
    return IntakeBody(
        number=version.number,
        made_at=version.made_at,
        by=version.by,
        reason=version.reason,
        intake=intake_of(version.body),
    )


def _plan(saved: SavedPlan) -> PlanBody:
    return PlanBody(
        number=saved.number,
        intake_number=saved.intake_number,
        made_at=saved.made_at,
        reason=saved.reason,
        plan=plan_of(saved.body),
    )


def _link(link: Link, address: str = "") -> LinkBody:
    return LinkBody(
        id=link.id,
        made_at=link.made_at,
        ends_at=link.ends_at,
        revoked_at=link.revoked_at,
        address=address,
    )


def _solve(job: Job, *, hide: bool = False) -> SolveBody:
    error, found = None, error_of(job.error)
    if found is not None:
        kind = kind_of(found)
        said = hide_numbers if hide else str
        error = ErrorDetail(
            code=kind.code,
            message=said(str(found)),
            mend=kind.mend,
            details=tuple(map(said, getattr(found, "clashing", ()))),
        )
    return SolveBody(
        id=job.id, state=job.state, done=job.done, total=job.total, what=job.what, error=error
    )
