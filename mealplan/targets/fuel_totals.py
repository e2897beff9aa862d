"""What a day takes beside its meals: added up, and held to a share of the day."""

from __future__ import annotations

from collections.abc import Sequence

from mealplan.nutrition.fuel import KCAL_PER_G_CARBOHYDRATE
from mealplan.targets.ranges import FuelItem

MOST_OF_DAY = 0.35
"""Most of a day's energy that fuel takes from its meals, which bring all else. (common practice)"""
MOST_OF_RACE_DAY = 0.6
"""The same on the day of a race, which its fuel decides. [fraction] (common practice)"""
BESIDE_MEALS = ("during", "between")
"""Items that are no part of a meal."""
ONE_SUGAR_G_PER_H = 60.0
"""Most that one kind of sugar brings; above it glucose is joined by fructose. [g/h]"""


def timed_carbohydrate_g(fuel: Sequence[FuelItem]) -> float:
    """
    Add up the carbohydrate that a day's timed lines ask for, each gram once.

    Parameters
    ----------
    fuel : sequence of FuelItem
        Around the day's sessions.

    Returns
    -------
    float
        [g/day]
    """
    return sum(item.carbohydrate_aim_g for item in fuel if not item.counted_in)


def kept_within(
    fuel: Sequence[FuelItem], energy_kcal: float, *, race: bool = False
) -> tuple[FuelItem, ...]:
    """
    Lower what is taken while training to what leaves the meals their share of the day.

    Parameters
    ----------
    fuel : sequence of FuelItem
        Around the day's sessions.
    energy_kcal : float
        The day's energy. [kcal/day]
    race : bool
        The day of a race.

    Returns
    -------
    tuple of FuelItem
        Aims are lowered, none below its range; all else is as it came.
    """
    share = MOST_OF_RACE_DAY if race else MOST_OF_DAY
    most = share * energy_kcal / KCAL_PER_G_CARBOHYDRATE
    asked = sum(item.carbohydrate_aim_g for item in fuel if _beside_meals(item))
    if asked <= most:
        return tuple(fuel)
    return tuple(_lowered(item, most / asked) if _beside_meals(item) else item for item in fuel)


def _beside_meals(item: FuelItem) -> bool:
    return item.when in BESIDE_MEALS or item.snack


def _lowered(item: FuelItem, factor: float) -> FuelItem:
    aim = max(item.carbohydrate_low_g, factor * item.carbohydrate_aim_g)
    if aim >= item.carbohydrate_aim_g:
        return item
    hourly = item.carbohydrate_per_h_g
    if hourly is not None:
        hourly *= aim / item.carbohydrate_aim_g
    words = "aim lowered so that meals keep their share of the day's energy"
    return item.model_copy(
        update={
            "carbohydrate_aim_g": aim,
            "carbohydrate_per_h_g": hourly,
            "several_sugars": (hourly or 0.0) > ONE_SUGAR_G_PER_H,
            "note": f"{words}; {item.note}",
        }
    )


def taken_while_training(fuel: Sequence[FuelItem]) -> dict[str, float]:
    """
    Add up what is taken beside a day's meals, which leave room for it.

    That is during its sessions, in a snack where no meal comes near before them, and between the
    meals of a loading day.

    Parameters
    ----------
    fuel : sequence of FuelItem
        Of the day's sessions, as :func:`kept_within` leaves them.

    Returns
    -------
    dict of str to float
        Energy, carbohydrate and sodium by nutrient key; empty without fuel. [kcal, g, mg a day]
    """
    during = [item for item in fuel if _beside_meals(item)]
    sugar = sum(item.carbohydrate_aim_g for item in during)
    if sugar <= 0:
        return {}
    sodium = sum(
        (item.sodium_mg_per_l or 0.0)
        * ((item.fluid_low_ml or 0.0) + (item.fluid_high_ml or 0.0))
        / 2000
        for item in during
    )
    taken = {"energy_kcal": KCAL_PER_G_CARBOHYDRATE * sugar, "net_carbohydrate_g": sugar}
    return taken | ({"sodium_mg": sodium} if sodium else {})
