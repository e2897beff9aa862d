"""Rows and cells of somebody else's table: where its heading stands, and what is no part of it."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from mealplan.checkin.log.csv_cells import CellError, is_blank, read_date, read_heading, read_number
from mealplan.checkin.log.csv_meaning import CsvTable
from mealplan.errors import CheckInError

MARKS = (",", ";", "\t", "|")
"""What may stand between cells."""
MOST_TITLES = 8
"""Rows above a heading that may be titles."""
Row = tuple[int, tuple[str, ...]]


def table_of(text: str) -> CsvTable:
    """
    Cut a table into its heading, its rows and the titles above it.

    Parameters
    ----------
    text : str
        Comma, semicolon, tab or stroke between cells.

    Returns
    -------
    CsvTable
        A table without a heading gets one by what stands in its first row.

    Raises
    ------
    CheckInError
        When it is empty or breaks off within quotes.
    """
    text = text.removeprefix("\ufeff")
    rows = _rows(text)
    if not rows:
        raise CheckInError("the file is empty; it needs a heading row such as date,weight")
    for place, (_, cells) in enumerate(rows[:MOST_TITLES]):
        if any(read_heading(cell).field == "date" for cell in cells) and len(cells) > 1:
            return CsvTable(cells, tuple(rows[place + 1 :]), "", titles=tuple(rows[:place]))
        if _is_date(cells[0]) and place == 0:
            return CsvTable(_heading_for(cells), tuple(rows), "", made_up=True)
    return CsvTable(rows[0][1], tuple(rows[1:]), "")


def _rows(text: str) -> list[Row]:
    lines = [line for line in text.splitlines()[: MOST_TITLES * 2] if line.strip()]
    if not lines:
        return []
    delimiter = _mark_of(lines)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    rows: list[Row] = []
    begun = 1
    try:
        for cells in reader:
            kept = tuple(_bare(cells, delimiter))
            if any(cell.strip() for cell in kept) and not _is_ruled(kept, delimiter):
                rows.append((begun, kept))
            begun = reader.line_num + 1
    except csv.Error as error:
        raise CheckInError(
            f"line {begun} breaks the table ({error}); save it again as plain CSV"
        ) from error
    return rows


def _mark_of(lines: Sequence[str]) -> str:
    """Find what stands between cells: what parts a heading with a date, else the first line."""
    for line in lines[:MOST_TITLES]:
        fitting = [
            mark
            for mark in MARKS
            if mark in line
            and any(read_heading(cell.strip('" ')).field == "date" for cell in line.split(mark))
        ]
        if fitting:
            return max(fitting, key=line.count)
    first = next((line for line in lines if any(mark in line for mark in MARKS)), lines[0])
    return max((";", "\t", "|", ","), key=first.count)


def _is_ruled(cells: Sequence[str], delimiter: str) -> bool:
    """Say whether a row only draws a line under a heading."""
    return delimiter == "|" and all(cell and set(cell) <= {"-", ":"} for cell in cells)


def _bare(cells: Sequence[str], delimiter: str) -> Sequence[str]:
    """Leave out the empty cells that strokes around a row make."""
    if delimiter != "|":
        return cells
    first = 1 if cells and not cells[0].strip() else 0
    last = len(cells) - 1 if len(cells) > 1 and not cells[-1].strip() else len(cells)
    return [cell.strip() for cell in cells[first:last]]


def _is_date(cell: str) -> bool:
    for order in ("dmy", "mdy"):
        try:
            read_date(cell, order)
        except CellError:
            continue
        return True
    return False


def _heading_for(cells: Sequence[str]) -> tuple[str, ...]:
    """Name the columns of a table without a heading: a date, and the first number a weight."""
    names = ["date"]
    weighed = False
    for place, cell in enumerate(cells[1:], start=2):
        number = False
        if not weighed and not is_blank(cell):
            try:
                read_number(cell, decimal_comma="," in cell)
                number = True
            except CellError:
                pass
        names.append("weight" if number else f"column {place}")
        weighed = weighed or number
    return tuple(names)
