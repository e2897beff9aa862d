"""
Print the table of policies in the third world.

``python -m tests.studies.third_world --clients 40 --worlds quiet lively --policies product``.
"""

from __future__ import annotations

import argparse
import sys

from tests.studies.product_policy import product
from tests.studies.second_world.__main__ import Maker, plain_filter
from tests.studies.second_world.runner import Course, run_client
from tests.studies.second_world.scoring import COLUMNS, row, score
from tests.studies.second_world.weekly_means import Careful, WeeklyMeans
from tests.studies.third_world.client import make_client
from tests.studies.third_world.worlds import WORLDS

MAKERS: dict[str, Maker] = {
    "weekly means": WeeklyMeans,
    "careful rule": Careful,
    "plain filter": plain_filter,
    "product": product,
}


def courses_of(world: str, name: str, clients: int, seed: int) -> list[Course]:
    """
    Run clients of a world under one policy, every verdict followed for sixteen weeks.

    Parameters
    ----------
    world, name : str
    clients : int
    seed : int
        The same seed gives the same clients with the same luck to every policy.

    Returns
    -------
    list of Course
    """
    policy = MAKERS[name]()
    return [
        run_client(policy, make_client(world, seed * 100_003 + number))  # type: ignore[arg-type]
        for number in range(clients)
    ]


def main() -> None:
    """Do what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--worlds", nargs="+", choices=list(WORLDS), default=list(WORLDS))
    parser.add_argument("--policies", nargs="+", choices=list(MAKERS), default=list(MAKERS))
    parser.add_argument("--clients", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    sys.stdout.write(COLUMNS + "\n")
    for world in asked.worlds:
        for name in asked.policies:
            courses = courses_of(world, name, asked.clients, asked.seed)
            sys.stdout.write(row(f"{world} | {name} ({len(courses)})", score(courses)) + "\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main()
