"""
A table to a log: the program's own file back to the last digit, anybody else's with its questions.

What somebody else's table means is worked out in :mod:`mealplan.checkin.table`.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Sequence
from typing import Any

from pydantic import ValidationError

from mealplan.checkin.log.csv_export import JSON_FIELDS
from mealplan.checkin.log.entries import ENTRY, KINDS, AnyEntry
from mealplan.checkin.log.log import Superseded
from mealplan.checkin.table.foreign import read_foreign
from mealplan.checkin.table.grid import Grid, grid_of
from mealplan.checkin.table.making import first_message
from mealplan.checkin.table.reading import Choices, CsvReading, Unread
from mealplan.errors import CheckInError

MOST_BYTES = 5_000_000


def read_csv(
    text: str,
    choices: Choices | None = None,
    *,
    expected_kg: float | None = None,
    today: dt.date | None = None,
) -> CsvReading:
    """
    Read a table of weigh-ins and whatever else it holds.

    Parameters
    ----------
    text : str
        Comma, semicolon, tab or stroke between cells.
    choices : Choices, optional
        What somebody already said about it.
    expected_kg : float, optional
        The client's mass, to tell the unit by. [kg]
    today : date, optional
        The client's day; later ones are asked about.

    Returns
    -------
    CsvReading

    Raises
    ------
    CheckInError
        When there is no table or no date column at all.
    """
    if len(text) > MOST_BYTES:
        raise CheckInError(
            f"the file has {len(text):,} characters, more than {MOST_BYTES:,}; a log of ten years "
            "is smaller: is it the right file?"
        )
    grid = grid_of(text)
    heading = grid.rows[0].cells
    if heading[0].strip() == "kind" and "on" in heading:
        return _read_own(grid)
    return read_foreign(grid, choices or Choices(), expected_kg, today)


def _read_own(grid: Grid) -> CsvReading:
    heading = grid.rows[0].cells
    entries: list[AnyEntry] = []
    history: list[Superseded] = []
    unread: list[Unread] = []
    for row in grid.rows[1:]:
        data = dict(zip(heading, row.cells, strict=False))
        why = _without_apostrophe(data.pop("superseded", ""))
        try:
            entry = ENTRY.validate_python(_own_fields(data))
        except (ValidationError, ValueError) as error:
            unread.append(
                Unread(
                    line=row.line,
                    column="",
                    what=f"this {data.get('kind', '')!r} row",
                    why=first_message(error) if isinstance(error, ValidationError) else str(error),
                    mend="mend the cell it names and import the file again",
                    row=row.cells,
                )
            )
            continue
        if why:
            history.append(Superseded(entry=entry, why=why))
        else:
            entries.append(entry)
    return CsvReading(
        entries=tuple(entries),
        history=tuple(history),
        guesses=(),
        unread=tuple(unread),
        rows=len(grid.rows) - 1,
    )


def _without_apostrophe(cell: str) -> str:
    return cell[1:] if cell.startswith("'") else cell


def _own_fields(cells: dict[str, str]) -> dict[str, Any]:
    model = KINDS.get(cells.get("kind", ""))
    if model is None:
        raise ValueError(f"the kind {cells.get('kind', '')!r} is not known")
    data: dict[str, Any] = {"kind": cells["kind"]}
    for name, cell in cells.items():
        if cell == "" or name == "kind":
            continue
        if name not in model.model_fields:
            raise ValueError(f"{cells['kind']!r} has no {name!r}")
        data[name] = json.loads(cell) if name in JSON_FIELDS else _without_apostrophe(cell)
    return data


_BESIDE = {"id", "note", "extras", "written", "confirmed", "conditions"}
"""What two records of one reading may differ in."""


def without_repeats(
    entries: Sequence[AnyEntry], known: Iterable[AnyEntry]
) -> tuple[tuple[AnyEntry, ...], int]:
    """
    Leave out readings that are logged already, or stand twice in one table.

    Parameters
    ----------
    entries : sequence of entries
        Of a table.
    known : iterable of entries
        Of the log.

    Returns
    -------
    entries : tuple of entries
        Those that are new.
    repeated : int
        How many were left out.
    """
    seen = {entry.model_dump_json(exclude=_BESIDE) for entry in known}
    new = []
    for entry in entries:
        said = entry.model_dump_json(exclude=_BESIDE)
        if said not in seen:
            seen.add(said)
            new.append(entry)
    return tuple(new), len(entries) - len(new)
