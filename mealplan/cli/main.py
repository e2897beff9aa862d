"""
The command line: parse, call, print.

Exit codes: 0 done; 1 a fault of the program; 2 the command was typed wrong; 3 the intake is
missing, unreadable or unusable, or a word names nothing; 4 refused for safety; 5 no plan exists;
6 a file or the database could not be used; 130 interrupted.
"""

from __future__ import annotations

import argparse
import contextlib
import datetime as dt
import json
import os
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from pydantic import BaseModel

from foods import FoodError
from mealplan.cli.review import add_review
from mealplan.cli.service import add_commands
from mealplan.client.intake import FIRST_YEAR, LAST_YEAR, MAX_INTAKE_BYTES, Intake, load_intake
from mealplan.errors import (
    CheckInError,
    IntakeError,
    MealPlanError,
    NoPlanError,
    SafetyRefusal,
    SolverError,
    TargetError,
)

EXIT_FAULT = 1
EXIT_USAGE = 2
EXIT_INTAKE = 3
EXIT_REFUSED = 4
EXIT_NO_PLAN = 5
EXIT_FILE = 6
EXIT_INTERRUPTED = 130

EPILOG = """\
examples
  mealplan example > rower.json        an intake to edit
  mealplan targets rower.json          the worksheet, every number with its working
  mealplan plan rower.json --days 7    a week, its adequacy and the shopping list
  mealplan demo                        the whole job for an invented club
  mealplan serve                       pages on this machine, http://127.0.0.1:8000
  mealplan backup monday.backup        everything the pages keep, in one file

exit codes
  0 done   1 a fault of the program   2 typed wrong
  3 the intake is missing or cannot be used, or a word names nothing
  4 refused for safety   5 no plan exists
  6 a file or the database could not be used   130 interrupted

Targets are estimates with ranges, for healthy adults; they are not medical advice. With an illness,
a pregnancy, medicines or a history of disordered eating, see a physician or registered dietitian.
"""


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="mealplan",
        description="From a measured body to a week of plant-based meals.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    def add(
        name: str, run: Callable[[argparse.Namespace], int], about: str, example: str
    ) -> argparse.ArgumentParser:
        command = commands.add_parser(
            name,
            help=about,
            description=about[0].upper() + about[1:] + ".",
            epilog=f"example\n  {example}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        command.set_defaults(run=run)
        return command

    resting = add(
        "resting-test",
        _resting_test,
        "judge a minute-by-minute resting test and print what an intake needs of it",
        "mealplan resting-test canopy.csv --date 2026-11-20 --fasted-hours 11",
    )
    resting.add_argument("table", type=Path, metavar="CSV", help="time, VO2 and VCO2 by the minute")
    resting.add_argument("--date", type=_date, required=True, help="day of the test, YYYY-MM-DD")
    resting.add_argument("--fasted-hours", type=float, metavar="H", help="hours since any food")
    _json_argument(resting)

    targets = add(
        "targets",
        _targets,
        "work out daily targets with their working",
        "mealplan targets rower.json",
    )
    _intake_argument(targets)
    _json_argument(targets)

    season = add(
        "season",
        _season,
        "lay a season's phases out with dates, targets and hand-over rules",
        "mealplan season rower.json",
    )
    _intake_argument(season)
    season.add_argument(
        "--today", type=_date, metavar="DATE", help="also say whether the phase hands over"
    )

    plan = add(
        "plan",
        _plan,
        "plan days of meals and the shopping list",
        "mealplan plan rower.json --days 3 --start 2026-12-07",
    )
    _intake_argument(plan)
    plan.add_argument(
        "--days",
        type=_whole(1, 28),
        default=7,
        metavar="N",
        help="how many days, 1 to 28 (default 7)",
    )
    plan.add_argument(
        "--start", type=_date, metavar="DATE", help="first day, YYYY-MM-DD (default: the intake's)"
    )
    plan.add_argument(
        "--seed",
        type=_whole(0, 2**31 - 1),
        metavar="N",
        help="another number, another equally good week",
    )
    plan.add_argument(
        "--polish",
        action="store_true",
        help="take longer and search further: a week in some twenty seconds, never worse",
    )
    plan.add_argument(
        "--out", type=Path, metavar="FOLDER", help="also write the plan, menu and list there"
    )
    plan.add_argument(
        "--prices", type=Path, metavar="CSV", help="price list: adds what the week costs"
    )
    plan.add_argument(
        "--budget",
        type=float,
        metavar="AMOUNT",
        help="most the week's food should be worth, in the price list's currency",
    )
    plan.add_argument(
        "--foods", type=Path, metavar="TOML", help="foods of your own, from package labels"
    )
    plan.add_argument(
        "--dishes", type=Path, metavar="TOML", help="dishes of your own, added to those that ship"
    )
    _json_argument(plan)

    demo = add(
        "demo",
        _demo,
        "run the whole job for one client of an invented club",
        "mealplan demo --client club-runner",
    )
    demo.add_argument(
        "--client",
        default="club-lifter",
        help="club-lifter, club-runner or club-climber (default club-lifter)",
    )
    demo.add_argument("--all", action="store_true", help="write the folders of all demo clients")
    demo.add_argument(
        "--out",
        type=Path,
        default=Path("demo_menus"),
        metavar="FOLDER",
        help="where folders go (default demo_menus)",
    )
    _json_argument(demo)

    add_review(add, _date)
    add_commands(add, _whole(1, 65535))

    food = add("food", _food, "look foods up in the composition table", "mealplan food red lentils")
    food.add_argument("words", nargs="+", help="words of the description, or a table number")
    _json_argument(food)

    activities = add(
        "activities",
        _activities,
        "list exercise costs for an intake's sessions",
        "mealplan activities running",
    )
    activities.add_argument("words", nargs="*", help="words to look for")
    _json_argument(activities)

    example = add(
        "example",
        _example,
        "print an intake, foods or dishes to start from",
        "mealplan example > rower.json",
    )
    example.add_argument(
        "what",
        nargs="?",
        default="intake",
        choices=("intake", "foods", "dishes"),
        help="what to print (default intake)",
    )

    schema = add(
        "schema",
        _schema,
        "print the JSON Schema of an intake, targets or plan",
        "mealplan schema plan",
    )
    schema.add_argument("what", choices=("intake", "targets", "plan"))
    return parser


def _intake_argument(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "intake", type=Path, metavar="INTAKE", help="JSON file, see `mealplan example`"
    )


def _json_argument(command: argparse.ArgumentParser) -> None:
    command.add_argument("--json", action="store_true", help="print JSON and nothing else")


def _date(text: str) -> dt.date:
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


def _whole(low: int, high: int) -> Callable[[str], int]:
    """Make a reader of whole numbers from ``low`` to ``high``."""

    def read(text: str) -> int:
        number = int(text) if text.lstrip("-").isdecimal() and len(text) < 20 else None
        if number is None or not low <= number <= high:
            raise argparse.ArgumentTypeError(
                f"{text[:20]!r} is not a whole number from {low} to {high}"
            )
        return number

    return read


@contextlib.contextmanager
def _progress(what: str) -> Iterator[Callable[[int, int], None]]:
    """Show progress on standard error once work has taken over a second, if someone is watching."""
    began = time.monotonic()
    shown = False

    def tell(done: int, total: int) -> None:
        nonlocal shown
        if sys.stderr.isatty() and time.monotonic() - began > 1.0:
            shown = True
            sys.stderr.write(f"\r{what}: {done} of {total} ")
            sys.stderr.flush()

    try:
        yield tell
    finally:
        if shown:
            sys.stderr.write("\r" + " " * (len(what) + 20) + "\r")
            sys.stderr.flush()


def _read_text(path: Path) -> str:
    """Read a text file of at most a megabyte, or say in one line why not."""
    if path.stat().st_size > MAX_INTAKE_BYTES:
        raise IntakeError(f"{path} is larger than 1 MB; is it the right file?")
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise IntakeError(
            f"{path}: byte {error.start} is not UTF-8 text; save it again with UTF-8 encoding"
        ) from None


def _resting_test(options: argparse.Namespace) -> int:
    from mealplan.physiology.resting.gas_series import read_gas_series
    from mealplan.physiology.resting.measurement import Conditions, judge_series

    series = read_gas_series(_read_text(options.table), "rest")
    judged = judge_series(series.samples, conditions=Conditions(fasted_hours=options.fasted_hours))
    steady = judged.steady
    found: dict[str, object] = {
        "date": options.date.isoformat(),
        "vo2_ml_min": round(steady.vo2_ml_min, 1) if steady else None,
        "vco2_ml_min": round(steady.vco2_ml_min, 1) if steady else None,
        "cv_percent": round(100 * max(steady.cv_vo2, steady.cv_vco2), 1) if steady else None,
    }
    if options.fasted_hours is not None:
        found["fasted_hours"] = options.fasted_hours
    block = json.dumps({"resting_test": found}, indent=2)
    if options.json:
        print(block)
        return 0
    for message in series.messages:
        print(message)
    print(f"{judged.energy_kcal:,.0f} kcal/day by {judged.equation}; ratio {judged.rer:.2f}.")
    print(f"Verdict: {judged.verdict} ({'; '.join(judged.reasons) or 'every condition met'}).")
    print(f"For the intake:\n{block}")
    return 0


def _targets(options: argparse.Namespace) -> int:
    from mealplan.render.text import targets_text
    from mealplan.targets.make import make_targets

    intake = load_intake(options.intake)
    targets = make_targets(intake)
    print(targets.model_dump_json(indent=2) if options.json else targets_text(intake, targets))
    return 0


def _season(options: argparse.Namespace) -> int:
    from mealplan.targets.season import hand_over, season_text

    intake = load_intake(options.intake)
    print(season_text(intake))
    if options.today is not None:
        found = hand_over(intake, options.today)
        print(f"\nOn {options.today}: {found.decision} ({'; '.join(found.reasons)}).")
    return 0


def _plan(options: argparse.Namespace) -> int:
    from mealplan.kitchen.custom_foods import catalogue_of
    from mealplan.menu.planner import make_plan
    from mealplan.render.text import plan_text
    from mealplan.shopping.door import price_list, shopping_list, with_budget, with_prices
    from mealplan.targets.make import make_targets

    intake = load_intake(options.intake)
    if options.seed is not None:
        intake = intake.model_copy(update={"seed": options.seed})
    shop = intake.kitchen.shop
    if options.prices is not None:
        shop = with_prices(shop, _read_text(options.prices))
    if options.budget is not None:
        shop = with_budget(shop, options.budget)
    intake = intake.model_copy(update={"kitchen": intake.kitchen.model_copy(update={"shop": shop})})
    intake = _with_own(intake, options)
    targets = make_targets(intake)
    with _progress("planning, step" if options.polish else "planning day") as tell:
        plan = make_plan(
            intake,
            targets,
            days=options.days,
            first=options.start,
            polish=options.polish,
            progress=tell,
        )
    if options.out is not None:
        from mealplan.demo.folders import write_folder

        write_folder(options.out, intake, targets, plan)
    if options.json:
        print(plan.model_dump_json(indent=2))
    else:
        print(plan_text(intake, plan, shopping_list(plan, intake)))
        prices = price_list(intake.kitchen.shop, catalogue_of(intake))
        if prices is not None:
            from mealplan.menu.cost_and_swaps import cheapest_swap, cost_text, week_cost

            swap = cheapest_swap(plan, intake, targets, prices)
            print(cost_text(week_cost(plan, intake, prices), swap))
    return 0


def _with_own(intake: Intake, options: argparse.Namespace) -> Intake:
    """Put the foods and dishes of files into an intake, which then carries them everywhere."""
    from foods.custom.food import parse_own_foods
    from foods.dishes.model import check_lines, own_dishes
    from mealplan.kitchen.custom_foods import catalogue_of

    if options.foods is not None:
        foods = {food.key: food for food in intake.own_foods}
        for food in parse_own_foods(_read_text(options.foods), str(options.foods)):
            foods[food.key] = food
        intake = intake.model_copy(update={"own_foods": tuple(foods.values())})
    if options.dishes is not None:
        dishes = {dish.key: dish for dish in intake.own_dishes}
        text = _read_text(options.dishes)
        for dish in own_dishes(text, str(options.dishes), catalogue_of(intake)):
            dishes[dish.key] = dish
        intake = intake.model_copy(update={"own_dishes": tuple(dishes.values())})
    check_lines(intake.own_dishes, catalogue_of(intake))
    return intake


def _demo(options: argparse.Namespace) -> int:
    from mealplan.demo.folders import DEMO_CLIENTS, demo_intake, run_demo, write_folder
    from mealplan.demo.history import write_history

    chosen = DEMO_CLIENTS if options.all else (options.client,)
    plans = []
    for client in chosen:
        intake = demo_intake(client)
        with _progress(f"planning {client}") as tell:
            result = run_demo(intake, tell)
        folder = write_folder(options.out / client, result.intake, result.targets, result.plan)
        history = write_history(folder, client)
        plans.append(result.plan)
        if not options.json:
            print(result.text)
            print(
                f"\nWritten to {folder}/: intake.json plan.json menu.html cook.html list.html "
                + " ".join(("worksheet.html", *history))
            )
    if options.json and options.all:
        print(json.dumps([plan.model_dump(mode="json") for plan in plans], indent=2))
    elif options.json:
        print(plans[0].model_dump_json(indent=2))
    return 0


def _food(options: argparse.Namespace) -> int:
    from mealplan.render.text import food_text, foods_json

    words = " ".join(options.words)
    found = foods_json(words)
    if found == "[]":
        raise IntakeError(f"no food of the table matches {words!r}; try fewer or other words")
    print(found if options.json else food_text(words))
    return 0


def _activities(options: argparse.Namespace) -> int:
    from mealplan.physiology.expenditure.exercise import find_activities
    from mealplan.physiology.tables import activities

    rows = (
        find_activities(" ".join(options.words)) if options.words else tuple(activities().values())
    )
    if options.json:
        print(
            json.dumps(
                [{"code": row.code, "activity": row.activity, "met": row.met} for row in rows],
                indent=2,
            )
        )
    elif rows:
        for row in rows:
            print(f"{row.code}  {row.met:5.1f} MET  {row.activity}")
    else:
        raise IntakeError(
            f"no activity holds {' '.join(options.words)!r}; try one word, such as rowing"
        )
    return 0


def _example(options: argparse.Namespace) -> int:
    from mealplan.demo.folders import demo_intake_text, example_text

    print(
        demo_intake_text("club-lifter") if options.what == "intake" else example_text(options.what)
    )
    return 0


def _schema(options: argparse.Namespace) -> int:
    from mealplan.plan import Plan
    from mealplan.targets.ranges import Targets

    models: dict[str, type[BaseModel]] = {"intake": Intake, "targets": Targets, "plan": Plan}
    model = models[options.what]
    # An intake is read, the others are written: a written field is always there.
    schema = model.model_json_schema(
        mode="validation" if options.what == "intake" else "serialization"
    )
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    print(json.dumps(schema, indent=2))
    return 0


def main(arguments: Sequence[str] | None = None) -> int:
    """
    Run the command line.

    Parameters
    ----------
    arguments : sequence of str, optional
        Without the program's name; the process's own when left out.

    Returns
    -------
    int
        Exit code.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    options = _parser().parse_args(arguments)
    try:
        code = int(options.run(options))
        sys.stdout.flush()
    except (IntakeError, TargetError, FoodError, CheckInError) as error:
        return _fail(str(error), EXIT_INTAKE)
    except SafetyRefusal as error:
        return _fail(str(error), EXIT_REFUSED)
    except NoPlanError as error:
        return _fail(str(error), EXIT_NO_PLAN)
    except SolverError as error:
        return _fail(f"{error}. This is a fault of the program, not of the intake", EXIT_FAULT)
    except MealPlanError as error:
        return _fail(str(error), EXIT_FILE)
    except BrokenPipeError:
        # Whoever reads our output (such as `head`) has enough; nothing more can be written.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except OSError as error:
        where = error.filename or "the output"
        return _fail(f"{where} could not be written: {error.strerror or error}", EXIT_FILE)
    except KeyboardInterrupt:
        return _fail("stopped", EXIT_INTERRUPTED)
    return code


def _fail(message: str, code: int) -> int:
    print(f"mealplan: {' '.join(message.split())}", file=sys.stderr)
    return code
