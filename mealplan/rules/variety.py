"""What each word for variety means: how often a dish may come, and how much there is to buy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from mealplan.client.household import Living, Variety
from mealplan.rules.weights import weight


@dataclass(frozen=True)
class VarietyHabits:
    """One word for variety, spelled out (common practice)."""

    most: int
    """Servings of a dish in seven days."""
    most_small: int
    """The same of a breakfast or small meal."""
    larder_servings: float
    """Servings of a dish in seven days when the larder is chosen: fewer, so that days choose."""
    things: int
    """Things to buy a week."""
    checks: int
    """Things to look for at home."""
    minds_repeats: bool
    """False where the same again is what was asked for."""
    again: float
    again_soon: float
    new_food: float
    last_week: float


_COUNTS: Mapping[Variety, tuple[int, int, float, int, int, bool]] = {
    "steady": (4, 7, 4.0, 26, 10, False),
    "usual": (2, 3, 1.5, 37, 12, True),
    "adventurous": (2, 2, 1.2, 52, 16, True),
}

HABITS: Mapping[Variety, VarietyHabits] = {
    name: VarietyHabits(
        *counts,
        again=weight(f"again_{name}"),
        again_soon=weight(f"again_soon_{name}"),
        new_food=weight(f"new_food_{name}"),
        last_week=weight(f"last_week_{name}"),
    )
    for name, counts in _COUNTS.items()
}


def habits_of(living: Living) -> VarietyHabits:
    """
    Spell a household's variety out.

    Parameters
    ----------
    living : Living

    Returns
    -------
    VarietyHabits
    """
    return HABITS[living.variety]
