"""How far the foods of a dish may stray from its own proportions before it is another dish."""

from __future__ import annotations

from collections.abc import Mapping

from mealplan.rules.weights import weight

AWAY = weight("away")
ASTRAY = weight("astray")
EASED = 0.05
"""Part of the price of plates that is left while a day that misses a must looks for it. [1]"""

NEAR: Mapping[str, float] = {
    "starch": 0.25,
    "protein": 0.25,
    "liquid": 0.25,
    "flavour": 0.3,
    "vegetable": 0.35,
    "fruit": 0.35,
    "sweet": 0.4,
    "fat": 0.35,
    "topping": 0.5,
}
"""
By what part of its own amount a food of a dish may differ, by its role, while the dish stays what
it is (common practice: cooks halve or double a garnish and not the rice). [1]
"""
