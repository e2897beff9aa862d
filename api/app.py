"""Put the service together: routes, errors, guards at the door, and what ends with it."""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager

from fastapi import FastAPI, Request, Response

from api import errors
from api.deps import UNSAFE
from api.jobs.pool import SolvePool
from api.json import custom_foods as own_interface
from api.json import interface
from api.pages import accounts, assets, checkins, menus, reviews, roster, tastes
from api.pages import custom_foods as own
from api.pages import jobs as solves
from api.security.accounts import Patience
from api.service import Service
from api.settings import Settings
from mealplan.client.intake import MAX_INTAKE_BYTES
from mealplan.store.base import Store

ROUTERS = tuple(
    part.router
    for part in (
        assets,
        accounts,
        roster,
        menus,
        tastes,
        checkins,
        reviews,
        solves,
        own,
        interface,
        own_interface,
    )
)
"""Every address there is, but for the description of the interface."""

MOST_BODY_BYTES = MAX_INTAKE_BYTES + 200_000
"""Largest body taken: an intake and the form around it."""

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src "
        "'self'; "
        "worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
"""Sent with every answer."""

DESCRIPTION = """
Measured body to targets with their working, days of plant-based dishes, and what to buy.

Every refusal has one shape: `{"error": {"code", "message", "mend", "details"}}`. Writes that change
something take `If-Match` with the number in the `ETag` last seen, and `Idempotency-Key` so that a
repeated request is carried out once. Energy is in kilocalories, masses in grams unless a field's
name says otherwise. Targets are estimates for healthy adults, not medical advice.
"""

TAGS = [
    {"name": "clients", "description": "Clients, their intakes and the history of both"},
    {"name": "targets", "description": "What a day should give, with the working"},
    {"name": "plans", "description": "Days of dishes, and changing them"},
    {"name": "list", "description": "What to buy"},
    {"name": "check-in", "description": "What was logged, what it can tell, what was decided"},
    {"name": "own foods and dishes", "description": "What a coach offers beside what ships"},
    {"name": "links", "description": "Addresses that show one client's pages"},
    {"name": "sign-in", "description": "Tokens for programs"},
]


def create_app(settings: Settings, store: Store) -> FastAPI:
    """
    Make the service.

    Parameters
    ----------
    settings : Settings
    store : Store
        Closed by whoever opened it, not by the service.

    Returns
    -------
    FastAPI
    """

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        yield
        app.state.service.reader.close()
        app.state.service.solves.close()

    app = FastAPI(
        title="mealplan",
        version="1",
        description=DESCRIPTION,
        openapi_url="/api/openapi.json",
        openapi_tags=TAGS,
        docs_url=None,
        redoc_url=None,
        lifespan=lifespan,
    )
    app.state.service = Service(store, settings, SolvePool(settings.solvers, settings.queue))
    app.state.patience = Patience(settings.tries, settings.now)
    for router in ROUTERS:
        app.include_router(router)
    errors.install(app)
    app.middleware("http")(_at_the_door(settings))
    return app


Next = Callable[[Request], Awaitable[Response]]


def _at_the_door(settings: Settings) -> Callable[[Request, Next], Awaitable[Response]]:
    """Turn away other hosts, other sites' writes and oversized bodies; dress every answer."""

    async def door(request: Request, proceed: Next) -> Response:
        refusal = _refused(request, settings)
        response = refusal if refusal is not None else await proceed(request)
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        if settings.secure_cookies:
            response.headers.setdefault("Strict-Transport-Security", "max-age=31536000")
        response.headers.setdefault(
            "Cache-Control",
            "no-store" if request.url.path.startswith("/api/") else "private, no-cache",
        )
        return response

    return door


def _refused(request: Request, settings: Settings) -> Response | None:
    host = request.headers.get("host", "")
    name = host if host.startswith("[") and host.endswith("]") else host.rpartition(":")[0] or host
    if name.lower() not in settings.hosts:
        kind = errors.plain_kind(400)
        return errors.answer(
            request, kind, f"the address {host[:80]!r} is not one this service answers to"
        )
    if request.method in UNSAFE:
        origin = request.headers.get("origin")
        if origin is not None and origin.partition("://")[2].lower() != host.lower():
            return errors.answer(
                request,
                errors.kind_for_form(),
                f"the request comes from {origin[:80]!r}, not from these pages",
            )
        if request.headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
            return errors.answer(
                request, errors.kind_for_form(), "the request comes from another site"
            )
        size = request.headers.get("content-length", "0")
        if (
            not size.isdigit()
            or int(size) > MOST_BODY_BYTES
            or "chunked" in request.headers.get("transfer-encoding", "").lower()
        ):
            return errors.answer(
                request,
                errors.plain_kind(413),
                f"a body of {size[:20]} bytes was announced; {MOST_BODY_BYTES:,} are taken",
            )
    return None
