"""The training week as rows of a form: day, sport, how long, how hard, at which time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from mealplan.client.session_lines import read_sessions, says_how_long, says_when
from mealplan.client.training_words import LOADS, WORDS, find_sport
from mealplan.errors import IntakeError
from mealplan.physiology.expenditure.exercise import find_activities

PARTS = ("day", "sport", "minutes", "hard", "time")
"""Questions of a row."""
LABELS = {
    "day": "Day", "sport": "Sport", "minutes": "How long", "hard": "How hard", "time": "At",
}  # fmt: skip
HOW_HARD = tuple(dict.fromkeys(LOADS.values()))
SPORTS = tuple(sorted(WORDS))
"""What people say, to choose from while typing; other words of the compendium do as well."""
SHOWN = 4
"""Rows that stand open on a new form."""
SPARE = 6
"""Empty rows behind them."""
MOST = 40
"""Most rows that are read."""
NEAR = 4
"""Activities offered for words that fit none alone."""


def name_of(row: int, part: str) -> str:
    """
    Name a field of a row.

    Parameters
    ----------
    row : int
        Counted from 0.
    part : str
        One of :data:`PARTS`.

    Returns
    -------
    str
    """
    return f"session.{row}.{part}"


def rows_of(typed: Mapping[str, Sequence[str]]) -> int:
    """
    Count the rows up to the last one with anything in it.

    Parameters
    ----------
    typed : mapping
        Field name to the values as typed.

    Returns
    -------
    int
    """
    filled = [row for row in range(MOST) if any(_row(typed, row).values())]
    return filled[-1] + 1 if filled else 0


def _row(typed: Mapping[str, Sequence[str]], row: int) -> dict[str, str]:
    found = {part: typed.get(name_of(row, part), ()) for part in PARTS}
    return {part: " ".join(values[0].split()) if values else "" for part, values in found.items()}


def read_rows(
    typed: Mapping[str, Sequence[str]],
) -> tuple[list[dict[str, object]], dict[str, str]]:
    """
    Read the rows of a training week.

    Parameters
    ----------
    typed : mapping
        Field name to the values as typed.

    Returns
    -------
    sessions : list of dict
        Fields of each session, for :func:`mealplan.client.read.parse_intake`.
    faults : dict of str to str
        Field name to why it does not read and how to write it.
    """
    sessions: list[dict[str, object]] = []
    faults: dict[str, str] = {}
    for row in range(rows_of(typed)):
        parts = _row(typed, row)
        if not any(parts[part] for part in PARTS if part != "hard"):
            continue
        part, why = _fault(parts)
        if why:
            faults[name_of(row, part)] = why
            continue
        line = ", ".join(
            text
            for text in (parts["day"], parts["time"], parts["sport"], _length(parts["minutes"]))
            if text
        )
        try:
            read = read_sessions(line)
        except IntakeError as error:
            faults[name_of(row, _about(parts))] = str(error)
            continue
        load = {"load": parts["hard"]} if parts["hard"] else {}
        sessions += [session | load for session in read]
    return sessions, faults


def _length(text: str) -> str:
    bare = text.replace(".", "").rstrip("?")
    return f"{text.rstrip('?')} min{'?' * text.endswith('?')}" if bare.isdecimal() else text


def _fault(parts: Mapping[str, str]) -> tuple[str, str]:
    """Say what one box of a row lacks on its own, as (box, why)."""
    if not (parts["day"] or says_when(parts["sport"].partition(" ")[2])):
        return "day", "say on which day, such as mon, or tue and fri"
    if parts["day"] and not says_when(parts["day"]):
        return "day", f"“{parts['day'][:40]}” names no day; write such as mon, or tue and fri"
    if not parts["sport"]:
        return "sport", "say what it is, such as easy run or strength"
    if not parts["minutes"]:
        return "minutes", "say how long, such as 45 or 1 h 30"
    if not _reads_as_length(parts["minutes"]):
        return "minutes", f"“{parts['minutes'][:40]}” does not read; write such as 45 or 1 h 30"
    if parts["hard"] and parts["hard"] not in HOW_HARD:
        return "hard", f"choose one of {', '.join(HOW_HARD)}"
    if find_sport(parts["sport"]) is None:
        return "sport", _not_found(parts["sport"])
    return "", ""


def _reads_as_length(text: str) -> bool:
    try:
        return says_how_long(_length(text))
    except IntakeError:
        return False


def _not_found(sport: str) -> str:
    near = [found.activity for found in find_activities(sport[:80])[:NEAR]]
    said = f"“{sport[:60]}” does not name one sport of the compendium"
    return f"{said}; is it {' or '.join(near)}?" if near else f"{said}; try a plainer word"


def _about(parts: Mapping[str, str]) -> str:
    """Find the box that does not read, by reading the row without it."""
    for part, usual in (("time", ""), ("minutes", "45"), ("day", "mon")):
        tried = dict(parts) | {part: usual}
        line = ", ".join(
            text
            for text in (tried["day"], tried["time"], tried["sport"], _length(tried["minutes"]))
            if text
        )
        try:
            read_sessions(line)
        except IntakeError:
            continue
        return part
    return "sport"


def shown_rows(sessions: Sequence[Mapping[str, Any]]) -> dict[str, tuple[str, ...]]:
    """
    Turn the sessions of an intake into what its rows show.

    Parameters
    ----------
    sessions : sequence of mapping
        As the intake's JSON holds them.

    Returns
    -------
    dict
        Field name to its values.
    """
    typed: dict[str, tuple[str, ...]] = {}
    for row, session in enumerate(sessions):
        unsaid = session.get("assumed") or ()
        texts = {
            "day": session["day"] + "?" * ("day" in unsaid),
            "sport": called(session["activity"]),
            "minutes": f"{session['minutes']:g}" + "?" * ("minutes" in unsaid),
            "hard": session.get("load") or "",
            "time": session.get("time") or "",
        }
        typed |= {name_of(row, part): (str(text),) for part, text in texts.items() if text}
    return typed


def called(activity: str) -> str:
    """
    Say an activity as people do, where the words lead back to it.

    Parameters
    ----------
    activity : str
        Code or words, as an intake holds it.

    Returns
    -------
    str
    """
    return next((words for words, code in WORDS.items() if code == activity), activity)
