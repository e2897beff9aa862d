"""From the bytes of a file, or pasted text, to rows of cells with the line each began on."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from mealplan.errors import CheckInError

MARKS = ("\t", ";", "|", ",")
"""What may stand between cells, the surest first."""
LOOKED_AT = 200
"""Lines looked at to find what parts the cells."""
MOST_IN_CELL = 40
"""Lines in one cell; more come from a quotation mark that never closes."""
MOST_CELLS = 500_000
"""Cells of one table: ten readings a day for a hundred years are fewer."""


@dataclass(frozen=True)
class GridRow:
    """One row as it stands in the file."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Grid:
    """All rows that say anything."""

    rows: tuple[GridRow, ...]
    mark: str
    """What stood between the cells."""


def text_of(content: bytes) -> str:
    """
    Decode a file: UTF-8 or UTF-16 by its mark or its zeros, else the Windows code of the West.

    Parameters
    ----------
    content : bytes

    Returns
    -------
    str
    """
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", errors="replace")
    head = content[:400]
    if head.count(0) * 3 > len(head) > 1:
        order = "utf-16-le" if head[1:2] == b"\0" else "utf-16-be"
        return content.decode(order, errors="replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def grid_of(text: str) -> Grid:
    """
    Cut a text into rows of cells.

    Parameters
    ----------
    text : str

    Returns
    -------
    Grid
        Without the rows that are empty or only draw a line.

    Raises
    ------
    CheckInError
        When it is empty or breaks off within quotes.
    """
    text = text.removeprefix("\ufeff")
    if text[:4].lower() == "sep=":
        _first, _, text = text.partition("\n")
        text = "\n" + text
    lines = [line for line in text[:200_000].splitlines()[:LOOKED_AT] if line.strip()]
    if not lines:
        raise CheckInError("the file is empty; it needs a heading row such as date,weight")
    mark = _mark_of(lines)
    rows = _wide_gaps(text) if mark == " " else _read(text, mark, csv.QUOTE_MINIMAL)
    if any(cell.count("\n") > MOST_IN_CELL for row in rows for cell in row.cells):
        rows = _read(text, mark, csv.QUOTE_NONE)
    kept = [row for row in rows if any(cell.strip() for cell in row.cells)]
    kept = [row for row in kept if not _is_ruled(row.cells)]
    if sum(len(row.cells) for row in kept) > MOST_CELLS:
        raise CheckInError(
            f"the table has more than {MOST_CELLS:,} cells, more than a log of ten years; "
            "is it the right file?"
        )
    return Grid(tuple(kept), mark)


def _mark_of(lines: Sequence[str]) -> str:
    """Find what stands between cells: what parts most rows into equally many."""
    best, chosen = 0.0, ""
    for mark in MARKS:
        try:
            counts = Counter(len(row) for row in csv.reader(lines, delimiter=mark) if row)
        except csv.Error:
            continue
        parted = Counter({n: times for n, times in counts.items() if n > 1})
        if not parted:
            continue
        share = parted.most_common(1)[0][1] / sum(counts.values())
        share += 0.5 * sum(parted.values()) / sum(counts.values())
        if share > best + 0.1:
            best, chosen = share, mark
    return chosen or " "


def _read(text: str, mark: str, quoting: Literal[0, 3]) -> list[GridRow]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, quoting=quoting)
    rows: list[GridRow] = []
    begun = 1
    try:
        for cells in reader:
            rows.append(GridRow(begun, _bare(cells, mark)))
            begun = reader.line_num + 1
    except csv.Error as error:
        raise CheckInError(
            f"line {begun} breaks the table ({error}); save it again as plain CSV"
        ) from error
    return rows


def _wide_gaps(text: str) -> list[GridRow]:
    """Part a table without marks at two blanks or more, else behind its first colon or blank."""
    rows = []
    for number, line in enumerate(text.splitlines(), start=1):
        cells = [cell.strip() for cell in line.split("  ") if cell.strip()]
        if len(cells) == 1:
            before, mark, behind = line.rpartition(": ")
            cells = [before.strip(), behind.strip()] if mark else cells
        rows.append(GridRow(number, tuple(cells)))
    return rows


def _is_ruled(cells: Sequence[str]) -> bool:
    """Say whether a row only draws a line."""
    return (
        len(cells) > 1
        and all(set(cell.strip()) <= set("-:=_") for cell in cells)
        and any(len(cell.strip()) > 2 for cell in cells)
    )


def _bare(cells: Sequence[str], mark: str) -> tuple[str, ...]:
    """Leave out the empty cells that strokes around a row make."""
    if mark == "|":
        first = 1 if cells and not cells[0].strip() else 0
        last = len(cells) - 1 if len(cells) > 1 and not cells[-1].strip() else len(cells)
        cells = [cell.strip() for cell in cells[first:last]]
    return tuple(cells)
