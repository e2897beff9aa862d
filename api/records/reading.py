"""Kept documents of a client, opened: what is read once is kept at hand by its text."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import threading
from collections.abc import Sequence
from contextlib import suppress
from functools import lru_cache

from mealplan.checkin.decide.record import DecisionRecord
from mealplan.checkin.log.entries import AnyEntry
from mealplan.checkin.log.log import Log, Superseded
from mealplan.client.intake import Intake
from mealplan.menu.running_plan import NOTHING_PLANNED, Revision, RunningPlan, after
from mealplan.plan import Plan
from mealplan.store.base import NotThere, Reader
from mealplan.store.documents import (
    DECISION,
    INTAKE,
    LOG_ENTRY,
    PLAN,
    Unreadable,
)
from mealplan.store.records import (
    Client,
    Decision,
    IntakeVersion,
    Logged,
    SavedPlan,
)
from mealplan.targets.make import make_targets
from mealplan.targets.ranges import Targets


@lru_cache(maxsize=512)
def hides_numbers(body: str) -> bool:
    """
    Say whether an intake kept as text keeps weights and calories from its client.

    Parameters
    ----------
    body : str

    Returns
    -------
    bool
    """
    return INTAKE.read(body).numbers_hidden


@lru_cache(maxsize=128)
def intake_of(body: str) -> Intake:
    """
    Read an intake kept as text.

    Parameters
    ----------
    body : str

    Returns
    -------
    Intake
    """
    return INTAKE.read(body)


@lru_cache(maxsize=128)
def targets_of(body: str) -> Targets:
    """
    Work targets out of an intake kept as text.

    Parameters
    ----------
    body : str

    Returns
    -------
    Targets
    """
    return make_targets(intake_of(body))


@lru_cache(maxsize=64)
def plan_of(body: str) -> Plan:
    """
    Read a plan kept as text.

    Parameters
    ----------
    body : str

    Returns
    -------
    Plan
    """
    return PLAN.read(body)


def forget_read() -> None:
    """Let go of everything this process has read out of kept text."""
    for read in (hides_numbers, intake_of, targets_of, plan_of):
        read.cache_clear()
    with _lock:
        _running.clear()


_lock = threading.Lock()
_running: dict[tuple[str, int], RunningPlan] = {}
"""Plans as they stood after a kept change, by its identifier; changes are only ever added."""
RUNNING_KEPT = 48
"""Plans at hand."""


def revision_of(row: SavedPlan) -> Revision:
    """
    Read a kept change of a plan.

    Parameters
    ----------
    row : SavedPlan

    Returns
    -------
    Revision
    """
    change = json.loads(row.change)
    return Revision(
        number=row.number,
        plan=PLAN.read(row.body),
        removed=tuple(dt.date.fromisoformat(day) for day in change.get("removed", ())),
        sheets={
            dt.date.fromisoformat(day): int(sheet)
            for day, sheet in change.get("sheets", {}).items()
        },
        undoes=int(change.get("undoes", 0)),
        intake=row.intake_number,
    )


def running_of(unit: Reader, client: Client, number: int | None = None) -> RunningPlan:
    """
    Read a client's plan as it stands, or stood after one of its changes.

    Parameters
    ----------
    unit : Reader
    client : Client
    number : int, optional
        Of the change; the last one when left out.

    Returns
    -------
    RunningPlan

    Raises
    ------
    NotThere
        When no change of this number is kept.
    """
    wanted = client.plan_number if number is None else number
    if not wanted and number is None:
        return NOTHING_PLANNED
    last = unit.find(SavedPlan, client_id=client.id, number=wanted)
    if not last:
        raise NotThere(f"the {client.role} has no plan {wanted or 'yet'}; plan a week first")
    key = (last[0].id, hash(last[0].body))
    known = _running.get(key)
    if known is None:
        known = _folded(unit.find(SavedPlan, client_id=client.id), wanted)
        with _lock:
            while len(_running) >= RUNNING_KEPT:
                del _running[next(iter(_running))]
            _running[key] = known
    return known


def _folded(rows: Sequence[SavedPlan], wanted: int) -> RunningPlan:
    """Fold kept changes up to one; what cannot be read is set aside."""
    running = NOTHING_PLANNED
    for row in sorted(rows, key=lambda row: row.number):
        if row.number <= wanted:
            with suppress(Unreadable):
                running = after(running, revision_of(row))
    return dataclasses.replace(running, number=wanted)


def version_in_force(unit: Reader, client: Client, number: int | None = None) -> IntakeVersion:
    """
    Look up the intake in force, or one by its number.

    Parameters
    ----------
    unit : Reader
    client : Client
    number : int, optional

    Returns
    -------
    IntakeVersion

    Raises
    ------
    NotThere
        When there is none of this number.
    """
    wanted = number if number is not None else client.intake_number
    found = unit.find(IntakeVersion, client_id=client.id, number=wanted)
    if not found:
        raise NotThere(f"the {client.role} has no intake number {wanted}; the file lists them")
    return found[0]


def log_of(unit: Reader, client_id: str) -> Log:
    """
    Read a client's log; entries that do not read are left out, see :func:`set_aside_of`.

    Parameters
    ----------
    unit : Reader
    client_id : str

    Returns
    -------
    Log
    """
    entries: list[AnyEntry] = []
    history: list[Superseded] = []
    for row in unit.find(Logged, client_id=client_id):
        try:
            entry = LOG_ENTRY.read(row.body)
        except Unreadable:
            continue
        if row.gone_at is None:
            entries.append(entry)
        else:
            history.append(Superseded(entry=entry, why=row.why))
    return Log(entries=tuple(entries), history=tuple(history))


def decisions_of(unit: Reader, client_id: str) -> tuple[DecisionRecord, ...]:
    """
    Read what was decided on proposals; what does not read is left out, see :func:`set_aside_of`.

    Parameters
    ----------
    unit : Reader
    client_id : str

    Returns
    -------
    tuple of DecisionRecord
        Oldest first.
    """
    found = []
    for row in unit.find(Decision, client_id=client_id):
        try:
            found.append(DECISION.read(row.body))
        except Unreadable:
            continue
    return tuple(found)
