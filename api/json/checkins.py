"""Logs, check-ins, reviews and decisions over the JSON interface."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import JSONResponse, Response

from api.desk.deps import (
    AnyRecords,
    CoachedClient,
    CoachRecords,
    TheClient,
    UnhiddenRecords,
)
from api.json.answers import IfMatch, check_number
from api.json.schemas import (
    CheckInBody,
    DecisionList,
    DecisionWish,
    LogWish,
    RecordingWish,
    TrendPoint,
    WarningBody,
    WithdrawWish,
)
from api.pages.reviews import chosen, looked_back, spans_of
from api.security.idempotency import Once
from mealplan.checkin.decide.record import DecisionRecord
from mealplan.checkin.decide.warnings import for_client
from mealplan.checkin.log.log import Log
from mealplan.checkin.phase import LookBack

router = APIRouter()


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


@router.post(
    "/clients/{client_id}/log/activity", tags=["check-in"], status_code=201, response_model=Log
)
def add_recorded(
    body: RecordingWish, client: TheClient, records: AnyRecords, once: Once
) -> Response:
    """Log the sessions of a watch's file; day, length, kind and energy of it are kept."""

    def work() -> Response:
        records.log.add_recorded(client, body.file)
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
        bloods=found.bloods,
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
    check_number(if_match, client.intake_number, "intake")
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
