"""
What foods contain; knows nothing of people or plans.

The names listed here are the package's public face; each is loaded when first asked for, so that
the table is read only by who looks something up.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from foods.composition.table import FoodTable
    from foods.registry.errors import FoodError
    from foods.registry.models import Food, PlantBased, Portion
    from foods.registry.nutrients import NUTRIENT_KEYS, NUTRIENTS, Nutrient, by_number, nutrient

__all__ = [
    "NUTRIENTS",
    "NUTRIENT_KEYS",
    "Food",
    "FoodError",
    "FoodTable",
    "Nutrient",
    "PlantBased",
    "Portion",
    "by_number",
    "nutrient",
]

_HOMES = {
    "NUTRIENTS": "foods.registry.nutrients",
    "NUTRIENT_KEYS": "foods.registry.nutrients",
    "Food": "foods.registry.models",
    "FoodError": "foods.registry.errors",
    "FoodTable": "foods.composition.table",
    "Nutrient": "foods.registry.nutrients",
    "PlantBased": "foods.registry.models",
    "Portion": "foods.registry.models",
    "by_number": "foods.registry.nutrients",
    "nutrient": "foods.registry.nutrients",
}


def __getattr__(name: str) -> object:
    """Load a public name from its module when it is first used."""
    if name not in _HOMES:
        raise AttributeError(f"foods has no public name {name!r}; see foods.__all__")
    return getattr(import_module(_HOMES[name]), name)
