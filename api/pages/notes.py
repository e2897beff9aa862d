"""The coach's notes on a client's file."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import RedirectResponse, Response

from api.desk.deps import CoachedClient, CoachRecords
from api.desk.form_body import TheForm
from mealplan.errors import IntakeError

router = APIRouter(prefix="/clients/{client_id}/notes", include_in_schema=False)


@router.post("")
def write(client: CoachedClient, records: CoachRecords, form: TheForm) -> Response:
    """Keep a note, for the coach alone or for the client to read."""
    whom = form.text("whom")
    if whom not in ("coach", "client"):
        raise IntakeError(f"whom={whom[:40]!r} is not coach or client; press one of the buttons")
    records.notes.write(client, form.text("text"), shown=whom == "client")
    return RedirectResponse(f"/clients/{client.id}#notes", status_code=303)


@router.post("/{note_id}/remove")
def remove(client: CoachedClient, records: CoachRecords, form: TheForm, note_id: str) -> Response:
    """Let go of a note."""
    records.notes.remove(client, note_id)
    return RedirectResponse(f"/clients/{client.id}#notes", status_code=303)
