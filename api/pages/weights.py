"""The page that says what the programme wants, and how much."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.desk.deps import CoachRecords
from api.pages.contexts import WeightsPage
from api.pages.rendering import page
from mealplan.rules.weights import by_family

router = APIRouter(include_in_schema=False)


@router.get("/weights")
def show_weights(request: Request, records: CoachRecords) -> Response:
    """Show every weight of the objective with its reason."""
    del records  # asked for so that only a coach sees it
    return page(request, WeightsPage(by_family()))
