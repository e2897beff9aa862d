"""How far the foods of a dish may stray from its own proportions before it is another dish."""

from __future__ import annotations

from collections.abc import Mapping

from mealplan.rules.weights import weight

AWAY = weight("away")
ASTRAY = weight("astray")
NO_STARCH = weight("no_starch")
"""Price of a main without bread, grain or potato. [score]"""
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

BAND: Mapping[str, tuple[float, float]] = {
    "starch": (0.6, 1.4),
    "protein": (0.6, 1.6),
    "liquid": (0.5, 1.8),
    "vegetable": (0.5, 1.8),
    "fruit": (0.5, 1.6),
    "sweet": (0.5, 1.6),
    "fat": (0.5, 2.0),
    "topping": (0.5, 2.0),
}
"""
Least and most of a food of a dish, as parts of its own amount in a portion of that size, by its
role; nothing lets it pass (common practice). Portions smaller than the recipe keep its own most,
and seasoning goes by what the dish says. [1]
"""
