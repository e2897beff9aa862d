"""A few real weeks, planned once a session, for everything the shop does with a plan."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Callable
from functools import cache

import pytest

from mealplan.client.intake import Intake, parse_intake
from mealplan.errors import NoPlanError
from mealplan.menu.week import make_plan
from mealplan.plan import Plan
from mealplan.targets.make import make_targets

ALLERGIES = ((), (), ("soy",), ("gluten",), ("tree_nut", "peanut"), ("sesame",))
NEVER = ((), ("mushrooms_white_raw",), ("banana",), ("tofu_firm_calcium", "tempeh"))


def random_intake(seed: int) -> Intake:
    """Draw a client, kitchen and exclusions; the same seed draws the same."""
    draw = random.Random(seed)
    return parse_intake(
        {
            "role": "club rower",
            "sex": draw.choice(("male", "female")),
            "age_years": draw.randint(20, 60),
            "height_cm": draw.randint(160, 190),
            "weight_kg": draw.randint(58, 92),
            "start": (dt.date(2026, 11, 30) + dt.timedelta(days=draw.randint(0, 6))).isoformat(),
            "goal": {"phase": draw.choice(("gain", "hold", "endurance"))},
            "activity": {"method": "multiplier", "pal": draw.choice((1.6, 1.75, 1.9))},
            "tastes": {"allergies": draw.choice(ALLERGIES), "never": draw.choice(NEVER)},
            "kitchen": {
                "people": draw.choice((1, 1, 2, 4)),
                "units": draw.choice(("metric", "us")),
                "meals": draw.choice((3, 4, 5)),
            },
            "seed": seed,
        }
    )


def random_week(seed: int, days: int = 7) -> tuple[Intake, Plan]:
    """Plan a week for a random client; a clash of wishes moves on to the next seed."""
    for attempt in range(20):
        intake = random_intake(seed + 1000 * attempt)
        try:
            return intake, make_plan(intake, make_targets(intake), days=days)
        except NoPlanError:
            continue
    raise AssertionError(f"no plan from seed {seed} on")


@pytest.fixture(scope="session")
def make_week() -> Callable[..., tuple[Intake, Plan]]:
    """Plan a random client's week on demand, each seed and length once."""
    return cache(random_week)


@pytest.fixture(scope="session")
def weeks() -> list[tuple[Intake, Plan]]:
    """Three weeks that differ in client, exclusions, people and units."""
    return [random_week(seed) for seed in (1, 2, 3)]


@pytest.fixture(scope="session")
def week(weeks: list[tuple[Intake, Plan]]) -> tuple[Intake, Plan]:
    """One of them."""
    return weeks[0]
