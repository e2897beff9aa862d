"""What routes ask for: the store, who is asking, their records, a checked form."""

from __future__ import annotations

from typing import Annotated, cast

from fastapi import Depends, Request

from api.desk.service import Service
from api.records.book import Records
from api.records.reading import hides_numbers
from api.records.view import Principal, hashed
from mealplan.errors import MealPlanError
from mealplan.store.base import NotThere
from mealplan.store.documents import Unreadable
from mealplan.store.records import (
    LOCAL_LOGIN,
    Client,
    Coach,
    IntakeVersion,
    Link,
    SignIn,
    new_id,
)

SIGN_IN = "sign_in"
CLIENT_LINK = "client_link"


class SignInNeeded(MealPlanError):  # noqa: N818  (reads as what happened)
    """Nobody is signed in."""


class NotAllowed(MealPlanError):  # noqa: N818  (reads as what happened)
    """Signed in, but not for this."""


def service_of(request: Request) -> Service:
    """
    Return what the service shares.

    Parameters
    ----------
    request : Request
        What was asked.
    """
    return cast("Service", request.app.state.service)


TheService = Annotated[Service, Depends(service_of)]


def local_coach(service: Service) -> Coach:
    """
    Return the one coach of a machine without accounts, made when first asked for.

    Parameters
    ----------
    service : Service

    Returns
    -------
    Coach
    """
    with service.store.reading() as unit:
        found = unit.find(Coach, login=LOCAL_LOGIN)
    if found:
        return found[0]
    coach = Coach(id=new_id(), made_at=service.settings.now(), login=LOCAL_LOGIN, password_hash="")
    with service.store.writing() as unit:
        found = unit.find(Coach, login=LOCAL_LOGIN)
        if not found:
            unit.add(coach)
    return found[0] if found else coach


def principal_of(request: Request, service: TheService) -> Principal:
    """
    Say who is asking.

    Parameters
    ----------
    request : Request
    service : Service

    Returns
    -------
    Principal

    Raises
    ------
    SignInNeeded
        When nobody is known to be.
    """
    if not service.settings.accounts:
        return Principal("coach", local_coach(service).id, "coach on this machine")
    now = service.settings.now()
    kind, _, bearer = request.headers.get("authorization", "").partition(" ")
    token = bearer.strip() if kind.lower() == "bearer" else request.cookies.get(SIGN_IN, "")
    with service.store.reading() as unit:
        if token:
            for sign_in in unit.find(SignIn, id=hashed(token)):
                if sign_in.ends_at > now:
                    coach = unit.get(Coach, sign_in.coach_id)
                    return Principal(
                        "coach",
                        coach.id,
                        coach.login,
                        sign_in_id=sign_in.id,
                        ends_at=sign_in.ends_at,
                    )
        link_token = request.cookies.get(CLIENT_LINK, "")
        if link_token:
            for link in unit.find(Link, token_hash=hashed(link_token)):
                if link.revoked_at is None and link.ends_at > now:
                    client = unit.get(Client, link.client_id)
                    version = unit.find(
                        IntakeVersion, client_id=client.id, number=client.intake_number
                    )[0]
                    return Principal(
                        "client",
                        client.coach_id,
                        "client",
                        client_id=client.id,
                        link_id=link.id,
                        ends_at=link.ends_at,
                        hide=_hides(version.body),
                    )
    raise SignInNeeded(
        "this page needs a sign-in, or a link that has not ended; ask the coach for a new one"
    )


def _hides(body: str) -> bool:
    """Say whether numbers are kept from a client; they are where the intake does not read."""
    try:
        return hides_numbers(body)
    except Unreadable:
        return True


ThePrincipal = Annotated[Principal, Depends(principal_of)]


def records_of(request: Request, service: TheService, principal: ThePrincipal) -> Records:
    """
    Return the records of whoever is asking.

    Parameters
    ----------
    request : Request
        What was asked.
    service : TheService
        The running service.
    principal : ThePrincipal
        Who asks.
    """
    request.state.principal = principal
    return Records(service.store, service.settings, principal)


AnyRecords = Annotated[Records, Depends(records_of)]


def coach_records_of(records: AnyRecords) -> Records:
    """
    Return the records, for coaches only.

    Parameters
    ----------
    records : AnyRecords
        What this sign-in may see and change.
    """
    if records.principal.kind != "coach":
        raise NotAllowed(
            "this is for the coach; a client's link shows the menu, the list and the worksheet"
        )
    return records


CoachRecords = Annotated[Records, Depends(coach_records_of)]


def unhidden_records_of(records: AnyRecords) -> Records:
    """
    Return the records, unless weights and calories are kept from whoever is asking.

    Parameters
    ----------
    records : AnyRecords
        What this sign-in may see and change.
    """
    if records.principal.hide:
        raise NotAllowed("weights and calories are not shown here; the coach has them")
    return records


UnhiddenRecords = Annotated[Records, Depends(unhidden_records_of)]


def client_of(request: Request, client_id: str, records: AnyRecords) -> Client:
    """
    Return the client the address names, if it is this person's to see.

    Parameters
    ----------
    request : Request
        What was asked.
    client_id : str
        Identifier of the client.
    records : AnyRecords
        What this sign-in may see and change.
    """
    client = records.clients.one(client_id)
    request.state.discreet = _hides(records.intakes.version(client).body)
    return client


def coached_client_of(request: Request, client_id: str, records: CoachRecords) -> Client:
    """
    Return the client the address names, for their coach only.

    Parameters
    ----------
    request : Request
        What was asked.
    client_id : str
        Identifier of the client.
    records : CoachRecords
        What this sign-in may see and change.
    """
    return client_of(request, client_id, records)


TheClient = Annotated[Client, Depends(client_of)]
CoachedClient = Annotated[Client, Depends(coached_client_of)]


def missing(what: str) -> NotThere:
    """
    Say that something is not there and where to look.

    Parameters
    ----------
    what : str
        What was looked for.
    """
    return NotThere(f"there is no {what} here; go back to the roster and follow its links")
