"""Shared tables over the JSON interface."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import JSONResponse, Response

from api.desk.deps import AnyRecords, CoachedClient, CoachRecords, TheClient, TheService
from api.desk.shared_table import shared_pots, start_table
from api.json.answers import REFUSALS
from api.json.schemas import SolveBody
from api.json.table_schemas import (
    OfferBody,
    SeatWish,
    TableBody,
    TablePlanWish,
    TablePot,
    TableWish,
)
from api.records.book import Records
from api.records.tables import Sitting
from api.security.idempotency import Once
from mealplan.store.base import NotThere
from mealplan.store.records import Client
from mealplan.table.model import meal_words, read_shared

router = APIRouter(
    prefix="/api/clients/{client_id}/table", responses=REFUSALS, tags=["shared table"]
)


@router.get("")
def get_table(client: TheClient, records: AnyRecords) -> TableBody:
    """Show what is shared, its pots and its list; of no one else more than a role and a plate."""
    return _body(records, client, _sitting(records, client))


@router.put("")
def lay_table(body: TableWish, client: CoachedClient, records: CoachRecords) -> TableBody:
    """Say what is shared; without a table one is laid in this client's kitchen."""
    records.tables.lay(client, read_shared(body.shared), body.guests)
    return _body(records, client, _sitting(records, client))


@router.delete("")
def leave_table(client: CoachedClient, records: CoachRecords) -> Response:
    """Leave the table; what was planned stays."""
    records.tables.leave(client)
    return Response(status_code=204)


@router.post("/seats")
def sit_down(body: SeatWish, client: CoachedClient, records: CoachRecords) -> TableBody:
    """Seat another client of the coach, or take a seat another coach offered."""
    if body.offer:
        records.tables.accept(client, body.offer)
    else:
        records.tables.seat(client, records.clients.one(body.client_id))
    return _body(records, client, _sitting(records, client))


@router.post("/offers", status_code=201)
def offer_seat(client: CoachedClient, records: CoachRecords) -> OfferBody:
    """Offer a seat to another coach's client; shown once."""
    return OfferBody(offer=records.tables.offer(client))


@router.post("/plans", status_code=202, response_model=SolveBody)
def plan_table(
    body: TablePlanWish,
    client: CoachedClient,
    records: CoachRecords,
    service: TheService,
    once: Once,
) -> Response:
    """Plan everyone's days; ask at the Location how far it is."""

    def work() -> Response:
        job = start_table(service, records, client, body.first, body.days)
        told = SolveBody(
            id=job.id, state=job.state, done=job.done, total=job.total, what=job.what, error=None
        )
        headers = {"Location": f"/api/solves/{job.id}", "Retry-After": "2"}
        return JSONResponse(told.model_dump(mode="json"), status_code=202, headers=headers)

    return once.do(records, work)


def _sitting(records: Records, client: Client) -> Sitting:
    found = records.tables.of(client)
    if found is None:
        raise NotThere("this client shares no meals; PUT what is shared to lay a table")
    return found


def _body(records: Records, client: Client, sitting: Sitting) -> TableBody:
    pots = shared_pots(records, client, sitting)
    return TableBody(
        eaters=sitting.roles,
        guests=tuple(guest.label for guest in sitting.guests),
        shared=tuple(meal_words(meal) for meal in sitting.shared),
        meals=sitting.meals,
        pots=tuple(
            TablePot(date=day.date, serve=one.serve, name=one.name, plates=one.plates)
            for day in pots.batch.days
            for one in day.cookings
        )
        if pots is not None
        else (),
        shopping=pots.shopping if pots is not None else None,
    )
