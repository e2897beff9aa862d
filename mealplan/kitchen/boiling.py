"""
How long what is bought dry or raw soaks and boils; a pulse without a row gets the strictest.

A pulse is eaten boiled through. Whether a dish's own method does that is said by the dish
(:attr:`foods.dishes.model.Dish.cooks_from_dry`); everything else is boiled before
the method begins.

References
----------
.. [1] US Food and Drug Administration, Bad Bug Book, 2nd ed. 2012: phytohaemagglutinin.
.. [2] Grant et al. 1983, British Journal of Nutrition 50:207-214, doi 10.1079/bjn19830090.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

from foods.composition.catalogue import Catalogue, KitchenFood
from foods.dishes.model import Dish
from foods.dishes.treatments import boiled_ahead, treatments, under_pressure
from mealplan.references.tables import Provenance, number, provenance, read_rows

Kind = Literal["pulse", "grain", "bake", "vegetable"]

PULSE_GROUPS = frozenset({"beans", "lentils and peas"})
"""Catalogue groups whose dried foods count as pulses."""


@dataclass(frozen=True)
class Boiling:
    """What one food needs between the packet and the plate."""

    kind: Kind
    soak_hours: int
    """Least time under water, which is poured away. [h]"""
    hard_boil_min: int
    """Rolling boil before it may simmer. [min]"""
    boil_min: int
    """In all, the rolling boil included. [min]"""
    water_per_dry: float | None
    """Volumes of water to one of the dry food. [1]"""
    hands_on_min: int
    source: str
    provenance: Provenance
    pressure_min: int = 0
    """At full pressure instead, once soaked; 0 where that is not held safe or not known."""


@cache
def boiling_table() -> dict[str, Boiling]:
    """
    Load the boiling times: of pulses from the treatments of foods, of the rest from its own table.

    Returns
    -------
    dict of str to Boiling
        By catalogue key.
    """
    catalogue = Catalogue.load()
    pulses = {
        key: Boiling(
            kind="pulse",
            soak_hours=int(row.soak_h),
            hard_boil_min=int(row.hard_boil_min),
            boil_min=int(row.least_min),
            water_per_dry=row.water_ml_per_g,
            hands_on_min=int(row.hands_min),
            source=row.source,
            provenance=provenance(row.provenance),
            pressure_min=int(under_pressure(catalogue.food(key))),
        )
        for key in treatments()
        if key in catalogue and (row := boiled_ahead(catalogue.food(key))) is not None
    }
    return pulses | {
        row["food"]: Boiling(
            kind=cast(Kind, row["kind"]),
            soak_hours=int(row["soak_hours"]),
            hard_boil_min=int(row["hard_boil_min"]),
            boil_min=int(row["boil_min"]),
            water_per_dry=number(row["water_per_dry"]),
            hands_on_min=int(row["hands_on_min"]),
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for row in read_rows("boiling.csv")
    }


@cache
def strictest() -> Boiling:
    """
    Give what a pulse gets that has no row: the longest soak and boil of any.

    Returns
    -------
    Boiling
    """
    pulses = [row for row in boiling_table().values() if row.kind == "pulse"]
    return Boiling(
        kind="pulse",
        soak_hours=max(row.soak_hours for row in pulses),
        hard_boil_min=max(row.hard_boil_min for row in pulses),
        boil_min=max(row.boil_min for row in pulses),
        water_per_dry=max(row.water_per_dry or 0 for row in pulses),
        hands_on_min=max(row.hands_on_min for row in pulses),
        source="the longest of every pulse in the table",
        provenance="worked by hand",
    )


def boiling_of(food: KitchenFood) -> Boiling | None:
    """
    Look up how a food is boiled or baked before it is eaten.

    Parameters
    ----------
    food : KitchenFood
        As the plan weighs it.

    Returns
    -------
    Boiling or None
        None for what is bought in the state it is eaten or cooked as part of every dish.
    """
    row = boiling_table().get(food.key)
    if row is None and food.group in PULSE_GROUPS and food.state == "boiled":
        return strictest() if food.aisle == "dry beans & grains" else None
    return row


def cooks_from_dry(dish: Dish, food: KitchenFood) -> bool:
    """
    Say whether a dish's own method takes a food from dry to done.

    Parameters
    ----------
    dish : Dish
    food : KitchenFood

    Returns
    -------
    bool
        Never for a pulse that must soak first, whatever the dish says.
    """
    row = boiling_of(food)
    if row is not None and row.kind == "pulse" and row.soak_hours:
        return False
    return food.key in dish.cooks_from_dry


def how_to_boil(row: Boiling, pressure_cooker: bool = False) -> str:
    """
    Write how a pulse is boiled once it is soaked or rinsed.

    Parameters
    ----------
    row : Boiling
    pressure_cooker : bool
        The household has one; beans with lectin boil hard in an open pot all the same.

    Returns
    -------
    str
    """
    if pressure_cooker and row.pressure_min:
        return (
            f"cook in the pressure cooker, filled to half at most, for {row.pressure_min} minutes "
            f"at full pressure, and let the pressure fall by itself, about {in_all(row, True)} min "
            "in all"
        )
    if row.hard_boil_min:
        return (
            f"boil hard for {row.hard_boil_min} minutes, then simmer until soft, about "
            f"{row.boil_min} min in all"
        )
    return f"boil until soft, about {row.boil_min} min"


PRESSURE_WAY_MIN = 25
"""To full pressure and back by itself; common practice. [min]"""


def in_all(row: Boiling, pressure_cooker: bool) -> int:
    """
    Say how long a pulse keeps its pot busy.

    Parameters
    ----------
    row : Boiling
    pressure_cooker : bool

    Returns
    -------
    int
        [min]
    """
    if pressure_cooker and row.pressure_min:
        return row.pressure_min + PRESSURE_WAY_MIN
    return row.boil_min


def pulses_to_boil(
    dish: Dish, used: Collection[str], catalogue: Catalogue, pressure_cooker: bool = False
) -> tuple[str, ...]:
    """
    Say for each pulse of a dish what comes before its method when it was bought dry.

    Parameters
    ----------
    dish : Dish
    used : collection of str
        Catalogue keys that are served this time.
    catalogue : Catalogue
    pressure_cooker : bool
        The household has one.

    Returns
    -------
    tuple of str
        A sentence for each food; empty where the method does it.
    """
    found = {}
    for line in dish.lines:
        if line.food not in used:
            continue
        food = catalogue.food(line.food)
        row = boiling_of(food)
        if row is not None and row.kind == "pulse" and not cooks_from_dry(dish, food):
            found[line.food] = _sentence(line.called, row, pressure_cooker)
    return tuple(found.values())


def _sentence(called: str, row: Boiling, pressure_cooker: bool) -> str:
    first = (
        f"soak dried ones at least {row.soak_hours} hours, pour that water away and, in fresh "
        "water, "
        if row.soak_hours
        else "rinse dried ones and "
    )
    how = how_to_boil(row, pressure_cooker)
    return (
        f"{called[:1].upper()}{called[1:]} go in boiled: {first}{how}, before the first step; "
        "tinned ones are ready."
    )
