"""Pages of the check-in: what was logged, what it can tell, and the coach's decision."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup
from pydantic import ValidationError

from api.contexts import CheckInPage
from api.deps import AnyDesk, CoachDesk, CoachedClient, Form, TheClient, TheForm
from api.desk import Desk, plan_of
from api.rendering import page
from mealplan.checkin.csv_import import CsvReading, read_csv
from mealplan.checkin.errors import CheckInError
from mealplan.checkin.log import ENTRY, AnyEntry
from mealplan.checkin.proposal import Action, words_for_client
from mealplan.store.base import NotThere
from mealplan.store.records import Client
from mealplan.trend_drawing import trend_plot

router = APIRouter(prefix="/clients/{client_id}/checkin", include_in_schema=False)

HIDING = frozenset({"eating disorder history", "fear of food groups"})
"""Health flags of clients who are not shown weights or calories on their own pages."""
MOST_DAYS_AT_ONCE = 31
"""Days whose eating may be logged in one go. [days]"""
ACTIONS: tuple[Action, ...] = ("accept", "amend", "decline")


@router.get("")
def show(request: Request, client: TheClient, desk: AnyDesk) -> Response:
    """Show the log, what it can tell, and the proposal."""
    return page(request, check_in_page(desk, client))


@router.post("/weigh-in")
def weigh_in(request: Request, client: TheClient, desk: AnyDesk, form: TheForm) -> Response:
    """Log a reading of the scale."""
    return _logged(
        request,
        desk,
        client,
        form,
        lambda: [
            read_entry(
                kind="weigh-in",
                on=form.text("on"),
                value=form.text("value"),
                unit=form.text("unit") or "kg",
                conditions={"fasted": True} if form.text("fasted") else {},
            )
        ],
    )


@router.post("/day")
def day(request: Request, client: TheClient, desk: AnyDesk, form: TheForm) -> Response:
    """Log how the eating of one or several days went."""
    return _logged(
        request,
        desk,
        client,
        form,
        lambda: [
            read_entry(
                kind="intake",
                on=on,
                adherence=form.text("adherence"),
                kcal=form.text("kcal") or None,
                what=form.text("what"),
                planned_kcal=planned_kcal(desk, client, on),
            )
            for on in days_between(form.text("on"), form.text("until"))
        ],
    )


@router.post("/event")
def event(request: Request, client: TheClient, desk: AnyDesk, form: TheForm) -> Response:
    """Log something that moves water or breaks the routine."""
    return _logged(
        request,
        desk,
        client,
        form,
        lambda: [
            read_entry(
                kind="event",
                on=form.text("on"),
                until=form.text("until") or None,
                what=form.text("what"),
            )
        ],
    )


@router.post("/table")
def table(request: Request, client: TheClient, desk: AnyDesk, form: TheForm) -> Response:
    """Take a table of readings in, once what it leaves open is confirmed."""
    content = form.upload("file") or form.text("pasted").encode()
    pasted = content.decode("utf-8-sig", errors="replace")
    reading: CsvReading | None = None
    try:
        if not pasted.strip():
            raise CheckInError("nothing was pasted; copy a table with a heading row, dates in it")
        reading = read_csv(pasted, expected_kg=desk.intake(client).weight_kg)
        log = reading.to_log(confirmed=bool(form.text("confirmed")))
        desk.add_to_log(client, log.entries)
    except CheckInError as error:
        context = check_in_page(desk, client, message=str(error), pasted=pasted, reading=reading)
        return page(request, context, status=422)
    return _back(client)


@router.post("/entries/{entry_id}/withdraw")
def withdraw(client: TheClient, desk: AnyDesk, form: TheForm, entry_id: str) -> Response:
    """Take an entry out; it stays in the history."""
    desk.withdraw(client, entry_id, form.text("why"))
    return _back(client)


@router.post("/decide")
def decide(request: Request, client: CoachedClient, desk: CoachDesk, form: TheForm) -> Response:
    """Accept, amend or decline the proposal."""
    try:
        action = next((known for known in ACTIONS if known == form.text("do")), None)
        if action is None:
            raise CheckInError(f"do={form.text('do')[:40]!r} is not accept, amend or decline")
        desk.decide(
            client,
            action,
            reason=form.text("reason"),
            step_kcal=_number(form.text("step")) if action == "amend" else None,
            was=form.number("was"),
        )
    except CheckInError as error:
        context = check_in_page(desk, client, message=str(error), reason=form.text("reason"))
        return page(request, context, status=422)
    return _back(client)


@router.post("/entries/{entry_id}/answer")
def answer(client: TheClient, desk: AnyDesk, form: TheForm, entry_id: str) -> Response:
    """Confirm an odd reading, or withdraw it."""
    if form.text("do") == "right":
        desk.confirm(client, entry_id)
    else:
        desk.withdraw(client, entry_id, "the reading was wrong")
    return _back(client)


def days_between(first: str, last: str) -> list[str]:
    """
    List the days of a span as typed.

    Parameters
    ----------
    first : str
        ISO date.
    last : str
        ISO date; empty for one day.

    Returns
    -------
    list of str
        ISO dates.

    Raises
    ------
    CheckInError
        When a date does not read or the span is turned round or longer than a month.
    """
    if not last.strip():
        return [first]
    try:
        begin, end = dt.date.fromisoformat(first), dt.date.fromisoformat(last)
    except ValueError:
        raise CheckInError(
            f"{first[:20]!r} to {last[:20]!r} are not two dates; write them as 2026-12-07"
        ) from None
    if not 0 <= (end - begin).days < MOST_DAYS_AT_ONCE:
        raise CheckInError(
            f"{begin} to {end} is not a span of 1 to {MOST_DAYS_AT_ONCE} days; check the two dates"
        )
    return [(begin + dt.timedelta(days=n)).isoformat() for n in range((end - begin).days + 1)]


def read_entry(**values: object) -> AnyEntry:
    """
    Make a log entry of what was typed.

    Parameters
    ----------
    **values
        Fields of the entry, as text.

    Returns
    -------
    AnyEntry

    Raises
    ------
    CheckInError
        In one line: which field, and what is wrong with it.
    """
    try:
        return ENTRY.validate_python({k: v for k, v in values.items() if v is not None})
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"][1:])
        typed = str(first.get("input"))[:40]
        said = first["msg"].removeprefix("Value error, ")
        message = f"{place} {typed!r}: {said}" if place else said
        raise CheckInError(f"{message}; correct it and send it again") from None


def planned_kcal(desk: Desk, client: Client, on: str) -> float | None:
    """
    Say what was planned for a day: the plan's energy, else the target's.

    Parameters
    ----------
    desk : Desk
    client : Client
    on : str
        ISO date as typed.

    Returns
    -------
    float or None
        None when the date does not read. [kcal]
    """
    try:
        date = dt.date.fromisoformat(on)
    except ValueError:
        return None
    try:
        plan = plan_of(desk.saved_plan(client).body)
    except NotThere:
        plan = None
    for planned in plan.days if plan is not None else ():
        if planned.date == date:
            return planned.energy_kcal
    return round(desk.targets(client).on_date(date).energy_kcal, 1)


def check_in_page(
    desk: Desk,
    client: Client,
    *,
    message: str = "",
    pasted: str = "",
    reading: CsvReading | None = None,
    reason: str = "",
    typed: Mapping[str, str] | None = None,
) -> CheckInPage:
    """
    Gather what the check-in page shows.

    Parameters
    ----------
    desk : Desk
    client : Client
    message : str
        What to mend.
    pasted : str
        A table given back.
    reading : CsvReading, optional
        What was understood of it.
    reason : str
        A reason given back.
    typed : mapping, optional
        What was typed into a form that was not taken, given back.

    Returns
    -------
    CheckInPage
    """
    found = desk.standing(client)
    hide = desk.principal.kind == "client" and bool(HIDING & set(desk.intake(client).health))
    log = desk.log(client)
    plot = trend_plot(found.trend) if found.trend is not None and not hide else ""
    return CheckInPage(
        client=client,
        today=desk.settings.today(),
        hide=hide,
        standing=found,
        said=words_for_client(found.proposal, hide=hide),
        plot=Markup(plot),
        entries=tuple(reversed(log.entries)),
        withdrawn=len(log.history),
        decisions=tuple(reversed(desk.decisions(client))),
        message=message,
        pasted=pasted,
        reading=reading,
        reason=reason,
        typed=typed or {},
    )


def _logged(
    request: Request,
    desk: Desk,
    client: Client,
    form: Form,
    entries: Callable[[], list[AnyEntry]],
) -> Response:
    try:
        desk.add_to_log(client, entries())
    except CheckInError as error:
        typed = {name: values[-1] for name, values in form.typed().items()}
        typed["form"] = request.url.path.rpartition("/")[2]
        context = check_in_page(desk, client, message=str(error), typed=typed)
        return page(request, context, status=422)
    return _back(client)


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise CheckInError(
            f"step {text[:40]!r} is not a number; write kilocalories a day, such as 100 or -100"
        ) from None


def _back(client: Client) -> Response:
    return RedirectResponse(f"/clients/{client.id}/checkin", status_code=303)
