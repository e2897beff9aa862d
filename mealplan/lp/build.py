"""
The day as one mixed-integer problem, for the exact answer and as the reference for the fast search.

One whole-number choice a dish and meal, grams tied to it, a shortfall and an excess a priced row.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from mealplan.lp.amounts import Grams
from mealplan.lp.daymodel import DayModel
from mealplan.lp.problem import LinearRow, Outcome, Problem, Solution, Variable
from mealplan.lp.solver import solve


def build_day(
    model: DayModel,
    *,
    whole_steps: bool = True,
    offers: Sequence[Sequence[int]] | None = None,
    relaxed: bool = False,
) -> Problem:
    """
    Write a day out as a problem.

    Parameters
    ----------
    model : DayModel
        The day.
    whole_steps : bool
        True for whole kitchen measures, False for any amount in the ranges.
    offers : sequence of sequences of int, optional
        For each meal, the dishes to keep; all when left out.
    relaxed : bool
        True lets meals blend dishes: the problem's linear relaxation.

    Returns
    -------
    Problem
        Its optimum is the best day.
    """
    writer = _Writer(model, whole_steps=whole_steps, relaxed=relaxed)
    for slot, table in enumerate(model.tables):
        writer.meal(slot, range(len(table.choices)) if offers is None else offers[slot])
    writer.minutes()
    writer.sameness()
    writer.once_and_ceilings()
    writer.wishes()
    return Problem("day", tuple(writer.variables), tuple(writer.rows))


class _Writer:
    """Writes one day: what is served first, then what holds over the day."""

    def __init__(self, model: DayModel, *, whole_steps: bool, relaxed: bool) -> None:
        self.model = model
        self.whole_steps = whole_steps
        self.whole = not relaxed
        self.variables: list[Variable] = []
        self.rows: list[LinearRow] = []
        self.per_row: list[dict[str, float]] = [{} for _ in model.rows]
        self.per_food: dict[int, dict[str, float]] = {}
        self.per_dish: dict[str, dict[str, float]] = {}
        self.per_family: dict[str, dict[int, list[str]]] = {}

    def _row(
        self,
        name: str,
        terms: dict[str, float],
        low: float = -math.inf,
        high: float = math.inf,
        why: str = "",
    ) -> None:
        self.rows.append(LinearRow(name, terms, low, high, why))

    def meal(self, slot: int, picks: Iterable[int]) -> None:
        """Write the dishes one meal may be, exactly one of them served."""
        one: dict[str, float] = {}
        for pick in picks:
            choice = self.model.tables[slot].choices[pick]
            served = f"serve/{slot}/{pick}"
            self.variables.append(Variable(served, 0, 1, choice.cost, whole=self.whole))
            one[served] = 1.0
            self.per_dish.setdefault(choice.dish, {})[served] = 1.0
            for family in choice.families:
                self.per_family.setdefault(family, {}).setdefault(slot, []).append(served)
            for line in range(len(choice.foods)):
                self._line(slot, pick, line, served)
            for number, (a, b, low, high) in enumerate(choice.ratios):
                first, second = f"grams/{slot}/{pick}/{a}", f"grams/{slot}/{pick}/{b}"
                name = f"ratio/{slot}/{pick}/{number}"
                self._row(f"{name}/least", {first: 1.0, second: -low}, low=0.0)
                self._row(f"{name}/most", {first: 1.0, second: -high}, high=0.0)
            for number, (inside, most) in enumerate(choice.limits):
                together = {f"grams/{slot}/{pick}/{line}": 1.0 for line in inside}
                self._row(f"limit/{slot}/{pick}/{number}", together, high=most)
        self._row(f"one/{slot}", one, 1.0, 1.0, f"{self.model.slots[slot].label} is one dish")

    def _line(self, slot: int, pick: int, line: int, served: str) -> None:
        """Write one food of a dish: its grams on the grid, and the price away from the usual."""
        table = self.model.tables[slot]
        choice = table.choices[pick]
        at = f"{slot}/{pick}/{line}"
        grams, switch = f"grams/{at}", served
        low, typical = float(choice.low[line]), float(choice.typical[line])
        high, step = float(choice.high[line]), float(choice.step[line])
        if choice.optional[line]:
            switch = f"with/{at}"
            self.variables.append(Variable(switch, 0, 1, whole=self.whole))
            self._row(f"{switch}/only", {switch: 1.0, served: -1.0}, high=0.0)
        self.variables.append(Variable(grams, 0, high))
        self._row(f"{grams}/least", {grams: 1.0, switch: -low}, low=0.0)
        self._row(f"{grams}/most", {grams: 1.0, switch: -high}, high=0.0)
        if self.whole_steps:
            count = f"steps/{at}"
            self.variables.append(Variable(count, 0, round(high / step), whole=True))
            self._row(f"{count}/grid", {grams: 1.0, count: -step}, 0.0, 0.0)
        price = float(choice.deviation[line])
        if price or choice.far[line]:
            away = f"away/{at}"
            self.variables.append(Variable(away, 0, math.inf, price))
            self._row(f"{away}/over", {away: 1, grams: -1, switch: typical}, low=0.0)
            self._row(f"{away}/under", {away: 1, grams: 1, switch: -typical}, low=0.0)
            far, near = float(choice.far[line]), float(choice.near[line])
            if far:
                self.variables.append(Variable(f"far/{at}", 0, math.inf, far))
                self._row(f"far/{at}/over", {f"far/{at}": 1, away: -1, switch: near}, low=0.0)
        per_gram = table.per_gram[table.lines_of(pick).start + line]
        for row in np.flatnonzero(per_gram):
            self.per_row[row][grams] = float(per_gram[row])
        self.per_food.setdefault(int(choice.foods[line]), {})[grams] = 1.0

    def minutes(self) -> None:
        """Price minutes beyond what the day's cook has."""
        model = self.model
        if model.minutes_most is None:
            return
        spent = {
            f"serve/{slot}/{pick}": choice.minutes
            for slot, offer in enumerate(model.offers)
            for pick, choice in enumerate(offer)
        }
        self.variables.append(Variable("overtime", 0, math.inf, model.minute_price))
        terms = spent | {"overtime": -1.0}
        self._row("minutes", terms, high=model.minutes_most, why="minutes")

    def sameness(self) -> None:
        """Price each family that two meals share: one variable a family and pair of meals."""
        if not self.model.family_price:
            return
        for family, served in sorted(self.per_family.items()):
            for first, second in combinations(sorted(served), 2):
                both = f"same/{family}/{first}/{second}"
                self.variables.append(Variable(both, 0, 1, self.model.family_price))
                terms = dict.fromkeys((*served[first], *served[second]), -1.0)
                self._row(both, {both: 1.0, **terms}, low=-1.0, why="meals that differ")

    def once_and_ceilings(self) -> None:
        """Serve a dish once, and of each food no more than a day allows."""
        for dish, served_at in self.per_dish.items():
            if len(served_at) > 1:
                self._row(f"once/{dish}", served_at, high=1.0, why="a dish once a day")
        for food, users in self.per_food.items():
            ceiling = float(self.model.food_ceiling_g[food])
            if len(users) > 1 and math.isfinite(ceiling):
                self._row(f"ceiling/{food}", users, high=ceiling, why="most in a day")

    def wishes(self) -> None:
        """Write the day's rows, each with a shortfall and an excess at a price."""
        for index, wish in enumerate(self.model.rows):
            terms = dict(self.per_row[index])
            low, high = float(self.model.low[index]), float(self.model.high[index])
            if math.isfinite(low):
                self.variables.append(Variable(f"short/{wish.name}", 0, math.inf, wish.price_low))
                terms[f"short/{wish.name}"] = 1.0
            if math.isfinite(high):
                self.variables.append(Variable(f"over/{wish.name}", 0, math.inf, wish.price_high))
                terms[f"over/{wish.name}"] = -1.0
            self._row(f"row/{wish.name}", terms, low, high, wish.why)


def read_day(model: DayModel, solution: Solution) -> tuple[tuple[int, ...], Grams]:
    """
    Read dishes and grams back from a solved day.

    Parameters
    ----------
    model : DayModel
        The day the problem was built from.
    solution : Solution
        One with a plan, dishes whole.

    Returns
    -------
    picks : tuple of int
    grams : tuple of array
        One array a meal. [g]
    """
    picks = []
    grams = []
    for slot, offer in enumerate(model.offers):
        pick = max(range(len(offer)), key=lambda p: solution.amounts.get(f"serve/{slot}/{p}", 0.0))
        picks.append(pick)
        amounts = [
            solution.amounts[f"grams/{slot}/{pick}/{line}"]
            for line in range(len(offer[pick].foods))
        ]
        step = offer[pick].step
        grams.append(np.round(np.array(amounts) / step, 6) * step)
    return tuple(picks), tuple(grams)


EXACT_LIMIT_S = 20.0
"""Setting the amounts of chosen dishes exactly takes about a second; this is for the odd one."""


def best_amounts(
    model: DayModel, picks: Sequence[int], grams: Grams, held: Collection[int] = ()
) -> tuple[Grams, float]:
    """
    Set the amounts of chosen dishes exactly, in whole kitchen measures.

    Parameters
    ----------
    model : DayModel
        The day.
    picks : sequence of int
        Chosen dish of each meal.
    grams : tuple of array
        Amounts in hand. [g]
    held : collection of int
        Meals whose amounts must not move.

    Returns
    -------
    grams : tuple of array
        Those in hand where none better were found. [g]
    objective : float
        The day's objective at these amounts.
    """
    chosen = []
    for slot, (pick, amount) in enumerate(zip(picks, grams, strict=True)):
        choice = model.offers[slot][pick]
        if slot in held:
            # An add-on that is held is no longer one: it may not be left off either.
            none = np.zeros(len(amount), dtype=bool)
            choice = replace(choice, low=amount, high=amount, optional=none, ratios=(), limits=())
        chosen.append((choice,))
    narrow = replace(model, offers=tuple(chosen))
    found = solve(build_day(narrow), time_limit_s=EXACT_LIMIT_S, relative_gap=1e-4)
    now = model.objective(picks, grams)
    if found.outcome is Outcome.OPTIMAL:
        _, better = read_day(narrow, found)
        objective = model.objective(picks, better)
        if objective < now - 1e-9:
            return better, objective
    return grams, now
