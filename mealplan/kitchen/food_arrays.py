"""
The catalogue as arrays: one position a kitchen food, one vector a nutrient, per gram served.

A value that was not measured counts as nothing toward a floor and is remembered as unknown, so that
a report can say how much of a total rests on missing data. Foods of one's own stand behind those
that ship, with what their labels declare.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from foods import FoodTable
from foods.composition.catalogue import Catalogue
from foods.composition.unlisted.composition import CompositionBasis
from foods.dishes.model import Dish
from foods.registry.nutrients import NUTRIENT_KEYS

Floats = NDArray[np.float64]


class FoodSpace:
    """
    Vectors over catalogue foods.

    Parameters
    ----------
    catalogue : Catalogue
        Foods; their place is their index everywhere.
    table : FoodTable
        Composition.
    """

    def __init__(self, catalogue: Catalogue, table: FoodTable) -> None:
        foods = catalogue.foods
        self.catalogue = catalogue
        self.foods = foods
        self.index = {food.key: place for place, food in enumerate(foods)}
        self._column = {key: place for place, key in enumerate(NUTRIENT_KEYS)}
        self._measured: Floats = np.full((len(foods), len(NUTRIENT_KEYS)), np.nan)
        self._imputed: Floats = np.zeros_like(self._measured)
        numbered = [(place, food.ndb) for place, food in enumerate(foods) if food.ndb is not None]
        places = [place for place, _ in numbered]
        self._measured[places] = table.matrix([ndb for _, ndb in numbered], NUTRIENT_KEYS) / 100.0
        filled = catalogue.imputed_amino_acids(table)
        for place, ndb in numbered:
            self._fill(self._imputed, place, filled.get(ndb, {}))
        for key, known in catalogue.own.items():
            self._fill(self._measured, self.index[key], known.per_100g)
            self._fill(self._imputed, self.index[key], known.imputed_per_100g)
        self._basis = {key: known.basis for key, known in catalogue.own.items()}
        self.digestibility = np.array([food.digestibility for food in foods])
        self.calcium_factor = np.array([food.calcium_absorbable_factor for food in foods])
        self.step_g = np.array([food.step_g for food in foods])
        self.max_g_day = np.array([food.max_g_day for food in foods])

    def _fill(self, array: Floats, place: int, per_100g: Mapping[str, float]) -> None:
        for key, amount in per_100g.items():
            array[place, self._column[key]] = amount / 100.0

    @classmethod
    def load(cls) -> FoodSpace:
        """Load the shipped catalogue over the shipped table, once a process."""
        return _space_of(Catalogue.load())

    @classmethod
    def of(cls, catalogue: Catalogue) -> FoodSpace:
        """
        Give the arrays of a catalogue, built once for each.

        Parameters
        ----------
        catalogue : Catalogue

        Returns
        -------
        FoodSpace
        """
        return _space_of(catalogue)

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
            Amount per gram, not to be written to; not measured counts as 0. [nutrient unit/g]
        """
        found = self._per_gram.get(key)
        if found is None:
            found = np.nan_to_num(self._measured[:, self._column[key]])
            found.flags.writeable = False
            self._per_gram[key] = found
        return found

    @cached_property
    def _per_gram(self) -> dict[str, Floats]:
        return {}

    def known(self, key: str) -> NDArray[np.bool_]:
        """
        Say where a nutrient was measured or derived by the release.

        Returns
        -------
        array (foods,)
        """
        return ~np.isnan(self._measured[:, self._column[key]])

    def rests_on(self, basis: CompositionBasis) -> NDArray[np.bool_]:
        """
        Say which foods without a row of the release rest on a label, a recipe or a survey.

        Parameters
        ----------
        basis : {"label", "recipe", "survey"}

        Returns
        -------
        array (foods,)
        """
        found = self._resting.get(basis)
        if found is None:
            found = np.array([self._basis.get(food.key) == basis for food in self.foods])
            self._resting[basis] = found
        return found

    @cached_property
    def _resting(self) -> dict[CompositionBasis, NDArray[np.bool_]]:
        return {}

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


@lru_cache(maxsize=64)
def _space_of(catalogue: Catalogue) -> FoodSpace:
    return FoodSpace(catalogue, FoodTable.load())


def lacking(dishes: Iterable[Dish], there: NDArray[np.bool_], space: FoodSpace) -> frozenset[str]:
    """
    Name the dishes that cannot do without a food that is not there.

    Parameters
    ----------
    dishes : iterable of Dish
    there : array of bool (foods,)
    space : FoodSpace

    Returns
    -------
    frozenset of str
        Keys.
    """
    return frozenset(
        dish.key
        for dish in dishes
        if not all(line.optional or there[space.index[line.food]] for line in dish.lines)
    )
