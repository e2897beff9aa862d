"""
How sure a day's total is, composition being uncertain, and floors to plan for so that they hold.

Where the release states a standard error from three samples or more, that is used; elsewhere a
spread is assumed, by kind of nutrient, and said so; the rounding of a package label comes on top.
Errors of different foods are independent, those of one food all move together.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from foods import FoodTable
from foods.registry.nutrients import NUTRIENT_KEYS, nutrient
from mealplan.kitchen.food_arrays import FoodSpace

Floats = NDArray[np.float64]

LEAST_SAMPLES = 3
"""Fewest samples for which a stated standard error is believed."""

ASSUMED_CV: dict[str, float] = {
    "energy": 0.04,
    "macro": 0.08,
    "mineral": 0.15,
    "vitamin": 0.20,
    "amino acid": 0.10,
    "fat": 0.15,
    "other": 0.20,
}
"""
Spread of one food's value where the release states none, as a fraction (common practice).

Amino acids: 8 to 12 % between tables for staples. Minerals and vitamins vary more with soil,
variety and method; newer analyses of produce differ by this much and, for iron, by more.
"""


class Spread:
    """Standard deviation of each food's content, per gram."""

    def __init__(self, space: FoodSpace, table: FoodTable) -> None:
        numbered = [(place, food.ndb) for place, food in enumerate(space.foods) if food.ndb]
        places, ndbs = [place for place, _ in numbered], [ndb for _, ndb in numbered]
        error = np.full((len(space), len(NUTRIENT_KEYS)), np.nan)
        samples = np.zeros_like(error)
        error[places] = table.std_error_matrix(ndbs, NUTRIENT_KEYS) / 100.0
        samples[places] = table.sample_count_matrix(ndbs, NUTRIENT_KEYS)
        assumed = np.stack(
            [ASSUMED_CV[nutrient(key).group] * space.per_gram(key) for key in NUTRIENT_KEYS], axis=1
        )
        stated = ~np.isnan(error) & (np.nan_to_num(samples) >= LEAST_SAMPLES)
        self._sd = np.where(stated, np.nan_to_num(error), assumed)
        self._column = {key: place for place, key in enumerate(NUTRIENT_KEYS)}
        self._space = space
        for key, known in space.catalogue.own.items():
            # What a label declares varies as any food does, and was rounded on top.
            for name, sd in known.sd_per_100g.items():
                at = space.index[key], self._column[name]
                self._sd[at] = math.hypot(float(self._sd[at]), sd / 100.0)

    @classmethod
    def load(cls) -> Spread:
        """Load the spread of the shipped catalogue, once a process."""
        return _spread_of(FoodSpace.load())

    @classmethod
    def of(cls, space: FoodSpace) -> Spread:
        """
        Give the spread of some foods, built once for each space.

        Parameters
        ----------
        space : FoodSpace

        Returns
        -------
        Spread
        """
        return _spread_of(space)

    def total_sd(self, key: str, grams: Floats, *, digestible: bool = False) -> float:
        """
        Give the standard deviation of a total.

        Parameters
        ----------
        key : str
            Nutrient.
        grams : array (foods,)
            Eaten. [g]
        digestible : bool
            True when the total counts digestible amounts.

        Returns
        -------
        float
            [nutrient unit]
        """
        sd = self._sd[:, self._column[key]]
        if digestible:
            sd = sd * self._space.digestibility
        if key == "calcium_mg":
            sd = sd * self._space.calcium_factor
        return float(np.linalg.norm(grams * sd))


@lru_cache(maxsize=64)
def _spread_of(space: FoodSpace) -> Spread:
    return Spread(space, FoodTable.load())


def chance_above(total: float, floor: float, sd: float) -> float:
    """
    Give the chance that the true total lies above a floor.

    Parameters
    ----------
    total, floor, sd : float
        Same unit.

    Returns
    -------
    float
        0 to 1; a total exactly on its floor holds it half the time.
    """
    if sd <= 0:
        return 1.0 if total >= floor else 0.0
    return 0.5 * math.erfc((floor - total) / (sd * math.sqrt(2)))


Z_SCORES: Mapping[int, float] = {50: 0.0, 75: 0.6745, 80: 0.8416, 90: 1.2816, 95: 1.6449}
"""Margins in standard deviations for the certainties that may be asked for. [%]"""
