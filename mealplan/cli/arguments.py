"""Arguments that several commands share, and how typed ones are read."""

from __future__ import annotations

import argparse
import datetime as dt
from collections.abc import Callable
from pathlib import Path

from mealplan.errors import IntakeError, StoreError

Add = Callable[[str, Callable[[argparse.Namespace], int], str, str], argparse.ArgumentParser]
"""Adds one command: name, what runs it, what it does, an example."""


def intake_argument(command: argparse.ArgumentParser) -> None:
    """
    Add the intake a command reads.

    Parameters
    ----------
    command : argparse.ArgumentParser
        The command it is added to.
    """
    command.add_argument(
        "intake", type=Path, metavar="INTAKE", help="JSON file, see `mealplan example`"
    )


def json_argument(command: argparse.ArgumentParser) -> None:
    """
    Add the switch that prints data alone.

    Parameters
    ----------
    command : argparse.ArgumentParser
        The command it is added to.
    """
    command.add_argument("--json", action="store_true", help="print JSON and nothing else")


def read_date(text: str) -> dt.date:
    """
    Read a date.

    Parameters
    ----------
    text : str
        As typed, YYYY-MM-DD.

    Returns
    -------
    datetime.date

    Raises
    ------
    argparse.ArgumentTypeError
        When it is no date, or its year cannot be meant.
    """
    from mealplan.client.intake import FIRST_YEAR, LAST_YEAR

    try:
        date = dt.date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text!r} is not a date; write it as 2026-12-07"
        ) from None
    if not FIRST_YEAR <= date.year <= LAST_YEAR:
        raise argparse.ArgumentTypeError(
            f"{text!r} lies outside the years {FIRST_YEAR} to {LAST_YEAR}; check the year"
        )
    return date


def whole_number(low: int, high: int) -> Callable[[str], int]:
    """
    Make a reader of whole numbers.

    Parameters
    ----------
    low, high : int
        Least and greatest number that is taken.

    Returns
    -------
    callable
        Reads typed text; raises ``argparse.ArgumentTypeError`` when it is none.
    """

    def read(text: str) -> int:
        number = int(text) if text.lstrip("-").isdecimal() and len(text) < 20 else None
        if number is None or not low <= number <= high:
            raise argparse.ArgumentTypeError(
                f"{text[:20]!r} is not a whole number from {low} to {high}"
            )
        return number

    return read


def read_text(path: Path) -> str:
    """
    Read a text file of at most a megabyte.

    Parameters
    ----------
    path : Path
        File to read.

    Returns
    -------
    str

    Raises
    ------
    StoreError
        When it is not there or may not be read.
    IntakeError
        When it is larger, or no UTF-8 text; one line that says why.
    """
    from mealplan.client.read import MAX_INTAKE_BYTES

    try:
        if path.stat().st_size > MAX_INTAKE_BYTES:
            raise IntakeError(f"{path} is larger than 1 MB; is it the right file?")
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise StoreError(
            f"{path} cannot be read ({error.strerror or error}); check its name and that you may "
            "read it"
        ) from None
    except UnicodeDecodeError as error:
        raise IntakeError(
            f"{path}: byte {error.start} is not UTF-8 text; save it again with UTF-8 encoding"
        ) from None
