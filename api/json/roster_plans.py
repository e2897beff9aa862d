"""Planning a whole roster, for programs: start, progress, stop, go on."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import JSONResponse, Response

from api.desk.deps import CoachRecords, TheService
from api.desk.error_shape import ErrorDetail
from api.desk.planning import RosterRun, resume_roster, roster_run, start_roster
from api.json.answers import REFUSALS
from api.json.schemas import RosterPlanBody, RosterPlanWish, RosterRefusal
from api.pages.errors import kind_of
from api.security.idempotency import Once
from mealplan.errors import MealPlanError
from mealplan.jobs import error_of
from mealplan.store.records import Job

router = APIRouter(prefix="/api/roster-plans", responses=REFUSALS, tags=["plans"])


@router.post("", status_code=202, response_model=RosterPlanBody)
def plan_roster(
    body: RosterPlanWish, service: TheService, records: CoachRecords, once: Once
) -> Response:
    """Plan days for every client of the coach; ask at the Location how far it is."""

    def work() -> Response:
        job = start_roster(service, records, body.first, body.days)
        return JSONResponse(
            _body(roster_run(service, records, job.id)).model_dump(mode="json"),
            status_code=202,
            headers={"Location": f"/api/roster-plans/{job.id}", "Retry-After": "5"},
        )

    return once.do(records, work)


@router.get("/{solve_id}")
def get_roster_plan(solve_id: str, service: TheService, records: CoachRecords) -> RosterPlanBody:
    """Show how far it is, and who has no plan, with why."""
    return _body(roster_run(service, records, solve_id))


@router.delete("/{solve_id}")
def stop_roster_plan(solve_id: str, service: TheService, records: CoachRecords) -> RosterPlanBody:
    """Stop it; weeks that are made stay."""
    service.jobs.stop(roster_run(service, records, solve_id).job)
    return _body(roster_run(service, records, solve_id))


@router.post("/{solve_id}/resume")
def resume_roster_plan(solve_id: str, service: TheService, records: CoachRecords) -> RosterPlanBody:
    """Plan those who were stopped or never handed in."""
    resume_roster(service, records, roster_run(service, records, solve_id))
    return _body(roster_run(service, records, solve_id))


def _body(run: RosterRun) -> RosterPlanBody:
    return RosterPlanBody(
        id=run.job.id,
        what=run.job.what,
        ended=run.ended,
        clients=run.parts,
        done=run.done,
        under_way=run.under_way,
        stopped=run.stopped,
        failed=run.failed,
        refused=tuple(_refusal(job) for job in run.refused),
    )


def _refusal(job: Job) -> RosterRefusal:
    error = error_of(job.error) or MealPlanError("no reason was kept")
    kind = kind_of(error)
    return RosterRefusal(
        client_id=job.client_id,
        what=job.what,
        error=ErrorDetail(
            code=kind.code,
            message=str(error),
            mend=kind.mend,
            details=tuple(getattr(error, "clashing", ())),
        ),
    )
