"""Where a table's heading stands, what is above it, and tables below or beside each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from mealplan.checkin.table.amounts import said_of
from mealplan.checkin.table.days import DayFound
from mealplan.checkin.table.daytext import DayText, day_text
from mealplan.checkin.table.grid import GridRow
from mealplan.checkin.table.headings import read_heading
from mealplan.checkin.table.reading import Unread
from mealplan.checkin.table.words import UNIT_WORDS, is_summary, words_of

MOST_TITLES = 12
"""Rows above a heading that may be titles."""


@dataclass(frozen=True)
class LongRow:
    """One row of readings of one day."""

    line: int
    cells: tuple[str, ...]
    source: tuple[str, ...]
    """The row as it stands in the file."""
    day: DayFound | None = None
    """Settled already, for a table that is not one row a day."""
    key: str = ""
    """What the day's question goes by."""
    offset: int = 0
    """Days after that day. [days]"""
    year: int | None = None
    month: int | None = None


@dataclass(frozen=True)
class LongTable:
    """A table of one row a day, or made into one."""

    heading: tuple[str, ...]
    rows: tuple[LongRow, ...]
    aside: tuple[Unread, ...] = ()
    titles: tuple[str, ...] = ()
    made_up: bool = False
    """True when the table has no heading and was given one."""
    shape: str = ""
    """How it was read where it was not one row a day."""
    date: int | None = 0
    """The column of dates; None where there is none."""


def set_aside(row: GridRow, why: str) -> Unread:
    """
    Say of a row that it holds no reading.

    Parameters
    ----------
    row : GridRow
    why : str

    Returns
    -------
    Unread
    """
    said = " ".join(cell.strip() for cell in row.cells if cell.strip())
    return Unread(
        line=row.line,
        column="",
        what=f"the row {said[:60]!r}",
        why=why,
        mend="nothing has to be done",
        row=row.cells,
    )


def blocks_of(rows: Sequence[GridRow]) -> list[list[GridRow]]:
    """
    Part tables that stand below each other, each with a heading of its own.

    Parameters
    ----------
    rows : sequence of GridRow

    Returns
    -------
    list of list of GridRow
    """
    blocks: list[list[GridRow]] = [[]]
    has_days = False
    known: tuple[str, ...] = ()
    for row in rows:
        if has_days and is_heading(row.cells):
            plain = tuple(cell.strip().lower() for cell in row.cells)
            if plain == known:
                continue
            blocks.append([])
            has_days = False
        if is_heading(row.cells):
            known = tuple(cell.strip().lower() for cell in row.cells)
        has_days = has_days or any(_is_day(cell) for cell in row.cells)
        blocks[-1].append(row)
    return blocks


def is_heading(cells: Sequence[str]) -> bool:
    """
    Say whether a row reads as a heading: a date's word among others, and no number of its own.

    Parameters
    ----------
    cells : sequence of str

    Returns
    -------
    bool
    """
    told = [cell for cell in cells if cell.strip()]
    if len(told) < 2 or not any(read_heading(cell).field == "date" for cell in told):
        return False
    return not any(_is_day(cell) or _is_number(cell) for cell in told)


def _is_day(cell: str) -> bool:
    text = day_text(cell)
    return text is not None and (text.is_full or text.is_brief)


def _is_number(cell: str) -> bool:
    return any(letter.isdigit() for letter in cell) and said_of(cell).shape in ("one", "span")


def date_column(rows: Sequence[GridRow]) -> int | None:
    """
    Find the column that holds the dates, by what stands in it and then by its heading.

    Parameters
    ----------
    rows : sequence of GridRow

    Returns
    -------
    int or None
    """
    scores: dict[int, float] = {}
    for row in rows:
        for place, cell in enumerate(row.cells):
            scores[place] = scores.get(place, 0.0) + _weight_of_day(day_text(cell))
    total = len(rows)
    for row in rows[:MOST_TITLES]:
        for place, cell in enumerate(row.cells):
            if cell.strip() and day_text(cell) is None and read_heading(cell).field == "date":
                scores[place] += 0.3 * total if scores[place] else 0.0
    best = max(scores, key=lambda place: (scores[place], -place), default=None)
    return best if best is not None and scores[best] > 0 else None


def _weight_of_day(text: DayText | None) -> float:
    if text is None:
        return 0.0
    if text.is_full:
        return 1.0
    if text.is_brief:
        return 0.9 if text.month or text.weekday is not None else 0.4
    return 0.1 if text.numbers and not text.month else 0.0


def is_data(row: GridRow, place: int) -> bool:
    """
    Say whether a row is one of readings: a day in the column of days.

    Parameters
    ----------
    row : GridRow
    place : int
        The column of days.

    Returns
    -------
    bool
    """
    text = day_text(row.cells[place]) if place < len(row.cells) else None
    return text is not None and (text.is_full or text.is_brief or _is_bare_day(text))


def _is_bare_day(text: DayText) -> bool:
    return len(text.numbers) == 1 and not text.month


def heading_of(rows: Sequence[GridRow], first: int) -> tuple[tuple[str, ...] | None, int, int]:
    """
    Put the heading together from one or two rows above the readings.

    Parameters
    ----------
    rows : sequence of GridRow
    first : int
        Index of the first row of readings.

    Returns
    -------
    heading : tuple of str or None
        None where there is no heading.
    begin : int
        Index of the heading's first row; what is above are titles.
    end : int
        Index of the first row below it.
    """
    above = [n for n in range(max(0, first - MOST_TITLES), first) if _names(rows[n].cells)]
    if not above:
        begun = next((n for n in range(first) if _told(rows[n].cells) > 1), first)
        return None, begun, begun
    last = above[-1]
    cells = rows[last].cells
    upper = above[-2] if len(above) > 1 and above[-2] == last - 1 else None
    if upper is None:
        return cells, last, last + 1
    joined = _joined(rows[upper].cells, cells)
    return (joined, upper, last + 1) if joined is not None else (cells, last, last + 1)


def _told(cells: Sequence[str]) -> int:
    return sum(bool(cell.strip()) for cell in cells)


def _names(cells: Sequence[str]) -> bool:
    """Say whether a row may name columns: two cells or more, hardly a number among them."""
    told = [cell for cell in cells if cell.strip()]
    numbers = sum(_is_number(cell) and not _is_named(cell) for cell in told)
    letters = sum(_is_named(cell) for cell in told)
    few = numbers <= 0.3 * len(told) and letters >= 0.6 * len(told)
    return len(told) >= 2 and few and not is_summary(told[0])


def _is_named(cell: str) -> bool:
    return len(words_of(cell)) > 0


def _joined(upper: Sequence[str], lower: Sequence[str]) -> tuple[str, ...] | None:
    """Join a row of groups, or of kinds, with the row of columns, or of units, below it."""
    width = max(len(upper), len(lower))
    top = [*upper, *[""] * (width - len(upper))]
    low = [*lower, *[""] * (width - len(lower))]
    told = [cell for cell in low if cell.strip()]
    units = all(all(word in UNIT_WORDS for word in words_of(cell)) for cell in told)
    if not units and sum(bool(cell.strip()) for cell in top) >= sum(bool(c.strip()) for c in low):
        fuller = any(not t.strip() and c.strip() for t, c in zip(top, low, strict=True))
        if not fuller:
            return None
    group, joined = "", []
    for above, below in zip(top, low, strict=True):
        group = above if above.strip() else ("" if _starts_anew(below) else group)
        joined.append(f"{group} {below}".strip())
    return tuple(joined)


def _starts_anew(cell: str) -> bool:
    """Say whether a heading stands for itself and belongs to no group left of it."""
    return not cell.strip() or read_heading(cell).field in ("date", "note", "weekday", "time")


def long_rows(rows: Sequence[GridRow], place: int) -> tuple[list[LongRow], list[Unread]]:
    """
    Give the rows below a heading, each with the month that a title among them names.

    Parameters
    ----------
    rows : sequence of GridRow
        Below the heading.
    place : int
        The column of days.

    Returns
    -------
    list of LongRow
    list of Unread
        Titles and sums.
    """
    found: list[LongRow] = []
    aside: list[Unread] = []
    year: int | None = None
    month: int | None = None
    for row in rows:
        told = [cell for cell in row.cells if cell.strip()]
        text = day_text(told[0]) if len(told) == 1 else None
        if text is not None and text.is_month:
            month = text.month
            year = text.numbers[0] if text.numbers else None
            aside.append(set_aside(row, "it names the month of the rows below"))
        elif not is_data(row, place) and any(is_summary(cell) for cell in told):
            aside.append(set_aside(row, "it sums other rows up and holds no reading of its own"))
        else:
            found.append(LongRow(row.line, row.cells, row.cells, year=year, month=month))
    return found, aside


def padded(
    heading: Sequence[str], rows: Sequence[LongRow]
) -> tuple[tuple[str, ...], list[LongRow]]:
    """
    Bring heading and rows to one width.

    Parameters
    ----------
    heading : sequence of str
    rows : sequence of LongRow

    Returns
    -------
    heading : tuple of str
    rows : list of LongRow
    """
    width = max([len(heading), *(len(row.cells) for row in rows)])
    names = [name.strip() for name in (*heading, *[""] * (width - len(heading)))]
    full = tuple(name or f"column {n}" for n, name in enumerate(names, start=1))
    return full, [
        replace(row, cells=(*row.cells, *[""] * (width - len(row.cells)))) for row in rows
    ]
