"""
Choose what to buy before choosing what to cook: few things from which a week can be met.

One day stands for the week: its rows hold the week's means, its meals are blends of dishes, and a
dish may fill only so large a part of them. What that blend costs when only some things may be
bought is a linear programme, solved by column generation and kept warm. A thing is made dearer the
less it is used, round after round, until the blend keeps to few [1]_; then a few are done without
at a time and the blend is concentrated anew, and what scores better stays (a large-neighbourhood
search). The blend of everything bounds what any larder can reach.

References
----------
.. [1] E. J. Candès, M. B. Wakin, S. P. Boyd, Journal of Fourier Analysis and Applications 14, 2008,
   877-905, doi:10.1007/s00041-008-9045-x: enhancing sparsity by reweighted minimisation.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from mealplan.lp.column_bound import best_portions
from mealplan.lp.daymodel import DayModel, Floats
from mealplan.lp.warm_start import HotLP

Bools = NDArray[np.bool_]

EMPTY_MEAL = 40.0
"""Price of a whole meal that nothing can fill: above every miss of a vitamin."""
ROUNDS = 12
"""Rounds of column generation at most, for one question."""
GAP = 2e-3
"""A blend this near its bound is taken, relative to 1 + value."""
CONCENTRATE = 5
"""Rounds in which little used things are made dearer."""
DEAR = 0.03
"""Price of a thing used wholly while concentrating [score]."""
LITTLE = 0.05
"""Part of a day's meals below which a thing is little used [meals/day]."""
USED = 1e-6
"""A thing used less than this is not used [meals/day]."""
STARTS = 4
"""Sets of things from which the search begins."""
NEAR_DISHES = 24
"""Dishes of a meal that go on from each start: those a concentrated blend minds least."""
TRIES = 24
"""Times a few things are done without."""
MOST_GONE = 5
"""Things done without at once, at most."""
OTHERS = 0.25
"""How much use things not chosen yet are thought to have, at most [meals/day]."""
ROUNDS_AGAIN = 2
"""Rounds of concentrating after things were taken away."""
OVER_LIMIT = 0.1
"""Price of each thing beyond what the household wants [score]."""


@dataclass(frozen=True)
class ThingPool:
    """Things that can be bought, and which of them each dish takes."""

    needs: tuple[Bools, ...]
    """For each meal (dishes, things): what a dish cannot do without."""
    thing_of_line: tuple[NDArray[np.int64], ...]
    """For each meal, the thing each line is bought as; -1 for what is there anyway."""
    group: NDArray[np.int64]
    """(things,) which limit a thing counts toward."""
    dish_most: Mapping[str, float]
    """Largest part of a day's meals each dish may fill, by key. [meals/day]"""
    wanted: tuple[Floats, ...]
    """For each meal (dishes, likings), 1 where a dish counts toward what is wanted often."""
    wanted_least: Floats = field(default_factory=lambda: np.zeros(0))
    """(likings,) meals of each there should be. [meals/day]"""
    wanted_price: float = 0.0
    """Price of a whole meal of one that is missing. [score]"""


class LarderLP:
    """
    The blended day when only some things may be bought.

    Parameters
    ----------
    model : DayModel
        A day that stands for the week.
    pool : ThingPool
        Its things.
    """

    def __init__(self, model: DayModel, pool: ThingPool) -> None:
        self._model, self._pool = model, pool
        self._rows, self._slots = len(model.rows), len(model.slots)
        dishes = sorted({choice.dish for offer in model.offers for choice in offer})
        at = {dish: place for place, dish in enumerate(dishes)}
        self._dish = [np.array([at[choice.dish] for choice in offer]) for offer in model.offers]
        first = self._rows + self._slots
        likings = len(pool.wanted_least)
        self._width = first + len(dishes) + 1 + likings
        self._minute = self._width - likings - 1
        self._wanted = slice(self._width - likings, self._width)
        self._minutes = [np.array([c.minutes for c in offer]) for offer in model.offers]
        minutes_most = np.inf if model.minutes_most is None else model.minutes_most
        self.lp = HotLP()
        none = np.full(len(dishes), -np.inf)
        one = np.ones(self._slots)
        self.lp.add_rows(
            np.concatenate([model.low, one, none, [-np.inf], pool.wanted_least]),
            np.concatenate(
                [
                    model.high,
                    one,
                    [pool.dish_most[dish] for dish in dishes],
                    [minutes_most],
                    np.full(likings, np.inf),
                ]
            ),
        )
        minutes, wanted = np.array([self._minute]), np.arange(self._width)[self._wanted]
        self.lp.add_unit_columns(np.array([model.minute_price]), minutes, -1.0)
        self.lp.add_unit_columns(np.full(likings, pool.wanted_price), wanted, 1.0)
        below = np.flatnonzero(np.isfinite(model.low))
        above = np.flatnonzero(np.isfinite(model.high))
        self.lp.add_unit_columns(model.price_low[below], below, 1.0)
        self.lp.add_unit_columns(model.price_high[above], above, -1.0)
        self.lp.add_unit_columns(
            np.full(self._slots, EMPTY_MEAL), self._rows + np.arange(self._slots), 1.0
        )
        self._first = self.lp.columns
        self._count = 0
        self._things = len(pool.group)
        self._needs = tuple(needs.astype(float) for needs in pool.needs)
        widest = max(len(c.foods) for offer in model.offers for c in offer)
        # Things of each column by number; the place beyond the last thing stands for none.
        self._uses = np.full((1024, widest), self._things, dtype=np.int64)
        self._cost = np.zeros(1024)
        self._open = np.ones(1024, dtype=bool)
        for slot, table in enumerate(model.tables):
            for choice in range(len(table.choices)):
                lines = table.lines_of(choice)
                grams = np.where(table.optional[lines], 0.0, table.typical[lines])
                self._add(slot, choice, grams)

    def _add(self, slot: int, choice: int, grams: Floats) -> None:
        table, pool = self._model.tables[slot], self._pool
        lines = table.lines_of(choice)
        values = np.zeros(self._width)
        values[: self._rows] = grams @ table.per_gram[lines]
        values[self._rows + slot] = 1.0
        values[self._rows + self._slots + self._dish[slot][choice]] = 1.0
        if self._model.minutes_most is not None:
            values[self._minute] = self._minutes[slot][choice]
        values[self._wanted] = pool.wanted[slot][choice]
        cost = float(table.cost[choice]) + table.choices[choice].away(grams)
        self.lp.add_column(cost, values)
        if self._count == len(self._cost):
            self._uses = np.concatenate([self._uses, np.full_like(self._uses, self._things)])
            self._cost = np.concatenate([self._cost, np.zeros_like(self._cost)])
            self._open = np.concatenate([self._open, np.ones_like(self._open)])
        things = np.unique(pool.thing_of_line[slot][lines][grams > 0])
        things = things[things >= 0]
        self._uses[self._count, : len(things)] = things
        self._cost[self._count] = cost
        self._count += 1

    def _price(self, extra: Floats) -> None:
        """Make columns dearer by what they use."""
        count = self._count
        cost = self._cost[:count] + np.append(extra, 0.0)[self._uses[:count]].sum(axis=1)
        self.lp.set_costs(np.arange(self._first, self._first + count), cost)

    def _shut(self, allowed: Bools) -> None:
        """Shut the columns that need what is not allowed."""
        count = self._count
        wanted: Bools = np.asarray(np.append(allowed, True)[self._uses[:count]].all(axis=1))
        now = self._open[:count]
        changed = np.flatnonzero(wanted != now)
        if len(changed):
            self.lp.set_upper(self._first + changed, np.where(wanted[changed], np.inf, 0.0))
            self._open[:count] = wanted

    def value(
        self, allowed: Bools, extra: Floats | None = None, *, rounds: int = ROUNDS
    ) -> tuple[float, float, Floats]:
        """
        Blend the best day from what is allowed.

        Parameters
        ----------
        allowed : array of bool (things,)
        extra : array (things,), optional
            Price of using each thing once.
        rounds : int
            Rounds of column generation at most.

        Returns
        -------
        value : float
            What the blend costs.
        bound : float
            No blend costs less.
        used : array (things,)
            Meals a day that use each thing.
        """
        dear = np.zeros(len(allowed)) if extra is None else extra
        self._shut(allowed)
        self._price(dear)
        bound = -np.inf
        value = np.inf
        first_dish = self._rows + self._slots
        for _ in range(rounds):
            value, dual = self.lp.solve()
            price, convexity = dual[: self._rows], dual[self._rows : first_dish]
            low = value
            self.reduced: list[Floats] = []
            fresh: list[tuple[int, int, Floats]] = []
            for slot, table in enumerate(self._model.tables):
                things = self._pool.thing_of_line[slot]
                banned = (things >= 0) & ~allowed[things]
                serving = np.where(banned, 1e6, np.where(things >= 0, dear[things], 0.0))
                serving = np.where(table.optional, serving, 0.0)
                grams, cost = best_portions(table, price, serving)
                reduced = cost - convexity[slot] - dual[first_dish + self._dish[slot]]
                reduced -= dual[self._minute] * self._minutes[slot]
                reduced -= self._pool.wanted[slot] @ dual[self._wanted]
                reduced = reduced + self._needs[slot] @ dear
                reduced[self._needs[slot] @ (~allowed) > 0] = np.inf
                low += min(0.0, float(reduced.min(initial=0.0)))
                self.reduced.append(reduced)
                fresh += [
                    (slot, int(pick), grams[table.lines_of(int(pick))])
                    for pick in np.argsort(reduced, kind="stable")[:6]
                    if reduced[pick] < -1e-9
                ]
            bound = max(bound, low)
            if value - bound <= GAP * (1 + abs(value)) or not fresh:
                break
            for slot, pick, amount in fresh:
                self._add(slot, pick, amount)
            self._price(dear)
        amounts = self.lp.values()[self._first :]
        used = np.zeros(self._things + 1)
        np.add.at(used, self._uses[: len(amounts)], amounts[:, None])
        return value, bound, used[:-1]


@dataclass(frozen=True)
class LarderFound:
    """Things to buy, and how good a week they could make."""

    things: Bools
    value: float
    """What a blend from these things costs."""
    bound: float
    """What a blend costs when everything may be bought; no larder can do better."""


@dataclass(frozen=True)
class _State:
    """A set of things with its score."""

    things: Bools
    value: float
    score: float
    used: Floats


class _Chooser:
    """Looks for a set of things that scores little: its blend, and a price for each thing."""

    def __init__(
        self, lp: LarderLP, pool: ThingPool, most: Mapping[int, int], price: Floats
    ) -> None:
        self._lp, self._pool, self._most, self._price = lp, pool, most, price
        self._dear = DEAR * price / price.min() if len(price) else price
        self._every = np.ones(len(pool.group), dtype=bool)

    def state(self, used: Floats) -> _State:
        """Score what a blend uses, and drop what it can do without at no loss."""
        value, _, used = self._lp.value(used > USED)
        kept = used > USED
        count = np.bincount(self._pool.group[kept], minlength=len(self._most))
        over = sum(max(0, int(count[group]) - limit) for group, limit in self._most.items())
        score = value + float(self._price[kept].sum()) + OVER_LIMIT * over
        return _State(kept, value, score, used)

    def concentrated(self, allowed: Bools, used: Floats, noise: Floats, rounds: int) -> Floats:
        """Blend from few things: what is used little becomes dearer, round after round."""
        for _ in range(rounds):
            dear = noise * self._dear / (used + LITTLE)
            _, _, used = self._lp.value(allowed, dear, rounds=4)
        return used

    def better(self, state: _State, rng: np.random.Generator, tries: int) -> _State:
        """Do without a few things and concentrate anew, again and again; keep what scores less."""
        size = len(self._every)
        for _ in range(tries):
            inside = np.flatnonzero(state.things)
            if not len(inside):  # all that is needed is at home
                break
            odds = 1.0 / (state.used[inside] + LITTLE)
            number = min(int(rng.integers(1, MOST_GONE + 1)), len(inside) - 1)
            gone = rng.choice(inside, size=number, replace=False, p=odds / odds.sum())
            allowed = self._every.copy()
            allowed[gone] = False
            # What is there already is cheap; of the rest, each try prefers other things.
            known = np.where(state.things, np.maximum(state.used, 0.5), 0.0)
            known += rng.uniform(0.0, OTHERS, size) * ~state.things
            used = self.concentrated(allowed, known, np.ones(size), ROUNDS_AGAIN)
            trial = self.state(used)
            if trial.score < state.score - 1e-9:
                state = trial
        return state


def choose_larder(
    model: DayModel, pool: ThingPool, most: Mapping[int, int], price: Floats, *, seed: int = 1
) -> LarderFound:
    """
    Choose few things from which a week can be met.

    Parameters
    ----------
    model : DayModel
        A day that stands for the week.
    pool : ThingPool
        What can be bought.
    most : mapping of int to int
        Most things of each group.
    price : array (things,)
        What each thing costs. [score]
    seed : int
        Same seed, same larder.

    Returns
    -------
    Larder
    """
    lp = LarderLP(model, pool)
    chooser = _Chooser(lp, pool, most, price)
    every = np.ones(len(pool.group), dtype=bool)
    _, free, used = lp.value(every)
    rng = np.random.default_rng(seed)
    near: list[set[int]] = [set() for _ in model.offers]
    guesses = []
    for start in range(STARTS):
        noise = np.exp(rng.normal(0.0, 0.7, len(every))) if start else np.ones(len(every))
        guesses.append(chooser.concentrated(every, used, noise, CONCENTRATE))
        for kept, reduced in zip(near, lp.reduced, strict=True):
            kept |= set(np.argsort(reduced, kind="stable")[:NEAR_DISHES].tolist())
    chooser = _Chooser(LarderLP(*_narrowed(model, pool, near)), pool, most, price)
    state = min((chooser.state(guess) for guess in guesses), key=lambda one: one.score)
    state = chooser.better(state, rng, TRIES)
    return LarderFound(state.things, state.value, free)


def _narrowed(
    model: DayModel, pool: ThingPool, near: Sequence[Collection[int]]
) -> tuple[DayModel, ThingPool]:
    """Go on with some dishes of each meal."""
    places = [sorted(kept) for kept in near]
    lines = [
        np.concatenate([np.arange(len(of_line))[table.lines_of(place)] for place in kept])
        for kept, table, of_line in zip(places, model.tables, pool.thing_of_line, strict=True)
    ]
    narrow = replace(
        model,
        offers=tuple(
            tuple(offer[place] for place in kept)
            for offer, kept in zip(model.offers, places, strict=True)
        ),
    )
    return narrow, replace(
        pool,
        needs=tuple(needs[kept] for needs, kept in zip(pool.needs, places, strict=True)),
        wanted=tuple(wanted[kept] for wanted, kept in zip(pool.wanted, places, strict=True)),
        thing_of_line=tuple(
            of_line[kept] for of_line, kept in zip(pool.thing_of_line, lines, strict=True)
        ),
    )
