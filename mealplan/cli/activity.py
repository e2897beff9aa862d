"""The part of the command line that reads a session out of a watch's file."""

from __future__ import annotations

import argparse
from pathlib import Path

from mealplan.cli.arguments import Add
from mealplan.errors import StoreError


def add_activity(add: Add) -> None:
    """
    Add the command to the command line.

    Parameters
    ----------
    add : callable
        Adds one command: name, what runs it, what it does, an example.
    """
    activity = add(
        "activity",
        _activity,
        "read day, length, kind and energy of a session out of a FIT, GPX or TCX file",
        "mealplan activity rower.json --file morning.fit",
    )
    activity.add_argument(
        "intake", type=Path, metavar="INTAKE", help="JSON file, for body mass and time zone"
    )
    activity.add_argument(
        "--file", type=Path, required=True, metavar="FILE", help="FIT, GPX 1.1 or TCX"
    )
    activity.add_argument(
        "--json", action="store_true", help="print log entries as JSON and nothing else"
    )


def _activity(options: argparse.Namespace) -> int:
    from zoneinfo import ZoneInfo

    from mealplan.checkin.log.activity_files import MOST_ACTIVITY_BYTES, log_entries, read_activity
    from mealplan.checkin.log.log import log_of
    from mealplan.checkin.log.words import entry_words
    from mealplan.client.read import load_intake

    intake = load_intake(options.intake)
    try:
        with options.file.open("rb") as file:
            content = file.read(MOST_ACTIVITY_BYTES + 1)
    except OSError as error:
        raise StoreError(
            f"{options.file} cannot be read ({error.strerror}); check its name and that you may "
            "read it"
        ) from None
    zone = ZoneInfo(intake.time_zone) if intake.time_zone else None
    log = log_of(log_entries(read_activity(content), zone, intake.weight_kg))
    if options.json:
        print(log.model_dump_json(indent=2))
        return 0
    for entry in log.entries:
        note = f" ({entry.note})" if entry.note else ""
        print(f"{entry.on}: {entry_words(entry)}{note}")
    return 0
