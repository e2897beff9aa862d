"""
Rows with a cell too many, because a comma within a number was taken for one between cells.

A row is mended where only one way of joining its cells fits its columns.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import combinations, pairwise

from mealplan.checkin.table.daytext import day_text
from mealplan.checkin.table.layout import LongRow, LongTable

MOST_JOINS = 4
"""Commas of one row that may have been within numbers."""
MOST_WAYS = 400
"""Ways of joining tried for one row."""
Fits = Callable[[int, str], bool]
"""Says whether a cell can stand in a column."""


def joined_cells(
    table: LongTable, fits: Fits, width: int
) -> tuple[LongTable, list[int], list[int]]:
    """
    Put numbers together again that a comma parted.

    Parameters
    ----------
    table : LongTable
        Of a file with commas between its cells.
    fits : function
    width : int
        Columns of the heading.

    Returns
    -------
    LongTable
    mended : list of int
        Lines put together again.
    unclear : list of int
        Indices of rows where it is not clear which cells belong together.
    """
    mended: list[int] = []
    unclear: list[int] = []
    rows: list[LongRow] = []
    parted = any(_end(row.cells) > width for row in table.rows)
    for n, row in enumerate(table.rows):
        way = _way(row, width, fits, parted=parted)
        if way is None:
            unclear.append(n)
            rows.append(row)
            continue
        mended += [row.line] if way != row.cells[: len(way)] else []
        rows.append(replace(row, cells=(*way[:width], *[""] * (width - len(way)))))
    return replace(table, rows=tuple(rows), heading=table.heading[:width]), mended, unclear


def _way(row: LongRow, width: int, fits: Fits, *, parted: bool) -> tuple[str, ...] | None:
    """Give the cells of a row as they belong together; None where that is not clear."""
    end = _end(row.cells)
    if len(row.source) > width:
        ways = _ways(row.source, len(row.source) - width, width, fits)
        if len(ways) == 1:
            return ways[0]
    if end > width:
        ways = _ways(row.cells[:end], end - width, width, fits)
        return ways[0] if len(ways) == 1 else None
    cells = row.cells[: max(end, width)]
    if not parted or all(fits(place, cell) for place, cell in enumerate(cells)):
        return cells
    ways = [way for joins in (1, 2) for way in _ways(cells, joins, width, fits)]
    return ways[0] if len(ways) == 1 else None


def _end(cells: Sequence[str]) -> int:
    """Give the number of cells up to the last that says something."""
    return next((n for n in range(len(cells), 0, -1) if cells[n - 1].strip()), 0)


def _ways(cells: Sequence[str], joins: int, width: int, fits: Fits) -> list[tuple[str, ...]]:
    """Give the ways of joining so many pairs of neighbours that fit the columns."""
    pairs = [n for n in range(len(cells) - 1) if _may_join(cells[n], cells[n + 1])]
    if joins > MOST_JOINS:
        return []
    found = []
    for tried, chosen in enumerate(combinations(pairs, joins)):
        if tried >= MOST_WAYS:
            return []
        if any(second - first < 2 for first, second in pairwise(chosen)):
            continue
        way = _with(cells, set(chosen))
        if len(way) <= width and all(fits(place, cell) for place, cell in enumerate(way)):
            found.append(way)
    return list(dict.fromkeys(found))


def _may_join(before: str, after: str) -> bool:
    """Say whether a comma between two cells may have been within a number or a date."""
    first, second = before.strip(), after.strip()
    if (
        day_text(f"{first}, {second}") is not None
        and second[:4].isdigit()
        and any(letter.isalpha() for letter in first)
    ):
        return True
    head = first.lstrip("~-+ ").rsplit(" ", 1)[-1]
    digits = second.split(" ", 1)[0].rstrip("kgcmlbsinCMKG*!?")
    return head.isdigit() and after == second and digits.isdigit() and len(digits) <= 3


def _with(cells: Sequence[str], joined: set[int]) -> tuple[str, ...]:
    made: list[str] = []
    place = 0
    while place < len(cells):
        if place in joined:
            made.append(f"{cells[place].strip()},{cells[place + 1].strip()}")
            place += 2
        else:
            made.append(cells[place])
            place += 1
    return tuple(made)
