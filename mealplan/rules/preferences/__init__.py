"""
What a household minds or welcomes about a dish at a meal, one family a file; each gives a price.

What a day must contain is in rows, and the sizes of all prices are in ``weights.toml``.
"""

from __future__ import annotations

from mealplan.rules.preferences.base import Preference, Table
from mealplan.rules.preferences.buying import HardToFind, NewThings
from mealplan.rules.preferences.cupboard import Cupboard
from mealplan.rules.preferences.family import Family
from mealplan.rules.preferences.freezing import ForFreezer
from mealplan.rules.preferences.freshness import Freshness
from mealplan.rules.preferences.hours import Hours
from mealplan.rules.preferences.liked import LikedMeals
from mealplan.rules.preferences.places import EatenWhere
from mealplan.rules.preferences.pots import PotDay
from mealplan.rules.preferences.repeat import Repeat, Shunned
from mealplan.rules.preferences.same import InARow, SameMeal
from mealplan.rules.preferences.training import Training

__all__ = ["FRESH", "FROZEN", "OWN", "SHARED", "Preference", "Table", "why"]

OWN: tuple[Preference, ...] = (
    Shunned(),
    Cupboard(),
    HardToFind(),
    Freshness(),
    Training(),
    EatenWhere(),
    ForFreezer(),
    Hours(),
)
"""How a dish fits a meal of a day, whatever the other days serve."""
SHARED: tuple[Preference, ...] = (Family(), NewThings(), LikedMeals(), InARow(), SameMeal())
"""How it fits beside the other days."""
FRESH: tuple[Preference, ...] = (Repeat(), PotDay())
"""What cooking it there costs; a kept portion pays none of these."""


FROZEN: tuple[Preference, ...] = (
    Training(),
    EatenWhere(),
    Family(),
    LikedMeals(),
    InARow(),
    SameMeal(),
)
"""How a portion out of the freezer fits, for which nothing is bought."""


def why(dish: str, table: Table) -> tuple[str, ...]:
    """
    Say in sentences what is minded or welcomed about a dish at a meal.

    Parameters
    ----------
    dish : str
        Key.
    table : Table
        The meal, its day and the days around it.

    Returns
    -------
    tuple of str
        With the price each puts on it; those that say nothing are left out.
    """
    return tuple(
        f"{preference.price(dish, table):+.3f} {preference.name}: {said}"
        for preference in (*OWN, *SHARED, *FRESH)
        if (said := preference.sentence(dish, table))
    )
