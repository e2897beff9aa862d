"""Weeks planned once for a handful of invented clients, shared by the tests of this folder."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from mealplan.client.intake import Intake
from mealplan.client.read import parse_intake
from mealplan.menu.context import Context
from mealplan.plan import Plan
from mealplan.targets.make import make_targets
from mealplan.targets.ranges import Targets
from tests.planned import planned

MAN = {"sex": "male", "age_years": 28, "height_cm": 180, "weight_kg": 80}
WOMAN = {"sex": "female", "age_years": 30, "height_cm": 165, "weight_kg": 60}
SMALL = {"sex": "female", "age_years": 41, "height_cm": 158, "weight_kg": 50}
BIG = {"sex": "male", "age_years": 24, "height_cm": 193, "weight_kg": 98}

CLIENTS: dict[str, dict] = {
    "rower on 4,200 kcal in six meals": {
        **BIG,
        "goal": {"phase": "endurance", "energy_kcal": 4200},
        "activity": {"method": "multiplier", "pal": 2.2},
        "kitchen": {"meals": 6},
    },
    "lifter without soy": {
        **MAN,
        "goal": {"phase": "gain"},
        "activity": {"method": "multiplier", "pal": 1.7},
        "tastes": {"allergies": ["soy"], "heat_max": 0},
    },
    "runner without gluten in three meals": {
        **WOMAN,
        "goal": {"phase": "hold"},
        "activity": {"method": "multiplier", "pal": 1.8},
        "tastes": {"allergies": ["gluten"], "likes": ["rice"]},
        "kitchen": {"meals": 3, "leftovers": False},
    },
    "climber without nuts on 1,600 kcal": {
        **SMALL,
        "goal": {"phase": "cut", "energy_kcal": 1600},
        "activity": {"method": "multiplier", "pal": 1.6},
        "tastes": {"allergies": ["tree_nut", "peanut", "sesame"], "dislikes": ["bananas"]},
    },
    "cyclist without soy, gluten and nuts": {
        **MAN,
        "goal": {"phase": "endurance"},
        "activity": {"method": "multiplier", "pal": 1.9},
        "tastes": {"allergies": ["soy", "gluten", "tree_nut", "peanut"]},
        "kitchen": {"meals": 5, "equipment": ["hob", "microwave", "kettle"]},
    },
    "beginner who never eats mushrooms": {
        **WOMAN,
        "goal": {"phase": "hold"},
        "activity": {"method": "multiplier", "pal": 1.5},
        "tastes": {"never": ["mushrooms", "aubergine", "oranges"]},
        "kitchen": {"hands_on_min": {"mon": 25, "tue": 25, "wed": 25}},
    },
}


class Case:
    """A client with targets, context and a planned week."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.intake: Intake = parse_intake(
            {"role": "club athlete", "start": "2026-11-30", **CLIENTS[name]}
        )
        self.targets: Targets = make_targets(self.intake)
        self.context = Context.make(self.intake, self.targets)
        self.plan: Plan = planned(self.intake)


@cache
def case_of(name: str) -> Case:
    return Case(name)


@pytest.fixture(scope="session", params=CLIENTS)
def case(request) -> Case:
    """Each client in turn."""
    return case_of(request.param)


@pytest.fixture(scope="session")
def one_case() -> Callable[[str], Case]:
    """Give one client by name."""
    return case_of
