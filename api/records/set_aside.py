"""What of a client's records was set aside because it cannot be read."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from mealplan.menu.running_plan import RunningPlan
from mealplan.store.base import Reader
from mealplan.store.documents import (
    DECISION,
    INTAKE,
    LOG_ENTRY,
    OWN_DISH,
    OWN_FOOD,
    PLAN,
    Document,
    Unreadable,
)
from mealplan.store.records import (
    Decision,
    IntakeVersion,
    Logged,
    OwnVersion,
    SavedPlan,
)


@dataclass(frozen=True)
class OnTheShelf:
    """A kept document that this release cannot read."""

    what: str
    """Kind and day or number, such as ``log entry of 1 December 2026``."""
    why: str


def set_aside_of(unit: Reader, client_id: str) -> tuple[OnTheShelf, ...]:
    """
    List a client's documents that are kept and cannot be read.

    Parameters
    ----------
    unit : Reader
    client_id : str

    Returns
    -------
    tuple of OnTheShelf
        Empty as a rule.
    """
    kept: list[tuple[str, str, Document[Any]]] = [
        (f"intake {row.number}", row.body, INTAKE)
        for row in unit.find(IntakeVersion, client_id=client_id)
    ]
    plans = unit.find(SavedPlan, client_id=client_id)
    kept += [(f"plan {row.number}", row.body, PLAN) for row in plans]
    for row in unit.find(Logged, client_id=client_id):
        kept.append((f"log entry of {row.day:%d %B %Y}", row.body, LOG_ENTRY))
    for decision in unit.find(Decision, client_id=client_id):
        kept.append((f"decision of {decision.day:%d %B %Y}", decision.body, DECISION))
    return _faults(kept)


def own_set_aside(unit: Reader, coach_id: str) -> tuple[OnTheShelf, ...]:
    """
    List a coach's own foods and dishes that are kept and cannot be read.

    Parameters
    ----------
    unit : Reader
    coach_id : str

    Returns
    -------
    tuple of OnTheShelf
    """
    return _faults(
        (f"{row.what} {row.key}", row.body, OWN_FOOD if row.what == "food" else OWN_DISH)
        for row in unit.find(OwnVersion, coach_id=coach_id)
        if row.body
    )


def _faults(kept: Iterable[tuple[str, str, Document[Any]]]) -> tuple[OnTheShelf, ...]:
    aside = []
    for what, body, document in kept:
        try:
            document.read(body)
        except Unreadable as error:
            aside.append(OnTheShelf(what, str(error)))
    return tuple(aside)


class _Held:
    """A running plan that can be looked up by identity."""

    def __init__(self, running: RunningPlan) -> None:
        self.running = running

    def __hash__(self) -> int:
        return id(self.running)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and self.running is other.running


@lru_cache(maxsize=64)
def _sheet(held: _Held, dates: tuple[dt.date, ...]) -> str:
    """Write the days planned together as the text of a kept plan."""
    return PLAN.write(held.running.plan_of(dates))


def sheet_text(running: RunningPlan, dates: tuple[dt.date, ...]) -> str:
    """
    Write days planned together as the text of a kept plan.

    Parameters
    ----------
    running : RunningPlan
    dates : tuple of date

    Returns
    -------
    str
    """
    return _sheet(_Held(running), dates)
