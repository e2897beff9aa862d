"""
The day as one mixed-integer problem, for the exact answer and as the reference for the fast search.

One whole-number choice a dish and meal, grams tied to it, a shortfall and an excess a priced row.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
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
    variables: list[Variable] = []
    rows: list[LinearRow] = []
    per_row: list[dict[str, float]] = [{} for _ in model.rows]
    per_food: dict[int, dict[str, float]] = {}
    per_dish: dict[str, dict[str, float]] = {}
    per_family: dict[str, dict[int, list[str]]] = {}
    for slot, table in enumerate(model.tables):
        kept = range(len(table.choices)) if offers is None else offers[slot]
        one: dict[str, float] = {}
        for pick in kept:
            choice = table.choices[pick]
            served = f"serve/{slot}/{pick}"
            variables.append(Variable(served, 0, 1, choice.cost, whole=not relaxed))
            one[served] = 1.0
            per_dish.setdefault(choice.dish, {})[served] = 1.0
            for family in choice.families:
                per_family.setdefault(family, {}).setdefault(slot, []).append(served)
            begin = table.lines_of(pick).start
            for line, food in enumerate(choice.foods):
                grams = f"grams/{slot}/{pick}/{line}"
                low, typical = float(choice.low[line]), float(choice.typical[line])
                high, step = float(choice.high[line]), float(choice.step[line])
                switch = served
                if choice.optional[line]:
                    switch = f"with/{slot}/{pick}/{line}"
                    variables.append(Variable(switch, 0, 1, whole=not relaxed))
                    rows.append(LinearRow(f"{switch}/only", {switch: 1.0, served: -1.0}, high=0.0))
                variables.append(Variable(grams, 0, high))
                rows.append(LinearRow(f"{grams}/least", {grams: 1.0, switch: -low}, low=0.0))
                rows.append(LinearRow(f"{grams}/most", {grams: 1.0, switch: -high}, high=0.0))
                if whole_steps:
                    count = f"steps/{slot}/{pick}/{line}"
                    variables.append(Variable(count, 0, round(high / step), whole=True))
                    rows.append(LinearRow(f"{count}/grid", {grams: 1.0, count: -step}, 0.0, 0.0))
                price = float(choice.deviation[line])
                if price:
                    away = f"away/{slot}/{pick}/{line}"
                    variables.append(Variable(away, 0, math.inf, price))
                    rows.append(
                        LinearRow(f"{away}/over", {away: 1, grams: -1, switch: typical}, low=0.0)
                    )
                    rows.append(
                        LinearRow(f"{away}/under", {away: 1, grams: 1, switch: -typical}, low=0.0)
                    )
                for row in np.flatnonzero(table.per_gram[begin + line]):
                    per_row[row][grams] = float(table.per_gram[begin + line, row])
                per_food.setdefault(int(food), {})[grams] = 1.0
            for number, (a, b, low, high) in enumerate(choice.ratios):
                first, second = f"grams/{slot}/{pick}/{a}", f"grams/{slot}/{pick}/{b}"
                name = f"ratio/{slot}/{pick}/{number}"
                rows.append(LinearRow(f"{name}/least", {first: 1.0, second: -low}, low=0.0))
                rows.append(LinearRow(f"{name}/most", {first: 1.0, second: -high}, high=0.0))
        rows.append(
            LinearRow(f"one/{slot}", one, 1.0, 1.0, f"{model.slots[slot].label} is one dish")
        )
    if model.minutes_most is not None:
        spent = {
            f"serve/{slot}/{pick}": choice.minutes
            for slot, offer in enumerate(model.offers)
            for pick, choice in enumerate(offer)
        }
        variables.append(Variable("overtime", 0, math.inf, model.minute_price))
        rows.append(
            LinearRow("minutes", spent | {"overtime": -1.0}, high=model.minutes_most, why="minutes")
        )
    if model.family_price:
        _price_sameness(model, per_family, variables, rows)
    for dish, served_at in per_dish.items():
        if len(served_at) > 1:
            rows.append(LinearRow(f"once/{dish}", served_at, high=1.0, why="a dish once a day"))
    for food, users in per_food.items():
        ceiling = float(model.food_ceiling_g[food])
        if len(users) > 1 and math.isfinite(ceiling):
            rows.append(LinearRow(f"ceiling/{food}", users, high=ceiling, why="most in a day"))
    for index, wish in enumerate(model.rows):
        terms = dict(per_row[index])
        low, high = float(model.low[index]), float(model.high[index])
        if math.isfinite(low):
            variables.append(Variable(f"short/{wish.name}", 0, math.inf, wish.price_low))
            terms[f"short/{wish.name}"] = 1.0
        if math.isfinite(high):
            variables.append(Variable(f"over/{wish.name}", 0, math.inf, wish.price_high))
            terms[f"over/{wish.name}"] = -1.0
        rows.append(LinearRow(f"row/{wish.name}", terms, low, high, wish.why))
    return Problem("day", tuple(variables), tuple(rows))


def _price_sameness(
    model: DayModel,
    per_family: dict[str, dict[int, list[str]]],
    variables: list[Variable],
    rows: list[LinearRow],
) -> None:
    """Price each family that two meals share: one variable a family and pair of meals."""
    for family in sorted(per_family):
        for first, second in combinations(sorted(per_family[family]), 2):
            both = f"same/{family}/{first}/{second}"
            variables.append(Variable(both, 0, 1, model.family_price))
            terms = dict.fromkeys((*per_family[family][first], *per_family[family][second]), -1.0)
            rows.append(LinearRow(both, {both: 1.0, **terms}, low=-1.0, why="meals that differ"))


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
            choice = replace(choice, low=amount, high=amount, ratios=())
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
