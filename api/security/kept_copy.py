"""
Pages kept on a phone for reading without signal: only when its holder asks, and never for another.

The copy is bound to one link or sign-in and to what it may show. Every page says in a header whose
copy it may join; the service worker lets every other copy go, so that a link that was taken back,
another person's sign-in or numbers that were hidden leave nothing behind at the next look.
"""

from __future__ import annotations

import datetime as dt
import hashlib

from fastapi import Request, Response

from api.records.view import Principal

KEPT = "kept_copy"
"""Cookie of a browser whose holder asked for a copy: whose it is."""
KEPT_FOR = "Kept-For"
"""Header that names the copy a page may join."""
KEPT_UNTIL = "Kept-Until"
"""Header that says when the copy ends. [milliseconds since 1970]"""
FORGET = {"Clear-Site-Data": '"cache", "storage"'}
"""Tells a browser to let go of every page and everything it remembers of these."""
LONGEST = dt.timedelta(days=30)
"""A copy lasts no longer than this, whatever the link does."""


def holder_of(principal: Principal) -> str:
    """
    Name whose copy a page may join.

    Parameters
    ----------
    principal : Principal

    Returns
    -------
    str
        Another one for each link, each sign-in, and when numbers are hidden or shown again.
    """
    whose = principal.link_id or principal.sign_in_id or principal.coach_id
    shown = "hidden" if principal.hide else "shown"
    return hashlib.sha256(f"copy {whose} {shown}".encode()).hexdigest()[:24]


def asked_for(request: Request, principal: Principal | None) -> bool:
    """
    Say whether this browser's holder asked for a copy.

    Parameters
    ----------
    request : Request
    principal : Principal or None

    Returns
    -------
    bool
    """
    return principal is not None and request.cookies.get(KEPT, "") == holder_of(principal)


def label(
    request: Request, response: Response, principal: Principal | None, now: dt.datetime
) -> None:
    """
    Say on a page whose copy it may join; nothing when nobody asked.

    Parameters
    ----------
    request : Request
    response : Response
        The page.
    principal : Principal or None
    now : datetime
    """
    if principal is None or not asked_for(request, principal):
        return
    until = min(principal.ends_at or now + LONGEST, now + LONGEST)
    response.headers[KEPT_FOR] = holder_of(principal)
    response.headers[KEPT_UNTIL] = str(int(until.timestamp() * 1000))


def keep(response: Response, principal: Principal, *, secure: bool) -> None:
    """
    Let this browser keep a copy from now on.

    Parameters
    ----------
    response : Response
    principal : Principal
    secure : bool
        True sends the cookie over HTTPS only.
    """
    response.set_cookie(
        KEPT,
        holder_of(principal),
        max_age=int(LONGEST.total_seconds()),
        httponly=True,
        samesite="lax",
        secure=secure,
        path="/",
    )
