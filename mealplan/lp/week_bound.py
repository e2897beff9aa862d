"""
A proven bound on every plan of several days, whichever dishes each day serves.

The day's bound takes its neighbours as they are. This one takes nothing as given: days that ask
the same are blended into one, and what ties days together stays as rows: how often a dish may come,
that a kept portion needs one cooked, what it costs to meet the same family of foods again and
again. It is solved by column generation, like the day's relaxation, and every round's prices give a
valid lower bound.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from mealplan.lp.column_bound import best_portions, relax
from mealplan.lp.daymodel import DayModel, Floats, Ints
from mealplan.lp.warm_start import HotLP


@dataclass(frozen=True)
class DayKind:
    """Days that ask the same of the same dishes."""

    model: DayModel
    """Each meal's dishes cooked fresh, and after them the same dishes as kept portions."""
    kept: tuple[NDArray[np.bool_], ...]
    """For each meal and choice, whether it is a kept portion."""
    days: int
    """How many there are. [days]"""
    kept_days: int
    """On how many of them something may have been cooked before. [days]"""


@dataclass(frozen=True)
class Ties:
    """What several days may do together, and what it costs."""

    most_each: int
    """Servings of a dish."""
    price_over: float
    """Each serving beyond; only blends on the way to the bound have any."""
    free_fresh: int
    """Times a dish is cooked at no extra price."""
    price_again: float
    """Each time beyond."""
    family_steps: tuple[tuple[float, float], ...]
    """(how many more meals, price of each) with the same family, cheapest first."""
    bought: Mapping[str, frozenset[str]]
    """What cooking a dish always buys, by name."""
    price_bought: Mapping[str, float]
    """Price of each name bought, however often it is used."""
    name_bought: Sequence[str]
    """Name each food is bought under, by its place in the food space."""
    over_days: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    """Least of a row over all days together, and the price of a unit short, by row name."""


def convex_steps(least: Sequence[float]) -> tuple[tuple[float, float], ...]:
    """
    Draw the highest convex curve below some points, as steps of rising price.

    Parameters
    ----------
    least : sequence of float
        Value at 0, 1, 2 ...; the first is 0. [objective]

    Returns
    -------
    tuple of (width, slope)
        From left to right; the last goes on for ever in use.
    """
    corners = [0]
    for at in range(1, len(least)):
        while len(corners) > 1:
            a, b = corners[-2:]
            if (least[b] - least[a]) * (at - b) >= (least[at] - least[b]) * (b - a):
                corners.pop()
            else:
                break
        corners.append(at)
    return tuple((float(b - a), (least[b] - least[a]) / (b - a)) for a, b in pairwise(corners))


def family_curve(
    days: int, meals: int, price_same_day: float, price_next_day: float
) -> tuple[tuple[float, float], ...]:
    """
    Price the least that so many meals of one family cost, however they lie on the days.

    Parameters
    ----------
    days : int
        [days]
    meals : int
        Meals a day.
    price_same_day : float
        For each pair of them on one day.
    price_next_day : float
        For each pair of them on days that follow each other.

    Returns
    -------
    tuple of (width, slope)
        As :func:`convex_steps` gives them, so never more than the true least.
    """
    most = days * meals
    count = np.arange(meals + 1)
    inside = price_same_day * count * (count - 1) / 2
    # best[last, total]: least price of the days so far, the last of which has so many.
    best = np.full((meals + 1, most + 1), np.inf)
    best[count, count] = inside
    for _ in range(days - 1):
        after = np.full_like(best, np.inf)
        for now in count:
            step = (best + price_next_day * now * count[:, None]).min(axis=0) + inside[now]
            after[now, now:] = step[: most + 1 - now]
        best = after
    return convex_steps([float(value) for value in best.min(axis=0)])


class _Master:
    """The blended days as one growing programme."""

    def __init__(self, kinds: Sequence[DayKind], ties: Ties) -> None:
        self.kinds = kinds
        offers = [offer for kind in kinds for offer in kind.model.offers]
        choices = [choice for offer in offers for choice in offer]
        self._dishes = sorted({choice.dish for choice in choices})
        self._families = sorted({family for choice in choices for family in choice.families})
        self._pooled_names = sorted(ties.over_days)
        self._often = float(ties.free_fresh)
        self._name_bought = ties.name_bought
        self.lp = HotLP()
        self._add_rows(ties)
        self._add_prices_of_days(ties)
        self._add_prices_between_days(ties)
        at = {dish: place for place, dish in enumerate(self._dishes)}
        self._tied = [self._tied_of(kind, at) for kind in kinds]
        self._could = [self._could_of(kind) for kind in kinds]

    def _add_rows(self, ties: Ties) -> None:
        """Add the rows: of each kind of day, then those between days."""
        kinds, dishes, families = self.kinds, len(self._dishes), len(self._families)
        low: list[float] = []
        high: list[float] = []

        def rows(lows: Floats, highs: Floats) -> int:
            first = len(low)
            low.extend(lows.tolist())
            high.extend(highs.tolist())
            return first

        self.nutrients = [rows(k.model.low, k.model.high) for k in kinds]
        one = [np.ones(len(k.model.slots)) for k in kinds]
        self.meals = [rows(ones, ones) for ones in one]
        none, free = np.zeros(dishes), np.full(dishes, -np.inf)
        self.total = rows(free, none + ties.most_each)
        self.fresh = rows(free, none + ties.free_fresh)
        self.paired = rows(free, none)
        self.may_keep = [
            rows(ones * -np.inf, ones * k.kept_days) for ones, k in zip(one, kinds, strict=True)
        ]
        first_free = ties.family_steps[0][0] if ties.family_steps[0][1] <= 0 else 0.0
        self.family = rows(np.full(families, -np.inf), np.full(families, first_free))
        pairs = [
            (place, name)
            for place, dish in enumerate(self._dishes)
            for name in sorted(ties.bought.get(dish, ()))
        ]
        buys = rows(np.full(len(pairs), -np.inf), np.zeros(len(pairs)))
        self._buys = [
            buys + np.array([n for n, pair in enumerate(pairs) if pair[0] == dish], dtype=int)
            for dish in range(dishes)
        ]
        self._uses = {
            name: buys + np.array([n for n, pair in enumerate(pairs) if pair[1] == name])
            for name in sorted({name for _, name in pairs})
        }
        least = np.array([ties.over_days[name][0] for name in self._pooled_names])
        self.pooled = rows(least, np.full(len(least), np.inf))
        self._pooled = [
            np.array([[r.name for r in k.model.rows].index(n) for n in self._pooled_names], int)
            for k in kinds
        ]
        self.width = len(low)
        self.lp.add_rows(np.array(low), np.array(high))

    def _add_prices_of_days(self, ties: Ties) -> None:
        """Price what each kind of day misses, and what all days together miss."""
        for kind, start in zip(self.kinds, self.nutrients, strict=True):
            model = kind.model
            below = np.flatnonzero(np.isfinite(model.low))
            above = np.flatnonzero(np.isfinite(model.high))
            self.lp.add_unit_columns(kind.days * model.price_low[below], start + below, 1.0)
            self.lp.add_unit_columns(kind.days * model.price_high[above], start + above, -1.0)
        prices = np.array([ties.over_days[name][1] for name in self._pooled_names])
        self.lp.add_unit_columns(prices, self.pooled + np.arange(len(prices)), 1.0)

    def _add_prices_between_days(self, ties: Ties) -> None:
        """Price dishes served again, foods bought, and families that come often."""
        every = np.arange(len(self._dishes))
        over = np.zeros(len(every)) + ties.price_over
        self.lp.add_unit_columns(over, self.total + every, -1.0)
        for dish in range(len(self._dishes)):
            self._add_entries(ties.price_again, [self.fresh + dish, *self._buys[dish]], -1.0)
        for name, uses in self._uses.items():
            self._add_entries(ties.price_bought[name], uses, -self._often)
        paid = [step for step in ties.family_steps if step[1] > 0]
        for place in range(len(self._families)):
            for number, (width, price) in enumerate(paid):
                most = np.inf if number == len(paid) - 1 else width
                self._add_entries(price, [self.family + place], -1.0, most)

    def _add_entries(
        self, price: float, rows: Sequence[int] | Ints, value: float, most: float = np.inf
    ) -> None:
        values = np.zeros(self.width)
        values[np.asarray(rows, dtype=int)] = value
        self.lp.add_column(price, values, 0.0, most)

    def _tied_of(self, kind: DayKind, at: Mapping[str, int]) -> list[_Tied]:
        return [
            _Tied(
                dish=np.array([at[choice.dish] for choice in offer], dtype=np.int64),
                kept=kept,
                families=np.array(
                    [[float(f in choice.families) for f in self._families] for choice in offer]
                ),
            )
            for offer, kept in zip(kind.model.offers, kind.kept, strict=True)
        ]

    def _could_of(self, kind: DayKind) -> list[Ints]:
        """For each line that could be left out, which name it serves, counted from one."""
        number_of = {name: number for number, name in enumerate(self._uses, start=1)}
        return [
            np.array(
                [
                    number_of.get(self._name_bought[food], 0) if could else 0
                    for choice in offer
                    for food, could in zip(choice.foods, choice.optional, strict=True)
                ],
                dtype=np.int64,
            )
            for offer in kind.model.offers
        ]

    def add(self, number: int, slot: int, pick: int, grams: Floats) -> None:
        """Offer a portion of a dish at a meal of a kind of day."""
        kind, tied = self.kinds[number], self._tied[number][slot]
        table = kind.model.tables[slot]
        lines = table.lines_of(pick)
        cost = float(table.cost[pick]) + table.choices[pick].away(grams)
        values = np.zeros(self.width)
        start = self.nutrients[number]
        totals = grams @ table.per_gram[lines]
        values[start : start + len(kind.model.rows)] = totals
        pooled = self._pooled[number]
        values[self.pooled : self.pooled + len(pooled)] = kind.days * totals[pooled]
        values[self.meals[number] + slot] = 1.0
        dish = tied.dish[pick]
        values[self.total + dish] = kind.days
        if tied.kept[pick]:
            values[self.paired + dish] = kind.days
            values[self.may_keep[number] + slot] = kind.days
        else:
            values[self.fresh + dish] = kind.days
            values[self.paired + dish] = -kind.days
            values[self._buys[dish]] = kind.days
        # A food served where it could be left out counts as there already, unpaid.
        for food in table.choices[pick].foods[table.optional[lines] & (grams > 0)]:
            uses = self._uses.get(self._name_bought[food])
            if uses is not None:
                values[uses] -= self._often * kind.days
        values[self.family : self.family + len(self._families)] = kind.days * tied.families[pick]
        self.lp.add_column(kind.days * cost, values)

    def serving(self, number: int, slot: int, dual: Floats) -> Floats:
        """Price of serving each line that could be left out: below nought, as it buys a food."""
        worth = np.array([0.0, *(self._often * dual[uses].sum() for uses in self._uses.values())])
        return worth[self._could[number][slot]]

    def row_price(self, number: int, dual: Floats) -> Floats:
        """Worth of one unit of each row on a day of a kind."""
        kind, start, pooled = self.kinds[number], self.nutrients[number], self._pooled[number]
        price = dual[start : start + len(kind.model.rows)] / kind.days
        price[pooled] += dual[self.pooled : self.pooled + len(pooled)]
        return price

    def ties(self, number: int, slot: int, dual: Floats) -> Floats:
        """Worth of what each choice of a meal does to the rows between days, a day."""
        tied = self._tied[number][slot]
        paired = dual[self.paired + tied.dish]
        kept = paired + dual[self.may_keep[number] + slot]
        buys = np.array([dual[rows].sum() for rows in self._buys])
        fresh = dual[self.fresh + tied.dish] - paired + buys[tied.dish]
        between: Floats = dual[self.total + tied.dish] + np.where(tied.kept, kept, fresh)
        return between + tied.families @ dual[self.family : self.family + len(self._families)]


@dataclass(frozen=True)
class _Tied:
    """A meal's choices, as the rows between days see them."""

    dish: NDArray[np.int64]
    kept: NDArray[np.bool_]
    families: Floats


def bound_week(
    kinds: Sequence[DayKind],
    ties: Ties,
    *,
    gap: float = 2e-3,
    most_rounds: int = 80,
    per_round: int = 12,
    near: int | None = None,
) -> float:
    """
    Bound all plans of these days from below.

    Parameters
    ----------
    kinds : sequence of DayKind
        The days, those that ask the same together.
    ties : Ties
        What the days may do together.
    gap : float
        Stop when bound and value are this close, relative to 1 + value. [1]
    most_rounds : int
        Stop after this many rounds; the bound is valid whenever it stops.
    per_round : int
        Most dishes a meal adds in one round.
    near : int, optional
        Count what is bought only for so many dishes of a meal, those its day would mind least:
        quicker, and a little lower.

    Returns
    -------
    float
        No plan can score less.
    """
    if near is not None:
        counted = {
            offer[place].dish
            for kind in kinds
            for offer, mind in zip(kind.model.offers, relax(kind.model).reduced_cost, strict=True)
            for place in np.argsort(mind, kind="stable")[:near]
        }
        bought = {dish: names for dish, names in ties.bought.items() if dish in counted}
        ties = replace(ties, bought=bought)
    master = _Master(kinds, ties)
    for number, kind in enumerate(kinds):
        for slot, table in enumerate(kind.model.tables):
            for pick in range(min(per_round, len(table.choices))):
                master.add(number, slot, pick, table.typical[table.lines_of(pick)])
    bound = -np.inf
    for _ in range(most_rounds):
        value, dual = master.lp.solve()
        low = value
        fresh: list[tuple[int, int, int, Floats]] = []
        for number, kind in enumerate(kinds):
            price = master.row_price(number, dual)
            for slot, table in enumerate(kind.model.tables):
                grams, cost = best_portions(table, price, master.serving(number, slot, dual))
                reduced = kind.days * (cost - master.ties(number, slot, dual))
                reduced -= dual[master.meals[number] + slot]
                low += min(0.0, float(reduced.min()))
                fresh += [
                    (number, slot, int(pick), grams[table.lines_of(int(pick))])
                    for pick in np.argsort(reduced, kind="stable")[:per_round]
                    if reduced[pick] < -1e-9
                ]
        bound = max(bound, low)
        if value - bound <= gap * (1 + abs(value)) or not fresh:
            break
        for item in fresh:
            master.add(*item)
    return float(bound)
