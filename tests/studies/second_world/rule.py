"""The rule of the yardsticks that have a band: move part of the gap when sure of its side."""

from __future__ import annotations

import math
from dataclasses import dataclass

BAND_90 = 1.6448536269514722
"""Standard deviations on either side of a normal band of 90 %."""


@dataclass(frozen=True)
class Rule:
    """
    When and how far to move.

    Attributes
    ----------
    sure
        Chance, from 0.5 to 1, that the gap lies on the side of the move.
    least_kcal
        No move for a smaller gap. [kcal/day]
    share
        Part of the gap that is moved.
    """

    sure: float = 0.9
    least_kcal: float = 75.0
    share: float = 0.7

    def move_kcal(self, gap_kcal: float, chance_positive: float) -> float:
        """Return the move, to the nearest 5 kcal, or 0 to hold."""
        chance = chance_positive if gap_kcal > 0 else 1 - chance_positive
        if abs(gap_kcal) < self.least_kcal or chance < self.sure:
            return 0.0
        return 5.0 * round(self.share * gap_kcal / 5)


def normal_chance(mean: float, sd: float) -> float:
    """Return the chance that a normal quantity is above 0."""
    return 0.5 * (1 + math.erf(mean / sd / math.sqrt(2)))
