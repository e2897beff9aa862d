"""
What two demo clients logged over twelve weeks, moved so that the phase is in its last week today.

The files are written by :mod:`mealplan.demo.life`. Everything moves by whole weeks, so weekdays
stay what they were.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from mealplan.checkin.decide.record import DecisionRecord
from mealplan.checkin.log.csv_export import write_csv
from mealplan.checkin.log.entries import ENTRY, AnyEntry
from mealplan.checkin.log.log import Log
from mealplan.checkin.phase import look_back, phases_of
from mealplan.client.intake import Intake
from mealplan.client.read import parse_intake
from mealplan.demo.folders import DemoResult, demo_intake, pages_of, write_files
from mealplan.render.html import review_html, stylesheet

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
        One of :data:`mealplan.demo.folders.DEMO_CLIENTS`.
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
    path = files("mealplan.demo") / "histories" / f"{client}.json"
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


def history_pages(client: str) -> dict[str, str]:
    """
    Write a demo client's log as a table, and the phase looked back on, dated as their intake.

    Parameters
    ----------
    client : str
        One of :data:`mealplan.demo.folders.DEMO_CLIENTS`.

    Returns
    -------
    dict of str to str
        Text by name of file; none for a client who has logged nothing.
    """
    past = demo_history(client)
    if past is None:
        return {}
    last = max(entry.on for entry in past.log.entries)
    latest = phases_of(past.intake, past.log, last)[0]
    return {
        "log.csv": write_csv(past.log),
        "review.html": review_html(past.intake.role, look_back(past.intake, past.log, latest)),
    }


def write_demo(out: Path, client: str, result: DemoResult) -> tuple[str, ...]:
    """
    Write a demo client's folder; its pages share one style sheet beside the folders.

    The plan itself is left out: ``mealplan demo --json`` prints it.

    Parameters
    ----------
    out : Path
        Where folders go; made when missing, files of the same names are replaced.
    client : str
        One of :data:`mealplan.demo.folders.DEMO_CLIENTS`.
    result : DemoResult

    Returns
    -------
    tuple of str
        Names of the files in the client's folder.
    """
    pages = {**pages_of(result.intake, result.targets, result.plan), **history_pages(client)}
    inside, beside = f"<style>{stylesheet()}</style>", '<link rel="stylesheet" href="../style.css">'
    write_files(out, {"style.css": stylesheet()})
    write_files(out / client, {name: text.replace(inside, beside) for name, text in pages.items()})
    return tuple(pages)


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
