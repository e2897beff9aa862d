"""
The catalogue as arrays: one position a kitchen food, one vector a nutrient, per gram served.

A value that was not measured counts as nothing toward a floor and is remembered as unknown, so that
a report can say how much of a total rests on missing data.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from foods import FoodTable
from foods.catalogue import Catalogue, KitchenFood
from foods.nutrients import NUTRIENT_KEYS

Floats = NDArray[np.float64]


class FoodSpace:
    """
    Vectors over catalogue foods.

    Parameters
    ----------
    foods : tuple of KitchenFood
        In catalogue order; their place is their index everywhere.
    table : FoodTable
        Composition.
    """

    def __init__(self, foods: tuple[KitchenFood, ...], table: FoodTable) -> None:
        self.foods = foods
        self.index = {food.key: place for place, food in enumerate(foods)}
        self._measured = table.matrix([food.ndb for food in foods], NUTRIENT_KEYS) / 100.0
        self._column = {key: place for place, key in enumerate(NUTRIENT_KEYS)}
        self._imputed = np.zeros_like(self._measured)
        filled = Catalogue.load().imputed_amino_acids(table)
        for place, food in enumerate(foods):
            for key, amount in filled.get(food.ndb, {}).items():
                self._imputed[place, self._column[key]] = amount / 100.0
        self.digestibility = np.array([food.digestibility for food in foods])
        self.calcium_factor = np.array([food.calcium_absorbable_factor for food in foods])
        self.step_g = np.array([food.step_g for food in foods])
        self.max_g_day = np.array([food.max_g_day for food in foods])

    @classmethod
    def load(cls) -> FoodSpace:
        """Load the shipped catalogue over the shipped table, once a process."""
        return _shipped()

    def __len__(self) -> int:
        """Count the foods."""
        return len(self.foods)

    def per_gram(self, key: str) -> Floats:
        """
        Give one nutrient of every food.

        Parameters
        ----------
        key : str
            Nutrient key.

        Returns
        -------
        array (foods,)
            Amount per gram; not measured counts as 0. [nutrient unit/g]
        """
        return np.nan_to_num(self._measured[:, self._column[key]])

    def known(self, key: str) -> NDArray[np.bool_]:
        """
        Say where a nutrient was measured or derived by the release.

        Returns
        -------
        array (foods,)
        """
        return ~np.isnan(self._measured[:, self._column[key]])

    def toward(self, key: str, *, digestible: bool = False) -> Floats:
        """
        Give what of a nutrient counts toward a floor.

        Amino acids count by the digestibility of their food's protein; calcium of high-oxalate
        greens counts at the absorbable fraction relative to other greens.

        Parameters
        ----------
        key : str
            Nutrient key.
        digestible : bool
            True for amino-acid and protein floors stated as digestible amounts.

        Returns
        -------
        array (foods,)
            [nutrient unit/g]
        """
        amount = self.per_gram(key)
        if digestible:
            amount = amount * self.digestibility
        if key == "calcium_mg":
            amount = amount * self.calcium_factor
        return amount

    def imputed(self, key: str) -> Floats:
        """
        Give amino acids that no one measured in a food but a kindred one suggests.

        They are shown beside a plan and never count toward a floor.

        Parameters
        ----------
        key : str
            Amino acid or group.

        Returns
        -------
        array (foods,)
            Amount per gram; 0 where the release has its own value. [g/g]
        """
        return self._imputed[:, self._column[key]]


@cache
def _shipped() -> FoodSpace:
    return FoodSpace(Catalogue.load().foods, FoodTable.load())
