"""Pages of a phase looked back on, and the file of it that a client keeps."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from functools import lru_cache
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.desk.deps import AnyRecords, TheClient
from api.pages.coach_contexts import ReviewPage
from api.pages.rendering import page
from api.records.book import Records
from api.records.reading import intake_of
from mealplan.checkin.log.log import Log
from mealplan.checkin.phase import LookBack, PhaseSpan, look_back, phases_of
from mealplan.errors import CheckInError
from mealplan.render.html import review_html
from mealplan.store.records import Client, IntakeVersion

router = APIRouter(prefix="/clients/{client_id}", include_in_schema=False)

SETTLED_DAYS = 7
"""An intake put in force so soon after a phase began is the one it was run from. [days]"""


@router.get("/review")
def show(
    request: Request, client: TheClient, records: AnyRecords, start: str = "", end: str = ""
) -> Response:
    """Look back on a phase, the running one unless other dates are given."""
    spans = spans_of(records, client)
    try:
        found = looked_back(records, client, chosen(spans, start, end))
    except CheckInError as error:
        found = looked_back(records, client, spans[0])
        typed = {"start": start, "end": end}
        return page(request, ReviewPage(client, found, spans, str(error), typed), status=422)
    return page(request, ReviewPage(client, found, spans))


@router.get("/review.html")
def keep(client: TheClient, records: AnyRecords, start: str = "", end: str = "") -> Response:
    """Hand the report out as one file that stands alone."""
    found = looked_back(records, client, chosen(spans_of(records, client), start, end))
    name = quote(f"{client.role} {found.span.start} to {found.span.end}.html".replace(" ", "-"))
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{name}"}
    # The file is given away: what the client may not see is left out, whoever asks.
    text = review_html(client.role, found, hide=records.intakes.hides(client))
    return Response(text, media_type="text/html; charset=utf-8", headers=headers)


def spans_of(records: Records, client: Client) -> tuple[PhaseSpan, ...]:
    """
    List a client's phases, the latest first.

    Parameters
    ----------
    records : Records
    client : Client

    Returns
    -------
    tuple of PhaseSpan
    """
    return phases_of(
        records.intakes.in_force(client), records.log.read(client), records.settings.today()
    )


def chosen(spans: Sequence[PhaseSpan], start: str, end: str) -> PhaseSpan:
    """
    Read which span was asked for.

    Parameters
    ----------
    spans : sequence of PhaseSpan
        The latest first.
    start, end : str
        ISO dates as typed; a blank one is the latest phase's.

    Returns
    -------
    PhaseSpan

    Raises
    ------
    CheckInError
        When a date does not read or the two are the wrong way round.
    """
    first, last = _date(start, spans[0].start), _date(end, spans[0].end)
    if last <= first and (start or end):
        raise CheckInError(
            f"the last day {last} is not after the first day {first}; swap or mend the dates"
        )
    known = next((span for span in spans if (span.start, span.end) == (first, last)), None)
    inside = next((span.name for span in spans if span.start <= first <= span.end), spans[0].name)
    return known or PhaseSpan(inside, first, last)


def _date(text: str, usual: dt.date) -> dt.date:
    if not text.strip():
        return usual
    try:
        return dt.date.fromisoformat(text.strip())
    except ValueError:
        raise CheckInError(
            f"{text[:40]!r} is not a date; write it as {usual.isoformat()}"
        ) from None


def looked_back(records: Records, client: Client, span: PhaseSpan) -> LookBack:
    """
    Look back on a span against the intake it was run from.

    Parameters
    ----------
    records : Records
    client : Client
    span : PhaseSpan

    Returns
    -------
    LookBack
    """
    intake = intake_then(records.intakes.history(client), span.start).body
    return _looked_back(intake, records.log.read(client).model_dump_json(), span)


@lru_cache(maxsize=64)
def _looked_back(intake: str, log: str, span: PhaseSpan) -> LookBack:
    """Look back from an intake and a log kept as JSON text."""
    return look_back(intake_of(intake), Log.model_validate_json(log), span)


def intake_then(versions: Sequence[IntakeVersion], start: dt.date) -> IntakeVersion:
    """
    Choose the intake a phase was run from.

    Steps accepted on the way fix the energy and say nothing of the rate that was wanted, so the
    intake that opened the phase counts.

    Parameters
    ----------
    versions : sequence of IntakeVersion
        The newest first, at least one.
    start : date
        First day of the phase.

    Returns
    -------
    IntakeVersion
    """
    opened = start + dt.timedelta(days=SETTLED_DAYS)
    return next((version for version in versions if version.made_at.date() <= opened), versions[-1])
