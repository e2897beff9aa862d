"""Pages made to be printed."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.desk.deps import AnyRecords, TheClient
from api.pages.plan_contexts import PaperPage
from api.pages.planned import plan_and_list
from api.pages.rendering import page

router = APIRouter(prefix="/clients/{client_id}", include_in_schema=False)


@router.get("/paper")
def paper(request: Request, client: TheClient, records: AnyRecords) -> Response:
    """Show the week and its list as two sheets of paper."""
    plan, bought = plan_and_list(records, client)
    status = records.plans.status(client, [day.date for day in plan.days])
    return page(request, PaperPage(client, plan, bought, status=status))
