"""The JSON interface: the pages' data, for programs."""

from __future__ import annotations

from fastapi import APIRouter

from api.json import checkins, clients, plans, sign_in
from api.json.answers import REFUSALS

router = APIRouter(prefix="/api", responses=REFUSALS)
for part in (clients, plans, checkins, sign_in):
    router.include_router(part.router)
