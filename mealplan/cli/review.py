"""The part of the command line that looks back on a phase from an intake and a log."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from mealplan.cli.arguments import Add, read_date
from mealplan.errors import CheckInError, StoreError

if TYPE_CHECKING:
    from mealplan.checkin.log.log import Log
    from mealplan.checkin.table.reading import CsvReading

MOST_SAID = 5
"""Rows that were not understood and are named; the rest are counted."""


def add_review(add: Add) -> None:
    """
    Add the command to the command line.

    Parameters
    ----------
    add : callable
        Adds one command: name, what runs it, what it does, an example.
    """
    review = add(
        "review",
        _review,
        "look back on a phase: expected against actual; muscle, fat or noise",
        "mealplan review rower.json --log weights.csv --out rower",
    )
    review.add_argument(
        "intake", type=Path, metavar="INTAKE", help="JSON file the phase was run from"
    )
    review.add_argument(
        "--log", type=Path, required=True, metavar="CSV", help="what was weighed, eaten, measured"
    )
    review.add_argument(
        "--confirm", action="store_true", help="the table means what the program takes it to mean"
    )
    review.add_argument("--start", type=read_date, metavar="DATE", help="first day, YYYY-MM-DD")
    review.add_argument("--end", type=read_date, metavar="DATE", help="last day, YYYY-MM-DD")
    review.add_argument(
        "--out", type=Path, metavar="FOLDER", help="also write review.html there, to print"
    )
    review.add_argument("--json", action="store_true", help="print JSON and nothing else")


def _review(options: argparse.Namespace) -> int:
    from pydantic import TypeAdapter

    from mealplan.checkin.phase import LookBack, PhaseSpan, look_back, phases_of
    from mealplan.client.read import load_intake
    from mealplan.render.html import review_html
    from mealplan.render.review_text import review_text

    intake = load_intake(options.intake)
    log = read_log(options.log, intake.weight_kg, confirmed=options.confirm)
    if not log.entries:
        raise CheckInError(
            f"{options.log} holds no entry; a log has a heading row and a date in every row"
        )
    latest = phases_of(intake, log, log.entries[-1].on)[0]
    span = PhaseSpan(latest.name, options.start or latest.start, options.end or latest.end)
    found = look_back(intake, log, span)
    if options.out is not None:
        options.out.mkdir(parents=True, exist_ok=True)
        page = review_html(intake.role, found, hide=intake.numbers_hidden)
        (options.out / "review.html").write_text(page, encoding="utf-8", newline="\n")
    if options.json:
        print(TypeAdapter(LookBack).dump_json(found, indent=2).decode())
    else:
        print(review_text(intake.role, found))
        if options.out is not None:
            print(f"\nWritten to {options.out / 'review.html'}")
    return 0


def read_log(path: Path, expected_kg: float, *, confirmed: bool) -> Log:
    """
    Read a log from a table; what was not understood is named on standard error.

    Parameters
    ----------
    path : Path
    expected_kg : float
        Body mass of the intake, to guess the unit by. [kg]
    confirmed : bool
        True once somebody agreed with what the table leaves open.

    Returns
    -------
    Log

    Raises
    ------
    StoreError
        When the file cannot be read.
    CheckInError
        When the table leaves open what it means.
    """
    from mealplan.checkin.log.csv_import import MOST_BYTES, read_csv
    from mealplan.checkin.table.grid import text_of

    try:
        if path.stat().st_size > MOST_BYTES:
            raise CheckInError(f"{path} is larger than {MOST_BYTES:,} bytes; is it the right file?")
        text = text_of(path.read_bytes())
    except OSError as error:
        raise StoreError(
            f"{path} cannot be read ({error.strerror}); check its name and that you may read it"
        ) from None
    reading = read_csv(text, expected_kg=expected_kg)
    for line in _look(reading):
        print(line, file=sys.stderr)
    for cell in reading.unread[:MOST_SAID]:
        print(f"line {cell.line}: {cell.what}: {cell.why}; {cell.mend}", file=sys.stderr)
    if len(reading.unread) > MOST_SAID:
        print(f"and {len(reading.unread) - MOST_SAID} more not understood", file=sys.stderr)
    try:
        return reading.to_log(confirmed=confirmed)
    except CheckInError as error:
        raise CheckInError(
            f"{error}: --confirm agrees; a unit in the heading, such as weight kg, settles it"
        ) from None


def _look(reading: CsvReading) -> Iterator[str]:
    """Say what each column is taken for and which cells are asked about, if any are."""
    if not (reading.open_guesses or reading.doubts or reading.unread):
        return
    for column in reading.columns:
        yield f"column {column.name!r}: {column.taken_for}"
    for doubt in reading.doubts[:MOST_SAID]:
        others = ", or ".join(doubt.options[1:])
        yield (
            f"line {doubt.line}, {doubt.column} {doubt.cell!r}: {doubt.why}; taken as "
            f"{doubt.chosen} (else {others})"
        )
    if len(reading.doubts) > MOST_SAID:
        yield f"and {len(reading.doubts) - MOST_SAID} more cells asked about"
