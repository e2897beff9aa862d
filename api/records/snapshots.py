"""
What a log said when it was last read, as text that can be kept.

Reading a log takes a tenth of a second, too long for a page that shows many of them. What was read
is kept with the revision of the log, the day, and a fingerprint of everything that read it; when
one of the three is another, the log is read again.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

from pydantic import TypeAdapter, ValidationError

from mealplan.checkin.decide.record import DecisionRecord
from mealplan.checkin.decide.status import Standing
from mealplan.physiology.guard.findings import Finding, ordered

NAMED: frozenset[str] = frozenset({"refuse", "override", "warn"})
"""Severities that the roster names."""
ASKED_AGAIN_DAYS = 7
"""A move that was decided on is not brought up again for this long (common practice). [days]"""

_STANDING: TypeAdapter[Standing] = TypeAdapter(Standing)


def pack(standing: Standing) -> str:
    """
    Turn what a log said into text.

    Parameters
    ----------
    standing : Standing

    Returns
    -------
    str
        JSON, every number to its last digit.
    """
    return _STANDING.dump_json(standing).decode()


def unpack(text: str) -> Standing | None:
    """
    Read what :func:`pack` wrote.

    Parameters
    ----------
    text : str

    Returns
    -------
    Standing or None
        None when it does not read, so that the log is read again.
    """
    try:
        return _STANDING.validate_json(text)
    except ValidationError:
        return None


@cache
def maker() -> str:
    """
    Take a fingerprint of the code and reference values that read a log.

    Returns
    -------
    str
        Another one whenever any of them changes.
    """
    digest = hashlib.sha256()
    for path, entry in sorted(_sources(files("mealplan"), "")):
        digest.update(path.encode() + b"\0" + hashlib.sha256(entry.read_bytes()).digest())
    return digest.hexdigest()


def _sources(folder: Traversable, prefix: str) -> list[tuple[str, Traversable]]:
    found: list[tuple[str, Traversable]] = []
    for entry in folder.iterdir():
        path = f"{prefix}/{entry.name}"
        if entry.is_dir():
            found += _sources(entry, path)
        elif entry.name.endswith((".py", ".csv")):
            found.append((path, entry))
    return found


def gravest_warning(standing: Standing) -> Finding | None:
    """
    Pick the warning that the roster names.

    Parameters
    ----------
    standing : Standing

    Returns
    -------
    Finding or None
        None when there are notes at most.
    """
    named = [warning for warning in standing.warnings if warning.severity in NAMED]
    return ordered(named)[0] if named else None


def open_move(standing: Standing, decisions: Sequence[DecisionRecord], today: dt.date) -> float:
    """
    Say which step waits for the coach.

    Parameters
    ----------
    standing : Standing
    decisions : sequence of DecisionRecord
    today : date

    Returns
    -------
    float
        0 when none is proposed, or one was decided on within the week. [kcal/day]
    """
    since = today - dt.timedelta(days=ASKED_AGAIN_DAYS)
    if standing.proposal.verdict != "move" or any(made.on > since for made in decisions):
        return 0.0
    return standing.proposal.step_kcal
