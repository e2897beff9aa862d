"""
Print the table of policies by world, or the curve of false moves against weeks off.

``python -m tests.studies.second_world --clients 100`` runs the yardsticks. A policy from elsewhere
is added with ``--policy package.module:name``, where ``name()`` makes a policy, and for a curve
``name(sure=...)`` makes one that moves at that sureness.
"""

from __future__ import annotations

import argparse
import importlib
import sys
import time
from collections.abc import Callable

from tests.studies.second_world.curve import SURENESS, Point, at_equal_false
from tests.studies.second_world.ideal import IdealObserver
from tests.studies.second_world.plain_filter import PlainFilter
from tests.studies.second_world.protocol import Policy
from tests.studies.second_world.rule import Rule
from tests.studies.second_world.runner import run_study
from tests.studies.second_world.scoring import COLUMNS, row, score
from tests.studies.second_world.weekly_means import Careful, WeeklyMeans
from tests.studies.second_world.worlds import WORLDS

EQUAL_FALSE = 0.4
Maker = Callable[..., Policy]


def plain_filter(sure: float = 0.9) -> Policy:
    """Make the plain filter."""
    return PlainFilter(Rule(sure=sure))


def driven_filter(sure: float = 0.9) -> Policy:
    """Make the plain filter by the other reading of its recipe."""
    return PlainFilter(Rule(sure=sure), "plain filter, water driven by 0.25", water_push_kg=0.25)


def ideal(sure: float = 0.9) -> Policy:
    """Make the ideal observer."""
    return IdealObserver(Rule(sure=sure))


def ideal_told_all(sure: float = 0.9) -> Policy:
    """Make the ideal observer that is told every event."""
    return IdealObserver(Rule(sure=sure), told_all=True)


WITH_BANDS: tuple[Maker, ...] = (plain_filter, driven_filter, ideal, ideal_told_all)


def main() -> None:
    """Run what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--clients", type=int, default=100)
    parser.add_argument("--weeks", type=int, default=16)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--worlds", nargs="+", default=list(WORLDS), choices=list(WORLDS))
    parser.add_argument("--policy", action="append", default=[], help="package.module:name")
    parser.add_argument("--alone", action="store_true", help="leave the yardsticks out")
    parser.add_argument("--curve", action="store_true")
    asked = parser.parse_args()
    added = [_load(name) for name in asked.policy]
    yardsticks: list[Maker] = [] if asked.alone else list(WITH_BANDS)
    for world in asked.worlds:
        if asked.curve:
            for make in [*yardsticks, *added]:
                _curve(make, world, asked)
        else:
            thumb: list[Maker] = [] if asked.alone else [WeeklyMeans, Careful]
            _table([*thumb, *yardsticks, *added], world, asked)


def _load(name: str) -> Maker:
    module, _, attribute = name.partition(":")
    maker: Maker = getattr(importlib.import_module(module), attribute)
    return maker


def _table(makers: list[Maker], world: str, asked: argparse.Namespace) -> None:
    _say(f"\n{world}: {asked.clients} clients, {asked.weeks} weeks, seed {asked.seed}\n{COLUMNS}")
    for make in makers:
        policy, began = make(), time.process_time()
        courses = run_study(
            policy,
            world,
            asked.clients,
            asked.weeks,
            asked.seed,
            trace="training step" in world,
            meet=getattr(policy, "meet", None),
        )
        spent = (time.process_time() - began) / asked.clients
        _say(f"{row(policy.name, score(courses))} | {spent:.2f} s a client")


def _curve(make: Maker, world: str, asked: argparse.Namespace) -> None:
    points = []
    for sure in SURENESS:
        policy = make(sure=sure)
        courses = run_study(
            policy,
            world,
            asked.clients,
            asked.weeks,
            asked.seed,
            meet=getattr(policy, "meet", None),
        )
        figures = score(courses)
        points.append(Point(sure, figures.false, figures.weeks_off, figures.left_kcal))
        _say(
            f"{world} | {policy.name} | sure {sure:.3f} | false {figures.false:.2f} | "
            f"weeks off {figures.weeks_off:.2f} | left {figures.left_kcal:.0f}"
        )
    off, left = at_equal_false(points, EQUAL_FALSE)
    _say(f"{world} | {policy.name} | at {EQUAL_FALSE} false: {off:.2f} weeks off, {left:.0f} left")


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
