"""
One day as arrays: priced rows, meals, and the dishes each meal may be.

Built once for a client and a day; searching, bounding and verifying read it and never change it.
A row's miss is priced, so there is always a plan; what is missed is said, not hidden.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from mealplan.rules.rows.base import Row, Slot

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Choice:
    """
    A dish offered at one meal, its amounts on the grid of kitchen measures.

    Arrays have one entry a line of the dish. Grams are ``step * k`` for whole ``k``; an optional
    line may also be nothing.
    """

    dish: str
    foods: Ints = field(repr=False)
    """Index of each line's food in the food space."""
    low: Floats = field(repr=False)
    typical: Floats = field(repr=False)
    high: Floats = field(repr=False)
    step: Floats = field(repr=False)
    optional: NDArray[np.bool_] = field(repr=False)
    cost: float
    """Price of serving this dish here: taste, variety, effort."""
    deviation: Floats = field(repr=False)
    """Price per gram away from the typical amount."""
    near: Floats = field(default_factory=lambda: np.zeros(0), repr=False)
    """How far from the typical amount a line is still the dish; none said is everywhere. [g]"""
    far: Floats = field(default_factory=lambda: np.zeros(0), repr=False)
    """Price per gram farther away than that, on top; none said is nothing."""
    ratios: tuple[tuple[int, int, float, float], ...] = ()
    """(line, line, low, high): grams of the first per gram of the second."""
    limits: tuple[tuple[tuple[int, ...], float], ...] = ()
    """(lines, most): grams that a plate, a glass or a slice holds of these lines together."""
    families: frozenset[str] = frozenset()
    """What gives the dish its character (rice, tofu, lentils), for variety within the day."""
    minutes: float = 0.0
    """Hands-on work. [min]"""

    def __post_init__(self) -> None:
        """Fill in what is not said of how far amounts may stray."""
        if not len(self.far):
            object.__setattr__(self, "far", np.zeros(len(self.foods)))
        if not len(self.near):
            object.__setattr__(self, "near", np.maximum(self.typical, self.high))
        # What must be served is let through whole: a kept portion, a pot's share.
        least = np.where(self.optional, 0.0, self.low)
        limits = tuple((on, max(most, float(least[list(on)].sum()))) for on, most in self.limits)
        object.__setattr__(self, "limits", limits)

    @property
    def near_low(self) -> Floats:
        """Least of each line that is still the dish, inside its range."""
        return np.clip(self.typical - self.near, self.low, self.typical)

    @property
    def near_high(self) -> Floats:
        """Most of each line that is still the dish, inside its range."""
        return np.clip(self.typical + self.near, self.typical, self.high)

    def away(self, grams: Floats) -> float:
        """
        Price amounts away from the recipe's own.

        Parameters
        ----------
        grams : array (lines,)
            [g]

        Returns
        -------
        float
            Nothing for an add-on that is left out.
        """
        off = np.abs(grams - self.typical)
        price = off * self.deviation + np.maximum(off - self.near, 0.0) * self.far
        price[self.optional & (grams == 0)] = 0.0
        return float(price.sum())

    def without(self, gone: NDArray[np.bool_]) -> Choice:
        """
        Leave lines out.

        Parameters
        ----------
        gone : array of bool (lines,)
            Lines to leave out; ratios with them go as well, and limits hold for the rest.

        Returns
        -------
        Choice
        """
        kept = ~gone
        place = np.cumsum(kept) - 1
        return replace(
            self,
            foods=self.foods[kept],
            low=self.low[kept],
            typical=self.typical[kept],
            high=self.high[kept],
            step=self.step[kept],
            optional=self.optional[kept],
            deviation=self.deviation[kept],
            near=self.near[kept],
            far=self.far[kept],
            ratios=tuple(
                (int(place[a]), int(place[b]), low, high)
                for a, b, low, high in self.ratios
                if kept[a] and kept[b]
            ),
            limits=tuple(
                (tuple(int(place[line]) for line in lines if kept[line]), most)
                for lines, most in self.limits
            ),
        )


@dataclass(frozen=True)
class SlotTable:
    """All choices of one meal laid end to end."""

    choices: tuple[Choice, ...]
    starts: Ints
    """Where each choice's lines begin."""
    per_gram: Floats
    """(lines, rows), per gram served at this meal."""
    low: Floats
    typical: Floats
    high: Floats
    deviation: Floats
    near_low: Floats
    near_high: Floats
    far: Floats
    optional: NDArray[np.bool_]
    cost: Floats
    """(choices,)"""

    def lines_of(self, choice: int) -> slice:
        """
        Slice of this choice's lines.

        Parameters
        ----------
        choice : int
            Index among the meal's choices.
        """
        begin = int(self.starts[choice])
        return slice(begin, begin + len(self.choices[choice].foods))


@dataclass(frozen=True)
class DayModel:
    """Rows, meals and choices of one day."""

    rows: tuple[Row, ...]
    slots: tuple[Slot, ...]
    offers: tuple[tuple[Choice, ...], ...]
    """For each meal, the dishes it may be."""
    food_ceiling_g: Floats
    """Most of each food in the day, meals together [g]."""
    family_price: float = 0.0
    """Price of each family that two meals of the day share."""
    minutes_most: float | None = None
    """Hands-on minutes the day's cook has; None for no limit. [min]"""
    minute_price: float = 0.0
    """Price of each minute beyond. [1/min]"""

    @cached_property
    def per_gram(self) -> Floats:
        """(rows, foods), per gram."""
        return np.array([row.per_gram for row in self.rows])

    @cached_property
    def low(self) -> Floats:
        """(rows,) lower bounds net of what is already there."""
        return np.array([row.low - row.base for row in self.rows])

    @cached_property
    def high(self) -> Floats:
        """(rows,) upper bounds net of what is already there."""
        return np.array([row.high - row.base for row in self.rows])

    @cached_property
    def price_low(self) -> Floats:
        """(rows,) price per unit below."""
        return np.array([row.price_low for row in self.rows])

    @cached_property
    def price_high(self) -> Floats:
        """(rows,) price per unit above."""
        return np.array([row.price_high for row in self.rows])

    @cached_property
    def counts(self) -> Floats:
        """(slots, rows), 1 where the meal counts toward the row."""
        mask = np.ones((len(self.slots), len(self.rows)))
        for index, row in enumerate(self.rows):
            if row.slots is not None:
                mask[:, index] = 0.0
                mask[list(row.slots), index] = 1.0
        return mask

    @cached_property
    def tables(self) -> tuple[SlotTable, ...]:
        """One table a meal."""
        return tuple(
            self._table(slot, choices)
            for slot, choices in zip(self.slots, self.offers, strict=True)
        )

    def cheaper(self, less: Mapping[str, float]) -> DayModel:
        """
        Give the same day with dishes at another price.

        Parameters
        ----------
        less : mapping of str to float
            What serving a dish costs less, by key. [objective]

        Returns
        -------
        DayModel
            Its arrays are shared with this one, prices aside.
        """
        offers = tuple(
            tuple(
                replace(choice, cost=choice.cost - less[choice.dish])
                if choice.dish in less
                else choice
                for choice in offer
            )
            for offer in self.offers
        )
        model = replace(self, offers=offers)
        model.__dict__["tables"] = tuple(
            replace(table, choices=offer, cost=np.array([choice.cost for choice in offer]))
            for table, offer in zip(self.tables, offers, strict=True)
        )
        return model

    def _table(self, slot: Slot, choices: tuple[Choice, ...]) -> SlotTable:
        sizes = [len(choice.foods) for choice in choices]
        starts = np.concatenate([[0], np.cumsum(sizes)[:-1]]).astype(np.int64)
        foods = np.concatenate([choice.foods for choice in choices])
        return SlotTable(
            choices=choices,
            starts=starts,
            per_gram=self.per_gram.T[foods] * self.counts[slot.index],
            low=np.concatenate([choice.low for choice in choices]),
            typical=np.concatenate([choice.typical for choice in choices]),
            high=np.concatenate([choice.high for choice in choices]),
            deviation=np.concatenate([choice.deviation for choice in choices]),
            near_low=np.concatenate([choice.near_low for choice in choices]),
            near_high=np.concatenate([choice.near_high for choice in choices]),
            far=np.concatenate([choice.far for choice in choices]),
            optional=np.concatenate([choice.optional for choice in choices]),
            cost=np.array([choice.cost for choice in choices]),
        )

    def least_grams(self, slot: int, pick: int) -> Floats:
        """
        Least a dish takes of each food: its required lines at their low ends [g].

        Parameters
        ----------
        slot : int
            Which meal.
        pick : int
            Which of its dishes.
        """
        cached = self._least.get((slot, pick))
        if cached is None:
            choice = self.offers[slot][pick]
            cached = np.zeros(len(self.food_ceiling_g))
            np.add.at(cached, choice.foods, np.where(choice.optional, 0.0, choice.low - 1e-9))
            self._least[slot, pick] = cached
        return cached

    @cached_property
    def _least(self) -> dict[tuple[int, int], Floats]:
        return {}

    @cached_property
    def has_family(self) -> tuple[Floats, ...]:
        """For each meal (dishes, families), 1 where the dish is of the family."""
        names = sorted({f for offer in self.offers for choice in offer for f in choice.families})
        return tuple(
            np.array([[float(f in choice.families) for f in names] for choice in offer])
            for offer in self.offers
        )

    def totals(self, picks: Sequence[int], grams: Sequence[Floats]) -> Floats:
        """
        Add a day up, row by row.

        Parameters
        ----------
        picks : sequence of int
            Chosen dish of each meal, as an index into its offers.
        grams : sequence of array
            Grams of each line of each chosen dish. [g]

        Returns
        -------
        array (rows,)
            Amounts without what is already there.
        """
        total = np.zeros(len(self.rows))
        for slot, (pick, amount) in enumerate(zip(picks, grams, strict=True)):
            table = self.tables[slot]
            total += amount @ table.per_gram[table.lines_of(pick)]
        return total

    def miss(self, totals: Floats) -> Floats:
        """
        Price each row's miss.

        Parameters
        ----------
        totals : array (..., rows)
            As :meth:`totals` gives them. [row unit]

        Returns
        -------
        array (..., rows)
            Price of what is below the floor or above the ceiling.
        """
        below = np.maximum(self.low - totals, 0.0) * self.price_low
        above = np.maximum(totals - self.high, 0.0) * self.price_high
        return below + above

    def cost(self, picks: Sequence[int], grams: Sequence[Floats]) -> float:
        """
        Price serving some dishes in some amounts, nutrients aside.

        Parameters
        ----------
        picks : sequence of int
            Chosen dish of each meal.
        grams : sequence of array (lines,)
            Its amounts. [g]

        Returns
        -------
        float
            [objective]
        """
        price = 0.0
        for slot, (pick, amount) in enumerate(zip(picks, grams, strict=True)):
            choice = self.offers[slot][pick]
            price += choice.cost + choice.away(amount)
        return price + self.between(picks)

    def between(self, picks: Sequence[int]) -> float:
        """
        Price what the day's meals are together: what they share, and minutes beyond the day's.

        It is never negative, so leaving it out of a relaxation keeps a lower bound valid.

        Parameters
        ----------
        picks : sequence of int
            Chosen dish of each meal.

        Returns
        -------
        float
        """
        over = self.overtime(picks)
        if not self.family_price:
            return over
        shared = 0
        seen: dict[str, int] = {}
        for slot, pick in enumerate(picks):
            for family in self.offers[slot][pick].families:
                shared += seen.get(family, 0)
                seen[family] = seen.get(family, 0) + 1
        return over + self.family_price * shared

    def overtime(self, picks: Sequence[int]) -> float:
        """
        Price the minutes beyond what the day's cook has.

        Parameters
        ----------
        picks : sequence of int
            Chosen dish of each meal.

        Returns
        -------
        float
        """
        if self.minutes_most is None:
            return 0.0
        spent = sum(self.offers[slot][pick].minutes for slot, pick in enumerate(picks))
        return self.minute_price * max(0.0, spent - self.minutes_most)

    def objective(self, picks: Sequence[int], grams: Sequence[Floats]) -> float:
        """
        Price everything: misses and serving.

        Parameters
        ----------
        picks : sequence of int
            Chosen dish of each meal.
        grams : sequence of array (lines,)
            Its amounts. [g]

        Returns
        -------
        float
            [objective]
        """
        return float(self.miss(self.totals(picks, grams)).sum()) + self.cost(picks, grams)
