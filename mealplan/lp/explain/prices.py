"""What the musts of a day cost: its other wishes, energy and money."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from mealplan.lp.amounts import AmountsLP
from mealplan.lp.daymodel import DayModel, Floats
from mealplan.lp.explain.blend import Blend
from mealplan.lp.explain.ends import MET, End, Side, ends_of, thing
from mealplan.lp.search import DayAnswer
from mealplan.rules.rows.base import TIER_PRICE, Row


@dataclass(frozen=True)
class EndPrice:
    """What a binding end costs the day's other wishes."""

    end: End
    per_unit: float
    """Rise of the day's objective when the end is tightened by one unit. [1/row unit]"""
    per_percent: float
    """The same for tightening it by 1 % of its bound."""
    kcal_per_unit: float = 0.0
    """Energy one more unit takes, on the day that meets every must for least energy. [kcal]"""

    @property
    def sentence(self) -> str:
        """Say what one more unit costs, measured in shortfall of another floor."""
        share = self.per_unit / TIER_PRICE["floor"]
        unit, name = self.end.row.unit, thing(self.end.row.label)
        one = f"one more {unit}" if self.end.side == "floor" else f"one {unit} less"
        cost = f"as much as falling {share:.2%} short of a vitamin or mineral floor"
        energy = f" and take about {self.kcal_per_unit:,.3g} kcal" if self.kcal_per_unit > 0 else ""
        return f"With these dishes {one} of {name} would cost {cost}{energy}."


def end_prices(
    model: DayModel, answer: DayAnswer, ends: Sequence[End], kcal: Mapping[tuple[str, Side], float]
) -> tuple[EndPrice, ...]:
    """
    Price the musts that bind once a day's dishes are chosen.

    Parameters
    ----------
    model : DayModel
        The day.
    answer : DayAnswer
        Its dishes.
    ends : sequence of End
        Floors and ceilings to price.
    kcal : mapping of (row, side) to float
        Energy each end costs, where known. [kcal]

    Returns
    -------
    tuple of EndPrice
        Dearest first.
    """
    lp = AmountsLP(model)
    for slot, pick in enumerate(answer.picks):
        lp.put(slot, pick)
    _, dual = lp.solve()
    price = {row.name: float(value) for row, value in zip(model.rows, dual, strict=True)}
    found = []
    for end in ends:
        value = price[end.row.name] * (1 if end.side == "floor" else -1)
        if value * end.scale > 1e-6:
            found.append(
                EndPrice(
                    end,
                    value,
                    value * end.scale / 100,
                    kcal.get((end.row.name, end.side), 0.0),
                )
            )
    return tuple(sorted(found, key=lambda item: -item.per_percent))


def energy_prices(blend: Blend) -> tuple[float | None, dict[tuple[str, Side], float]]:
    """Least energy that meets every must, and what one more unit of each adds to it."""
    energy = [i for i, end in enumerate(blend.ends) if end.row.name == "energy_kcal"]
    return _least_prices(blend, energy) if energy else (None, {})


def _least_prices(
    blend: Blend, freed: Sequence[int]
) -> tuple[float | None, dict[tuple[str, Side], float]]:
    """
    Find the least of one row that meets every must, and what one more unit of each adds to it.

    Parameters
    ----------
    blend : Blend
        The freest day.
    freed : sequence of int
        Ends of the row; they do not hold here.

    Returns
    -------
    least : float or None
        None when the musts cannot all be met. [row unit]
    price : dict
        By row and side. [row unit per unit of that row]
    """
    row = int(blend.row_of[freed[0]])
    weight = np.full(len(blend.ends), 1e5)
    weight[freed] = 0.0
    blend.aim(row)
    value, _, price = blend.least(weight)
    missed = blend.missed()
    blend.aim(None)
    missed[freed] = 0.0
    if missed.sum() > MET:
        return None, {}
    return value - float(missed @ weight) + blend.ends[freed[0]].row.base, {
        (end.row.name, end.side): float(price[i]) / end.scale
        for i, end in enumerate(blend.ends)
        if price[i] > 1e-6
    }


def dearest_floors(
    model: DayModel, worth_per_gram: Floats | None = None, currency: str = ""
) -> tuple[str, ...]:
    """
    Say which must costs a day most energy, and most money when prices are known.

    On the day that meets every must for least energy, or least money, whatever its dishes, the
    price of each must is what one per cent more of it would add.

    Parameters
    ----------
    model : DayModel
        The day.
    worth_per_gram : array (foods,), optional
        What a gram eaten is worth. [currency/g]
    currency : str
        Its unit.

    Returns
    -------
    tuple of str
        One sentence each; none where the musts cannot all be met or none of them costs anything.
    """
    said: list[str] = []
    ends = ends_of(model)
    energy = [i for i, end in enumerate(ends) if end.row.name == "energy_kcal"]
    if energy:
        said += _dearest(
            Blend(model, ends),
            energy,
            "energy",
            lambda add: (
                f"{add:.2g} kcal to the least on which a day of these dishes meets everything"
            ),
        )
    if worth_per_gram is not None and worth_per_gram.any():
        money = Row(
            name="worth of the food",
            label="Worth of the food",
            unit=currency,
            per_gram=worth_per_gram,
            low=-math.inf,
            high=1e9,
            price_low=0.0,
            price_high=1.0,
            tier="comfort",
            why="",
        )
        priced = replace(model, rows=(*model.rows, money))
        # Spending has its own wish where there is a budget; here it is what is made least.
        ends = tuple(end for end in ends if end.row.name != "spending")
        blend = Blend(priced, (*ends, End(money, "ceiling")))
        said += _dearest(
            blend,
            [len(ends)],
            "money",
            lambda add: f"{add:.2g} {currency} to the least for which a day meets everything",
        )
    return tuple(said)


def _dearest(
    blend: Blend, freed: Sequence[int], what: str, say: Callable[[float], str]
) -> Iterable[str]:
    _, price = _least_prices(blend, freed)
    costly = [
        (price[end.row.name, end.side] * end.scale / 100, end)
        for end in blend.ends
        if end.row.name != "energy_kcal" and (end.row.name, end.side) in price
    ]
    if costly:
        add, end = max(costly, key=lambda item: item[0])
        yield (
            f"{end.words[0].upper()}{end.words[1:]} costs most {what}: one per cent more would add "
            f"about {say(add)}."
        )
