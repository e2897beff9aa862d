"""Tables that are not one row a day: weeks across, months across, days across, side by side."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from itertools import zip_longest

from mealplan.checkin.table.days import DayCell, DayFound, resolve_days
from mealplan.checkin.table.daytext import DayText, day_text
from mealplan.checkin.table.grid import GridRow
from mealplan.checkin.table.headings import read_heading
from mealplan.checkin.table.layout import (
    MOST_TITLES,
    LongRow,
    LongTable,
    date_column,
    heading_of,
    is_data,
    long_rows,
    padded,
    set_aside,
)
from mealplan.checkin.table.reading import Choices, Guess
from mealplan.checkin.table.words import UNIT_WORDS, WEEKDAYS, is_nothing, is_summary, words_of

FEWEST_WEEKDAYS = 5
"""Weekdays across a heading from which a table is one row a week."""
FEWEST_MONTHS = 2
MOST_ACROSS = 4_000
"""Columns a table may be turned by."""
Shaped = tuple[list[LongTable], list[Guess]]


def tables_of(rows: Sequence[GridRow], choices: Choices, today: dt.date | None) -> Shaped:
    """
    Make one-row-a-day tables of a table of any shape.

    Parameters
    ----------
    rows : sequence of GridRow
        Of one table, its titles above it.
    choices : Choices
    today : date or None

    Returns
    -------
    list of LongTable
    list of Guess
    """
    for turned, shown in ((False, rows), (True, _turned(rows))):
        head = _heading_with(shown, _weekday, FEWEST_WEEKDAYS)
        if head is not None and (not turned or _days_only_first(shown[head + 1 :])):
            return _weeks(shown, head, choices, today)
        head = _heading_with(shown, _month, FEWEST_MONTHS)
        if head is not None and _counts_days(shown[head + 1 :]):
            return _months(shown, head, choices, today)
    head = _heading_with(rows, _full_day, 3)
    down = date_column(rows)
    if head is not None and _fewer_down(rows, head, down):
        above = [set_aside(row, TITLE) for row in rows[:head]]
        tables, guesses = _plain(_turned(rows[head:]))
        titles = tuple(" ".join(row.cells) for row in rows[:head])
        return [
            replace(t, aside=(*above, *t.aside), titles=titles, shape="days stand across")
            for t in tables
        ], guesses
    return _plain(rows)


TITLE = "it is a title and holds no reading"


def _turned(rows: Sequence[GridRow]) -> list[GridRow]:
    """Turn a table by its diagonal; a row keeps the line of the row it was first read in."""
    width = max((len(row.cells) for row in rows), default=0)
    if width > MOST_ACROSS or len(rows) > MOST_ACROSS:
        return list(rows)
    columns = zip_longest(*(row.cells for row in rows), fillvalue="")
    return [GridRow(rows[0].line, tuple(cells)) for cells in columns] if rows else []


def _heading_with(rows: Sequence[GridRow], read: object, fewest: int) -> int | None:
    """Find the row among the first that has so many different weekdays, months or days."""
    for place, row in enumerate(rows[:MOST_TITLES]):
        found = {read(cell) for cell in row.cells} - {None}  # type: ignore[operator]
        if len(found) >= fewest:
            return place
    return None


def _weekday(cell: str) -> int | None:
    found = words_of(cell)
    if not found or found[0] not in WEEKDAYS or any(letter.isdigit() for letter in cell):
        return None
    return WEEKDAYS[found[0]] if all(word in UNIT_WORDS for word in found[1:]) else None


def _month(cell: str) -> tuple[int, int] | None:
    text = day_text(cell)
    if text is None or not text.is_month or text.weekday is not None:
        return None
    return text.month, (text.numbers or (0,))[0]


def _full_day(cell: str) -> tuple[object, ...] | None:
    text = day_text(cell)
    named = text is not None and (text.is_full or text.is_brief) and not text.weak
    return (text.numbers, text.month, text.on) if named and text else None


def _days_only_first(rows: Sequence[GridRow]) -> bool:
    """Say whether rows begin with a day and hold no other."""
    first = sum(bool(row.cells) and _full_day(row.cells[0]) is not None for row in rows)
    every = sum(_full_day(cell) is not None for row in rows for cell in row.cells)
    return first == every > 0


def _counts_days(rows: Sequence[GridRow]) -> bool:
    """Say whether a table's first column counts the days of a month."""
    first = [row.cells[0].strip().rstrip(".") for row in rows if row.cells]
    numbers = [int(plain) for plain in first if plain.isdigit() and len(plain) < 3]
    return len(numbers) >= 5 and numbers == sorted(set(numbers)) and numbers[-1] <= 31


def _fewer_down(rows: Sequence[GridRow], head: int, down: int | None) -> bool:
    across = sum(_full_day(cell) is not None for cell in rows[head].cells)
    if across < 0.6 * (sum(bool(cell.strip()) for cell in rows[head].cells) - 1):
        return False
    if down is None:
        return True
    return across > sum(down < len(row.cells) and is_data(row, down) for row in rows[head + 1 :])


# ---- one row a day ----------------------------------------------------------------------------


def _plain(rows: Sequence[GridRow]) -> Shaped:
    """Read a table of one row a day; two such tables side by side are put below each other."""
    place = date_column(rows)
    named = _named(rows)
    made_heading, first = False, 0
    if place is None:
        head = named[0] if named else 0
        heading, begin, place = rows[head].cells, head, named[1] if named else -1
        found, aside = long_rows(rows[head + 1 :], max(place, 0))
    else:
        first = next(n for n, row in enumerate(rows) if is_data(row, place))
        if named and named[0] < first:
            units = named[0] + 1
            first = min(
                first, units + 1 if units < first and _names_columns(rows[units]) else units
            )
        made, begin, first = heading_of(rows, first)
        made_heading = made is not None
        heading = made or ()
        found, aside = long_rows(rows[first:], place)
    titles = [set_aside(row, TITLE) for row in rows[:begin]]
    if place is not None and place >= 0 and made_heading and first - begin > 1:
        titles.append(set_aside(rows[first - 1], "it goes on with the heading above it"))
    said = tuple(" ".join(row.cells) for row in rows[:begin])
    made_up = not heading
    if made_up and place is not None and place >= 0:
        heading = ("",) * place + ("date",)
    full, found = padded(heading, found)
    date = place if place is not None and place >= 0 else None
    table = LongTable(full, tuple(found), (*titles, *aside), said, made_up, date=date)
    return _side_by_side(table, place), []


def _named(rows: Sequence[GridRow]) -> tuple[int, int] | None:
    """Find the first row, and its cell, that names a column of dates among others."""
    for n, row in enumerate(rows[:MOST_TITLES]):
        if sum(bool(cell.strip()) for cell in row.cells) > 1:
            for place, cell in enumerate(row.cells):
                if read_heading(cell).field == "date":
                    return n, place
    return None


def _names_columns(row: GridRow) -> bool:
    """Say whether a row below a heading goes on with it: units, or kinds below their groups."""
    told = [cell for cell in row.cells if cell.strip()]
    known = sum(
        any(word in UNIT_WORDS for word in words_of(cell)) or read_heading(cell).field is not None
        for cell in told
        if not any(letter.isdigit() for letter in cell)
    )
    return known >= 0.6 * len(told)


def _side_by_side(table: LongTable, place: int | None) -> list[LongTable]:
    """Part tables that stand beside each other, each with a column of dates."""
    names = [read_heading(name).field for name in table.heading]
    starts = [n for n, name in enumerate(names) if name == "date"]
    starts = [
        n for n in starts
        if n == place or sum(_full_day(row.cells[n]) is not None for row in table.rows) * 2
        >= max(1, sum(bool(row.cells[n].strip()) for row in table.rows)) > 0
    ]  # fmt: skip
    again = len(starts) > 1 and len({tuple(names[n : n + 2]) for n in starts}) < len(starts)
    if not again or table.made_up:
        return [table]
    ends = [*starts[1:], len(names)]
    parts = []
    for number, (start, end) in enumerate(zip(starts, ends, strict=True)):
        rows = tuple(
            LongRow(row.line, row.cells[start:end], row.source, year=row.year, month=row.month)
            for row in table.rows
            if any(cell.strip() for cell in row.cells[start:end])
        )
        aside = table.aside if number == 0 else ()
        parts.append(LongTable(table.heading[start:end], rows, aside, table.titles, shape=BESIDE))
    return parts


BESIDE = "tables stand beside each other, each with its own dates"

# ---- one row a week ---------------------------------------------------------------------------


def _weeks(rows: Sequence[GridRow], head: int, choices: Choices, today: dt.date | None) -> Shaped:
    """Make a row a day of one row a week."""
    heading, body = rows[head].cells, rows[head + 1 :]
    days = {n: day for n, cell in enumerate(heading) if (day := _weekday(cell)) is not None}
    place = date_column([row for row in body if not is_summary(row.cells[0] if row.cells else "")])
    if place in days:
        place = None
    aside = [set_aside(row, TITLE) for row in rows[:head]]
    kept: list[GridRow] = []
    for row in body:
        if any(is_summary(cell) for cell in row.cells if cell.strip() and not cell[:1].isdigit()):
            aside.append(set_aside(row, "it sums other rows up and holds no reading of its own"))
        elif any(cell.strip() for cell in row.cells):
            kept.append(row)
    kinds = _kind_column(heading, kept, {*days, place})
    labels = [_carried(kept, n, place, kinds) for n in range(len(kept))]
    cells = [DayCell(day_text(label) if label else None, label) for label in labels]
    found, guesses = resolve_days(
        cells, heading[place] if place is not None else "", choices, today
    )
    first = days[min(days)]
    ends = place is not None and any(
        w in ("ending", "end", "ended", "bis") for w in words_of(heading[place])
    )
    starts, moved = _starts([f.on for f in found], first, ends)
    titles = tuple(" ".join(row.cells) for row in rows[:head])
    guesses = (*guesses, _week_guess(heading, place, first, ends, moved))
    table = _week_rows(heading, kept, days, kinds, found, starts, titles, first)
    return [LongTable(table.heading, table.rows, tuple(aside), titles, shape=WEEK)], list(guesses)


WEEK = "one row a week, its days across"


def _carried(kept: Sequence[GridRow], n: int, place: int | None, kinds: int | None) -> str:
    """Give a week's label, carried down from the row above where rows of kinds share it."""
    if place is None:
        return ""
    while n >= 0:
        cell = kept[n].cells[place] if place < len(kept[n].cells) else ""
        if cell.strip() or kinds is None:
            return cell
        n -= 1
    return ""


def _kind_column(
    heading: Sequence[str], rows: Sequence[GridRow], taken: set[int | None]
) -> int | None:
    """Find a column that says which kind of reading each row of a week holds."""
    for place in range(len(heading)):
        if place in taken:
            continue
        told = [
            row.cells[place] for row in rows if place < len(row.cells) and row.cells[place].strip()
        ]
        fields = [read_heading(cell).field for cell in told]
        if told and sum(f not in (None, "date", "note") for f in fields) >= 0.5 * len(told):
            return place
    return None


def _starts(
    labels: Sequence[dt.date | None], first: int, ends: bool
) -> tuple[list[dt.date | None], int]:
    """Say on which day each week's first column lies, and how many labels are another weekday."""
    starts: list[dt.date | None] = []
    moved = 0
    for label in labels:
        if label is None:
            starts.append(None)
            continue
        start = label - dt.timedelta(days=6) if ends else label
        back = (start.weekday() - first) % 7
        moved += back != 0
        starts.append(start - dt.timedelta(days=back))
    return starts, moved


def _week_guess(
    heading: Sequence[str], place: int | None, first: int, ends: bool, moved: int
) -> Guess:
    name = heading[place] if place is not None else ""
    last = "ends" if ends else "begins"
    return Guess(
        topic="shape",
        column=name,
        choice=WEEK,
        reason=f"the date {name!r} is the day a week {last} on"
        + (f"; {moved} of them are another weekday than the first column's" if moved else ""),
        sure=not moved,
    )


def _week_rows(
    heading: Sequence[str],
    kept: Sequence[GridRow],
    days: dict[int, int],
    kinds: int | None,
    found: Sequence[DayFound],
    starts: Sequence[dt.date | None],
    titles: tuple[str, ...],
    first: int,
) -> LongTable:
    names = [
        row.cells[kinds].strip() if kinds is not None and kinds < len(row.cells) else ""
        for row in kept
    ]
    value = value_name([*titles, *(heading[n] for n in range(len(heading)) if n not in days)])
    columns = list(dict.fromkeys(name or value for name in names))
    note = next((n for n, cell in enumerate(heading) if n not in days
                 and read_heading(cell).field == "note"), None)  # fmt: skip
    rows: list[LongRow] = []
    for n, row in enumerate(kept):
        told = row.cells[note].strip() if note is not None and note < len(row.cells) else ""
        shift = (starts[n] - found[n].on).days if starts[n] and found[n].on else 0  # type: ignore[operator]
        for place, day in sorted(days.items()):
            cell = row.cells[place] if place < len(row.cells) else ""
            if not cell.strip():
                continue
            cells = [cell if name == (names[n] or value) else "" for name in columns]
            rows.append(
                LongRow(row.line, ("", *cells, told), row.cells, found[n], f"week {row.line}",
                        shift + (day - first) % 7)
            )  # fmt: skip
            told = ""
    return LongTable(("date", *columns, "note"), tuple(rows))


def value_name(said: Sequence[str]) -> str:
    """
    Name the values of a table of one kind by the words around it.

    Parameters
    ----------
    said : sequence of str
        Titles and the headings that are no days.

    Returns
    -------
    str
        Empty where nothing says what they are.
    """
    for text in said:
        read = read_heading(text)
        if read.field not in (None, "date", "time", "note", "weekday", "session"):
            return text.strip()
    return "value"


# ---- months across ----------------------------------------------------------------------------


def _months(rows: Sequence[GridRow], head: int, choices: Choices, today: dt.date | None) -> Shaped:
    """Make a row a day of a table with a column a month."""
    heading, body = rows[head].cells, rows[head + 1 :]
    months = {
        n: text for n, cell in enumerate(heading) if (text := day_text(cell)) and text.is_month
    }
    titles = tuple(" ".join(row.cells) for row in rows[:head])
    years, guesses = _years_of(list(months.values()), titles, choices, today)
    aside = [set_aside(row, TITLE) for row in rows[:head]]
    found: list[LongRow] = []
    for row in body:
        day = row.cells[0].strip().rstrip(".") if row.cells else ""
        if not day.isdigit():
            aside.append(set_aside(row, "its first cell is no day of a month"))
            continue
        for (place, text), year in zip(months.items(), years, strict=True):
            cell = row.cells[place] if place < len(row.cells) else ""
            if cell.strip() and not is_nothing(cell):
                on = _day(year, text.month, int(day[:3]))
                why = "" if on else f"{heading[place].strip()} has no day {day}"
                made = DayFound(on, why, (None,) if why else ())
                found.append(LongRow(row.line, ("", cell), row.cells, made, f"{row.line}.{place}"))
    found.sort(key=lambda row: (row.day.on if row.day else None) or dt.date.min)
    name = value_name([*titles, heading[0]])
    table = LongTable(("date", name), tuple(found), tuple(aside), titles, shape=MONTH)
    shape = Guess(topic="shape", column=heading[0], choice=MONTH, sure=True,
                  reason="months stand across and days down")  # fmt: skip
    return [table], [shape, *guesses]


MONTH = "one column a month, its days down"


def _day(year: int, month: int, day: int) -> dt.date | None:
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None


def _years_of(
    months: Sequence[DayText], titles: Sequence[str], choices: Choices, today: dt.date | None
) -> tuple[list[int], list[Guess]]:
    """Give each month across its year; from left to right time goes on."""
    told = [text.numbers[0] if text.numbers else 0 for text in months]
    last = next((year for year in reversed(told) if year), 0)
    asked = not last
    last = choices.year or last or year_in(titles) or 0
    asked = asked and not last
    if not last:
        last = today.year if today else 2026
        if today and months[-1].month > today.month:
            last -= 1
    years = [0] * len(months)
    year = last
    for n in range(len(months) - 1, -1, -1):
        if told[n]:
            year = told[n]
        elif n + 1 < len(months) and months[n].month > months[n + 1].month:
            year -= 1
        years[n] = year
    if not asked:
        return years, []
    other = tuple(str(last + step) for step in (-1, 1))
    reason = "the months have no year; the latest that is not to come is taken"
    return years, [Guess(topic="year", column="months", choice=str(last), reason=reason,
                         alternatives=other)]  # fmt: skip


def year_in(titles: Sequence[str]) -> int | None:
    """
    Find the one year that titles name.

    Parameters
    ----------
    titles : sequence of str

    Returns
    -------
    int or None
    """
    found = {
        int(word)
        for title in titles
        for word in title.replace("/", " ").replace("-", " ").replace("_", " ").split()
        if len(word) == 4 and word.isdigit() and word[:2] == "20"
    }
    return found.pop() if len(found) == 1 else None
