"""What every page is given: the base of all contexts."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar

from api.records.changes import PlanStatus


@dataclass(frozen=True)
class PageContext:
    """Base of all; the template it fills."""

    template: ClassVar[str] = ""


@dataclass(frozen=True)
class PlannedPage(PageContext):
    """Base of what shows planned days."""

    status: PlanStatus = field(default_factory=PlanStatus, kw_only=True)
    """Whether they are from older targets, or nothing to act on any more."""
