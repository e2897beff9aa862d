"""Why a day misses what it misses, and what its musts cost, in one answer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from mealplan.lp.daymodel import DayModel
from mealplan.lp.explain.blend import Blend
from mealplan.lp.explain.clash import (
    Clash,
    clash_sentence,
    clashes_of,
    relaxing_sentence,
)
from mealplan.lp.explain.ends import End, Miss, ends_of, misses_of
from mealplan.lp.explain.prices import EndPrice, end_prices, energy_prices
from mealplan.lp.search import DayAnswer


@dataclass(frozen=True)
class Explanation:
    """Why this day is as good as it is."""

    missed: tuple[Miss, ...]
    """Musts first, then by how much."""
    clashes: tuple[Clash, ...]
    prices: tuple[EndPrice, ...]
    """Binding musts, dearest first."""
    least_kcal: float | None
    """Least energy at which these dishes meet every other must; None when they cannot. [kcal]"""
    sentences: tuple[str, ...]

    @property
    def clash(self) -> tuple[End, ...]:
        """Ends of the first clash; empty when every must is met."""
        return self.clashes[0].ends if self.clashes else ()


def explain_day(model: DayModel, answer: DayAnswer) -> Explanation:
    """
    Say why a planned day misses what it misses, and what its musts cost.

    Parameters
    ----------
    model : DayModel
        The day as it was planned.
    answer : DayAnswer
        Its plan.

    Returns
    -------
    Explanation
        With no clash when every must is met.
    """
    missed = misses_of(model, answer)
    ends = ends_of(model)
    blend = Blend(model, ends)
    clashes = clashes_of(model, answer, blend, [miss.end for miss in missed if miss.must])
    least_kcal, kcal = energy_prices(blend)
    prices = end_prices(model, answer, ends, kcal)
    return Explanation(
        missed=missed,
        clashes=clashes,
        prices=prices,
        least_kcal=least_kcal,
        sentences=tuple(_sentences(missed, clashes, prices, least_kcal)),
    )


def _sentences(
    missed: Sequence[Miss],
    clashes: Sequence[Clash],
    prices: Sequence[EndPrice],
    least_kcal: float | None,
) -> Iterable[str]:
    for clash in clashes:
        yield clash_sentence(clash)
        if clash.relaxings:
            yield relaxing_sentence(clash)
    if missed and missed[0].must and not clashes:
        yield (
            "Portions could be found that meet everything, but not in whole kitchen measures of "
            "the dishes tried; asking for another day may find them."
        )
    costly = [item for item in prices if item.kcal_per_unit > 0]
    if costly and not clashes:
        worst = max(costly, key=lambda item: item.kcal_per_unit * item.end.scale)
        yield (
            f"{worst.end.words[0].upper()}{worst.end.words[1:]} costs most energy of all: one per "
            f"cent more would take about {worst.kcal_per_unit * worst.end.scale / 100:,.0f} kcal."
        )
    if missed and missed[0].must and prices:
        yield prices[0].sentence
    if least_kcal is not None:
        yield (
            "Energy aside, no day of these dishes meets every must on less than about "
            f"{round(least_kcal, -1):,.0f} kcal."
        )
