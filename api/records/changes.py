"""A change of a plan that was made and not kept yet."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
from dataclasses import dataclass, field


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
