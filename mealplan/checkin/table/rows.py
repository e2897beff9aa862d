"""The rows of one table: their days and amounts, as proposed or as somebody answered."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field

from mealplan.checkin.log.entries import (
    AnyEntry,
)
from mealplan.checkin.table.cell_items import CellError, Item, Option, in_words
from mealplan.checkin.table.cells import read_cell
from mealplan.checkin.table.column_content import Column
from mealplan.checkin.table.days import DayFound
from mealplan.checkin.table.daytext import DayText
from mealplan.checkin.table.headings import GIRTHS
from mealplan.checkin.table.layout import LongTable
from mealplan.checkin.table.reading import LEAVE_OUT, Doubt, Unread
from mealplan.checkin.table.units import Units

SAME_FRACTION = 0.006
"""Two columns of mass this near say one reading in two units."""


@dataclass
class Sheet:
    """One table on its way to entries, and everything that is said of it."""

    table: LongTable
    columns: Sequence[Column]
    units: Units
    days: list[DayFound]
    texts: list[DayText | None]
    answers: dict[str, str]
    prefix: str = ""
    items: list[Item] = field(default_factory=list)
    doubts: list[Doubt] = field(default_factory=list)
    unread: list[Unread] = field(default_factory=list)
    aside: list[Unread] = field(default_factory=list)
    entries: list[AnyEntry] = field(default_factory=list)
    chosen: list[dt.date | None] = field(default_factory=list)
    left: set[int] = field(default_factory=set)
    """Rows that hold no reading, or stand twice."""

    def lose(self, row: int, column: str, what: str, why: str, mend: str) -> None:
        """
        Say that something of a row gives no reading.

        Parameters
        ----------
        row : int
        column : str
        what : str
        why : str
        mend : str
        """
        found = self.table.rows[row]
        self.unread.append(
            Unread(line=found.line, column=column, what=what, why=why, mend=mend, row=found.source)
        )

    def cells_of(self, row: int, *fields: str | None) -> list[tuple[Column, str]]:
        """
        Return the columns of some kinds with what a row has in them.

        Parameters
        ----------
        row : int
        *fields : str or None
        """
        cells = self.table.rows[row].cells
        return [(c, cells[c.place]) for c in self.columns if c.field in fields]


def drop_repeats(sheet: Sheet) -> None:
    """
    Take a row that stands twice, day and all, once.

    Parameters
    ----------
    sheet : Sheet
    """
    seen: dict[tuple[object, ...], int] = {}
    for n, row in enumerate(sheet.table.rows):
        said = tuple(cell.strip() for cell in row.cells)
        key = (row.key, row.offset, row.day.on if row.day else None, said)
        if not any(said) or n in sheet.left:
            continue
        if key in seen:
            sheet.left.add(n)
            first = sheet.table.rows[seen[key]].line
            sheet.aside.append(
                Unread(
                    line=row.line,
                    column="",
                    what="the whole row",
                    why=f"it is the very same as line {first}",
                    mend="nothing has to be done",
                    row=row.source,
                )
            )
        else:
            seen[key] = n


def settle_days(sheet: Sheet) -> None:
    """
    Choose each row's day, by answer or as proposed, and ask where it is not plain.

    Parameters
    ----------
    sheet : Sheet
    """
    asked: set[str] = set()
    for n, (row, found) in enumerate(zip(sheet.table.rows, sheet.days, strict=True)):
        on = found.on
        if (
            found.why
            and n not in sheet.left
            and any(option is not None for option in found.options)
        ):
            key = sheet.prefix + (f"day {row.key}" if row.key else f"day {n}")
            words = {day_words(option): option for option in found.options}
            answer = sheet.answers.get(key)
            chosen = answer if answer in words else next(iter(words))
            on = words[chosen]
            if key not in asked:
                asked.add(key)
                sheet.doubts.append(
                    Doubt(
                        key=key,
                        line=row.line,
                        column=date_name(sheet),
                        cell=date_cell(sheet, n),
                        why=found.why,
                        options=tuple(words),
                        chosen=chosen,
                    )
                )
        sheet.chosen.append(on + dt.timedelta(days=row.offset) if on is not None else None)


def day_words(on: dt.date | None) -> str:
    """
    Write a day as an option of a question.

    Parameters
    ----------
    on : date or None

    Returns
    -------
    str
    """
    return LEAVE_OUT if on is None else f"{on.day} {on:%B %Y}"


def date_name(sheet: Sheet) -> str:
    """
    Return the heading of the column of dates.

    Parameters
    ----------
    sheet : Sheet

    Returns
    -------
    str
    """
    return next((c.name for c in sheet.columns if c.field == "date"), "date")


def date_cell(sheet: Sheet, n: int) -> str:
    """
    Give what a row has for a date; all it says where that is nothing.

    Parameters
    ----------
    sheet : Sheet
    n : int
        Of the row.

    Returns
    -------
    str
    """
    cells = sheet.cells_of(n, "date")
    if cells and cells[0][1].strip():
        return cells[0][1].strip()
    return ", ".join(cell.strip() for cell in sheet.table.rows[n].source if cell.strip())[:60]


AMOUNTS = ("mass", "energy", "training", "steps", "cycle day", *sorted(GIRTHS))


def read_items(sheet: Sheet) -> None:
    """
    Read every amount of every row that has a day.

    Parameters
    ----------
    sheet : Sheet
    """
    for n in range(len(sheet.table.rows)):
        if n in sheet.left or (sheet.chosen[n] is None and not sheet.days[n].options):
            continue
        for column, cell in sheet.cells_of(n, *AMOUNTS):
            try:
                item = read_cell(n, column, cell, sheet.units)
            except CellError as error:
                if column.field == "training" and any(letter.isalpha() for letter in cell):
                    continue  # words of a session are kept as they stand
                what = f"the {column.field} {cell.strip()[:60]!r}"
                sheet.lose(n, column.name, what, error.why, error.mend)
                continue
            if item is not None and not (column.field == "training" and item.value == 0):
                sheet.items.append(item)


def settle_items(sheet: Sheet) -> None:
    """
    Choose each doubtful amount, by answer or as proposed.

    Parameters
    ----------
    sheet : Sheet
    """
    kept: list[Item] = []
    for item in sheet.items:
        if item.why:
            key = f"{sheet.prefix}cell {item.row} {item.column.place}"
            words = {option.words: option for option in item.options}
            answer = sheet.answers.get(key)
            option = words[answer] if answer in words else item.options[0]
            sheet.doubts.append(
                Doubt(
                    key=key,
                    line=sheet.table.rows[item.row].line,
                    column=item.column.name,
                    cell=item.cell.strip()[:60],
                    why=item.why,
                    options=tuple(words),
                    chosen=option.words,
                )
            )
            if option.value is None:
                continue
            item.value, item.unit = option.value, option.unit
        kept.append(item)
    sheet.items = kept


def one_mass_a_row(sheet: Sheet) -> None:
    """
    Take a mass that stands in two units once, and ask where the two disagree.

    Parameters
    ----------
    sheet : Sheet
    """
    by_row: dict[int, list[Item]] = {}
    for item in sheet.items:
        if item.column.field == "mass":
            by_row.setdefault(item.row, []).append(item)
    gone: set[int] = set()
    for found in by_row.values():
        if len(found) != 2 or found[0].unit == found[1].unit:
            continue
        first, second = found
        if first.column.fed != second.column.fed or first.column.morning != second.column.morning:
            continue
        gone.add(id(second))
        if abs(first.base - second.base) > SAME_FRACTION * abs(second.base):
            first.ask(
                f"the row says {in_words(first.value, first.unit)} and "
                f"{in_words(second.value, second.unit)}, which are not the same",
                [Option(in_words(one.value, one.unit), one.value, one.unit) for one in found],
            )
    sheet.items = [item for item in sheet.items if id(item) not in gone]
