"""
Change the code where decisions are made, one place at a time, and see whether a test notices.

``python -m tests.mutants ROOM --most 40 --seed 1`` from the top folder, with the development tools:
so many changes drawn from a room are made in a copy of the project, its tests are run on each, and
what no test noticed is printed. A change after which the program does the same is no fault of the
tests: that is for the reader to judge.
"""

from __future__ import annotations

import argparse
import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from cosmic_ray.commands.init import init
from cosmic_ray.mutating import mutate_and_test
from cosmic_ray.work_db import WorkDB, use_db
from cosmic_ray.work_item import TestOutcome, WorkItem

ROOT = Path(__file__).parent.parent
ROOMS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    # room: modules changed, and what is run on each change
    "menu": (
        (
            "mealplan/menu/ledger.py",
            "mealplan/menu/offers.py",
            "mealplan/menu/occasions.py",
            "mealplan/menu/leftovers.py",
            "mealplan/rules/preferences/*.py",
            "mealplan/lp/amounts.py",
        ),
        (
            "tests/mealplan/menu/test_ledger.py",
            "tests/mealplan/rules",
            "tests/mealplan/lp/test_properties.py",
            "tests/mealplan/menu/test_habits.py",
            "tests/mealplan/menu/test_candidates.py",
            "tests/mealplan/menu/test_weeks.py",
        ),
    ),
    "checkin": (
        (
            "mealplan/checkin/decide/decision.py",
            "mealplan/checkin/decide/proposal.py",
            "mealplan/checkin/decide/signs.py",
            "mealplan/checkin/decide/warnings.py",
        ),
        (
            "tests/mealplan/checkin/test_warnings.py",
            "tests/mealplan/checkin/test_signs.py",
            "tests/mealplan/checkin/test_proposal.py",
            "tests/mealplan/checkin/test_status.py",
            "tests/mealplan/checkin/test_waiting.py",
        ),
    ),
    "labels": (("foods/custom/label*.py",), ("tests/foods/custom",)),
    "guards": (
        ("api/desk/deps.py", "api/app/door.py", "api/security/*.py"),
        (
            "tests/api/test_door.py",
            "tests/api/test_interface.py",
            "tests/api/test_accounts.py",
            "tests/api/test_own_account.py",
            "tests/api/test_isolation.py",
            "tests/api/test_kept_copy.py",
            "-k",
            "not postgres",
        ),
    ),
}
CHANGES = (
    "ReplaceComparisonOperator_", "ReplaceAndWithOr", "ReplaceOrWithAnd", "ReplaceTrueWithFalse",
    "ReplaceFalseWithTrue", "Delete_Not", "AddNot", "NumberReplacer", "ReplaceUnaryOperator_USub",
    "ReplaceBinaryOperator_Add_Sub", "ReplaceBinaryOperator_Sub_Add",
    "ReplaceBinaryOperator_Mul_Div", "ReplaceBinaryOperator_Div_Mul", "ReplaceBreakWithContinue",
    "ReplaceContinueWithBreak", "ZeroIterationForLoop",
)  # fmt: skip
"""Changes a reader could have made by mistake."""
LONGEST_S = 300


def drawn(modules: list[Path], most: int, seed: int) -> list[WorkItem]:
    """Draw changes, one of each place and kind."""
    with (
        tempfile.TemporaryDirectory() as folder,
        use_db(str(Path(folder) / "work"), WorkDB.Mode.create) as found,
    ):
        init(modules, found, {})
        items = list(found.pending_work_items)
    meant = {}
    for item in items:
        [one] = item.mutations
        kind = one.operator_name.partition("/")[2]
        if kind.startswith(CHANGES):
            place = (one.module_path, one.start_pos, kind.partition("_")[0])
            meant.setdefault(place, []).append(item)
    chance = random.Random(seed)
    chosen = [chance.choice(meant[place]) for place in sorted(meant, key=str)]
    return chance.sample(chosen, min(most, len(chosen)))


def run(room: str, most: int, seed: int, seconds: float) -> None:
    """Make the changes and print what was not noticed."""
    patterns, tests = ROOMS[room]
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(
            f"git ls-files -z | tar c --null -T - | tar x -C {folder}",
            shell=True, cwd=ROOT, check=True,
        )  # fmt: skip
        os.chdir(folder)
        os.environ["PYTHONPATH"] = folder
        modules = [path for pattern in patterns for path in sorted(Path().glob(pattern))]
        command = " ".join(
            [sys.executable, "-m pytest -x -q -n 0 -p no:cacheprovider"]
            + [f"'{word}'" if " " in word else word for word in tests]
        )
        begun, done, lived = time.monotonic(), 0, []
        for item in drawn(modules, most, seed):
            if time.monotonic() - begun > seconds:
                break
            result = mutate_and_test(item.mutations, command, LONGEST_S)
            done += 1
            if result.test_outcome == TestOutcome.SURVIVED:
                lived.append(result.diff)
                sys.stdout.write(f"not noticed:\n{result.diff}\n")
            sys.stdout.write(f"{done - len(lived)} of {done} noticed\n")
            sys.stdout.flush()
        sys.stdout.write(f"{room}: {done - len(lived)} of {done} changes noticed (seed {seed})\n")


if __name__ == "__main__":
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("room", choices=ROOMS)
    reader.add_argument("--most", type=int, default=40)
    reader.add_argument("--seed", type=int, default=1)
    reader.add_argument("--seconds", type=float, default=540, help="stop after so long")
    options = reader.parse_args()
    run(options.room, options.most, options.seed, options.seconds)
