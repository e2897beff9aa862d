"""A few real weeks, planned once a session, for everything the shop does with a plan."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Callable
from functools import cache

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.model import Dish
from mealplan.client.intake import Intake
from mealplan.client.read import parse_intake
from mealplan.errors import NoPlanError
from mealplan.plan import Plan, Serving
from tests.planned import planned

CATALOGUE = Catalogue.load()
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
            return intake, planned(intake, days)
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


def _put_in(plan: Plan, dish: Dish) -> Plan:
    """Give a plan that is one meal of one dish, at its usual amounts."""
    day = plan.days[1]
    servings = tuple(
        Serving(
            food=line.food,
            ndb=CATALOGUE.food(line.food).ndb,
            name=CATALOGUE.food(line.food).name,
            called=line.called,
            grams=line.typical_g,
            measure="",
            phrase=line.called,
            energy_kcal=100.0,
            optional=line.optional,
        )
        for line in dish.lines
    )
    meal = day.meals[0].model_copy(
        update={
            "dish": dish.key, "name": dish.name, "servings": servings, "leftover_from": None,
            "method": dish.method, "cook_portions": 1, "hands_on_min": dish.hands_on_min,
            "total_min": dish.total_min, "soak_night_before": dish.soak_night_before,
            "time": "12:30",
        }
    )  # fmt: skip
    changed = day.model_copy(update={"meals": (meal,)})
    return plan.model_copy(update={"start": day.date, "days": (changed,)})


@pytest.fixture(scope="session")
def put_in() -> Callable[[Plan, Dish], Plan]:
    """Put one dish in a plan's place: what a draw may not serve is still tried."""
    return _put_in
