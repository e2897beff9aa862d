"""What one running service shares between requests."""

from __future__ import annotations

from dataclasses import dataclass, field

from api.jobs.log_refresh import LogReader
from api.jobs.pool import SolvePool
from api.settings import Settings
from mealplan.store.base import Store


@dataclass(frozen=True)
class Service:
    """What one running service shares between requests."""

    store: Store
    settings: Settings
    solves: SolvePool
    reader: LogReader = field(default_factory=LogReader)
