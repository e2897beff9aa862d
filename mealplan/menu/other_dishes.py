"""Three other dishes for one meal, each with what taking it would change, before anything is."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from mealplan.client.intake import Intake
from mealplan.menu.change import DayRequest, change_day
from mealplan.plan import EATEN, Meal, Plan
from mealplan.shopping.door import ShoppingList, shopping_list
from mealplan.targets.ranges import Targets

OFFERED = 3
"""Dishes to choose from."""


@dataclass(frozen=True)
class OtherDish:
    """One dish that could be eaten instead, and the plan with it."""

    meal: Meal
    plan: Plan
    sentences: tuple[str, ...]
    """What the change does to the day and to later ones."""
    hands_on_min: int
    """Change of the day's hands-on minutes. [min]"""
    cost: float | None
    """Change of what the list costs; None without prices."""
    currency: str
    buy: tuple[str, ...]
    """What the list gains, as it is asked for in the shop."""
    spared: tuple[str, ...]
    """What need no longer be bought."""


def other_dishes(
    intake: Intake,
    targets: Targets,
    plan: Plan,
    date: dt.date,
    slot: int,
    *,
    settled: Collection[int] = (),
    shown: Sequence[Sequence[str]] = (),
) -> tuple[OtherDish, ...]:
    """
    Work out what else could be eaten at a meal, the rest of the day keeping its dishes.

    Parameters
    ----------
    intake, targets, plan
        What the plan was made from, and the plan.
    date : date
    slot : int
        Meal, by its place in the day.
    settled : collection of int
        Meals of the day that have passed or were eaten; nothing about them moves.
    shown : sequence of sequences of str
        Dish keys of days turned down before, oldest first.

    Returns
    -------
    tuple of OtherDish
        Best first, each another dish; fewer than three when there are no more.
    """
    before = shopping_list(plan, intake)
    old = next(day for day in plan.days if day.date == date)
    turned_down = [tuple(dishes) for dishes in shown]
    found: dict[str, OtherDish] = {}
    for _ in range(OFFERED + 1):
        changed = change_day(
            intake,
            targets,
            plan,
            DayRequest(
                date,
                another=(slot,),
                settled=tuple(place for place in settled if place != slot),
                shown=tuple(turned_down),
            ),
        )
        day = next(day for day in changed.plan.days if day.date == date)
        meal = day.meals[slot]
        turned_down.append(tuple(one.dish for one in day.meals))
        if meal.dish in (EATEN, old.meals[slot].dish) or meal.dish in found:
            continue
        after = shopping_list(changed.plan, intake)
        found[meal.dish] = OtherDish(
            meal=meal,
            plan=changed.plan,
            sentences=changed.sentences[1:],
            hands_on_min=day.hands_on_min - old.hands_on_min,
            cost=_cost(after) - _cost(before) if before.currency else None,
            currency=before.currency,
            buy=_gained(before, after),
            spared=tuple(name for name in _bought(before) if name not in _bought(after)),
        )
        if len(found) == OFFERED:
            break
    return tuple(found.values())


def _bought(shopping: ShoppingList) -> dict[str, tuple[float, str]]:
    """Give the weight and the words of what is bought, by its shelf name."""
    bought: dict[str, tuple[float, str]] = {}
    for line in shopping.lines:
        if line.section == "buy" and line.buy_g > 0:
            grams, _ = bought.get(line.shop_name, (0.0, ""))
            bought[line.shop_name] = (grams + line.buy_g, line.packs_text())
    return bought


def _gained(before: ShoppingList, after: ShoppingList) -> tuple[str, ...]:
    old = _bought(before)
    return tuple(
        f"{name}: {words}" + (" in all" if name in old else "")
        for name, (grams, words) in _bought(after).items()
        if grams > old.get(name, (0.0, ""))[0]
    )


def _cost(shopping: ShoppingList) -> float:
    return sum(line.price for line in shopping.lines if line.price is not None)
