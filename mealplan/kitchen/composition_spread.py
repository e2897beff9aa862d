"""
How sure a total is, composition being uncertain, and floors to plan for so that they hold.

What is eaten is one lot of a food, not the mean of many: its spread is that of single samples, the
release's standard error times the root of their number, drawn toward that of its food group where
samples are few. Portions weighed by hand and what cooking leaves of vitamins come on top. Errors of
different foods are independent, those of one food all move together.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from foods import FoodTable
from foods.registry.nutrients import NUTRIENT_KEYS, nutrient
from mealplan.kitchen.food_arrays import FoodSpace

Floats = NDArray[np.float64]

LEAST_SAMPLES = 3
"""Fewest samples for which a stated standard error is believed."""
LEAST_FOODS = 5
"""Fewest foods of a group whose spreads make a group value."""
GROUP_WEIGHT = 5.0
"""Degrees of freedom that the group's spread counts for beside a food's own (common practice)."""
CV_BOUNDS = (0.01, 1.0)
"""No lot is closer to the mean, or farther from it, than this. [fraction] (common practice)"""
PORTION_CV = 0.05
"""Error of a portion weighed or measured in a kitchen. [fraction] (common practice)"""
RETENTION_CV = 0.10
"""What storing and cooking leave of a vitamin, about the table's value. [fraction] (practice)"""

ASSUMED_CV: dict[str, float] = {
    "energy": 0.04,
    "macro": 0.10,
    "mineral": 0.25,
    "vitamin": 0.30,
    "amino acid": 0.10,
    "fat": 0.15,
    "other": 0.25,
}
"""
Spread of one lot where neither food nor nutrient states one, as a fraction (common practice).

The release's own medians over this catalogue: protein 0.11, zinc 0.21, calcium 0.23, iron 0.26,
vitamin C 0.35, selenium 0.45. Amino acids differ by 8 to 12 % between tables for staples.
"""


def _fraction(group: str) -> float:
    return ASSUMED_CV.get(group, ASSUMED_CV["other"])


def lot_cv(error: Floats, samples: Floats, value: Floats, groups: NDArray[np.str_]) -> Floats:
    """
    Estimate the spread of single lots, foods with few samples leaning on their group.

    Parameters
    ----------
    error : array (foods, nutrients)
        Standard error of the mean; NaN where none is stated. [unit]
    samples : array (foods, nutrients)
        Number of samples behind it.
    value : array (foods, nutrients)
        The mean. [unit]
    groups : array of str (foods,)
        Food group of each food.

    Returns
    -------
    array (foods, nutrients)
        Coefficient of variation of one lot; NaN where neither the food nor any other states one.
    """
    count = np.nan_to_num(samples)
    stated = ~np.isnan(error) & (count >= LEAST_SAMPLES) & (np.nan_to_num(value) > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        own = np.clip(np.where(stated, error / value * np.sqrt(count), np.nan), *CV_BOUNDS)
    pooled = np.full_like(own, np.nan)
    for column in range(own.shape[1]):
        known = own[:, column][stated[:, column]]
        if known.size:
            pooled[:, column] = np.median(known)
        for group in np.unique(groups):
            inside = (groups == group) & stated[:, column]
            if inside.sum() >= LEAST_FOODS:
                pooled[groups == group, column] = np.median(own[inside, column])
    freedom = np.where(stated, count - 1, 0.0)
    square = freedom * np.nan_to_num(own) ** 2 + GROUP_WEIGHT * pooled**2
    return np.asarray(np.sqrt(square / (freedom + GROUP_WEIGHT)), dtype=np.float64)


class Spread:
    """Standard deviation of each food's content, per gram, as one lot of it is eaten."""

    def __init__(self, space: FoodSpace, table: FoodTable) -> None:
        numbered = [(place, food.ndb) for place, food in enumerate(space.foods) if food.ndb]
        places, ndbs = [place for place, _ in numbered], [ndb for _, ndb in numbered]
        value = np.stack([space.per_gram(key) for key in NUTRIENT_KEYS], axis=1)
        error = np.full_like(value, np.nan)
        samples = np.zeros_like(value)
        error[places] = table.std_error_matrix(ndbs, NUTRIENT_KEYS) / 100.0
        samples[places] = table.sample_count_matrix(ndbs, NUTRIENT_KEYS)
        groups = np.array([food.group for food in space.foods])
        kinds = [nutrient(key).group for key in NUTRIENT_KEYS]
        cv = lot_cv(error, samples, value, groups)
        cv = np.where(np.isnan(cv), np.array([_fraction(kind) for kind in kinds]), cv)
        kept = np.array([RETENTION_CV if kind == "vitamin" else 0.0 for kind in kinds])
        # The table's mean is itself known only to its standard error.
        self._sd = np.sqrt(
            (value**2) * (cv**2 + PORTION_CV**2 + kept**2) + np.nan_to_num(error) ** 2
        )
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

    def per_gram_sd(self, key: str) -> Floats:
        """
        Give each food's standard deviation.

        Parameters
        ----------
        key : str
            Nutrient.

        Returns
        -------
        array (foods,)
            [nutrient unit per gram]
        """
        found: Floats = self._sd[:, self._column[key]]
        return found

    def _eaten_sd(self, key: str, grams: Floats, digestible: bool) -> Floats:
        sd = self.per_gram_sd(key)
        if digestible:
            sd = sd * self._space.digestibility
        if key == "calcium_mg":
            sd = sd * self._space.calcium_factor
        return grams * sd

    def total_skew(self, key: str, grams: Floats, *, digestible: bool = False) -> float:
        """
        Give the skewness of a total, each food's lots being lognormal.

        Parameters
        ----------
        key, grams, digestible
            As in :meth:`total_sd`.

        Returns
        -------
        float
            Third central moment over the cube of the standard deviation; 0 when nothing varies.
        """
        sd = self._eaten_sd(key, grams, digestible)
        mean = grams * self._space.toward(key, digestible=digestible)
        vary = (mean > 0) & (sd > 0)
        if not vary.any():
            return 0.0
        cv = sd[vary] / mean[vary]
        third = sd[vary] ** 3 * (3 * cv + cv**3)
        return float(third.sum() / np.linalg.norm(sd) ** 3)

    def total_sd(self, key: str, grams: Floats, *, digestible: bool = False) -> float:
        """
        Give the standard deviation of a total.

        Parameters
        ----------
        key : str
            Nutrient.
        grams : array (foods,)
            Eaten; all servings of one food come from one lot. [g]
        digestible : bool
            True when the total counts digestible amounts.

        Returns
        -------
        float
            [nutrient unit]
        """
        return float(np.linalg.norm(self._eaten_sd(key, grams, digestible)))


@lru_cache(maxsize=64)
def _spread_of(space: FoodSpace) -> Spread:
    return Spread(space, FoodTable.load())


def _width(skew: float) -> float:
    """Spread of a lognormal's logarithm at this skewness: the root of v^3 + 3 v = skew."""
    v = 2 * math.sinh(math.asinh(skew / 2) / 3)
    return math.sqrt(math.log1p(v**2))


NO_SKEW = 1e-3
"""Below this a total is as good as normal."""


def chance_above(total: float, floor: float, sd: float, skew: float = 0.0) -> float:
    """
    Give the chance that the true total lies above a floor.

    Contents are positive and skewed to the right; their sum is taken as a shifted lognormal with
    the mean, standard deviation and skewness it has.

    Parameters
    ----------
    total, floor, sd : float
        Same unit; what does not vary, such as a supplement, is part of the total.
    skew : float
        Skewness of the total, 0 for a normal one.

    Returns
    -------
    float
        0 to 1.
    """
    if sd <= 0:
        return 1.0 if total >= floor else 0.0
    if skew < NO_SKEW:
        return NormalDist().cdf((total - floor) / sd)
    width = _width(skew)
    scale = sd / math.sqrt(math.expm1(width**2))
    above = (floor - total) / scale + 1
    if above <= 0:
        return 1.0
    return NormalDist().cdf(-(math.log(above) + width**2 / 2) / width)


def floor_margin(sd: float, z: float, skew: float = 0.0) -> float:
    """
    Say how far above a floor a total's mean must lie to hold it with a wanted certainty.

    Parameters
    ----------
    sd : float
        Of a total like the one planned. [unit]
    z : float
        Standard deviations of the certainty, from :data:`Z_SCORES`.
    skew : float
        Skewness of the total.

    Returns
    -------
    float
        [unit]; the inverse of :func:`chance_above`.
    """
    if sd <= 0:
        return 0.0
    if skew < NO_SKEW:
        return z * sd
    width = _width(skew)
    scale = sd / math.sqrt(math.expm1(width**2))
    return scale * (1 - math.exp(-z * width - width**2 / 2))


Z_SCORES: Mapping[int, float] = {50: 0.0, 75: 0.6745, 80: 0.8416, 90: 1.2816, 95: 1.6449}
"""Margins in standard deviations for the certainties that may be asked for. [%]"""
