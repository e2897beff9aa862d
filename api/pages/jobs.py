"""Pages of a plan in the making."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from api.deps import AnyRecords, TheForm, TheService, missing
from api.jobs.pool import Solve
from api.pages.contexts import SolvePage
from api.pages.rendering import page
from api.records.book import Records
from api.service import Service

router = APIRouter(prefix="/solves", include_in_schema=False)


def follow(service: Service, solve: Solve) -> Response:
    """
    Wait a moment for a plan and lead to it, or to its progress.

    Parameters
    ----------
    service : Service
    solve : Solve

    Returns
    -------
    Response
    """
    if solve.finished.wait(service.settings.patience_s):
        if solve.error is not None:
            raise solve.error
        return RedirectResponse(solve.back_to, status_code=303)
    return RedirectResponse(f"/solves/{solve.id}", status_code=303)


def find(service: Service, records: Records, id_: str) -> Solve:
    """
    Return a task that is this person's to see.

    Parameters
    ----------
    service : Service
    records : Records
    id_ : str

    Returns
    -------
    Solve
    """
    solve = service.solves.get(id_)
    if solve is None:
        raise missing(f"planning {id_!r}")
    records.clients.one(solve.client_id)
    return solve


@router.get("/{solve_id}")
def show(request: Request, solve_id: str, service: TheService, records: AnyRecords) -> Response:
    """Show how far a plan is; leads to it once it is done."""
    solve = find(service, records, solve_id)
    if solve.state == "done":
        return RedirectResponse(solve.back_to, status_code=303)
    context = SolvePage(
        id=solve.id,
        what=solve.what,
        state=solve.state,
        done=solve.done,
        total=solve.total,
        message=str(solve.error) if solve.error else "",
        back_to=solve.back_to,
    )
    return page(request, context)


@router.post("/{solve_id}/stop")
def stop(solve_id: str, service: TheService, records: AnyRecords, form: TheForm) -> Response:
    """Stop a plan in the making."""
    solve = find(service, records, solve_id)
    service.solves.stop(solve)
    solve.finished.wait(2)
    return RedirectResponse(f"/solves/{solve.id}", status_code=303)
