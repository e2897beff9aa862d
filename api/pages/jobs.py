"""Pages of what is planned beside the pages."""

from __future__ import annotations

import asyncio
import dataclasses
import datetime as dt
import time

from fastapi import APIRouter, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse, Response

from api.desk.deps import AnyRecords, CoachRecords, TheService, missing
from api.desk.form_body import TheForm
from api.desk.planning import resume_roster, roster_run, start_roster
from api.desk.service import Service
from api.pages.plan_contexts import LookPage, RosterPlanPage, SolvePage
from api.pages.rendering import page
from api.records.book import Records
from api.records.changes import read_change
from mealplan.errors import IntakeError
from mealplan.jobs import error_of
from mealplan.jobs.model import UNDER_WAY, job_of, wait_for, waited_for
from mealplan.store.base import NotThere, Writer
from mealplan.store.records import Job

router = APIRouter(include_in_schema=False)

STOPS_S = 2.0
"""How long stopping waits for a worker to let go. [s]"""
LOOK_AGAIN_S = 0.1
"""How often a page that shows progress looks whether the job has ended meanwhile. [s]"""


def follow(service: Service, job: Job) -> Response:
    """
    Wait a moment for a job and lead to its result, or to its progress.

    Parameters
    ----------
    service : Service
    job : Job

    Returns
    -------
    Response
    """
    job = wait_for(service.store, job, service.settings.patience_s)
    error = error_of(job.error)
    if error is not None:
        raise error
    if job.state == "done" and not job.result:
        return RedirectResponse(job.back_to, status_code=303)
    return RedirectResponse(f"/solves/{job.id}", status_code=303)


def find(service: Service, records: Records, id_: str) -> Job:
    """
    Return a job that is this person's to see.

    Parameters
    ----------
    service : Service
    records : Records
    id_ : str

    Returns
    -------
    Job

    Raises
    ------
    NotThere
        When there is none, or it is someone else's: both read the same.
    """
    try:
        job = job_of(service.store, id_)
    except NotThere:
        raise missing(f"planning {id_[:40]!r}") from None
    principal = records.principal
    others = job.coach_id != principal.coach_id or (
        principal.kind == "client" and job.client_id != principal.client_id
    )
    if others:
        raise missing(f"planning {id_[:40]!r}")
    return job


@router.get("/solves/{solve_id}")
async def show(
    request: Request, solve_id: str, service: TheService, records: AnyRecords, seen: str = ""
) -> Response:
    """Show how far a job is, once it is further than was seen; leads to its result once done."""
    until = time.monotonic() + service.settings.patience_s
    while True:
        job = await run_in_threadpool(find, service, records, solve_id)
        news = f"{job.state}-{job.done}" != seen
        if job.state not in UNDER_WAY or news or time.monotonic() >= until:
            return await run_in_threadpool(_shown, request, service, records, job)
        await asyncio.sleep(LOOK_AGAIN_S)  # holds no thread


def _shown(request: Request, service: Service, records: Records, job: Job) -> Response:
    if job.state == "done" and not job.result:
        return RedirectResponse(job.back_to, status_code=303)
    if job.state == "done":
        client = records.clients.one(job.client_id)
        outlook = records.plans.look(client, read_change(job.result))
        return page(request, LookPage(client, job, outlook))
    error = error_of(job.error)
    context = SolvePage(
        id=job.id,
        what=job.what,
        state=job.state,
        done=job.done,
        total=job.total,
        message=str(error) if error else "",
        details=tuple(getattr(error, "clashing", ())),
        back_to=job.back_to,
        before=waited_for(service.store, job),
        seconds=int((service.settings.now() - job.made_at).total_seconds()),
    )
    return page(request, context)


@router.post("/solves/{solve_id}/keep")
def keep(solve_id: str, service: TheService, records: AnyRecords, form: TheForm) -> Response:
    """Keep a change that was looked at, or leave the plan as it is."""
    job = find(service, records, solve_id)

    def let_go(unit: Writer) -> None:
        unit.change(dataclasses.replace(job, result=""))

    if not job.result or form.text("do") == "leave":
        with service.store.writing() as unit:
            let_go(unit)
        return RedirectResponse(job.back_to.partition("?changed")[0], status_code=303)
    records.plans.keep_change(job.client_id, read_change(job.result), also=let_go)
    return RedirectResponse(job.back_to, status_code=303)


@router.post("/solves/{solve_id}/stop")
def stop(solve_id: str, service: TheService, records: AnyRecords, form: TheForm) -> Response:
    """Stop a job, waiting or running."""
    job = find(service, records, solve_id)
    service.jobs.stop(job)
    wait_for(service.store, job, STOPS_S)
    return RedirectResponse(f"/solves/{job.id}", status_code=303)


@router.post("/roster-plans")
def plan_roster(service: TheService, records: CoachRecords, form: TheForm) -> Response:
    """Plan every client's days from a date."""
    try:
        first = dt.date.fromisoformat(form.text("first").strip())
    except ValueError:
        raise IntakeError(
            f"{form.text('first')[:40]!r} is not a date; write year-month-day, such as 2026-12-07"
        ) from None
    job = start_roster(service, records, first)
    return RedirectResponse(f"/roster-plans/{job.id}", status_code=303)


@router.get("/roster-plans/{solve_id}")
def show_roster(
    request: Request, solve_id: str, service: TheService, records: CoachRecords
) -> Response:
    """Show how far the planning of a roster is, and who has no plan, with why."""
    run = roster_run(service, records, solve_id)
    refused = tuple((one.client_id, one.what, str(error_of(one.error))) for one in run.refused)
    return page(request, RosterPlanPage(run, refused))


@router.post("/roster-plans/{solve_id}/stop")
def stop_roster(
    solve_id: str, service: TheService, records: CoachRecords, form: TheForm
) -> Response:
    """Stop planning a roster; weeks that are made stay."""
    service.jobs.stop(roster_run(service, records, solve_id).job)
    return RedirectResponse(f"/roster-plans/{solve_id}", status_code=303)


@router.post("/roster-plans/{solve_id}/resume")
def go_on_with_roster(
    solve_id: str, service: TheService, records: CoachRecords, form: TheForm
) -> Response:
    """Plan those of a roster who were stopped or never handed in."""
    resume_roster(service, records, roster_run(service, records, solve_id))
    return RedirectResponse(f"/roster-plans/{solve_id}", status_code=303)
