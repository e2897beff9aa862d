"""The page of a table that clients share, and what their coaches do with it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from api.desk.deps import AnyRecords, CoachedClient, CoachRecords, TheClient, TheService
from api.desk.form_body import FormRefused, TheForm
from api.desk.shared_table import shared_pots, start_table
from api.pages.jobs import follow
from api.pages.ledger import first_open_day
from api.pages.plan_contexts import TablePage
from api.pages.rendering import page
from api.records.book import Records
from mealplan.render.table import shared_lines
from mealplan.store.records import Client
from mealplan.table.model import guest_words, meal_words, read_guest, read_shared

router = APIRouter(prefix="/clients/{client_id}/table", include_in_schema=False)

PLANNED_DAYS = 7
"""Days planned at once from the page. [days]"""


@router.get("")
def table(request: Request, client: TheClient, records: AnyRecords) -> Response:
    """Show what is shared, with whom, its cooking and its list."""
    return _page(request, records, client)


@router.post("")
def change(
    request: Request,
    client: CoachedClient,
    records: CoachRecords,
    service: TheService,
    form: TheForm,
) -> Response:
    """Lay a table, add someone to it, offer or take a seat, leave it, plan it."""
    wish = form.text("do")
    if wish == "lay":
        lines = [line for line in form.text("guests").splitlines() if line.strip()]
        meals = [word for word in form.text("meals").split(",") if word.strip()]
        records.tables.lay(client, read_shared(meals), [read_guest(line) for line in lines])
    elif wish == "seat":
        records.tables.seat(client, records.clients.one(form.text("other")))
    elif wish == "offer":
        return _page(request, records, client, records.tables.offer(client))
    elif wish == "accept":
        records.tables.accept(client, form.text("offer"))
    elif wish == "leave":
        records.tables.leave(client)
    elif wish == "plan":
        first = first_open_day(records, client)
        return follow(service, start_table(service, records, client, first, PLANNED_DAYS))
    else:
        raise FormRefused(f"do={wish[:40]!r} is not one of the buttons here; load the page again")
    return RedirectResponse(f"/clients/{client.id}/table", status_code=303)


def _page(request: Request, records: Records, client: Client, offer: str = "") -> Response:
    sitting = records.tables.of(client)
    coach = records.principal.kind == "coach"
    seated = {one.id for one in sitting.clients} if sitting is not None else {client.id}
    guests = sitting.guests if sitting is not None else ()
    context = TablePage(
        client=client,
        roles=sitting.roles if sitting is not None else (),
        guests=tuple(guest_words(one) if coach else one.label for one in guests),
        shared=tuple(meal_words(meal) for meal in sitting.shared) if sitting is not None else (),
        meals=tuple(shared_lines(sitting.decided)) if sitting is not None else (),
        pots=shared_pots(records, client, sitting) if sitting is not None else None,
        others=tuple(c for c in records.clients.all() if c.id not in seated) if coach else (),
        offer=offer,
        first=first_open_day(records, client),
    )
    return page(request, context)
