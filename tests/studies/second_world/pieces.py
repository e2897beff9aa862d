"""
Run a study in pieces that are kept, and show what has been gathered.

``python -m tests.studies.second_world.pieces FOLDER --world plain --policy product --clients 300
--seconds 500`` goes on from where an earlier run ended and stops in time; several may run side by
side. ``--sure`` gives a point of the curve. ``--show`` prints the table of all that is kept, and
``--draw FILE`` the curves of one world.
"""

from __future__ import annotations

import argparse
import pickle
import sys
import time
from collections import defaultdict
from pathlib import Path

from tests.studies.product_policy import product
from tests.studies.second_world.__main__ import Maker, ideal, ideal_told_all, plain_filter
from tests.studies.second_world.client import make_client
from tests.studies.second_world.curve import Point
from tests.studies.second_world.drawing import drawn
from tests.studies.second_world.runner import Course, run_client, trace_step
from tests.studies.second_world.scoring import COLUMNS, row, score
from tests.studies.second_world.weekly_means import Careful, WeeklyMeans
from tests.studies.second_world.worlds import WORLDS

PIECE = 10
"""Clients in a piece."""
MAKERS: dict[str, Maker] = {
    "weekly means": WeeklyMeans,
    "careful rule": Careful,
    "plain filter": plain_filter,
    "product": product,
    "ideal": ideal,
    "ideal, told all": ideal_told_all,
}
Key = tuple[str, str, float]
"""World, policy and sureness, 0 for the policy's own."""


def run_piece(key: Key, first: int, seed: int, *, trace: bool) -> list[Course]:
    """
    Run ten clients.

    Parameters
    ----------
    key : tuple
        World, policy, sureness.
    first : int
        Number of the first client.
    seed : int
    trace : bool
        Also follow how changes of training are seen.

    Returns
    -------
    list of Course
    """
    world, name, sure = key
    policy = MAKERS[name](sure=sure) if sure else MAKERS[name]()
    meet = getattr(policy, "meet", None)
    courses = []
    for number in range(first, first + PIECE):
        client, same, twin = (make_client(world, seed * 100_003 + number) for _ in range(3))
        if meet is not None:
            meet(client)
        course = run_client(policy, client)
        if trace and course.step_day is not None:
            trace_step(policy, course, same, twin, meet)
        courses.append(course)
    return courses


def run(asked: argparse.Namespace) -> None:
    """Run the pieces that are missing until the time is up."""
    began = time.monotonic()
    key = (asked.world, asked.policy, asked.sure)
    for first in range(0, asked.clients, PIECE):
        kept = asked.folder / "_".join(map(str, (*key, asked.seed, f"{first:03d}")))
        if kept.exists():
            continue
        if time.monotonic() - began > asked.seconds:
            return
        try:
            kept.touch(exist_ok=False)  # nobody else runs this one
        except FileExistsError:
            continue
        trace = "training step" in asked.world
        kept.write_bytes(pickle.dumps((key, run_piece(key, first, asked.seed, trace=trace))))


def gathered(folder: Path) -> dict[Key, list[Course]]:
    """
    Read all that is kept.

    Parameters
    ----------
    folder : Path

    Returns
    -------
    dict
        Courses by world, policy and sureness.
    """
    found: dict[Key, list[Course]] = defaultdict(list)
    for kept in sorted(folder.iterdir()):
        if kept.stat().st_size:
            key, courses = pickle.loads(kept.read_bytes())  # written by this module
            found[key] += courses
    return found


def curves(found: dict[Key, list[Course]], world: str) -> dict[str, list[Point]]:
    """
    Give the curves of a world, of policies with two points at least.

    Parameters
    ----------
    found : dict
    world : str

    Returns
    -------
    dict of str to list of Point
    """
    lines: dict[str, list[Point]] = defaultdict(list)
    for (where, name, sure), courses in found.items():
        if where == world and name not in ("weekly means", "careful rule"):
            had = score(courses)
            lines[name].append(Point(sure, had.false, had.weeks_off, had.left_kcal))
    return {name: points for name, points in lines.items() if len(points) > 1}


def main() -> None:
    """Do what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--world", choices=list(WORLDS), default="everything")
    parser.add_argument("--policy", choices=list(MAKERS), default="product")
    parser.add_argument("--sure", type=float, default=0.0)
    parser.add_argument("--clients", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=500.0)
    parser.add_argument("--show", action="store_true")
    parser.add_argument("--draw", type=Path)
    asked = parser.parse_args()
    asked.folder.mkdir(parents=True, exist_ok=True)
    if asked.draw is not None:
        lines = curves(gathered(asked.folder), asked.world)
        asked.draw.write_text(drawn(f"The world of {asked.world}", lines), encoding="utf-8")
    elif asked.show:
        sys.stdout.write(COLUMNS + "\n")
        for (world, name, sure), courses in sorted(gathered(asked.folder).items()):
            what = f"{world} | {name} at {sure:g}" if sure else f"{world} | {name}"
            sys.stdout.write(row(f"{what} ({len(courses)})", score(courses)) + "\n")
    else:
        run(asked)


if __name__ == "__main__":
    main()
