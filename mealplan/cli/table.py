"""The command that plans several at one table."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from mealplan.cli.arguments import Add, json_argument, read_date, whole_number
from mealplan.cli.progress import progress

if TYPE_CHECKING:
    from mealplan.menu.table import AtTable, TablePlanned


def add_table(add: Add) -> None:
    """
    Add the command to the command line.

    Parameters
    ----------
    add : callable
        Adds one command: name, what runs it, what it does, an example.
    """
    table = add(
        "table",
        _table,
        "plan several who share meals: one pot, own plates",
        "mealplan table rower.json lifter.json --share dinner --guest 'child 0.6 nuts'",
    )
    table.add_argument(
        "intakes",
        type=Path,
        nargs="+",
        metavar="INTAKE",
        help="one JSON file an eater; the first one's kitchen cooks",
    )
    table.add_argument(
        "--share",
        action="append",
        default=[],
        metavar="MEAL",
        help="a meal they share, such as dinner or 'saturday lunch'; may be given again "
        "(default dinner)",
    )
    table.add_argument(
        "--guest",
        action="append",
        default=[],
        metavar="WHO",
        help="eats along without targets: a role, the share of a mean plate, and allergens, such "
        "as 'child 0.6 nuts,soy'; may be given again",
    )
    table.add_argument(
        "--days", type=whole_number(1, 28), default=7, metavar="N", help="1 to 28 (default 7)"
    )
    table.add_argument("--start", type=read_date, metavar="DATE", help="first day, YYYY-MM-DD")
    table.add_argument(
        "--shared-only",
        action="store_true",
        help="cooking and list of the shared pots alone, to be shown to everyone at the table",
    )
    table.add_argument(
        "--canteen",
        action="store_true",
        help="print a canteen's sheet: pots in total, plates and allergens by person",
    )
    table.add_argument(
        "--out",
        type=Path,
        metavar="FOLDER",
        help="also write a folder an eater, and the table's cooking and list",
    )
    json_argument(table)


def _table(options: argparse.Namespace) -> int:
    from mealplan.client.read import load_intake
    from mealplan.menu.table import AtTable, plan_table
    from mealplan.table.model import read_guest, read_shared
    from mealplan.targets.make import make_targets

    intakes = [load_intake(path) for path in options.intakes]
    eaters = [AtTable(intake, make_targets(intake)) for intake in intakes]
    with progress("planning day") as tell:
        planned = plan_table(
            eaters,
            read_shared(options.share or ["dinner"]),
            guests=[read_guest(said) for said in options.guest],
            days=options.days,
            first=options.start,
            progress=tell,
        )
    _print(options, planned, eaters)
    return 0


def _print(options: argparse.Namespace, planned: TablePlanned, eaters: list[AtTable]) -> None:
    """Write and print what was asked for."""
    from mealplan.cooking.sheet import batch_plan
    from mealplan.demo.table_folder import write_table
    from mealplan.menu.table import faults_of
    from mealplan.render.table import canteen_text, table_text
    from mealplan.render.text import day_text
    from mealplan.shopping.door import shopping_list
    from mealplan.table.together import kitchen_of, side_by_side

    decided = planned.decided
    kitchen = kitchen_of(decided, planned.intakes)
    whole = not (options.shared_only or options.canteen)
    joined = side_by_side(decided, planned.plans, kitchen, whole=whole)
    batch, shopping = batch_plan(joined, kitchen), shopping_list(joined, kitchen)
    if options.out is not None:
        write_table(options.out, planned, eaters, joined, batch, shopping)
    if options.json:
        data = {
            "table": decided.model_dump(mode="json"),
            "cooking": batch.model_dump(mode="json"),
            "list": shopping.model_dump(mode="json"),
            "plans": [plan.model_dump(mode="json") for plan in planned.plans if whole],
        }
        print(json.dumps(data, indent=2))
        return
    if options.canteen:
        print(canteen_text(decided, planned.intakes, joined, batch))
        return
    for plan in planned.plans if whole else ():
        print("\n".join([f"MENU  {plan.role}", *(day_text(day) for day in plan.days), ""]))
    print(table_text(decided, batch, shopping))
    faults = faults_of(planned, eaters)
    print("\nChecked again food by food: " + ("; ".join(faults) or "nothing is wrong."))
