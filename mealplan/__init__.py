"""
From a measured body to a week of plant-based meals.

What foods contain is in :mod:`foods`; pages and the JSON interface are in :mod:`api`.

The names listed here are the package's public face; each is loaded when first asked for, so that
`mealplan --help` need not wake the solver. The usual order is

>>> intake = mealplan.load_intake(Path("rower.json"))    # doctest: +SKIP
>>> targets = mealplan.make_targets(intake)              # doctest: +SKIP
>>> plan = mealplan.make_plan(intake, targets, days=7)   # doctest: +SKIP
>>> to_buy = mealplan.shopping_list(plan, intake)        # doctest: +SKIP
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mealplan.client.intake import Intake
    from mealplan.client.read import load_intake, parse_intake, read_intake
    from mealplan.errors import (
        IntakeError,
        MealPlanError,
        NoPlanError,
        SafetyRefusal,
        SolverError,
        StoreError,
        TargetError,
    )
    from mealplan.menu.verify import verify_plan
    from mealplan.menu.week import make_plan
    from mealplan.plan import Plan
    from mealplan.science.quantity import Quantity
    from mealplan.shopping.door import ShoppingList, shopping_list
    from mealplan.targets.make import make_targets
    from mealplan.targets.ranges import DayTargets, Notice, TargetRange, Targets

__all__ = [
    "DayTargets",
    "Intake",
    "IntakeError",
    "MealPlanError",
    "NoPlanError",
    "Notice",
    "Plan",
    "Quantity",
    "SafetyRefusal",
    "ShoppingList",
    "SolverError",
    "StoreError",
    "TargetError",
    "TargetRange",
    "Targets",
    "load_intake",
    "make_plan",
    "make_targets",
    "parse_intake",
    "read_intake",
    "shopping_list",
    "verify_plan",
]

_HOMES = {
    "DayTargets": "mealplan.targets.ranges",
    "Intake": "mealplan.client.intake",
    "IntakeError": "mealplan.errors",
    "MealPlanError": "mealplan.errors",
    "NoPlanError": "mealplan.errors",
    "Notice": "mealplan.targets.ranges",
    "Plan": "mealplan.plan",
    "Quantity": "mealplan.science.quantity",
    "SafetyRefusal": "mealplan.errors",
    "ShoppingList": "mealplan.shopping.door",
    "SolverError": "mealplan.errors",
    "StoreError": "mealplan.errors",
    "TargetError": "mealplan.errors",
    "TargetRange": "mealplan.targets.ranges",
    "Targets": "mealplan.targets.ranges",
    "load_intake": "mealplan.client.read",
    "make_plan": "mealplan.menu.week",
    "make_targets": "mealplan.targets.make",
    "parse_intake": "mealplan.client.read",
    "read_intake": "mealplan.client.read",
    "shopping_list": "mealplan.shopping.door",
    "verify_plan": "mealplan.menu.verify",
}


def __getattr__(name: str) -> object:
    """Load a public name from its module when it is first used."""
    if name not in _HOMES:
        raise AttributeError(f"mealplan has no public name {name!r}; see mealplan.__all__")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    """List the public names."""
    return sorted(__all__)
