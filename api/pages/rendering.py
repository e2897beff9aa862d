"""Templates to pages: one environment, strict about what it is not given."""

from __future__ import annotations

import hashlib
from dataclasses import fields
from functools import cache
from importlib.resources import files

import jinja2
from fastapi import Request
from fastapi.responses import HTMLResponse

from api.desk.form_body import GUARD, guard_of
from api.forms import sessions
from api.pages.page_context import PageContext
from api.security.kept_copy import asked_for, label
from mealplan.render.html import equip, loader, stylesheet


@cache
def environment() -> jinja2.Environment:
    """
    Return the environment of every page.

    Returns
    -------
    jinja2.Environment
        The domain's shared templates with the service's own beside them.
    """
    made = jinja2.Environment(
        loader=jinja2.ChoiceLoader([jinja2.PackageLoader("api", "templates"), loader()]),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals |= {
        "asset": asset,
        "session_parts": sessions.PARTS,
        "session_labels": sessions.LABELS,
        "session_hard": sessions.HOW_HARD,
        "session_sports": sessions.SPORTS,
        "session_rows": sessions.rows_of,
        "session_called": sessions.called,
    }
    return equip(made)


@cache
def static_files() -> dict[str, tuple[bytes, str]]:
    """
    Return every static file with its media type.

    Returns
    -------
    dict of str to (bytes, str)
    """
    kinds = {"css": "text/css", "js": "text/javascript", "svg": "image/svg+xml"}
    found = {
        entry.name: (entry.read_bytes(), kinds[entry.name.rpartition(".")[2]])
        for entry in (files("api") / "static").iterdir()
        if entry.name.rpartition(".")[2] in kinds
    }
    found["sheet.css"] = (stylesheet().encode(), "text/css")
    return found


@cache
def asset(name: str) -> str:
    """
    Return the address of a static file, which changes with its content.

    Parameters
    ----------
    name : str

    Returns
    -------
    str
    """
    content, _ = static_files()[name]
    return f"/static/{name}?{hashlib.sha256(content).hexdigest()[:10]}"


def html(
    context: PageContext,
    *,
    guard: str,
    local: bool,
    coach: bool,
    signed_in: str,
    hide: bool = False,
    discreet: bool = False,
    kept: bool | None = None,
) -> str:
    """
    Render a page's context.

    Parameters
    ----------
    context : PageContext
    guard : str
        For the page's forms.
    local : bool
        True on a machine without accounts.
    coach : bool
        True when the coach looks on.
    signed_in : str
        Name of the signed-in coach, or nothing.
    hide : bool
        True leaves weights and calories out: a client looks on who is not shown them.
    discreet : bool
        True leaves calories off paper, whoever looks on: sheets are printed for the client.
    kept : bool or None
        Whether this browser keeps a copy for reading without signal; None when nobody is known who
        could ask for one.

    Returns
    -------
    str
    """
    template = environment().get_template(context.template)
    values = {item.name: getattr(context, item.name) for item in fields(context)}
    return template.render(
        **values,
        guard=guard,
        local=local,
        coach=coach,
        signed_in=signed_in,
        guard_name=GUARD,
        hide=hide,
        discreet=discreet,
        kept=kept,
    )


def page(
    request: Request, context: PageContext, status: int = 200, headers: dict[str, str] | None = None
) -> HTMLResponse:
    """
    Answer with a page.

    Parameters
    ----------
    request : Request
    context : PageContext
    status : int
    headers : dict, optional

    Returns
    -------
    HTMLResponse
    """
    settings = request.app.state.service.settings
    principal = getattr(request.state, "principal", None)
    text = html(
        context,
        guard=guard_of(request),
        local=not settings.accounts,
        coach=principal.kind == "coach" if principal is not None else not settings.accounts,
        signed_in=principal.name if principal is not None and settings.accounts else "",
        hide=principal.hide if principal is not None else False,
        discreet=getattr(request.state, "discreet", False),
        kept=None if principal is None else asked_for(request, principal),
    )
    response = HTMLResponse(text, status_code=status, headers=headers)
    label(request, response, principal, settings.now())
    new = getattr(request.state, "new_guard", "")
    if new:
        response.set_cookie(
            GUARD, new, httponly=True, samesite="strict", secure=settings.secure_cookies, path="/"
        )
    return response
