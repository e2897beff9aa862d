"""Plans over the JSON interface: days, changes, what is in the making, the list."""

from __future__ import annotations

import datetime as dt

from fastapi import APIRouter
from fastapi.responses import JSONResponse, Response

from api.desk.deps import (
    AnyRecords,
    CoachRecords,
    TheClient,
    TheService,
    UnhiddenRecords,
)
from api.desk.error_shape import ErrorDetail
from api.desk.exports import list_csv, list_text
from api.desk.planning import start_day, start_week
from api.desk.service import Service
from api.jobs.tasks import EatenInstead
from api.json.answers import IN_THE_MAKING, IfMatch, MaybeMatch, Wait, answered, check_number
from api.json.schemas import (
    DayBody,
    DayWish,
    ListBody,
    PlanBody,
    PlanChange,
    PlanChanges,
    PlanWish,
    SolveBody,
)
from api.pages.errors import kind_of
from api.pages.jobs import find
from api.pages.planned import plan_and_list
from api.records.book import Records
from api.records.reading import plan_of
from api.security.idempotency import Once
from mealplan.jobs import error_of
from mealplan.jobs.model import wait_for
from mealplan.redaction import hide_numbers
from mealplan.store.base import NotThere
from mealplan.store.records import Client, Job, SavedPlan

router = APIRouter()


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
        solve = start_week(
            service,
            records,
            client,
            body.first,
            body.days,
            polish=body.polish,
            compare=body.compare,
        )
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
    return answered(_plan(saved), 200, saved.number)


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
        check_number(if_match, client.plan_number, "plan")
        records.plans.undo(client, client.plan_number)
        saved = records.plans.kept(records.clients.one(client.id))
        return answered(_plan(saved), 200, saved.number)

    return once.do(records, work)


@router.get("/clients/{client_id}/days/{date}", tags=["plans"], response_model=DayBody)
def get_day(client: TheClient, records: UnhiddenRecords, date: dt.date) -> Response:
    """Show one day of the latest plan."""
    saved = records.plans.to_act_on(client, date=date)
    day = next((item for item in plan_of(saved.body).days if item.date == date), None)
    if day is None:
        raise NotThere(f"there is no day {date} in plan {saved.number}")
    return answered(DayBody(plan_number=saved.number, day=day), 200, saved.number)


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
            check_number(if_match, client.plan_number, "plan")
        eaten = [
            EatenInstead(
                item.slot,
                item.name,
                tuple((f.food, f.grams) for f in item.foods),
                item.other_kcal,
                sd_kcal=item.sd_kcal,
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
    return answered(
        _plan(saved), 201, saved.number, f"/api/clients/{client.id}/plan?number={saved.number}"
    )


def _plan(saved: SavedPlan) -> PlanBody:
    return PlanBody(
        number=saved.number,
        intake_number=saved.intake_number,
        made_at=saved.made_at,
        reason=saved.reason,
        plan=plan_of(saved.body),
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
