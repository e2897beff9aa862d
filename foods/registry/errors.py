"""The one error of the food table."""

from __future__ import annotations


class FoodError(Exception):
    """A food, nutrient or release file cannot be used; says what, why and how to mend it."""
