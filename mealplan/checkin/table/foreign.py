"""Reading somebody else's table from text to entries and questions, one step after the other."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from mealplan.checkin.table.amounts import said_of, values_of
from mealplan.checkin.table.cell_items import CellError, plausible
from mealplan.checkin.table.cells import read_cell
from mealplan.checkin.table.column_content import Column
from mealplan.checkin.table.columns import BESIDE, columns_of
from mealplan.checkin.table.days import DayCell, DayFound, resolve_days
from mealplan.checkin.table.daytext import DayText, day_text, time_text
from mealplan.checkin.table.grid import Grid
from mealplan.checkin.table.headings import GIRTHS, read_heading
from mealplan.checkin.table.layout import LongRow, LongTable, blocks_of
from mealplan.checkin.table.making import make_entries
from mealplan.checkin.table.odd import question_odd
from mealplan.checkin.table.reading import (
    MOST_DOUBTS,
    Choices,
    ColumnTaken,
    CsvReading,
    Guess,
    Unread,
)
from mealplan.checkin.table.rows import (
    Sheet,
    drop_repeats,
    one_mass_a_row,
    read_items,
    settle_days,
    settle_items,
)
from mealplan.checkin.table.shapes import tables_of, year_in
from mealplan.checkin.table.split import joined_cells
from mealplan.checkin.table.units import Units, units_of
from mealplan.checkin.table.words import is_summary
from mealplan.errors import CheckInError


@dataclass
class Found:
    """What all tables of a file gave."""

    sheets: list[Sheet] = field(default_factory=list)
    guesses: list[Guess] = field(default_factory=list)
    columns: list[ColumnTaken] = field(default_factory=list)
    rows: int = 0


def read_foreign(
    grid: Grid, choices: Choices, expected_kg: float | None, today: dt.date | None
) -> CsvReading:
    """
    Read a table that somebody else made.

    Parameters
    ----------
    grid : Grid
    choices : Choices
        What somebody has settled already.
    expected_kg : float or None
        About what the client weighs. [kg]
    today : date or None
        The client's day.

    Returns
    -------
    CsvReading

    Raises
    ------
    CheckInError
        Without a column of dates.
    """
    found = Found()
    lone: list[LongTable] = []
    for block in blocks_of(grid.rows):
        tables, guesses = tables_of(block, choices, today)
        found.guesses += guesses
        for table in tables:
            if table.date is None:
                lone.append(table)
                continue
            _read_table(table, grid.mark, choices, expected_kg, today, found)
    if not found.sheets:
        names = ", ".join(repr(name) for name in (lone[0].heading if lone else ())[:12])
        raise CheckInError(f"no column of {names} is a date; name one 'date'")
    for table in lone:
        _lose_table(table, found)
    return _reading(found)


def _lose_table(table: LongTable, found: Found) -> None:
    for row in table.rows:
        found.sheets[0].unread.append(
            Unread(
                line=row.line,
                column="",
                what="the whole row",
                why="no column of its table is a date",
                mend="put a date before it",
                row=row.source,
            )
        )


def _reading(found: Found) -> CsvReading:
    """Put together what all tables gave; questions beyond what can be asked are left out."""
    sheets = found.sheets
    doubts = [doubt for sheet in sheets for doubt in sheet.doubts]
    if len(doubts) > MOST_DOUBTS:
        raise CheckInError(
            f"{len(doubts):,} cells of the table are doubtful, more than {MOST_DOUBTS} that can be "
            f"asked one by one, the first on line {doubts[0].line}: {doubts[0].why}; is it the "
            "client's table, and are its units right?"
        )
    return CsvReading(
        entries=tuple(entry for sheet in sheets for entry in sheet.entries),
        guesses=tuple(_once(found.guesses)),
        doubts=tuple(sorted(doubts, key=lambda doubt: doubt.line)),
        unread=tuple(sorted((u for s in sheets for u in s.unread), key=lambda one: one.line)),
        aside=tuple(sorted((u for s in sheets for u in s.aside), key=lambda one: one.line)),
        columns=tuple(found.columns),
        rows=found.rows,
    )


def _once(guesses: Sequence[Guess]) -> list[Guess]:
    return list(dict.fromkeys(guesses))


def _read_table(
    table: LongTable,
    mark: str,
    choices: Choices,
    expected_kg: float | None,
    today: dt.date | None,
    found: Found,
) -> None:
    """Read one table of one row a day."""
    prefix = f"table {len(found.sheets) + 1} " if found.sheets else ""
    table, unclear = _mended(table, mark, expected_kg, found)
    table = _with_stones(table)
    columns, asked = columns_of(table, table.date, choices, expected_kg)
    units, unit_guesses = units_of(table, columns, choices, expected_kg)
    found.guesses += [*_shape_guess(table), *asked, *unit_guesses]
    texts = [day_text(row.cells[table.date or 0]) for row in table.rows]
    days, day_guesses = _days(table, columns, texts, choices, today)
    found.guesses += day_guesses
    sheet = Sheet(table, columns, units, days, texts, dict(choices.cells), prefix)
    sheet.aside += table.aside
    _leave_sums(sheet)
    drop_repeats(sheet)
    _ask_unclear(sheet, unclear)
    settle_days(sheet)
    read_items(sheet)
    question_odd(sheet.items, sheet.chosen, expected_kg)
    one_mass_a_row(sheet)
    settle_items(sheet)
    make_entries(sheet)
    found.sheets.append(sheet)
    found.columns += _taken(columns, units)
    found.rows += len(table.rows)


def _taken(columns: Sequence[Column], units: Units) -> list[ColumnTaken]:
    """Say of each column what it is taken for."""
    taken = []
    for column in columns:
        if not column.cells and column.field is None:
            continue
        unit: str = units.mass.get(column.place) or units.girth.get(column.place) or ""
        unit = unit or (units.energy if column.field == "energy" else "")
        unit = unit or units.training.get(column.place, "")
        words = CALLED.get(str(column.field), str(column.field)) if column.field else BESIDE
        if column.side:
            words = f"{column.side} {words}"
        if column.field is None and column.why:
            words += f": {column.why}"
        shown = {"kj": "kJ", "mj": "MJ"}.get(str(unit), str(unit))
        taken.append(
            ColumnTaken(
                name=column.name,
                taken_for=f"{words}, {shown}" if shown and column.field else words,
                cells=column.cells,
            )
        )
    return taken


CALLED = {"mass": "body mass", "energy": "eaten", "session": "training in words",
          "adherence": "how the plan was kept"}  # fmt: skip


def _shape_guess(table: LongTable) -> list[Guess]:
    if table.made_up:
        return [
            Guess(
                topic="column",
                column=", ".join(table.heading),
                choice="as shown",
                reason="the table has no heading; its columns are taken so by what stands in them",
            )
        ]
    if table.shape.startswith(("days", "tables")):
        return [
            Guess(
                topic="shape", column="", choice=table.shape, reason="so its dates stand", sure=True
            )
        ]
    return []


def _with_stones(table: LongTable) -> LongTable:
    """Join a column of stones with the column of pounds beside it."""
    for place, name in enumerate(table.heading[:-1]):
        first, second = read_heading(name), read_heading(table.heading[place + 1])
        if "st" not in first.units or "lb" not in second.units or "st" in second.units:
            continue
        pairs = [(row.cells[place], row.cells[place + 1]) for row in table.rows]
        pounds = [
            values_of(said_of(b).parts[0].digits, None)[:1] for _, b in pairs if said_of(b).parts
        ]
        if not pounds or any(not value or value[0] >= 14 for value in pounds):
            continue
        rows = [
            replace(row, cells=(*row.cells[:place], _stones(row.cells, place), "",
                                *row.cells[place + 2 :]))
            for row in table.rows
        ]  # fmt: skip
        heading = (*table.heading[: place + 1], "pounds beside", *table.heading[place + 2 :])
        return replace(table, rows=tuple(rows), heading=heading)
    return table


def _stones(cells: Sequence[str], place: int) -> str:
    stones, pounds = cells[place].strip(), cells[place + 1].strip()
    if not any(letter.isdigit() for letter in stones):
        return stones or pounds
    plain = stones.lower().removesuffix("st").strip()
    return f"{plain} st {pounds.lower().removesuffix('lbs').removesuffix('lb').strip()}".strip()


# ---- rows that a comma parted -----------------------------------------------------------------


def _mended(
    table: LongTable, mark: str, expected_kg: float | None, found: Found
) -> tuple[LongTable, list[int]]:
    """Put rows together again that have a cell too many."""
    width = next(
        (n for n, name in enumerate(table.heading) if name == f"column {n + 1}"), len(table.heading)
    )
    if mark != "," or table.made_up or table.shape or width < max(2, (table.date or 0) + 1):
        return table, []
    if not any(any(cell.strip() for cell in row.cells[width:]) for row in table.rows):
        return table, []
    heads = [read_heading(name) for name in table.heading[:width]]

    def fits(place: int, cell: str) -> bool:
        if not cell.strip():
            return True
        if place >= width:
            return False
        if place == table.date:
            return day_text(cell) is not None
        kind, unit = heads[place].field, next(iter(heads[place].units), None)
        if kind not in ("mass", "energy", "steps", *GIRTHS):
            return True
        return _fits_kind(place, str(kind), unit, cell, expected_kg)

    mended_table, mended, unclear = joined_cells(table, fits, width)
    if unclear:
        mended_table = replace(
            mended_table,
            rows=tuple(
                replace(row, cells=(*row.cells[:width], *[""] * (width - len(row.cells))))
                for row in mended_table.rows
            ),
        )
    if mended:
        lines = ", ".join(str(line) for line in mended[:8])
        found.guesses.append(
            Guess(
                topic="decimal mark",
                column="",
                choice="comma",
                reason=f"{len(mended)} rows (line {lines}{' …' if len(mended) > 8 else ''}) had a "
                "cell too many: a comma within a number is put back, the only way that fits",
                sure=True,
            )
        )
    return mended_table, unclear


def _fits_kind(
    place: int, kind: str, unit: str | None, cell: str, expected_kg: float | None
) -> bool:
    """Say whether a cell can be an amount of its column's kind."""
    column = Column(place, "", kind, unit)  # type: ignore[arg-type]
    units = Units({}, "kj" if unit == "kj" else "kcal", {}, {}, None, None)
    for masses in [unit] if unit in ("kg", "lb", "st") else ["kg", "lb", "st"]:
        units.mass[place] = masses  # type: ignore[assignment]
        for lengths in [unit] if unit in ("cm", "in") else ["cm", "in"]:
            units.girth[place] = lengths  # type: ignore[assignment]
            try:
                item = read_cell(0, column, cell, units)
            except CellError:
                continue
            if item is None or (not item.why and plausible(kind, item.base)):
                near = item is None or kind != "mass" or expected_kg is None
                if near or abs(item.base / expected_kg - 1) < 0.4:  # type: ignore[union-attr,operator]
                    return True
    return False


def _ask_unclear(sheet: Sheet, unclear: Sequence[int]) -> None:
    """Leave out a row of which it is not clear which cells belong together."""
    for n in unclear:
        if n in sheet.left:
            continue
        sheet.left.add(n)
        sheet.lose(
            n,
            "",
            "the whole row",
            "it has a cell too many, and its commas can be put back in more than one way, or in "
            "none",
            "put quotation marks around numbers with a comma, or write them with a point",
        )


# ---- days -------------------------------------------------------------------------------------


def _leave_sums(sheet: Sheet) -> None:
    """Set rows aside that only sum others up, though they have a day."""
    texts = [c.place for c in sheet.columns if c.field not in ("date", "note", "session")]
    for n, row in enumerate(sheet.table.rows):
        if any(is_summary(row.cells[place]) for place in texts if row.cells[place].strip()):
            sheet.left.add(n)
            sheet.aside.append(
                Unread(
                    line=row.line,
                    column="",
                    what="the whole row",
                    why="it sums other rows up and holds no reading of its own",
                    mend="nothing has to be done",
                    row=row.source,
                )
            )


def _days(
    table: LongTable,
    columns: Sequence[Column],
    texts: Sequence[DayText | None],
    choices: Choices,
    today: dt.date | None,
) -> tuple[list[DayFound], tuple[Guess, ...]]:
    """Say which day each row is of; a row without one may be of the day above."""
    if any(row.day is not None for row in table.rows):
        return [row.day or DayFound(None) for row in table.rows], ()
    date = table.date or 0
    weekday = next((c.place for c in columns if c.field == "weekday"), None)
    clock = next((c.place for c in columns if c.field == "time"), None)
    year = year_in(table.titles)
    if year is not None and choices.year is None:
        choices = choices.model_copy(update={"year": year})
    cells = [
        DayCell(
            text,
            row.cells[date],
            _weekday(row, weekday),
            row.year,
            row.month,
            _timed(row, clock, text),
        )
        for row, text in zip(table.rows, texts, strict=True)
    ]
    month = _title_month(table)
    if month:
        cells = [replace(cell, month=cell.month or month) for cell in cells]
    days, guesses = resolve_days(cells, table.heading[date], choices, today)
    return _carried(table, date, days), guesses


def _title_month(table: LongTable) -> int:
    found = {text.month for title in table.titles if (text := day_text(title)) and text.is_month}
    return found.pop() if len(found) == 1 else 0


def _weekday(row: LongRow, place: int | None) -> int | None:
    text = day_text(row.cells[place]) if place is not None else None
    return text.weekday if text is not None else None


def _timed(row: LongRow, place: int | None, text: DayText | None) -> bool:
    if text is not None and (text.at is not None or text.remark):
        return True
    return place is not None and bool(row.cells[place].strip())


def _carried(table: LongTable, date: int, days: list[DayFound]) -> list[DayFound]:
    """Let a row without a date be of the day above it, and ask."""
    above: dt.date | None = None
    for n, row in enumerate(table.rows):
        if days[n].on is not None:
            above = days[n].on
        elif not row.cells[date].strip() and above is not None and _has_amount(row, date):
            days[n] = DayFound(
                above, "the row has no date; it may be of the day above", (above, None)
            )
    return days


def _has_amount(row: LongRow, date: int) -> bool:
    return any(
        any(letter.isdigit() for letter in cell) and time_text(cell) is None
        for place, cell in enumerate(row.cells)
        if place != date
    )
