"""The coach's Monday: a line a client on the roster, decided and planned in place."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.desk.deps import CoachRecords, TheService
from api.desk.form_body import FormRefused, TheForm
from api.desk.planning import start_week
from api.desk.service import Service
from api.pages.coach_contexts import RosterResult
from api.pages.ledger import first_open_day
from api.pages.roster import roster_page
from api.records.book import Records
from mealplan.checkin.decide.record import Action
from mealplan.errors import CheckInError, MealPlanError
from mealplan.render.html import counted, signed
from mealplan.store.records import Client

router = APIRouter(prefix="/roster", include_in_schema=False)

PLANNED_DAYS = 7
"""Days planned together with a decision. [days]"""
DECISIONS: dict[str, Action] = {"accept": "accept", "amend": "amend", "decline": "decline"}


@router.post("/decide")
def decide(request: Request, service: TheService, records: CoachRecords, form: TheForm) -> Response:
    """Decide on one client's proposal and plan the days after it, or only plan."""
    client = records.clients.one(form.text("client"))
    wish = form.text("do")
    if wish == "plan":
        outcome = _planned(service, records, client, "")
    elif wish in DECISIONS:
        outcome = _decided(
            service,
            records,
            client,
            DECISIONS[wish],
            was=form.number("was"),
            seen=_kcal(form.text("seen")),
            step=_kcal(form.text("step")) if wish == "amend" else None,
            reason=form.text("reason"),
        )
    else:
        raise FormRefused(f"do={wish[:40]!r} is not one of plan, {', '.join(DECISIONS)}")
    return roster_page(request, service, records, form.text("find"), form.text("page"), (outcome,))


@router.post("/agree")
def agree(request: Request, service: TheService, records: CoachRecords, form: TheForm) -> Response:
    """Accept every ticked proposal and plan its client's next days."""
    outcomes = []
    for ticked in form.all("agree"):
        client_id, _, rest = ticked.partition(" ")
        was, _, seen = rest.partition(" ")
        if not was.isdecimal() or len(was) > 9:
            raise FormRefused(f"agree={ticked[:40]!r} was not ticked on the roster; load it again")
        client = records.clients.one(client_id)
        outcomes.append(
            _decided(service, records, client, "accept", was=int(was), seen=_kcal(seen))
        )
    if not outcomes:
        raise CheckInError("no proposal is ticked; tick those you agree with, then press again")
    return roster_page(
        request, service, records, form.text("find"), form.text("page"), tuple(outcomes)
    )


def _decided(
    service: Service,
    records: Records,
    client: Client,
    action: Action,
    *,
    was: int,
    seen: float,
    step: float | None = None,
    reason: str = "",
) -> RosterResult:
    """Put one decision on record; say what became of it, whatever does."""
    if client.intake_number != was:
        return RosterResult(client, "nothing decided: the targets changed meanwhile", done=False)
    try:
        made = records.decisions.decide(
            client, action, reason=reason, step_kcal=step, was=was, seen_kcal=seen
        )
    except MealPlanError as error:
        return RosterResult(client, f"nothing decided: {error}", done=False)
    if action == "decline":
        return RosterResult(client, "declined", done=True)
    return _planned(
        service,
        records,
        records.clients.one(client.id),
        f"{signed(made.step_kcal)} kcal a day from now on; ",
    )


def _planned(service: Service, records: Records, client: Client, before: str) -> RosterResult:
    first = first_open_day(records, client)
    try:
        start_week(service, records, client, first, PLANNED_DAYS)
    except MealPlanError as error:
        return RosterResult(client, f"{before}not planned: {error}", done=False)
    days = counted(PLANNED_DAYS, "day")
    planning = "is" if PLANNED_DAYS == 1 else "are"
    return RosterResult(
        client, f"{before}{days} from {first:%A %d %B} {planning} being planned", done=True
    )


def _kcal(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise CheckInError(
            f"step {text[:40]!r} is not a number; write kilocalories a day, such as 100 or -100"
        ) from None
