"""Put the service together: routes, errors, guards at the door, and what ends with it."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI

from api.app.door import Door
from api.desk.service import Service
from api.jobs.kinds import run_of
from api.json import custom_foods as own_interface
from api.json import interface, roster_plans
from api.json import tables as tables_interface
from api.pages import (
    accounts,
    assets,
    checkins,
    days,
    errors,
    menus,
    method,
    monday,
    notes,
    paper,
    reviews,
    roster,
    stove,
    tables,
    tastes,
    today,
    waiting,
    weights,
)
from api.pages import custom_foods as own
from api.pages import jobs as solves
from api.settings import Settings
from mealplan.jobs import Jobs
from mealplan.jobs.at_once import AtOnce
from mealplan.store.base import Store

ROUTERS = tuple(
    part.router
    for part in (
        assets,
        accounts,
        roster,
        monday,
        notes,
        method,
        today,
        waiting,
        stove,
        menus,
        days,
        paper,
        tables,
        tastes,
        checkins,
        reviews,
        solves,
        weights,
        own,
        interface,
        roster_plans,
        tables_interface,
        own_interface,
    )
)
"""Every address there is, but for the description of the interface."""

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
    {"name": "shared table", "description": "Several clients who share meals: one pot, own plates"},
    {"name": "links", "description": "Addresses that show one client's pages"},
    {"name": "sign-in", "description": "Tokens for programs"},
]


def create_app(settings: Settings, store: Store, jobs: Jobs | None = None) -> FastAPI:
    """
    Make the service.

    Parameters
    ----------
    settings : Settings
    store : Store
        Closed by whoever opened it, not by the service.
    jobs : Jobs, optional
        Where jobs are handed in; each is carried out by whoever asks when left out.

    Returns
    -------
    FastAPI
    """

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        yield
        app.state.service.jobs.close()

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
    if jobs is None:
        at_once = AtOnce(store, run_of(settings, lambda: at_once), settings.now)
        jobs = at_once
    app.state.service = Service(store, settings, jobs)
    for router in ROUTERS:
        app.include_router(router)
    errors.install(app)
    app.add_middleware(Door, settings=settings)
    return app
