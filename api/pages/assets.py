"""Static files, the service worker, and whether the service is well."""

from __future__ import annotations

from typing import get_args

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.desk.deps import TheService, missing
from api.pages.contexts import OfflinePage
from api.pages.rendering import page, static_files
from api.settings import LOOPBACK
from mealplan.store.records import Client, Coach, Job, JobState, WorkerSeen

router = APIRouter(include_in_schema=False)


@router.get("/static/{name}")
def static(request: Request, name: str) -> Response:
    """Hand a static file out; its address changes with its content, so it may be kept."""
    found = static_files().get(name)
    if found is None:
        raise missing(f"file {name!r}")
    kept = "public, max-age=31536000, immutable" if request.url.query else "no-cache"
    return Response(found[0], media_type=found[1], headers={"Cache-Control": kept})


@router.get("/service-worker.js")
def service_worker() -> Response:
    """Hand the service worker out from the root, so that it may keep every page."""
    content, kind = static_files()["service-worker.js"]
    return Response(content, media_type=kind, headers={"Cache-Control": "no-cache"})


@router.get("/offline")
def offline(request: Request) -> Response:
    """Show what a reader without signal sees on a page that was never opened."""
    return page(request, OfflinePage())


@router.get("/favicon.ico")
def icon() -> Response:
    """Say that there is no icon."""
    return Response(status_code=204)


@router.get("/metrics")
def metrics(request: Request, service: TheService) -> Response:
    """Tell this machine alone, in Prometheus' text format, how the queue stands."""
    host = request.client.host if request.client else ""
    if host not in LOOPBACK:
        raise missing("page")
    now = service.settings.now()
    with service.store.reading() as unit:
        states = {state: unit.count(Job, state=state) for state in get_args(JobState)}
        oldest = unit.find(Job, state="waiting", limit=1)
        workers = [one for one in unit.find(WorkerSeen) if (now - one.seen_at).total_seconds() < 30]
        clients = unit.count(Client)
    lines = [f'mealplan_jobs{{state="{state}"}} {count}' for state, count in states.items()]
    waited = (now - oldest[0].made_at).total_seconds() if oldest else 0.0
    lines += [
        f"mealplan_oldest_waiting_seconds {waited:.1f}",
        f"mealplan_workers {len(workers)}",
        f"mealplan_clients {clients}",
    ]
    return Response("\n".join(lines) + "\n", media_type="text/plain; version=0.0.4")


@router.get("/health")
def health(service: TheService) -> dict[str, str]:
    """Answer once the store answers."""
    with service.store.reading() as unit:
        unit.find(Coach, limit=1)
    return {"state": "well"}
