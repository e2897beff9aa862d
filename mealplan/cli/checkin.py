"""The part of the command line that says where a client stands, from an intake and a log."""

from __future__ import annotations

import argparse
from pathlib import Path

from mealplan.cli.arguments import Add, read_date
from mealplan.cli.review import read_log
from mealplan.errors import CheckInError


def add_checkin(add: Add) -> None:
    """
    Add the command to the command line.

    Parameters
    ----------
    add : callable
        Adds one command: name, what runs it, what it does, an example.
    """
    checkin = add(
        "check-in",
        _checkin,
        "say whether the day's energy should move, what it rests on, and what to worry about",
        "mealplan check-in rower.json --log weights.csv",
    )
    checkin.add_argument(
        "intake", type=Path, metavar="INTAKE", help="JSON file the plan in force was made from"
    )
    checkin.add_argument(
        "--log", type=Path, required=True, metavar="CSV", help="what was weighed, eaten, measured"
    )
    checkin.add_argument(
        "--confirm", action="store_true", help="the table means what the program takes it to mean"
    )
    checkin.add_argument(
        "--on", type=read_date, metavar="DATE", help="day to look from; the log's last if left out"
    )
    checkin.add_argument("--json", action="store_true", help="print JSON and nothing else")


def _checkin(options: argparse.Namespace) -> int:
    from pydantic import TypeAdapter

    from mealplan.checkin.decide.log_setup import unit_of
    from mealplan.checkin.decide.status import Standing, standing
    from mealplan.client.read import load_intake
    from mealplan.render.checkin_text import checkin_text

    intake = load_intake(options.intake)
    log = read_log(options.log, intake.weight_kg, confirmed=options.confirm)
    if not log.entries:
        raise CheckInError(
            f"{options.log} holds no entry; a log has a heading row and a date in every row"
        )
    found = standing(intake, log, (), options.on or log.entries[-1].on)
    if options.json:
        print(TypeAdapter(Standing).dump_json(found, indent=2).decode())
    else:
        print(checkin_text(intake.role, found, unit_of(intake, log)))
    return 0
