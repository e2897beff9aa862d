"""Pages of signing in and out, and of a client's link."""

from __future__ import annotations

import segno
from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response
from markupsafe import Markup

from api.desk.deps import (
    CLIENT_LINK,
    SIGN_IN,
    CoachedClient,
    CoachRecords,
    NotAllowed,
    ThePrincipal,
    TheService,
)
from api.desk.form_body import GUARD, TheForm
from api.desk.service import Service
from api.pages.coach_contexts import LinkOverPage, LinkPage
from api.pages.contexts import AccountPage, ForgottenPage, SignInLine, SignInPage
from api.pages.rendering import page
from api.records.book import Records
from api.records.view import hashed
from api.security import accounts, kept_copy
from api.security.second_factor import address_for_device, new_secret
from api.security.sign_ins import end_sign_ins, handle, sign_ins
from mealplan.errors import StoreError
from mealplan.store.records import Coach, Entry, Link

router = APIRouter(include_in_schema=False)


@router.get("/sign-in")
def show_sign_in(request: Request, service: TheService) -> Response:
    """Show the sign-in form."""
    if not service.settings.accounts:
        return RedirectResponse("/", status_code=303)
    return page(request, SignInPage("", ""))


@router.post("/sign-in")
def sign_in(request: Request, service: TheService, form: TheForm) -> Response:
    """Let a coach in."""
    settings = service.settings
    login = form.text("login")
    try:
        token, _ = accounts.sign_in(
            service.store,
            settings,
            login,
            form.text("password"),
            code=form.text("code"),
            address=_address(request),
            device=request.headers.get("user-agent", ""),
        )
    except accounts.WrongPassword as error:
        return page(request, SignInPage(login, str(error)), status=401)
    response = RedirectResponse("/", status_code=303)
    response.set_cookie(
        SIGN_IN,
        token,
        max_age=int(settings.sign_in_hours * 3600),
        httponly=True,
        samesite="lax",
        secure=settings.secure_cookies,
        path="/",
    )
    response.delete_cookie(GUARD, path="/")
    return _forgetting(response)


@router.post("/sign-out")
def sign_out(service: TheService, principal: ThePrincipal, form: TheForm) -> Response:
    """End this browser's sign-in."""
    if principal.sign_in_id:
        accounts.sign_out(service.store, principal.sign_in_id)
    return _forgetting(RedirectResponse("/sign-in", status_code=303), SIGN_IN, CLIENT_LINK, GUARD)


def _forgetting(response: Response, *cookies: str) -> Response:
    """Let the browser let go of what it kept of whoever was here before."""
    response.headers.update(kept_copy.FORGET)
    for name in (kept_copy.KEPT, *cookies):
        response.delete_cookie(name, path="/")
    return response


@router.post("/kept-copy")
def change_copy(
    request: Request, service: TheService, principal: ThePrincipal, form: TheForm
) -> Response:
    """Keep a copy of the pages on this device from now on, or no longer."""
    back = f"/clients/{principal.client_id}/today" if principal.client_id else "/"
    response = RedirectResponse(back, status_code=303)
    if form.text("do") != "keep":
        return _forgetting(response)
    kept_copy.keep(response, principal, secure=service.settings.secure_cookies)
    return response


@router.post("/forget")
def forget_device(principal: ThePrincipal, form: TheForm) -> Response:
    """Let a client's device go: from now on it holds neither pages nor the way to them."""
    return _forgetting(RedirectResponse("/forgotten", status_code=303), CLIENT_LINK, GUARD)


@router.get("/forgotten")
def forgotten(request: Request) -> Response:
    """Say that a device holds nothing any more."""
    return page(request, ForgottenPage())


@router.get("/link/{token}")
def open_link(request: Request, service: TheService, token: str) -> Response:
    """Open a client's link: from now on this browser shows that client's pages."""
    settings = service.settings
    now = settings.now()
    with service.store.reading() as unit:
        links = [
            link
            for link in unit.find(Link, token_hash=hashed(token))
            if link.revoked_at is None and link.ends_at > now
        ]
    if not links:
        return _forgetting(RedirectResponse("/link-over", status_code=303), CLIENT_LINK)
    response = RedirectResponse(f"/clients/{links[0].client_id}/today", status_code=303)
    response.set_cookie(
        CLIENT_LINK,
        token,
        max_age=int((links[0].ends_at - now).total_seconds()),
        httponly=True,
        samesite="lax",
        secure=settings.secure_cookies,
        path="/",
    )
    return response if request.cookies.get(CLIENT_LINK) == token else _forgetting(response)


@router.get("/link-over")
def link_over(request: Request) -> Response:
    """Say that a link has ended or was taken back."""
    return page(request, LinkOverPage())


def scannable(address: str) -> Markup:
    """
    Draw an address as a square that a phone's camera reads.

    Parameters
    ----------
    address : str

    Returns
    -------
    Markup
        An ``svg`` element.
    """
    code = segno.make(address, error="m", micro=False)
    return Markup(
        code.svg_inline(scale=5, border=4, dark="#000", light="#fff", svgclass="qr", omitsize=True)
    )


@router.post("/clients/{client_id}/links")
def hand_out(
    request: Request, client: CoachedClient, records: CoachRecords, form: TheForm
) -> Response:
    """Hand a link out and show its address this once."""
    if not records.settings.accounts:
        raise NotAllowed(
            "links need accounts: add one with `mealplan coach add`, then start the service again"
        )
    token, link = records.links.hand_out(client, form.number("days"))
    address = f"{request.base_url}link/{token}"
    return page(request, LinkPage(client, address, link.ends_at, scannable(address)))


@router.post("/clients/{client_id}/links/{link_id}/revoke")
def revoke(client: CoachedClient, records: CoachRecords, form: TheForm, link_id: str) -> Response:
    """Take a link back."""
    records.links.take_back(client, link_id)
    return RedirectResponse(f"/clients/{client.id}", status_code=303)


def _address(request: Request) -> str:
    return request.client.host if request.client else ""


def _account(
    request: Request,
    service: Service,
    records: Records,
    *,
    message: str = "",
    secret: str = "",
    status: int = 200,
) -> Response:
    principal = records.principal
    if not principal.sign_in_id:
        raise NotAllowed("there are no accounts on this machine: add one with `mealplan coach add`")
    now = service.settings.now()
    with service.store.reading() as unit:
        coach = unit.get(Coach, principal.coach_id)
        done = unit.find(Entry, coach_id=coach.id, client_id="", newest_first=True, limit=30)
    shown = tuple(
        SignInLine(handle(one.id), one.device, one.made_at, one.id == principal.sign_in_id)
        for one in sign_ins(service.store, coach.id, now)
    )
    context = AccountPage(
        login=coach.login,
        sign_ins=shown,
        entries=done,
        second_factor=bool(coach.second_factor),
        secret=secret,
        for_device=address_for_device(secret, coach.login) if secret else "",
        message=message,
    )
    return page(request, context, status=status)


@router.get("/account")
def account(request: Request, service: TheService, records: CoachRecords) -> Response:
    """Show a coach their account: sign-ins, password, one-time codes, what was done."""
    return _account(request, service, records)


@router.post("/account/password")
def change_password(
    request: Request, service: TheService, records: CoachRecords, form: TheForm
) -> Response:
    """Change one's own password; every other browser is signed out."""
    principal = records.principal
    try:
        accounts.change_own_password(
            service.store,
            service.settings,
            principal.coach_id,
            form.text("old"),
            form.text("new"),
            but=principal.sign_in_id,
            address=_address(request),
        )
    except (accounts.WrongPassword, StoreError) as error:
        return _account(request, service, records, message=str(error), status=422)
    return RedirectResponse("/account", status_code=303)


@router.post("/account/sign-ins")
def end_some(
    request: Request, service: TheService, records: CoachRecords, form: TheForm
) -> Response:
    """End sign-ins of one's own by their handles; asks the password, as who ends one may be one."""
    coach_id = records.principal.coach_id
    try:
        accounts.prove(
            service.store, service.settings, coach_id, form.text("password"), _address(request)
        )
    except accounts.WrongPassword as error:
        return _account(request, service, records, message=str(error), status=422)
    end_sign_ins(service.store, coach_id, form.all("handle"))
    return RedirectResponse("/account", status_code=303)


@router.post("/account/second-factor")
def second_factor(
    request: Request, service: TheService, records: CoachRecords, form: TheForm
) -> Response:
    """Set one-time codes up in two steps, or do without them again; both ask the password."""
    coach_id, settings = records.principal.coach_id, service.settings
    secret, wish = form.text("secret"), form.text("do")
    try:
        accounts.prove(service.store, settings, coach_id, form.text("password"), _address(request))
        if wish in ("confirm", "off"):
            accounts.set_second_factor(
                service.store,
                coach_id,
                secret if wish == "confirm" else "",
                form.text("code"),
                settings.now(),
            )
            return RedirectResponse("/account", status_code=303)
    except accounts.WrongPassword as error:
        kept = secret if wish == "confirm" else ""
        return _account(request, service, records, message=str(error), secret=kept, status=422)
    return _account(request, service, records, secret=new_secret())
