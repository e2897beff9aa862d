"""What one running service shares between requests."""

from __future__ import annotations

from dataclasses import dataclass

from api.settings import Settings
from mealplan.jobs import Jobs
from mealplan.store.base import Store


@dataclass(frozen=True)
class Service:
    """What one running service shares between requests."""

    store: Store
    settings: Settings
    jobs: Jobs
