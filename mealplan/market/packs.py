"""
Whole packs: the combination that covers a need at least cost or with least left over.

Nothing is approximated: every combination that could be best is looked at. What is sold loose comes
by the piece, or by weight to the shop scale's usual step.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from pydantic import BaseModel, ConfigDict

from mealplan.references.tables import Provenance, provenance, read_rows

_NEARLY = 1e-9


class PackCount(BaseModel):
    """Packs of one size."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    size_g: float
    count: int


@dataclass(frozen=True)
class Loose:
    """How a food sold without a pack is asked for."""

    one: str
    """Name of one piece; empty when it is asked for by weight."""
    many: str
    each_g: float
    """Weight of a piece as bought, or the step it is weighed in. [g]"""
    smallest_part: float
    """Smallest part of a piece a shop sells: 1, or 0.5 for half a cabbage. [1]"""
    source: str
    provenance: Provenance

    def pieces(self, need_g: float) -> float:
        """
        Count the pieces that cover a need.

        Parameters
        ----------
        need_g : float
            [g]

        Returns
        -------
        float
            Pieces, in steps of the smallest part sold.
        """
        step_g = self.each_g * self.smallest_part
        return math.ceil(need_g / step_g - _NEARLY) * self.smallest_part


@cache
def loose_produce() -> Mapping[str, Loose]:
    """
    Load what is sold loose, by bought name.

    Returns
    -------
    mapping of str to Loose
    """
    return {
        row["bought_name"]: Loose(
            one=row["one"],
            many=row["many"],
            each_g=float(row["each_g"]),
            smallest_part=float(row["smallest_part"]),
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for row in read_rows("loose_produce.csv")
    }


def choose_packs(
    need_g: float,
    sizes_g: Sequence[float],
    prices: Mapping[float, float] | None = None,
) -> tuple[PackCount, ...]:
    """
    Choose whole packs that cover a need: cheapest where prices are known, else least left over.

    Ties go to less left over, then to fewer packs, then to larger ones.

    Parameters
    ----------
    need_g : float
        What must be covered, above 0. [g]
    sizes_g : sequence of float
        Sizes sold. [g]
    prices : mapping of float to float, optional
        Price by size; used only when every size has one.

    Returns
    -------
    tuple of PackCount
        Exact optimum over all combinations of the sizes, largest size first.
    """
    sizes = sorted({size for size in sizes_g if size > 0}, reverse=True)
    if not sizes:
        raise ValueError("no pack size is known: give one above 0 g or sell it loose")
    priced = prices is not None and all(size in prices for size in sizes)
    most = [math.ceil(need_g / size - _NEARLY) for size in sizes]
    best: tuple[tuple[float, float, int], tuple[int, ...]] | None = None
    for counts in itertools.product(*(range(count + 1) for count in most[:-1])):
        covered = sum(n * size for n, size in zip(counts, sizes, strict=False))
        last = max(0, math.ceil((need_g - covered) / sizes[-1] - _NEARLY))
        chosen = (*counts, last)
        total = covered + last * sizes[-1]
        cost = 0.0
        if priced and prices is not None:
            cost = sum(n * prices[size] for n, size in zip(chosen, sizes, strict=True))
        key = (round(cost, 4), round(total - need_g, 3), sum(chosen))
        if best is None or (key, tuple(-n for n in chosen)) < (best[0], tuple(-n for n in best[1])):
            best = (key, chosen)
    assert best is not None
    return tuple(
        PackCount(size_g=size, count=count)
        for size, count in zip(sizes, best[1], strict=True)
        if count
    )


def by_weight(need_g: float) -> float:
    """
    Round a loose weight up to what a shop's scale is asked for.

    Parameters
    ----------
    need_g : float
        [g]

    Returns
    -------
    float
        [g]
    """
    step = 10 if need_g < 200 else 50
    return float(math.ceil(need_g / step - _NEARLY) * step)
