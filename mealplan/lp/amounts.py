"""
Amounts for chosen dishes: first the continuous optimum, then whole kitchen measures.

The continuous programme is kept warm while dishes are swapped in and out. Its answer is rounded to
kitchen measures and mended by exchange moves, one or two lines at a time, each judged by the very
objective the plan is judged by, so rounding never quietly breaks energy or a floor.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from mealplan.lp.daymodel import Choice, DayModel, Floats, Ints
from mealplan.lp.warm_start import HotLP
from mealplan.rules.weights import weight

Grams = tuple[Floats, ...]
"""One array a meal: grams of each line of its dish."""

UNSERVABLE = 1e6
"""Added to the objective of dishes that cannot be served together, so that any others win."""

PARTS = 4
"""Pieces of a line's price: far below, near below, near above and far above the typical amount."""

PRICE_OVER_CEILING = weight("over_food_ceiling")
"""Each gram of a food beyond its daily ceiling: dear enough that other dishes are chosen."""


def _may_exceed(model: DayModel) -> NDArray[np.int64]:
    """Name the foods of which two meals together could serve more than a day allows."""
    most = np.zeros(len(model.food_ceiling_g))
    meals = np.zeros(len(model.food_ceiling_g))
    for offer in model.offers:
        here = np.zeros(len(most))
        for choice in offer:
            here[choice.foods] = np.maximum(here[choice.foods], choice.high)
        most += here
        meals += here > 0
    return np.flatnonzero((meals > 1) & (most > model.food_ceiling_g + 1e-9))


class AmountsLP:
    """
    The best continuous amounts of a day whose dishes are fixed, re-solved warm after each swap.

    Parameters
    ----------
    model : DayModel
        The day.
    """

    def __init__(self, model: DayModel) -> None:
        self._model = model
        rows = len(model.rows)
        self._ratio_rows = [
            2 * max((len(choice.ratios) for choice in offer), default=0) for offer in model.offers
        ]
        ratios = sum(self._ratio_rows)
        self._ratio_start = np.concatenate([[0], np.cumsum(self._ratio_rows)]) + rows
        shared = _may_exceed(model)
        self._ceiling_row = np.full(len(model.food_ceiling_g), -1)
        self._ceiling_row[shared] = rows + ratios + np.arange(len(shared))
        limit_rows = [max((len(one.limits) for one in offer), default=0) for offer in model.offers]
        limits = sum(limit_rows)
        first_limit = rows + ratios + len(shared)
        self._limit_start = np.concatenate([[0], np.cumsum(limit_rows)]) + first_limit
        extra = ratios + len(shared) + limits
        self._lp = HotLP()
        self._lp.add_rows(
            np.concatenate([model.low, np.full(extra, -np.inf)]),
            np.concatenate(
                [model.high, np.zeros(ratios), model.food_ceiling_g[shared], np.ones(limits)]
            ),
        )
        below = np.flatnonzero(np.isfinite(model.low))
        above = np.flatnonzero(np.isfinite(model.high))
        self._lp.add_unit_columns(model.price_low[below], below, 1.0)
        self._lp.add_unit_columns(model.price_high[above], above, -1.0)
        self._lp.add_unit_columns(
            np.full(len(shared), PRICE_OVER_CEILING), self._ceiling_row[shared], -1.0
        )
        self._fixed = self._lp.columns
        self._width = rows + extra
        self._order: list[int] = []
        self._constant: dict[int, float] = {}
        self._picks: dict[int, int] = {}
        self._line: dict[int, Ints] = {}
        """Which line of its dish each column of a meal belongs to."""

    def _columns(self, slot: int, pick: int) -> tuple[Floats, Floats, Floats, Floats, float]:
        table = self._model.tables[slot]
        choice = table.choices[pick]
        lines = len(choice.foods)
        values = np.zeros((lines, self._width))
        values[:, : len(self._model.rows)] = table.per_gram[table.lines_of(pick)]
        row = int(self._ratio_start[slot])
        for first, second, low, high in choice.ratios:
            values[first, row] += 1.0
            values[second, row] -= high
            values[first, row + 1] -= 1.0
            values[second, row + 1] += low
            row += 2
        for row, (inside, together_g) in enumerate(choice.limits, int(self._limit_start[slot])):
            values[list(inside), row] = 1.0 / together_g
        ceiling = self._ceiling_row[choice.foods]
        capped = np.flatnonzero(ceiling >= 0)
        values[capped, ceiling[capped]] = 1.0
        # Each line in parts: up to what is near the typical amount, up to it, near above, beyond.
        least, most, none = choice.near_low, choice.near_high, np.zeros(lines)
        far, must = choice.deviation + choice.far, ~choice.optional
        cost = np.concatenate([-far * must, -choice.deviation * must, choice.deviation, far])
        low_bound = np.concatenate([choice.low * must, none, none, none])
        high_bound = np.concatenate(
            [least, choice.typical - least, most - choice.typical, choice.high - most]
        )
        line = np.tile(np.arange(lines), PARTS)
        used = (high_bound > 1e-9) | (np.arange(PARTS * lines) < lines)
        constant = choice.cost + float(
            (choice.deviation * choice.typical + choice.far * least) @ must
        )
        self._line[slot] = line[used]
        return cost[used], low_bound[used], high_bound[used], values[line[used]], constant

    def put(self, slot: int, pick: int) -> None:
        """
        Serve this dish at this meal instead of what was there.

        Parameters
        ----------
        slot : int
            Which meal.
        pick : int
            Which of its dishes.
        """
        if self._picks.get(slot) == pick:
            return
        if slot in self._picks:
            first = self._fixed
            for other in self._order:
                size = len(self._line[other])
                if other == slot:
                    self._lp.drop_columns(first, first + size)
                    break
                first += size
            self._order.remove(slot)
        cost, low, high, values, constant = self._columns(slot, pick)
        self._lp.add_columns(cost, low, high, values)
        self._order.append(slot)
        self._constant[slot] = constant
        self._picks[slot] = pick

    def solve(self) -> tuple[float, Floats]:
        """
        Find the best amounts of the dishes put so far.

        Returns
        -------
        value : float
            Objective of the day, misses and serving together.
        price : array (rows,)
            Dual price of each row.
        """
        value, dual = self._lp.solve()
        return value + sum(self._constant.values()), dual[: len(self._model.rows)]

    def shares(self) -> Floats:
        """
        Split the last solve's value over the meals, at the prices it ended with.

        A dish that costs more than its meal's share at these prices cannot better the day in its
        place: the prices prove it.

        Returns
        -------
        array (slots,)
            What each meal costs, less the worth of its nutrients.
        """
        worth = self._lp.values() * self._lp.reduced_costs()
        result = np.zeros(len(self._model.slots))
        first = self._fixed
        for slot in self._order:
            last = first + len(self._line[slot])
            result[slot] = worth[first:last].sum() + self._constant[slot]
            first = last
        return result

    def grams(self) -> Grams:
        """Grams of each line of each meal, from the last solve."""
        values = self._lp.values()
        result: dict[int, Floats] = {}
        first = self._fixed
        for slot in self._order:
            line = self._line[slot]
            part = values[first : first + len(line)]
            result[slot] = np.bincount(line, weights=part).astype(np.float64)
            first += len(line)
        return tuple(result[slot] for slot in range(len(self._model.slots)))


def to_grid(choice: Choice, grams: Floats) -> Floats:
    """
    Round amounts of one dish to kitchen measures inside its ranges.

    Parameters
    ----------
    choice : Choice
        The dish.
    grams : array (lines,)
        Continuous amounts. [g]

    Returns
    -------
    array (lines,)
        Whole steps; an optional line below half its least amount becomes nothing. [g]
    """
    rounded = np.clip(np.round(grams / choice.step) * choice.step, choice.low, choice.high)
    return np.where(choice.optional & (grams < 0.5 * choice.low), 0.0, rounded)


@dataclass(frozen=True)
class _Lines:
    """All lines of the chosen dishes, end to end."""

    per_gram: Floats
    low: Floats
    typical: Floats
    high: Floats
    step: Floats
    optional: NDArray[np.bool_]
    deviation: Floats
    near: Floats
    far: Floats
    foods: Ints
    ratios: tuple[tuple[int, int, float, float], ...]
    limits: Floats
    """(limits, lines), part of each limit that a gram takes. [1/g]"""


def _flatten(model: DayModel, picks: tuple[int, ...]) -> _Lines:
    choices = [model.offers[slot][pick] for slot, pick in enumerate(picks)]
    ratios = []
    limits = []
    first = 0
    width = sum(len(choice.foods) for choice in choices)
    for choice in choices:
        for inside, most in choice.limits:
            taken = np.zeros(width)
            taken[[first + line for line in inside]] = 1.0 / most
            limits.append(taken)
        ratios += [(a + first, b + first, low, high) for a, b, low, high in choice.ratios]
        first += len(choice.foods)
    return _Lines(
        per_gram=np.concatenate(
            [model.tables[s].per_gram[model.tables[s].lines_of(p)] for s, p in enumerate(picks)]
        ),
        low=np.concatenate([choice.low for choice in choices]),
        typical=np.concatenate([choice.typical for choice in choices]),
        high=np.concatenate([choice.high for choice in choices]),
        step=np.concatenate([choice.step for choice in choices]),
        optional=np.concatenate([choice.optional for choice in choices]),
        deviation=np.concatenate([choice.deviation for choice in choices]),
        near=np.concatenate([choice.near for choice in choices]),
        far=np.concatenate([choice.far for choice in choices]),
        foods=np.concatenate([choice.foods for choice in choices]),
        ratios=tuple(ratios),
        limits=np.array(limits).reshape(-1, width),
    )


def _serving_cost(lines: _Lines, grams: Floats) -> Floats:
    off = np.abs(grams - lines.typical)
    away = off * lines.deviation + np.maximum(off - lines.near, 0.0) * lines.far
    return np.where(lines.optional & (grams == 0), 0.0, away)


def _moves(lines: _Lines, grams: Floats, ceiling: Floats) -> tuple[np.ndarray, Floats]:
    """List every single exchange: which line, and its new grams."""
    eps = 1e-9
    up = grams + lines.step
    up = np.where(lines.optional & (grams == 0), lines.low, up)
    down = grams - lines.step
    down = np.where(lines.optional & (down < lines.low - eps), 0.0, down)
    up2 = grams + 3 * lines.step
    down2 = grams - 3 * lines.step
    index = np.arange(len(grams))
    which = np.concatenate([index, index, index, index, index])
    target = np.concatenate([up, down, up2, down2, np.where(lines.optional, lines.typical, -1.0)])
    current = grams[which]
    least = np.where(lines.optional, 0.0, lines.low)[which]
    inside = (target >= least - eps) & (target <= lines.high[which] + eps)
    inside &= (target >= lines.low[which] - eps) | (target == 0.0)
    inside &= np.abs(target - current) > eps
    used = np.zeros(len(ceiling))
    np.add.at(used, lines.foods, grams)
    food = lines.foods[which]
    inside &= (used[food] + target - current <= ceiling[food] + eps) | (target < current)
    held = (lines.limits @ grams)[:, None] + lines.limits[:, which] * (target - current)
    inside &= (held <= 1 + 1e-6).all(axis=0) | (target < current)
    for first, second, low, high in lines.ratios:
        for line in (first, second):
            for move in np.flatnonzero(inside & (which == line)):
                a = target[move] if line == first else grams[first]
                b = target[move] if line == second else grams[second]
                if not low * b - 1e-6 <= a <= high * b + 1e-6:
                    inside[move] = False
    return which[inside], target[inside]


def polish(
    model: DayModel, picks: tuple[int, ...], grams: Grams, *, most_rounds: int = 60
) -> tuple[Grams, float]:
    """
    Bring amounts to whole kitchen measures and improve them by exchanges.

    Parameters
    ----------
    model : DayModel
        The day.
    picks : tuple of int
        Chosen dish of each meal.
    grams : tuple of array
        Starting amounts, any values inside the ranges. [g]
    most_rounds : int
        Most exchanges before stopping.

    Returns
    -------
    grams : tuple of array
        Whole steps. [g]
    objective : float
        The day's objective at these amounts; above :data:`UNSERVABLE` when no amounts of these
        dishes keep both ratios and daily ceilings.
    """
    lines = _flatten(model, picks)
    now = np.concatenate(
        [to_grid(model.offers[slot][pick], grams[slot]) for slot, pick in enumerate(picks)]
    )
    _mend_ratios(lines, now)
    _mend_limits(lines, now)
    _mend_ceilings(lines, now, model.food_ceiling_g)
    broken = _broken(lines, now, model.food_ceiling_g)
    if broken:
        broken = _mend_both(lines, now, model.food_ceiling_g, broken)
    totals = now @ lines.per_gram
    serving = _serving_cost(lines, now)
    score = float(model.miss(totals).sum() + serving.sum())
    for _ in range(most_rounds):
        which, target = _moves(lines, now, model.food_ceiling_g)
        if not len(which):
            break
        change = target - now[which]
        shift = change[:, None] * lines.per_gram[which]
        extra = _serving_at(lines, which, target) - serving[which]
        single = model.miss(totals + shift).sum(axis=1) + extra
        best = int(single.argmin())
        gain = single[best] + serving.sum() - score
        if gain < -1e-9:
            moves = [best]
        else:
            enough = score - serving.sum() - 1e-9
            pairs = _best_pairs(model, totals, shift, extra, which, single, enough)
            ceiling = model.food_ceiling_g
            moves = next(
                (
                    pair
                    for pair in pairs
                    if _allowed_together(lines, now, which, target, pair, ceiling)
                ),
                [],
            )
            if not moves:
                break
        for move in moves:
            now[which[move]] = target[move]
        totals = now @ lines.per_gram
        serving = _serving_cost(lines, now)
        score = float(model.miss(totals).sum() + serving.sum())
    sizes = [len(model.offers[slot][pick].foods) for slot, pick in enumerate(picks)]
    split = tuple(np.split(now, np.cumsum(sizes)[:-1]))
    fixed = sum(model.offers[slot][pick].cost for slot, pick in enumerate(picks))
    return split, score + fixed + model.between(picks) + (UNSERVABLE + broken if broken else 0.0)


def _serving_at(lines: _Lines, which: np.ndarray, target: Floats) -> Floats:
    off = np.abs(target - lines.typical[which])
    away = off * lines.deviation[which] + np.maximum(off - lines.near[which], 0) * lines.far[which]
    return np.where(lines.optional[which] & (target == 0), 0.0, away)


def _best_pairs(
    model: DayModel,
    totals: Floats,
    shift: Floats,
    extra: Floats,
    which: np.ndarray,
    single: Floats,
    enough: float,
) -> list[list[int]]:
    """Rank two exchanges of different lines, among the most promising singles, if below enough."""
    keep = np.argsort(single, kind="stable")[:48]
    first, second = np.triu_indices(len(keep), 1)
    a, b = keep[first], keep[second]
    different = which[a] != which[b]
    a, b = a[different], b[different]
    value = model.miss(totals + shift[a] + shift[b]).sum(axis=1) + extra[a] + extra[b]
    better = np.flatnonzero(value < enough)
    best = better[np.argsort(value[better], kind="stable")]
    return [[int(a[place]), int(b[place])] for place in best[:20]]


def _allowed_together(
    lines: _Lines, now: Floats, which: np.ndarray, target: Floats, moves: list[int], ceiling: Floats
) -> bool:
    trial = now.copy()
    for move in moves:
        trial[which[move]] = target[move]
    used = np.zeros(len(ceiling))
    np.add.at(used, lines.foods, trial)
    before = np.zeros(len(ceiling))
    np.add.at(before, lines.foods, now)
    if ((used > ceiling + 1e-9) & (used > before)).any():
        return False
    if (lines.limits @ trial > np.maximum(1.0, lines.limits @ now) + 1e-6).any():
        return False
    return all(
        low * trial[b] - 1e-6 <= trial[a] <= high * trial[b] + 1e-6
        for a, b, low, high in lines.ratios
    )


def _mend_ratios(lines: _Lines, now: Floats) -> None:
    """Fall back to the typical amounts of two lines whose rounded ratio no longer cooks."""
    for first, second, low, high in lines.ratios:
        if not low * now[second] - 1e-6 <= now[first] <= high * now[second] + 1e-6:
            now[first] = lines.typical[first]
            now[second] = lines.typical[second]


def _mend_limits(lines: _Lines, now: Floats) -> None:
    """Step the lines of a limit down, add-ons first, until what holds them does."""
    for limit in lines.limits:
        inside = np.flatnonzero(limit)
        for line in sorted(inside, key=lambda line: (not lines.optional[line], -now[line])):
            while limit @ now > 1 + 1e-6 and now[line] > 0:
                lower = now[line] - lines.step[line]
                if lower < lines.low[line] - 1e-9:
                    if not lines.optional[line]:
                        break
                    lower = 0.0
                now[line] = lower


def _mend_ceilings(lines: _Lines, now: Floats, ceiling: Floats) -> None:
    """Take a food that two meals share back under its daily ceiling, the later meal first."""
    used = np.zeros(len(ceiling))
    np.add.at(used, lines.foods, now)
    for food in np.flatnonzero(used > ceiling + 1e-9):
        for line in np.flatnonzero(lines.foods == food)[::-1]:
            while used[food] > ceiling[food] + 1e-9:
                lower = now[line] - lines.step[line]
                if lower < lines.low[line] - 1e-9:
                    if not lines.optional[line] or now[line] == 0:
                        break
                    lower = 0.0
                used[food] -= now[line] - lower
                now[line] = lower


def _broken(lines: _Lines, now: Floats, ceiling: Floats) -> float:
    """Add up by how many grams ceilings and ratios are broken, and limits by hundredths."""
    used = np.zeros(len(ceiling))
    np.add.at(used, lines.foods, now)
    over = used - ceiling
    total = float(over[over > 1e-6].sum())
    full = lines.limits @ now - 1
    total += 100 * float(full[full > 1e-6].sum())
    for first, second, low, high in lines.ratios:
        breach = max(low * now[second] - now[first], now[first] - high * now[second])
        total += breach if breach > 1e-6 else 0.0
    return total


def _mend_both(lines: _Lines, now: Floats, ceiling: Floats, broken: float) -> float:
    """Step one or two lines at a time to wherever least is broken; give what stays broken."""
    involved = np.zeros(len(now), dtype=bool)
    used = np.zeros(len(ceiling))
    np.add.at(used, lines.foods, now)
    involved |= (used > ceiling + 1e-6)[lines.foods]
    for first, second, _, _ in lines.ratios:
        involved[[first, second]] = True
    involved |= (lines.limits[lines.limits @ now > 1 + 1e-6] > 0).any(axis=0)
    grids = {int(line): _grid_of(lines, int(line)) for line in np.flatnonzero(involved)}
    singles = [((line, grams),) for line, grid in grids.items() for grams in grid]
    pairs = [
        ((a, at_a), (b, at_b))
        for a, b, _, _ in lines.ratios
        for at_a in grids[a]
        for at_b in grids[b]
    ]
    while broken:
        best, step = broken, None
        for moves in (*singles, *pairs):
            trial = now.copy()
            for line, grams in moves:
                trial[line] = grams
            left = _broken(lines, trial, ceiling)
            if left < best - 1e-9:
                best, step = left, moves
        if step is None:
            break
        for line, grams in step:
            now[line] = grams
        broken = best
    return broken


def _grid_of(lines: _Lines, line: int) -> list[float]:
    """Every amount a line may have, in whole steps, and nothing when it may be left out."""
    step = float(lines.step[line])
    amounts = np.arange(lines.low[line], lines.high[line] + step / 2, step)
    return [*([0.0] if lines.optional[line] else []), *(float(grams) for grams in amounts)]
