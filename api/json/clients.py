"""Clients over the JSON interface: intake, tastes, history, trail, export, targets."""

from __future__ import annotations

import json
from typing import Annotated, Any

from fastapi import APIRouter, Body
from fastapi.responses import Response

from api.desk.deps import (
    AnyRecords,
    CoachedClient,
    CoachRecords,
    TheClient,
    UnhiddenRecords,
)
from api.json.answers import IfMatch, answered, check_number
from api.json.schemas import (
    EXAMPLE,
    Amendment,
    ClientBody,
    ClientList,
    Export,
    IntakeBody,
    IntakeHistory,
    NewClient,
    ObservationsTaken,
    TastesWish,
    Trail,
    TrailLine,
)
from api.records.book import Records
from api.records.custom_foods import beside, pantry_of
from api.records.reading import intake_of
from api.records.roster_priority import needs
from api.records.tastes import say_tastes
from api.security.idempotency import Once
from mealplan.client.clinic_file import read_clinic_file, with_clinic_file
from mealplan.client.clinic_file_out import write_clinic_file
from mealplan.client.intake import Intake
from mealplan.errors import SafetyRefusal
from mealplan.kitchen.preferences import STEPS, check_tastes
from mealplan.store.records import Client, IntakeVersion
from mealplan.targets.make import make_targets
from mealplan.targets.ranges import Targets

router = APIRouter()


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
        return answered(
            _client(client, records), 201, client.intake_number, f"/api/clients/{client.id}"
        )

    return once.do(records, work)


@router.get("/clients/{client_id}", tags=["clients"], response_model=ClientBody)
def get_client(client: TheClient, records: AnyRecords) -> Response:
    """Show one client."""
    return answered(_client(client, records), 200, client.intake_number)


@router.delete("/clients/{client_id}", tags=["clients"], status_code=204)
def erase_client(client: CoachedClient, records: CoachRecords, if_match: IfMatch) -> Response:
    """Erase a client and everything kept about them."""
    check_number(if_match, client.intake_number, "intake")
    records.file.erase(client)
    return Response(status_code=204)


@router.get("/clients/{client_id}/intake", tags=["clients"], response_model=IntakeBody)
def get_intake(client: TheClient, records: UnhiddenRecords, number: int | None = None) -> Response:
    """Show the intake in force, or one of the history by its number."""
    version = records.intakes.version(client, number)
    return answered(_version(version), 200, version.number)


@router.put("/clients/{client_id}/intake", tags=["clients"], response_model=IntakeBody)
def put_intake(
    body: Amendment, client: CoachedClient, records: CoachRecords, if_match: IfMatch, once: Once
) -> Response:
    """Put an intake in force; the old one stays in the history."""

    def work() -> Response:
        check_number(if_match, client.intake_number, "intake")
        _checked(records, body.intake)
        changed = records.intakes.amend(client.id, body.intake, body.reason, client.intake_number)
        return answered(_version(records.intakes.version(changed)), 200, changed.intake_number)

    return once.do(records, work)


@router.post("/clients/{client_id}/tastes", tags=["clients"], response_model=IntakeBody)
def add_tastes(
    body: TastesWish, client: TheClient, records: UnhiddenRecords, once: Once
) -> Response:
    """Put words on the steps of liking, from never to most of all."""

    def work() -> Response:
        say_tastes(records, client, {step: getattr(body, step) for step in (*STEPS, "nothing")})
        return answered(_version(records.intakes.version(client)), 200, client.intake_number)

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


@router.get("/clients/{client_id}/observations", tags=["clients"])
def get_observations(client: CoachedClient, records: CoachRecords) -> dict[str, Any]:
    """Hand out what was measured as a FHIR R4B Bundle of Observations, without a name."""
    given: dict[str, Any] = json.loads(write_clinic_file(records.intakes.in_force(client)))
    return given


@router.post("/clients/{client_id}/observations", tags=["clients"])
def add_observations(
    body: dict[str, Any], client: CoachedClient, records: CoachRecords, once: Once
) -> Response:
    """Take a clinic's FHIR R4B Bundle into the intake; what was passed over is told."""

    def work() -> Response:
        found = read_clinic_file(json.dumps(body))
        intake = with_clinic_file(records.intakes.in_force(client), found)
        _checked(records, intake)
        changed = records.intakes.amend(client.id, intake, "a clinic's file", client.intake_number)
        number = changed.intake_number
        answer = ObservationsTaken(intake_number=number, passed_over=found.passed_over)
        return answered(answer, 201, number)

    return once.do(records, work)


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


def _checked(records: Records, intake: Intake) -> None:
    try:
        make_targets(intake)
    except SafetyRefusal:
        return
    check_tastes(beside(intake, pantry_of(records)))


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
