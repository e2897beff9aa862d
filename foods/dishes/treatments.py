"""
What it takes to bring a food from the form it is bought in to the state it is eaten in.

Each row of ``treatments.csv`` is one way that is enough, with the least minutes for pieces of two
to three centimetres and where it comes from. Where sources disagree the safer holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from foods.composition.catalogue import KitchenFood
from foods.dishes.actions import table


@dataclass(frozen=True)
class Treatment:
    """One way that is enough for a food."""

    start: str
    eaten: str
    way: str
    least_min: float
    """In all, a hard boil included. [min]"""
    soak_h: float
    """Beforehand, the water poured away. [h]"""
    hard_boil_min: float
    """Of them at a full boil. [min]"""
    water_ml_per_g: float
    """Water for what is weighed dry; 0 when none is called for. [ml/g]"""
    hands_min: float
    """Hands when it is boiled ahead as work of its own. [min]"""
    why: str
    source: str
    provenance: str


@cache
def treatments() -> Mapping[str, tuple[Treatment, ...]]:
    """
    Load every treatment by catalogue key.

    Returns
    -------
    mapping of str to tuple of Treatment
    """
    found: dict[str, list[Treatment]] = {}
    for row in table("treatments.csv"):
        treatment = Treatment(
            row["start"],
            row["eaten"],
            row["way"],
            float(row["least_min"]),
            float(row["soak_h"]),
            float(row["hard_boil_min"]),
            float(row["water_ml_per_g"] or 0),
            float(row["hands_min"] or 0),
            row["why"],
            row["source"],
            row["provenance"],
        )
        for key in row["foods"].split(";"):
            found.setdefault(key, []).append(treatment)
    return {key: tuple(rows) for key, rows in found.items()}


def start_of(food: KitchenFood) -> str:
    """
    Say in which form a food comes to the board when a dish does not say.

    Pulses weighed boiled come boiled: from a tin, or as work done ahead.

    Parameters
    ----------
    food : KitchenFood

    Returns
    -------
    str
    """
    rows = treatments().get(food.key, ())
    if not rows:
        return "raw" if food.state == "raw" and food.role in ("vegetable", "fruit") else "as is"
    if rows[0].start == "dried" and food.state == "boiled" and food.role == "protein":
        return "boiled"
    return rows[0].start


def boiled_ahead(food: KitchenFood) -> Treatment | None:
    """
    Give the soak and boil of a pulse that is bought dried and used boiled.

    Parameters
    ----------
    food : KitchenFood

    Returns
    -------
    Treatment or None
        None when it is not such a food.
    """
    rows = treatments().get(food.key, ())
    return rows[0] if rows and start_of(food) == "boiled" else None


def water_per_g(food: KitchenFood, way: str) -> float:
    """
    Look up the water a dry food calls for when boiled or steeped.

    Parameters
    ----------
    food : KitchenFood
    way : str

    Returns
    -------
    float
        [ml/g dry]
    """
    asked = "boil" if way == "hard boil" else way
    return next(
        (row.water_ml_per_g for row in treatments().get(food.key, ()) if row.way == asked), 0.0
    )


def under_pressure(food: KitchenFood) -> float:
    """
    Look up the minutes at full pressure that make a soaked pulse soft.

    Parameters
    ----------
    food : KitchenFood

    Returns
    -------
    float
        0 where no source was found that it is safe. [min]
    """
    rows = treatments().get(food.key, ())
    return next((row.least_min for row in rows if row.way == "pressure"), 0.0)
