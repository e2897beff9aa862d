"""One number as the bank believes it: a mixture of normal distributions, its bands and chances."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SMALLEST_WEIGHT = 1e-4
"""Members of the bank below this share are left out."""
GRID = 401
REACH_SD = 6.0


def normal_cdf(z: Floats) -> Floats:
    """
    Give the standard normal distribution, to 1e-7.

    Parameters
    ----------
    z : array

    Returns
    -------
    array

    References
    ----------
    .. [1] Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, formula 26.2.17.
    """
    t = 1.0 / (1.0 + 0.2316419 * np.abs(z))
    series = t * (
        0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429)))
    )
    upper = np.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi) * series
    return np.asarray(np.where(z >= 0, 1.0 - upper, upper))


@dataclass(frozen=True)
class Mixture:
    """
    A number believed as a mixture.

    Attributes
    ----------
    weights, means, sds : (N,)
        Weights sum to 1.
    """

    weights: Floats
    means: Floats
    sds: Floats

    @property
    def mean(self) -> float:
        """Best value."""
        return float(self.weights @ self.means)

    @property
    def sd(self) -> float:
        """Spread within and between members."""
        apart = self.means - self.mean
        return math.sqrt(float(self.weights @ (self.sds**2 + apart**2)))

    def chance_above(self, value: float) -> float:
        """
        Give the chance that the truth lies above a value.

        Parameters
        ----------
        value : float
            In the unit of the mixture.
        """
        return float(self.weights @ normal_cdf((self.means - value) / self.sds))

    def chance_of_side(self) -> float:
        """Give the chance that the truth has the sign of the best value."""
        above = self.chance_above(0.0)
        return above if self.mean > 0 else 1.0 - above

    def quantiles(self, *shares: float) -> tuple[float, ...]:
        """
        Give the values below which the truth lies with given chances.

        Parameters
        ----------
        *shares : float
            Between 0 and 1, rising.

        Returns
        -------
        tuple of float
        """
        at = np.linspace(self.mean - REACH_SD * self.sd, self.mean + REACH_SD * self.sd, GRID)
        below = self.weights @ normal_cdf((at - self.means[:, None]) / self.sds[:, None])
        return tuple(float(v) for v in np.interp(shares, below, at))

    @property
    def band(self) -> tuple[float, float]:
        """Ends of the middle 90 %."""
        low, high = self.quantiles(0.05, 0.95)
        return low, high

    def shifted(self, by: float) -> Mixture:
        """
        Give the same with a constant added.

        Parameters
        ----------
        by : float
            In the unit of the mixture.
        """
        return Mixture(self.weights, self.means + by, self.sds)
