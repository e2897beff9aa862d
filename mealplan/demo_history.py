"""
What two demo clients logged over twelve weeks, moved so that the phase is in its last week today.

The files are written by :mod:`mealplan.demo_life`. Everything moves by whole weeks, so weekdays
stay what they were.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from pydantic import TypeAdapter

from mealplan.checkin.log import ENTRY, AnyEntry, Log
from mealplan.checkin.proposal import DecisionRecord
from mealplan.demo import demo_intake
from mealplan.intake import Intake, parse_intake

DEMO_HISTORIES = ("club-lifter", "club-climber")
"""Demo clients with twelve logged weeks."""
LAST_WEEK = dt.timedelta(weeks=11)
"""From the start of the phase to its last week."""

_DECISIONS: TypeAdapter[tuple[DecisionRecord, ...]] = TypeAdapter(tuple[DecisionRecord, ...])


@dataclass(frozen=True)
class History:
    """A client's twelve weeks."""

    intake: Intake
    """As it was at the start of the phase."""
    log: Log
    decisions: tuple[DecisionRecord, ...]


def demo_history(client: str, today: dt.date | None = None) -> History | None:
    """
    Read a demo client's twelve weeks.

    Parameters
    ----------
    client : str
        One of :data:`mealplan.demo.DEMO_CLIENTS`.
    today : date, optional
        Moves the phase so that this day is in its last week, and leaves out what comes after; the
        dates as written without it.

    Returns
    -------
    History or None
        None for a client who has logged nothing.
    """
    if client not in DEMO_HISTORIES:
        return None
    path = files("mealplan") / "demo_histories" / f"{client}.json"
    data = json.loads(path.read_text(encoding="utf-8"))
    intake = demo_intake(client)
    move = dt.timedelta(0)
    if today is not None:
        latest = today - LAST_WEEK
        move = dt.timedelta(weeks=(latest - intake.start).days // 7)
    entries = tuple(_moved(ENTRY.validate_python(entry), move) for entry in data["entries"])
    decisions = tuple(
        made.model_copy(update={"on": made.on + move})
        for made in _DECISIONS.validate_python(data["decisions"])
    )
    end = today or dt.date.max
    return History(
        intake=moved_intake(intake, move),
        log=Log(entries=tuple(entry for entry in entries if entry.on <= end)),
        decisions=tuple(made for made in decisions if made.on <= end),
    )


def _moved(entry: AnyEntry, move: dt.timedelta) -> AnyEntry:
    days = {"on": entry.on + move}
    until = getattr(entry, "until", None)
    if until is not None:
        days["until"] = until + move
    return entry.model_copy(update=days)


def moved_intake(intake: Intake, move: dt.timedelta) -> Intake:
    """
    Move every date of an intake.

    Parameters
    ----------
    intake : Intake
    move : timedelta
        Whole days.

    Returns
    -------
    Intake
    """
    data: dict[str, Any] = intake.model_dump(mode="json", exclude_unset=True)
    data["start"] = (intake.start + move).isoformat()
    for part in ("scan", "girths", "resting_test"):
        measured = getattr(intake, part)
        if measured is not None and measured.date is not None:
            data[part]["date"] = (measured.date + move).isoformat()
    return parse_intake(data)
