"""How a day's energy is shared: protein first, then carbohydrate by training, then fat."""

from __future__ import annotations

from dataclasses import replace

from mealplan.nutrition.fuel import (
    KCAL_PER_G_CARBOHYDRATE,
    KCAL_PER_G_FAT,
    KCAL_PER_G_PROTEIN,
    Range,
)
from mealplan.nutrition.protein import ProteinTarget
from mealplan.nutrition.reference_intakes import reference_intake

ROOM_KEPT = 0.93
"""Share of what energy leaves that a lowered floor of carbohydrate takes. (common practice)"""
ABOVE_AIM = 1.1
"""A ceiling of carbohydrate that energy raised lies so far above the aim. [ratio]"""


def energy_shares(
    energy_kcal: float,
    protein: ProteinTarget,
    carbohydrate: Range,
    fat: Range,
    *,
    loading: bool = False,
) -> tuple[Range, Range]:
    """
    Let the aims of protein, carbohydrate and fat add up to the day's energy.

    Protein keeps its aim. Where energy is short of what training asks for and of the usual share of
    fat, both come down toward their floors alike; where there is more, both rise alike, fat to half
    way to its ceiling, and what is still left goes to carbohydrate, whose ceiling then rises.

    Parameters
    ----------
    energy_kcal : float
        The day's energy. [kcal/day]
    protein : ProteinTarget
        The day's protein.
    carbohydrate, fat : Range
        As training and body mass ask for them. [g/day]
    loading : bool
        Before a race, where the floor of carbohydrate takes all the room there is.

    Returns
    -------
    tuple of Range
        Carbohydrate and fat. [g/day]
    """
    # A floor that energy cannot hold beside the others' aims leaves them their room.
    beside = (protein.low_g, fat.low) if loading else (protein.aim_g, fat.aim)
    room = (
        energy_kcal - KCAL_PER_G_PROTEIN * beside[0] - KCAL_PER_G_FAT * beside[1]
    ) / KCAL_PER_G_CARBOHYDRATE
    least = reference_intake("carbohydrate_g", "male", 30).goal
    low = min(carbohydrate.low, max(least, room if loading else ROOM_KEPT * room))
    working = list(carbohydrate.working)
    if low < carbohydrate.low:
        working.append(
            f"lowered from {carbohydrate.low:.0f} g because energy, protein and fat leave room for "
            f"{low:.0f} g"
        )
    aim, fat_aim = _closed(
        energy_kcal - KCAL_PER_G_PROTEIN * protein.aim_g, replace(carbohydrate, low=low), fat
    )
    high = max(low, carbohydrate.high)
    if ABOVE_AIM * aim > high:
        working.append(
            f"ceiling raised from {high:.0f} g: protein and fat leave more energy than training "
            "asks carbohydrate for"
        )
        high = ABOVE_AIM * aim
    return (
        replace(carbohydrate, low=low, aim=aim, high=high, working=tuple(working)),
        replace(
            fat,
            aim=fat_aim,
            working=(*fat.working, "aims of protein, carbohydrate and fat add up to the energy"),
        ),
    )


def _closed(rest_kcal: float, carbohydrate: Range, fat: Range) -> tuple[float, float]:
    """Share what protein leaves between carbohydrate and fat, within their ranges. [g/day]."""
    wanted = max(carbohydrate.low, carbohydrate.aim), fat.aim
    spare = rest_kcal - _kcal(*wanted)
    ends = (
        (max(carbohydrate.high, wanted[0]), (fat.aim + fat.high) / 2)
        if spare > 0
        else (carbohydrate.low, fat.low)
    )
    way = _kcal(*ends) - _kcal(*wanted)
    share = min(1.0, max(0.0, spare / way)) if way else 0.0
    carbohydrate_g, fat_g = (
        start + share * (end - start) for start, end in zip(wanted, ends, strict=True)
    )
    left = rest_kcal - _kcal(carbohydrate_g, fat_g)
    return carbohydrate_g + max(0.0, left) / KCAL_PER_G_CARBOHYDRATE, fat_g


def _kcal(carbohydrate_g: float, fat_g: float) -> float:
    return KCAL_PER_G_CARBOHYDRATE * carbohydrate_g + KCAL_PER_G_FAT * fat_g
