"""
What is at home on a morning: bought before, not yet eaten, not set aside for another day.

From it, a day can be planned again without going to the shop. Staples that the list only asks to
check (spices, oil, salt) are taken as there.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from mealplan.client.intake import Intake
from mealplan.kitchen.food_arrays import Floats, FoodSpace
from mealplan.lp.daymodel import Choice
from mealplan.market.forms import as_bought
from mealplan.plan import Plan
from mealplan.rules.rows.base import Row
from mealplan.rules.weights import weight
from mealplan.shopping.build import is_staple, shopping_list
from mealplan.shopping.left_over import WORTH_KEEPING_G
from mealplan.shopping.lines import ListLine
from mealplan.shopping.uses import NOT_BOUGHT, at_home_for

LACKING = weight("lacking")
LACKING_GRAM = weight("lacking_gram")


@dataclass(frozen=True)
class Pool:
    """One thing at home, whatever it is cooked into."""

    name: str
    """As the shopping list calls it."""
    grams: float
    """Free to use, as bought. [g]"""
    takes: NDArray[np.float64] = field(repr=False)
    """(foods,) grams of it that a gram eaten takes; 0 for foods not made of it. [g/g]"""


@dataclass(frozen=True)
class Stock:
    """What may be eaten on a day without shopping."""

    date: dt.date
    space: FoodSpace = field(repr=False)
    pools: tuple[Pool, ...]
    most_g: NDArray[np.float64] = field(repr=False)
    """(foods,) most that what is there makes; infinite for staples. [g eaten]"""

    def lacking(self, choice: Choice) -> NDArray[np.int64]:
        """
        Name the required lines of a choice that what is at home does not do for.

        Parameters
        ----------
        choice : Choice

        Returns
        -------
        array of int
            Places of the lines.
        """
        short = ~choice.optional & (choice.low > self.most_g[choice.foods] + 1e-9)
        return np.flatnonzero(short)

    def held_to(self, choice: Choice) -> Choice:
        """
        Price what a choice lacks, and hold the rest of it to what is there.

        Parameters
        ----------
        choice : Choice
            Cooked fresh; a kept portion is at home anyway.

        Returns
        -------
        Choice
            Without the add-ons that are not there.
        """
        most = self.most_g[choice.foods]
        whole = np.where(np.isfinite(most), np.floor(most / choice.step + 1e-9) * choice.step, most)
        lacking = self.lacking(choice)
        high = np.minimum(choice.high, whole)
        high[lacking] = choice.high[lacking]
        kept = ~choice.optional | (high >= choice.low - 1e-9)
        high = np.maximum(high, choice.low)
        short = _short_of_proportion(choice, high)
        high[short] = choice.high[short]
        held = replace(
            choice,
            typical=np.clip(choice.typical, choice.low, high),
            high=high,
            cost=choice.cost + LACKING * len(lacking),
        )
        return held.without(~kept)

    def rows(self) -> tuple[Row, ...]:
        """
        Say that all meals together may take no more than is there.

        Returns
        -------
        tuple of Row
            One a pool.
        """
        return tuple(
            Row(
                name=f"at home:{pool.name}",
                label=f"{pool.name} at home",
                unit="g",
                per_gram=pool.takes,
                low=-np.inf,
                high=pool.grams,
                price_low=0.0,
                price_high=LACKING_GRAM,
                tier="comfort",
                why=f"{pool.grams:.0f} g of {pool.name.lower()} are at home",
            )
            for pool in self.pools
        )


def _short_of_proportion(choice: Choice, high: Floats) -> list[int]:
    """Find lines held to so little that their dish's proportions leave no amount at all."""
    return [
        line
        for a, b, least, most in choice.ratios
        if choice.low[a] > most * high[b] + 1e-9 or high[a] < least * choice.low[b] - 1e-9
        for line in (a, b)
        if high[line] < choice.high[line]
    ]


def stock_on(
    plan: Plan, intake: Intake, date: dt.date, space: FoodSpace, shopped: Plan | None = None
) -> Stock:
    """
    Work out what is at home on a morning.

    Parameters
    ----------
    plan : Plan
        The week as it now stands: what other days ate or still need is left to them.
    intake : Intake
        With the cupboard before that week.
    date : date
        Day to be planned; what is bought on that day or later does not count.
    space : FoodSpace
    shopped : Plan, optional
        The week as it stood when it was shopped for, where meals were eaten otherwise since.

    Returns
    -------
    Stock
    """
    shopping = shopping_list(shopped or plan, intake)
    needed = shopping_list(plan, intake)
    options = intake.kitchen.shop
    grams: dict[str, float] = {}
    for line in shopping.lines:
        if _there(line, date):
            grams[line.name] = grams.get(line.name, 0.0) + line.buy_g + line.from_cupboard_g
    for line in needed.lines:
        if line.name in grams and _there(line, date):
            elsewhere = sum(use.need_g for use in line.uses if use.day != date)
            grams[line.name] -= elsewhere
    known: dict[str, float] = {}
    for line in shopping.lines:
        known[line.name] = known.get(line.name, 0.0) + line.from_cupboard_g
    by_name: dict[str, list[int]] = {}
    takes = np.zeros(len(space))
    most = np.zeros(len(space))
    there = at_home_for(plan, intake)
    home = {space.catalogue.food(item.food).bought_name for item in there}
    for place, food in enumerate(space.foods):
        form = as_bought(food, options, home=home)
        takes[place] = form.bought_g(1.0)
        by_name.setdefault(form.food.bought_name, []).append(place)
        if food.key in NOT_BOUGHT or (options.staples_at_home and is_staple(form.food)):
            most[place] = np.inf
    for item in there:
        name = space.catalogue.food(item.food).bought_name
        grams[name] = grams.get(name, 0.0) + item.grams - known.pop(name, 0.0)
    pools = []
    for name, free in sorted(grams.items()):
        places = [p for p in by_name.get(name, []) if np.isfinite(most[p])]
        if free < WORTH_KEEPING_G or not places:
            continue
        share = np.zeros(len(space))
        share[places] = takes[places]
        most[places] = free / takes[places]
        pools.append(Pool(name, round(free, 1), share))
    return Stock(date, space, tuple(pools), most)


def _there(line: ListLine, date: dt.date) -> bool:
    """Say whether a line was bought before a day and is still good on it."""
    if line.trip_on is not None and line.trip_on >= date and line.buy_g:
        return False
    return line.use_by is None or line.use_by >= date or line.freeze_from is not None
