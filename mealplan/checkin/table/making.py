"""From the settled amounts of a row to entries of a log, with its notes and what is beside."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any, Literal

from pydantic import ValidationError

from mealplan.checkin.log.entries import (
    AnyEntry,
    CycleDay,
    Girth,
    IntakeRecord,
    Steps,
    TrainingDone,
    WeighIn,
    WeighInConditions,
)
from mealplan.checkin.table.cell_items import Item, in_base
from mealplan.checkin.table.daytext import time_text
from mealplan.checkin.table.reading import Unread
from mealplan.checkin.table.rows import Sheet, date_cell, date_name
from mealplan.checkin.table.words import (
    CLOTHED,
    FASTED,
    MORNING,
    OTHER_SCALE,
    SCALE,
    fed_in,
    is_nothing,
    word_set,
    words_of,
)

LONGEST_NOTE = 2000
EVENING = dt.time(15, 0)
"""From this hour a weigh-in is taken not to be fasted (common practice)."""
GENERIC = word_set(
    "training trained workout workouts exercise exercising session sessions min mins minutes "
    "duration dauer duree duracion durata time total of in day today sport h hours "
    "entrainement entrenamiento allenamento trening traning treeni did done"
)
"""Words of a training column that say nothing of the kind of session."""
ADHERENCE_WORDS: dict[str, Literal["as planned", "roughly", "other"]] = {
    "as planned": "as planned", "yes": "as planned", "plan": "as planned", "y": "as planned",
    "roughly": "roughly", "mostly": "roughly", "about": "roughly",
    "other": "other", "no": "other", "off": "other", "n": "other",
}  # fmt: skip


def make_entries(sheet: Sheet) -> None:
    """
    Make the entries of every row, with its notes and what is kept beside.

    Parameters
    ----------
    sheet : Sheet
    """
    by_row: dict[int, list[Item]] = {}
    for item in sheet.items:
        by_row.setdefault(item.row, []).append(item)
    for n in range(len(sheet.table.rows)):
        if n in sheet.left:
            continue
        on = sheet.chosen[n]
        if on is None:
            _lose_day(sheet, n)
            continue
        _make_row(sheet, n, on, by_row.get(n, []))


def _lose_day(sheet: Sheet, n: int) -> None:
    """Say of a row without a day that it gives no reading, unless that was asked."""
    found = sheet.days[n]
    if any(option is not None for option in found.options):
        return
    cell = next((cell.strip() for _, cell in sheet.cells_of(n, "date")), "")
    why = found.why or (f"{cell!r} is not a date" if cell else "it has no date")
    sheet.lose(n, date_name(sheet), "the whole row", why, "check day and month, or write "
               "year-month-day, such as 2026-03-09")  # fmt: skip


def _make_row(sheet: Sheet, n: int, on: dt.date, items: Sequence[Item]) -> None:
    at, fed = _time_of(sheet, n)
    notes = [cell.strip() for _, cell in sheet.cells_of(n, "note") if cell.strip()]
    entries: list[AnyEntry] = []
    extras: list[tuple[str, str]] = []
    before = len(sheet.unread)
    sessions = _sessions(sheet, n)
    for item in items:
        try:
            entries.append(_entry(item, on, at, fed, notes, sessions))
        except ValidationError as error:
            what = f"the {item.column.field} {item.cell.strip()[:60]!r}"
            sheet.lose(
                n, item.column.name, what, first_message(error), "correct the number or its unit"
            )
        remark = item.said.remark.strip()
        if remark and item.column.field not in ("mass", "training"):
            extras.append((item.column.name, item.cell.strip()))
    entries += [TrainingDone(on=on, at=at, what=words[:400]) for words in sessions]
    entries += _adherence(sheet, n, on, at, entries)
    extras += [
        (column.name, cell.strip())
        for column, cell in sheet.cells_of(n, None)
        if cell.strip() and not is_nothing(cell)
    ]
    _attach(sheet, n, entries, notes, extras, quiet=len(sheet.unread) > before)
    sheet.entries += entries


def _attach(
    sheet: Sheet,
    n: int,
    entries: list[AnyEntry],
    notes: list[str],
    extras: list[tuple[str, str]],
    *,
    quiet: bool,
) -> None:
    """Let notes and cells of other columns stay with the row's first entry."""
    note = "; ".join(notes)
    if len(note) > LONGEST_NOTE:
        sheet.lose(
            n,
            "",
            f"a note of {len(note)} characters",
            f"a note has {LONGEST_NOTE} characters at most",
            "shorten it, or split it over two rows",
        )
        note = ""
    if entries and (note or extras):
        beside: dict[str, Any] = {"extras": tuple(extras)} if extras else {}
        if note:
            beside["note"] = note
        entries[0] = entries[0].model_copy(update=beside)
    elif (
        not entries
        and not quiet
        and not any(d.line == sheet.table.rows[n].line for d in sheet.doubts[-8:])
    ):
        _nothing_in(sheet, n, note, extras)


def _nothing_in(sheet: Sheet, n: int, note: str, extras: list[tuple[str, str]]) -> None:
    """Set a row aside that has a day and no reading; what it says in words is asked about."""
    held = "; ".join([*([note] if note else []), *(f"{name}={cell}" for name, cell in extras)])
    row = sheet.table.rows[n]
    if held:
        sheet.lose(
            n,
            "",
            held[:300],
            "there is nothing in the row it could belong to",
            "add a weight, a girth or an intake to the row",
        )
        return
    sheet.aside.append(
        Unread(
            line=row.line,
            column="",
            what=f"the day {date_cell(sheet, n).strip()!r}",
            why="no reading stands beside it",
            mend="nothing has to be done",
            row=row.source,
        )
    )


def _time_of(sheet: Sheet, n: int) -> tuple[dt.time | None, bool | None]:
    """Give the time of day of a row, and whether it says that it was after food."""
    text = sheet.texts[n]
    at, fed = (text.at, fed_in(text.remark)) if text is not None else (None, None)
    for column, cell in sheet.cells_of(n, "time"):
        if is_nothing(cell):
            continue
        found = time_text(cell)
        if found is not None:
            at = found
        elif any(word in MORNING for word in words_of(cell)) or fed_in(cell) is not None:
            fed = fed_in(cell)
        else:
            said = repr(cell.strip()[:40])
            why, mend = f"{said} is no time of day", "write hours:minutes, as 07:15"
            sheet.lose(n, column.name, f"the time {said}", why, mend)
    if fed is None and at is not None and at >= EVENING:
        fed = True
    return at, fed


def _sessions(sheet: Sheet, n: int) -> list[str]:
    """Give what columns of words, and cells of words among minutes, say of the day's training."""
    said = []
    for column, cell in sheet.cells_of(n, "session", "training"):
        if is_nothing(cell) or (column.field == "training" and any(c.isdigit() for c in cell)):
            continue
        generic = all(word in GENERIC for word in words_of(column.what))
        yes = cell.strip().lower() in ("yes", "y", "ja", "oui", "si", "sí", "done", "✓", "✔", "1")
        said.append(column.name.strip() if yes else cell.strip() if generic else
                    f"{column.what}: {cell.strip()}")  # fmt: skip
    return said


def _entry(
    item: Item,
    on: dt.date,
    at: dt.time | None,
    fed: bool | None,
    notes: Sequence[str],
    sessions: list[str],
) -> AnyEntry:
    """Make the entry of one amount; a session's words are taken from the list they stand in."""
    kind, written = item.column.field, item.cell.strip()[:200]
    if kind == "mass":
        return WeighIn(
            on=on,
            at=at,
            value=item.value,
            unit=item.unit,
            written=written,
            conditions=_conditions(item, fed, notes),
        )
    if kind == "energy":
        unit = "" if item.named else " kJ" if item.unit == "kj" else " kcal"
        kcal = in_base(item.value, item.unit)
        return IntakeRecord(on=on, at=at, adherence="other", kcal=kcal, written=f"{written}{unit}")
    if kind == "training":
        return TrainingDone(on=on, at=at, what=_session(item, sessions), minutes=item.value)
    if kind == "steps":
        return Steps(on=on, at=at, count=round(item.value))
    if kind == "cycle day":
        return CycleDay(on=on, at=at, day=int(item.value) if item.value == int(item.value) else -1)
    return Girth(
        on=on,
        at=at,
        site=kind,
        side=item.column.side,
        value=item.value,
        unit=item.unit,
        written=written,
    )


def _session(item: Item, sessions: list[str]) -> str:
    """Name a session by its cell's words, its heading's, or the column of words beside it."""
    words = [w for w in words_of(f"{item.said.words} {item.said.remark}") if w not in GENERIC]
    heading = [w for w in item.column.what.split() if w not in GENERIC]
    if words and any(letter.isalpha() for letter in item.said.words + item.said.remark):
        said = f"{item.said.words} {item.said.remark}".strip()
        return said[:400] if not heading else f"{' '.join(heading)}, {said}"[:400]
    if heading:
        return " ".join(heading)[:400]
    return sessions.pop(0)[:400] if sessions else "training"


def _conditions(item: Item, fed: bool | None, notes: Sequence[str]) -> WeighInConditions:
    """Say how a weigh-in was taken, as far as its cell, its heading or the row's note say it."""
    remark = item.said.remark or item.said.words
    found = set(words_of(" ".join([remark, *notes])))
    for said in (fed_in(remark), item.column.fed, fed, *(fed_in(note) for note in notes)):
        if said is not None:
            fed = said
            break
    if item.column.morning and item.column.fed is None and fed is None:
        fed = None
    fasted = None if fed is None else not fed
    if fasted is None and found & FASTED:
        fasted = True
    return WeighInConditions(
        fasted=fasted,
        clothed=True if found & CLOTHED else None,
        usual_scale=False if found & OTHER_SCALE and found & SCALE else None,
    )


def _adherence(
    sheet: Sheet, n: int, on: dt.date, at: dt.time | None, entries: list[AnyEntry]
) -> list[AnyEntry]:
    """Put what a row says of keeping to the plan on its day of eating, or make one of it."""
    for column, cell in sheet.cells_of(n, "adherence"):
        said = cell.strip()
        if not said or (is_nothing(said) and said.lower() not in ADHERENCE_WORDS):
            continue
        word = ADHERENCE_WORDS.get(said.lower())
        if word is None:
            why, mend = (
                f"{said[:40]!r} is not a way of eating",
                "write as planned, roughly or other",
            )
            sheet.lose(n, column.name, f"the adherence {said[:40]!r}", why, mend)
            continue
        for place, entry in enumerate(entries):
            if isinstance(entry, IntakeRecord):
                entries[place] = entry.model_copy(update={"adherence": word})
                return []
        return [IntakeRecord(on=on, at=at, adherence=word)]
    return []


def first_message(error: ValidationError) -> str:
    """
    Say in one line what a model refused.

    Parameters
    ----------
    error : ValidationError

    Returns
    -------
    str
    """
    first = error.errors(include_url=False, include_context=False, include_input=False)[0]
    place = ".".join(str(part) for part in first["loc"][1:])
    message = str(first["msg"]).removeprefix("Value error, ")
    return f"{place}: {message}" if place else message
