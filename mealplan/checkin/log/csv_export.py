"""
A log as one table that reads back the same, to the last digit and unit.

One row an entry, one column a field; cells that a spreadsheet would take for a formula start with
an apostrophe, which :mod:`mealplan.checkin.log.csv_import` takes off again.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable

from mealplan.checkin.log.entries import KINDS
from mealplan.checkin.log.entry import LogEntry
from mealplan.checkin.log.log import Log

FIRST_COLUMNS = ("kind", "on", "at")
LAST_COLUMNS = ("note", "extras", "id", "superseded")
FORMULA_STARTS = ("=", "+", "-", "@", "'", "\t", "\r")
JSON_FIELDS = frozenset({"conditions", "extras"})


def all_columns() -> tuple[str, ...]:
    """Return every column, those of all kinds between the common ones."""
    between: dict[str, None] = {}
    for model in KINDS.values():
        for name in model.model_fields:
            if name not in FIRST_COLUMNS and name not in LAST_COLUMNS:
                between.setdefault(name)
    return (*FIRST_COLUMNS, *between, *LAST_COLUMNS)


def _cell(name: str, value: object) -> str:
    if value is None:
        return ""
    if name in JSON_FIELDS:
        return json.dumps(value, ensure_ascii=False) if value else ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return repr(value)
    text = str(value)
    if isinstance(value, str) and text.startswith(FORMULA_STARTS):
        return "'" + text
    return text


def _rows(entries: Iterable[tuple[LogEntry, str]], columns: tuple[str, ...]) -> Iterable[list[str]]:
    for entry, why in entries:
        data = entry.model_dump(mode="json")
        data["superseded"] = why
        yield [_cell(name, data.get(name)) for name in columns]


def write_csv(log: Log) -> str:
    """
    Write a log as CSV, corrected and withdrawn entries included.

    Parameters
    ----------
    log : Log

    Returns
    -------
    str
        RFC 4180 text; :func:`mealplan.checkin.log.csv_import.read_csv` gives the same log back.
    """
    columns = all_columns()
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    standing = ((entry, "") for entry in log.entries)
    past = ((old.entry, old.why or "corrected") for old in log.history)
    writer.writerows(_rows(standing, columns))
    writer.writerows(_rows(past, columns))
    return out.getvalue()
