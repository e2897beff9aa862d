"""Keeping a week to what may be paid at the till: plan, add up the list, spend less, plan again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from mealplan.menu.context import Context
from mealplan.plan import Plan
from mealplan.rules.preferences.buying import pack_prices
from mealplan.shopping.build import shopping_list
from mealplan.shopping.till import CENT, Till, allowed_for, till_of, worth_at_home

TRIES = 4
"""Weeks planned at most to keep a budget."""
DEARER = 3.0
"""Money becomes so many times as dear from try to try. [1]"""
PACKS = 7.0
"""
Once the list is over, a pack is as dear as half of it not eaten: a wish for a day's spending is
priced against a seventh of the budget, a pack against all of it. [1]
"""
LEAST_CUT = 0.04
"""Each try spends at least this part of the budget less than the one before. [1]"""


def spending(context: Context, per_day: float, dear: float, packs: float) -> Context:
    """
    Hold the food of a day to an amount, and mind money and opened packs more.

    Parameters
    ----------
    context : Context
    per_day : float
        What everyone's food of a day may be worth. [currency/day]
    dear : float
        Factor on the price of spending more. [1]
    packs : float
        Factor on the price of opening a pack. [1]

    Returns
    -------
    Context
    """
    kitchen = context.intake.kitchen
    opened = pack_prices(context.prices, kitchen.shop.budget_per_week)
    changed = {
        "dear": dear,
        "budget": per_day * kitchen.shop.clients_part(kitchen.people),
        "cost_to_open": {
            name: price + (packs - 1) * opened.get(name, 0.0)
            for name, price in context.cost_to_open.items()
        },
    }
    return context.sharing_with(replace(context, dear=dear), changed)


@dataclass(frozen=True)
class _Try:
    """A week, and what its list comes to."""

    plan: Plan
    till: Till

    def rank(self, budget: float) -> tuple[int, float]:
        """Musts come before money; of weeks that keep both, the first planned is the best."""
        return len(self.plan.musts_missed), max(0.0, self.till.paid - budget)


def within_till(context: Context, days: int, make: Callable[[Context], Plan]) -> Plan:
    """
    Plan days whose list costs no more than the budget, or say what they take.

    Parameters
    ----------
    context : Context
    days : int
        How many. [days]
    make : callable
        Plans the days in a context.

    Returns
    -------
    Plan
        The first within the budget that misses no must the others meet; else the cheapest. Without
        a budget that counts at the till, the one plan there is.
    """
    options = context.intake.kitchen.shop
    budget = allowed_for(options, days)
    if options.budget_counts != "till" or budget is None or context.prices is None:
        return make(context)
    home = worth_at_home(context.intake.kitchen.cupboard, context.prices, context.space.catalogue)
    spend, dear, packs = budget + home, 1.0, 1.0
    tries: list[_Try] = []
    for _ in range(TRIES):
        plan = make(spending(context, spend / days, dear, packs))
        shopping = shopping_list(plan, context.intake, options, context.prices)
        till = till_of(shopping, context.prices, context.space.catalogue)
        tries.append(_Try(plan, till))
        over = till.paid - budget
        if over <= CENT:
            break
        spend = max(spend - max(over, LEAST_CUT * budget), 0.25 * budget)
        dear *= DEARER
        packs = PACKS * dear
    best = min(tries, key=lambda one: one.rank(budget))
    said = _said(best, budget, len(tries), options.currency)
    return best.plan.model_copy(update={"explanation": (*best.plan.explanation, *said)})


def _said(best: _Try, budget: float, tries: int, currency: str) -> tuple[str, ...]:
    """Say what it takes where the budget is not kept."""
    over = best.till.paid - budget
    if over <= CENT:
        return ()
    return (
        f"At the till these days take {best.till.paid:.2f} {currency}, {over:.2f} over the budget "
        f"of {budget:.2f}: of {tries} ways of planning them none costs less without missing more "
        f"of what must be met. {best.till.stays:.2f} of it stays at home for later weeks, which "
        "then cost less.",
    )
