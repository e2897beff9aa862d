"""
What a meal must not be as long as there is anything else: each bar a count, the gravest first.

A bar has no price: dishes that break fewest and least grave ones are all that is offered.
"""

from __future__ import annotations

from mealplan.client.household import Place
from mealplan.rules.preferences.base import MAINS, Table
from mealplan.rules.preferences.places import can_be_eaten

Breach = tuple[int, int, int, int]
"""Unsafe, not to be had there, cooked on a day of rest, and disliked, each counted."""
NONE: Breach = (0, 0, 0, 0)
WITHOUT_COOKING = frozenset({"none", "kettle", "microwave"})
"""What a dish may need that is put together on a day on which nothing is cooked."""
UNWARMED: frozenset[Place] = frozenset({"kettle", "nothing", "on the move"})
"""Places where a box is eaten as it was carried."""


def breach(dish: str, table: Table, *, kept: bool) -> Breach:
    """
    Count what serving a dish at a meal would break.

    Parameters
    ----------
    dish : str
        Key.
    table : Table
        The meal.
    kept : bool
        True of a portion cooked on an earlier day.

    Returns
    -------
    tuple of int
        Compares as how grave it is.
    """
    facts, of = table.facts, table.facts.by_key[dish]
    warm_box = table.place in UNWARMED and not table.kept_cold
    spoils = warm_box and dish in facts.with_rice and (kept or of.portable)
    there = can_be_eaten(of, table.place, kept=kept, kitchen=table.kitchen) and not (
        table.place != "home" and not table.kitchen and not kept and dish in facts.from_frozen
    )
    rests = table.pot_days == 0 and table.slot.occasion in MAINS and not kept
    cooks = rests and not frozenset(of.equipment) <= WITHOUT_COOKING
    return int(spoils), int(not there), int(cooks), facts.disliked_in.get(dish, 0)
