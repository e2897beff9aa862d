"""A change of a plan that was made and not kept yet, and what a reader must know of a plan."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
from dataclasses import dataclass, field

from mealplan.menu.running_plan import Admitted
from mealplan.plan import PlanDay


@dataclass(frozen=True)
class MadeChange:
    """Planned days on their way into a client's plan."""

    body: str
    """The plan as JSON text: days planned anew, or a sheet with one day changed."""
    was: int
    """Number of the change it follows; 0 for the first."""
    intake_number: int
    """Intake it was made from."""
    reason: str
    """In words, for the history."""
    shown: dict[str, list[list[str]]] = field(default_factory=dict)
    """ISO date to the days' dish keys turned down for it, oldest first."""
    changes: dt.date | None = None
    """The changed day; None for days planned anew."""
    logged: tuple[int, ...] = ()
    """Meals of that day whose place the logged food takes."""

    def written(self) -> str:
        """
        Write it as text.

        Returns
        -------
        str
            JSON, for :func:`read_change`.
        """
        return json.dumps(dataclasses.asdict(self), default=str)


def read_change(text: str) -> MadeChange:
    """
    Read a change that was written.

    Parameters
    ----------
    text : str
        As :meth:`MadeChange.written` gives it.

    Returns
    -------
    MadeChange
    """
    data = json.loads(text)
    date = data["changes"]
    return MadeChange(
        **data
        | {
            "changes": dt.date.fromisoformat(date) if date else None,
            "logged": tuple(data["logged"]),
        }
    )


@dataclass(frozen=True)
class PlanStatus:
    """What whoever reads planned days must know of them."""

    behind: tuple[dt.date, ...] = ()
    """Days from today on that were planned from older targets than those in force."""
    refused: str = ""
    """Why nothing may be planned any further; empty when it may."""


@dataclass(frozen=True)
class Outlook:
    """What a change would do to a plan, before it is kept."""

    said: str
    """In words."""
    days: tuple[tuple[PlanDay | None, PlanDay], ...]
    """Each day it touches, as it stands and as it would be; None where nothing stands."""
    explained: tuple[str, ...] = ()
    """Of days planned anew: what they miss and what they take, in sentences."""


def said_of(reason: str, admitted: Admitted) -> str:
    """
    Add to a reason what stays as it is, and what a change elsewhere brought with it.

    Parameters
    ----------
    reason : str
    admitted : Admitted

    Returns
    -------
    str
    """
    said = [reason]
    if admitted.stayed:
        days = ", ".join(f"{day:%A %d %B}" for day in admitted.stayed)
        said.append(f"Stays as it is, since it has begun: {days}.")
    if admitted.mended:
        days = ", ".join(f"{day:%A %d %B}" for day in admitted.mended)
        said.append(f"Cooked anew, since its kept portion is gone: {days}.")
    return " ".join(part if part.endswith(".") or len(said) == 1 else f"{part}." for part in said)
