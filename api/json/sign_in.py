"""Links and sign-ins over the JSON interface."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.desk.deps import (
    CoachedClient,
    CoachRecords,
    NotAllowed,
    ThePrincipal,
    TheService,
)
from api.json.schemas import (
    LinkBody,
    LinkList,
    LinkWish,
    SignInBody,
    SignInWish,
)
from api.security import accounts
from mealplan.store.records import Link

router = APIRouter()


@router.get("/clients/{client_id}/links", tags=["links"])
def get_links(client: CoachedClient, records: CoachRecords) -> LinkList:
    """List the links handed out, newest first."""
    return LinkList(links=tuple(_link(link) for link in records.links.all(client)))


@router.post("/clients/{client_id}/links", tags=["links"], status_code=201)
def add_link(
    request: Request, body: LinkWish, client: CoachedClient, records: CoachRecords
) -> LinkBody:
    """Hand a link out; its address is shown in this answer only."""
    if not records.settings.accounts:
        raise NotAllowed(
            "links need accounts: add one with `mealplan coach add`, then start the service again"
        )
    token, link = records.links.hand_out(client, body.days)
    return _link(link, f"{request.base_url}link/{token}")


@router.delete("/clients/{client_id}/links/{link_id}", tags=["links"], status_code=204)
def revoke_link(client: CoachedClient, records: CoachRecords, link_id: str) -> Response:
    """Take a link back."""
    records.links.take_back(client, link_id)
    return Response(status_code=204)


@router.post("/sign-in", tags=["sign-in"], status_code=201)
def sign_in(request: Request, body: SignInWish, service: TheService) -> SignInBody:
    """Trade a login and password for a token that ends."""
    settings = service.settings
    if not settings.accounts:
        raise NotAllowed(
            "there are no accounts on this machine; the interface answers without a token"
        )
    token, made = accounts.sign_in(
        service.store,
        settings,
        body.login,
        body.password,
        code=body.code,
        address=request.client.host if request.client else "",
        device=request.headers.get("user-agent", ""),
    )
    return SignInBody(token=token, ends_at=made.ends_at)


@router.delete("/sign-in", tags=["sign-in"], status_code=204)
def sign_out(service: TheService, principal: ThePrincipal) -> Response:
    """End this token."""
    if principal.sign_in_id:
        accounts.sign_out(service.store, principal.sign_in_id)
    return Response(status_code=204)


def _link(link: Link, address: str = "") -> LinkBody:
    return LinkBody(
        id=link.id,
        made_at=link.made_at,
        ends_at=link.ends_at,
        revoked_at=link.revoked_at,
        address=address,
    )
