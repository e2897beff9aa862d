"""
From somebody else's table to a log: guess, say why, ask, and lose nothing.

Units, decimal mark and date order are guessed with a reason each and must be confirmed before the
entries join a log. Every cell that says something ends in an entry, beside one, or in the list of
what could not be read, with its line, why, and how to mend it.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from pydantic import ValidationError

from mealplan.checkin.log.csv_cells import (
    CellError,
    Field,
    is_blank,
    read_date,
    read_mass,
    read_number,
    read_time,
)
from mealplan.checkin.log.csv_export import JSON_FIELDS
from mealplan.checkin.log.csv_layout import table_of
from mealplan.checkin.log.csv_meaning import (
    SITES,
    Choices,
    CsvPart,
    CsvTable,
    Guess,
    TableMeaning,
    meaning_of,
    unit_of_cell,
)
from mealplan.checkin.log.entries import (
    ENTRY,
    KINDS,
    AnyEntry,
    CycleDay,
    Girth,
    GirthSite,
    IntakeRecord,
    Log,
    Superseded,
    WeighIn,
)
from mealplan.errors import CheckInError
from mealplan.units import CM_PER_INCH, kcal_from_kj

LONGEST_NOTE = 2000
MOST_BYTES = 5_000_000


class Unread(CsvPart):
    """A row or a cell that could not be read; nothing of it is thrown away."""

    line: int
    column: str
    what: str
    why: str
    mend: str
    row: tuple[str, ...]


class CsvReading(CsvPart):
    """
    What was understood of a file.

    Attributes
    ----------
    entries : tuple of entries
    history : tuple of Superseded
        Only from files this program wrote.
    guesses : tuple of Guess
    unread : tuple of Unread
    rows : int
        Rows that say anything, the heading left out.
    """

    entries: tuple[AnyEntry, ...]
    history: tuple[Superseded, ...] = ()
    guesses: tuple[Guess, ...]
    unread: tuple[Unread, ...]
    rows: int

    @property
    def open_guesses(self) -> tuple[Guess, ...]:
        """Guesses that somebody has to confirm."""
        return tuple(guess for guess in self.guesses if not guess.sure)

    def to_log(self, *, confirmed: bool) -> Log:
        """
        Return the entries as a log.

        Parameters
        ----------
        confirmed : bool
            True once the client or coach has agreed with every open guess.

        Raises
        ------
        CheckInError
            When guesses are open and nobody confirmed them.
        """
        if self.open_guesses and not confirmed:
            asked = "; ".join(f"{g.topic}: {g.choice} ({g.reason})" for g in self.open_guesses)
            raise CheckInError(
                f"the file leaves open what it means: {asked}. Confirm, or choose otherwise"
            )
        return Log(entries=self.entries, history=self.history)


def read_csv(
    text: str, choices: Choices | None = None, *, expected_kg: float | None = None
) -> CsvReading:
    """
    Read a table of weigh-ins and whatever else it holds.

    Parameters
    ----------
    text : str
        With a heading row; comma, semicolon or tab between cells.
    choices : Choices, optional
        What somebody already said about it.
    expected_kg : float, optional
        The client's mass, to tell the unit by. [kg]

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
    table = table_of(text)
    if table.heading and table.heading[0].strip() == "kind" and "on" in table.heading:
        return _read_own(table)
    return _read_foreign(table, choices or Choices(), expected_kg)


# ---- files this program wrote -----------------------------------------------------------------


def _read_own(table: CsvTable) -> CsvReading:
    entries: list[AnyEntry] = []
    history: list[Superseded] = []
    unread: list[Unread] = []
    for line, cells in table.lines:
        data = dict(zip(table.heading, cells, strict=False))
        why = _without_apostrophe(data.pop("superseded", ""))
        try:
            entry = ENTRY.validate_python(_own_fields(data))
        except (ValidationError, ValueError) as error:
            unread.append(
                Unread(
                    line=line,
                    column="",
                    what=f"this {data.get('kind', '')!r} row",
                    why=_first_message(error),
                    mend="mend the cell it names and import the file again",
                    row=cells,
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
        rows=len(table.lines),
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


def _first_message(error: Exception) -> str:
    if isinstance(error, ValidationError):
        first = error.errors(include_url=False, include_context=False, include_input=False)[0]
        place = ".".join(str(part) for part in first["loc"][1:])
        message = str(first["msg"]).removeprefix("Value error, ")
        return f"{place}: {message}" if place else message
    return str(error)


# ---- files from elsewhere ---------------------------------------------------------------------


def _read_foreign(table: CsvTable, choices: Choices, expected_kg: float | None) -> CsvReading:
    meaning, guesses = meaning_of(table, choices, expected_kg)
    entries: list[AnyEntry] = []
    unread = [_title(line, cells) for line, cells in table.titles]
    for line, cells in table.lines:
        got, lost = _read_row(line, cells, meaning)
        entries += got
        unread += lost
    return CsvReading(
        entries=tuple(entries),
        guesses=(*guesses, *_other_units(entries, meaning)),
        unread=tuple(unread),
        rows=len(table.lines),
    )


def _title(line: int, cells: tuple[str, ...]) -> Unread:
    said = " ".join(cell.strip() for cell in cells if cell.strip())
    return Unread(
        line=line,
        column="",
        what=f"the row {said[:60]!r} above the heading",
        why="it is a title and holds no reading",
        mend="nothing has to be done",
        row=cells,
    )


def _other_units(entries: Sequence[AnyEntry], meaning: TableMeaning) -> tuple[Guess, ...]:
    """Ask about masses without a unit that were taken in another one than their column's."""
    found = [
        entry
        for entry in entries
        if isinstance(entry, WeighIn)
        and entry.unit != meaning.mass_unit
        and not any(letter.isalpha() for letter in entry.written)
    ]
    if not found or meaning.expected_kg is None:
        return ()
    said = ", ".join(entry.written for entry in found[:MOST_NAMED])
    more = f" and {len(found) - MOST_NAMED} more" if len(found) > MOST_NAMED else ""
    units = " or ".join(sorted({entry.unit for entry in found}))
    return (
        Guess(
            topic="mass unit",
            column=next((n for p, n in enumerate(meaning.heading)
                         if meaning.fields.get(p) == "mass"), ""),
            choice=f"{said}{more} in {units}",
            reason=f"only so they are near the client's {meaning.expected_kg:.1f} kg",
        ),
    )  # fmt: skip


MOST_NAMED = 5
"""Cells named in one sentence; the rest are counted."""


def _read_row(
    line: int, cells: tuple[str, ...], meaning: TableMeaning
) -> tuple[list[AnyEntry], list[Unread]]:
    row = _Row(line, cells)
    by_field = _sorted_cells(row, meaning)
    date_name, date_cell = by_field.pop("date", ("date", ""))
    try:
        on, at = read_date(date_cell, meaning.order)
    except CellError as error:
        row.lose(date_name, "the whole row", error.why, error.mend)
        return [], row.unread
    if "time" in by_field:
        name, cell = by_field.pop("time")
        if not is_blank(cell):
            try:
                at = read_time(cell)
            except CellError as error:
                row.lose(name, f"the time {cell.strip()!r}", error.why, error.mend)
    note_name, note = by_field.pop("note", ("", ""))
    adherence_name, adherence = by_field.pop("adherence", ("", ""))
    if adherence.strip() and "energy" not in by_field:
        by_field["energy"] = (adherence_name, "")
    entries = _entries(row, by_field, on, at, adherence, meaning)
    _keep_beside(row, entries, note_name, note.strip(), date_cell)
    return entries, row.unread


@dataclass
class _Row:
    """One row as it is read: its cells, those of no known column, and what could not be read."""

    line: int
    cells: tuple[str, ...]
    extras: list[tuple[str, str]] = field(default_factory=list)
    unread: list[Unread] = field(default_factory=list)

    def lose(self, column: str, what: str, why: str, mend: str) -> None:
        self.unread.append(
            Unread(line=self.line, column=column, what=what, why=why, mend=mend, row=self.cells)
        )


def _sorted_cells(row: _Row, meaning: TableMeaning) -> dict[Field, tuple[str, str]]:
    """Give the cells that mean something with their headings; others stay beside."""
    by_field: dict[Field, tuple[str, str]] = {}
    for place, cell in enumerate(row.cells):
        name = meaning.heading[place] if place < len(meaning.heading) else f"column {place + 1}"
        means = meaning.fields.get(place)
        if means is not None:
            by_field[means] = (name, cell)
        elif cell.strip():
            row.extras.append((name, cell.strip()))
    return by_field


def _entries(
    row: _Row,
    by_field: Mapping[Field, tuple[str, str]],
    on: dt.date,
    at: dt.time | None,
    adherence: str,
    meaning: TableMeaning,
) -> list[AnyEntry]:
    entries: list[AnyEntry] = []
    for means, (name, cell) in by_field.items():
        if is_blank(cell) and not (means == "energy" and adherence.strip()):
            if cell.strip():
                row.extras.append((name, cell.strip()))
            continue
        try:
            entries.append(_entry(means, cell, on, at, adherence, meaning))
        except (CellError, ValidationError, ValueError) as error:
            why = error.why if isinstance(error, CellError) else _first_message(error)
            mend = error.mend if isinstance(error, CellError) else "correct the number or its unit"
            row.lose(name, f"the {means} {cell.strip()!r}", why, mend)
    return entries


def _keep_beside(
    row: _Row, entries: list[AnyEntry], note_name: str, note: str, date_cell: str
) -> None:
    """Keep a row's note and its columns of other kinds with the row's first entry."""
    beside: dict[str, Any] = {}
    if len(note) > LONGEST_NOTE:
        row.lose(
            note_name,
            f"a note of {len(note)} characters",
            f"a note has {LONGEST_NOTE} characters at most",
            "shorten it, or split it over two rows",
        )
    elif note:
        beside["note"] = note
    if row.extras:
        beside["extras"] = tuple(row.extras)
    if beside and entries:
        entries[0] = entries[0].model_copy(update=beside)
    elif beside or not (entries or row.unread):
        held = [f"{n}={v}" for n, v in ((note_name, note), *row.extras) if v]
        row.lose(
            "",
            "; ".join(held) or f"the date {date_cell.strip()!r}",
            "there is nothing in the row it could belong to",
            "add a weight, a girth or an intake to the row",
        )


def _entry(
    field: Field,
    cell: str,
    on: dt.date,
    at: dt.time | None,
    adherence: str,
    meaning: TableMeaning,
) -> AnyEntry:
    comma = meaning.decimal_comma
    if field == "mass":
        value, unit = read_mass(cell, meaning.mass_unit, decimal_comma=comma)
        if not any(letter.isalpha() for letter in cell.partition("(")[0]):
            unit = unit_of_cell(value, meaning)
        return WeighIn(on=on, at=at, value=value, unit=unit, written=cell.strip())
    if field == "energy":
        return _intake(cell, on, at, adherence, meaning)
    if field == "cycle day":
        value, _ = read_number(cell, decimal_comma=comma)
        return CycleDay(on=on, at=at, day=int(value) if value == int(value) else -1)
    if field in SITES:
        value, named = read_number(cell, decimal_comma=comma)
        inches = (named or meaning.girth_unit) == "in"
        if named is None and not inches and field in TRUNK and value < LEAST_TRUNK_CM:
            raise CellError(
                f"a {field} of {value:g} cm is no adult's; as inches it would be "
                f"{value * CM_PER_INCH:.0f} cm",
                f"write its unit behind it, such as {value:g} in",
            )
        return Girth(
            on=on,
            at=at,
            site=field,
            value=value,
            unit="in" if inches else "cm",
            written=cell.strip(),
        )
    raise CellError(f"a {field} has no place of its own", "leave the column out")


TRUNK: frozenset[GirthSite] = frozenset({"waist", "abdomen", "hip", "chest"})
LEAST_TRUNK_CM = 45.0
"""A girth of the trunk without a unit below this was in inches (common practice). [cm]"""
MOST_BARE_KCAL = 7000.0
"""A day's energy without a unit above this is set aside (common practice). [kcal]"""
ADHERENCE_WORDS: dict[str, Literal["as planned", "roughly", "other"]] = {
    "as planned": "as planned", "yes": "as planned", "plan": "as planned", "y": "as planned",
    "roughly": "roughly", "mostly": "roughly", "about": "roughly",
    "other": "other", "no": "other", "off": "other", "n": "other",
}  # fmt: skip


def _intake(
    cell: str, on: dt.date, at: dt.time | None, adherence: str, meaning: TableMeaning
) -> IntakeRecord:
    said = ADHERENCE_WORDS.get(adherence.strip().lower())
    if adherence.strip() and said is None:
        raise CellError(
            f"{adherence.strip()!r} is not a way of eating", "write as planned, roughly or other"
        )
    if is_blank(cell):
        return IntakeRecord(on=on, at=at, adherence=said or "other")
    value, named = read_number(cell, decimal_comma=meaning.decimal_comma)
    unit = named if named in ("kcal", "kj") else meaning.energy_unit
    if named is None and unit == "kcal" and value > MOST_BARE_KCAL:
        raise CellError(
            f"{value:g} kcal is more than a day's eating; as kJ it would be "
            f"{kcal_from_kj(value):.0f} kcal",
            f"write its unit behind it, such as {value:g} kJ",
        )
    kcal = kcal_from_kj(value) if unit == "kj" else value
    return IntakeRecord(
        on=on, at=at, adherence=said or "other", kcal=kcal, written=f"{cell.strip()} {unit}"
    )


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
