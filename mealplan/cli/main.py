"""
The command line: parse, call, print.

Exit codes: 0 done; 1 a fault of the program; 2 the command was typed wrong; 3 the intake is
missing, unreadable or unusable, or a word names nothing; 4 refused for safety; 5 no plan exists;
6 a file or the database could not be used; 130 interrupted.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Callable, Sequence

from foods.registry.errors import FoodError
from mealplan.cli.activity import add_activity
from mealplan.cli.arguments import whole_number
from mealplan.cli.checkin import add_checkin
from mealplan.cli.look_up import add_look_up
from mealplan.cli.planning import add_planning
from mealplan.cli.review import add_review
from mealplan.cli.service import add_commands
from mealplan.cli.table import add_table
from mealplan.cli.weights import add_weights
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

    add_planning(add)
    add_table(add)
    add_review(add)
    add_checkin(add)
    add_activity(add)
    add_weights(add)
    add_look_up(add)
    add_commands(add, whole_number(1, 65535))
    return parser


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
        return _refused(error, as_json=getattr(options, "json", False))
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
        return _fail(
            f"{where} could not be written: {error.strerror or error}; name a folder or file that "
            "you may write, on a disk with room",
            EXIT_FILE,
        )
    except KeyboardInterrupt:
        return _fail("stopped", EXIT_INTERRUPTED)
    return code


def _refused(refusal: SafetyRefusal, *, as_json: bool) -> int:
    """Say a refusal with every reason and whom to see, and hand out nothing to act on."""
    if as_json:
        findings = [one.model_dump(mode="json") for one in refusal.findings]
        words = {"refuse": "refused", "override": "needs a professional"}
        said = {"verdict": words[refusal.severity], "findings": findings}
        print(json.dumps(said, indent=2))
        return EXIT_REFUSED
    return _fail(str(refusal), EXIT_REFUSED)


def _fail(message: str, code: int) -> int:
    print(f"mealplan: {' '.join(message.split())}", file=sys.stderr)
    return code
