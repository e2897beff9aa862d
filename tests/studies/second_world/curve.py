"""Trade-off of false moves against weeks off: one policy at many degrees of caution."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

SURENESS = (0.6, 0.7, 0.8, 0.85, 0.9, 0.95, 0.98, 0.995)


@dataclass(frozen=True)
class Point:
    """What a policy does at one degree of caution, per client in the whole course."""

    sure: float
    false: float
    weeks_off: float
    left_kcal: float


def at_equal_false(points: Sequence[Point], false: float) -> tuple[float, float]:
    """
    Return weeks off and kcal left at a number of false moves, between the points on either side.

    NaN where no two points lie on either side of it: a curve is not drawn on beyond its ends.
    """
    ordered = sorted(points, key=lambda point: point.false)
    for below, above in pairwise(ordered):
        if below.false <= false <= above.false:
            width = above.false - below.false
            part = (false - below.false) / width if width else 0.0
            return (
                below.weeks_off + part * (above.weeks_off - below.weeks_off),
                below.left_kcal + part * (above.left_kcal - below.left_kcal),
            )
    return math.nan, math.nan
