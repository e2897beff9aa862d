"""The larder a week is planned from: few things to buy, chosen before any dish is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from foods.dishes.model import Dish
from mealplan.kitchen.method import KEPT_HANDS_MIN, minutes_kept
from mealplan.lp.daymodel import Choice, DayModel
from mealplan.lp.larder import LarderFound, ThingPool, choose_larder
from mealplan.menu.context import Context
from mealplan.menu.day import day_model
from mealplan.menu.leftovers import may_keep
from mealplan.menu.offers import HOME_MEALS, own_price, quickest, table_at
from mealplan.menu.pots import SHORT_MIN, cooks_pot
from mealplan.rules.preferences.barred import NONE, breach
from mealplan.rules.preferences.base import POT_PORTIONS, Around, Table
from mealplan.rules.preferences.minutes import OVER_MINUTE
from mealplan.rules.preferences.pots import keeps_for
from mealplan.rules.preferences.wanted import OTHER_MEAL
from mealplan.shopping.build import is_staple
from mealplan.shopping.uses import NOT_BOUGHT
from mealplan.targets.ranges import DayTargets

USUAL_POT = 3
"""Portions of a pot that a household short of time usually eats. [portions]"""
IN_A_BLEND = 0.1
"""
Part of a minute's price that counts while things are chosen: a blend does not know which days eat
what others cooked, so what it says of minutes is only a hint.
"""
BOUGHT_FOR = 2.0
"""
Times its price on one day that a liking counts while things are chosen: a thing is priced once and
a day stands for the week, so that a liking would be dropped for want of a few.
"""
MOST_NAMED = 8
"""More dishes wanted most of all are a taste and not a wish for each of them."""
ENOUGH_SERVINGS = 2
"""Usual servings of a thing at home, with which it need not be bought."""
WORKING_DAYS = 5.0
"""Servings of the one breakfast of weekdays. [meals/week]"""
FEW_POTS = 8
"""Dishes for pots at least, before a household's main meals are held to them."""
BUY, CHECK = 0, 1
"""Groups of things: on the list, or by the spoon and looked for at home."""


@dataclass(frozen=True)
class Shelf:
    """A larder by the names things are bought under."""

    names: frozenset[str]
    things: int
    """How many things it holds that are not there anyway."""
    found: LarderFound

    @property
    def note(self) -> str:
        """Say what so short a list costs."""
        return (
            f"Planned from {self.things} things to buy or look for, chosen first: a day blended "
            f"from them scores {self.found.value:.2f} at best, from everything on offer "
            f"{self.found.bound:.2f}."
        )


def choose_shelf(
    context: Context,
    targets: Sequence[DayTargets],
    avoid: Mapping[str, float],
) -> Shelf:
    """
    Choose what to buy for some days.

    Parameters
    ----------
    context : Context
    targets : sequence of DayTargets
        One a day.
    avoid : mapping of str to float
        Extra price by dish key.

    Returns
    -------
    Shelf
    """
    habits, living = context.habits, context.intake.kitchen.living
    most = {
        BUY: living.things_most or habits.things,
        CHECK: habits.checks,
    }
    model = _mean_day(context, targets, avoid)
    home = _enough_at_home(context) | _wanted_most(context)
    names = sorted(
        {
            context.name_bought[context.space.foods[int(food)].key]
            for offer in model.offers
            for choice in offer
            for food in choice.foods
        }
        - home
        - {context.name_bought[key] for key in NOT_BOUGHT if key in context.name_bought}
    )
    at = {name: place for place, name in enumerate(names)}
    of_food = np.array(
        [at.get(context.name_bought[food.key], -1) for food in context.space.foods], dtype=np.int64
    )
    staples = {context.name_bought[f.key] for f in context.space.foods if is_staple(f)}
    group = np.array([CHECK if name in staples else BUY for name in names])
    needs, lines = [], []
    for offer, table in zip(model.offers, model.tables, strict=True):
        need = np.zeros((len(offer), len(names)), dtype=bool)
        for place, choice in enumerate(offer):
            taken = of_food[choice.foods[~choice.optional]]
            need[place, taken[taken >= 0]] = True
        needs.append(need)
        lines.append(of_food[np.concatenate([choice.foods for choice in offer])])
        assert len(lines[-1]) == len(table.optional)
    wanted = context.wanted
    often = {dish.key: _servings(context, dish) / 7 for dish in context.dishes}
    pool = ThingPool(
        needs=tuple(needs),
        thing_of_line=tuple(lines),
        group=group,
        dish_most=often,
        wanted=tuple(
            np.array(
                [
                    [float(s.occasion in w.occasions and c.dish in w.dishes) for w in wanted]
                    for c in offer
                ]
            ).reshape(len(offer), len(wanted))
            for s, offer in zip(context.slots, model.offers, strict=True)
        ),
        wanted_least=np.array([one.least / 7 for one in wanted]),
        wanted_price=BOUGHT_FOR * OTHER_MEAL,
    )
    price = np.array([context.cost_to_open[name] for name in names])
    found = choose_larder(model, pool, most, price, seed=context.intake.seed)
    kept = frozenset(names[i] for i in np.flatnonzero(found.things)) | home
    return Shelf(kept | _free(context, at), int(found.things.sum()), found)


def _servings(context: Context, dish: Dish) -> float:
    """Count servings of a dish while things are chosen: those of a pot where pots are cooked."""
    living = context.intake.kitchen.living
    if living.same_breakfast_on_weekdays and "breakfast" in dish.occasions:
        return WORKING_DAYS
    main = "midday" in dish.occasions or "evening" in dish.occasions
    if living.cooking_days and main:
        pot = min(7 / len(set(living.cooking_days)), POT_PORTIONS)
        return max(context.habits.larder_servings, pot)
    return context.habits.larder_servings


def _enough_at_home(context: Context) -> frozenset[str]:
    """Name what is at home and does for a few servings; of anything else a pack would be bought."""
    usual: dict[str, list[float]] = {}
    for dish in context.dishes:
        for line in dish.lines:
            name = context.name_bought[line.food]
            if name in context.stock_g:
                grams = line.typical_g * context.bought_per_eaten[line.food]
                usual.setdefault(name, []).append(grams)
    return frozenset(
        name
        for name, grams in context.stock_g.items()
        if grams >= ENOUGH_SERVINGS * float(np.median(usual.get(name, [0.0])))
    )


def _wanted_most(context: Context) -> frozenset[str]:
    """Name what the few dishes need that the client wants most of all; they are bought for."""
    grades = context.exclusions.dish_grades
    named = [dish for dish in context.dishes if grades.get(dish.key) == "favourites"]
    if len(named) > MOST_NAMED:
        return frozenset()
    return frozenset(
        context.name_bought[line.food] for dish in named for line in dish.lines if not line.optional
    )


def _free(context: Context, at: Mapping[str, int]) -> frozenset[str]:
    """Name what is there anyway."""
    return frozenset(name for name in context.name_bought.values() if name not in at)


def _mean_day(
    context: Context, targets: Sequence[DayTargets], avoid: Mapping[str, float]
) -> DayModel:
    """Let one day stand for all: the one whose energy lies nearest the mean."""
    mean = float(np.mean([asked.energy_kcal for asked in targets]))
    day = min(range(len(targets)), key=lambda d: abs(targets[d].energy_kcal - mean))
    asked = targets[day]
    model, _ = day_model(context, day, asked, {}, avoid=avoid)
    limits = context.intake.kitchen.hands_on_min
    least = min(limits.values(), default=SHORT_MIN)
    # Short days eat what the others cook; else each day cooks for itself and the next.
    cooked_for = least < SHORT_MIN
    mean_limit = float(np.mean([*limits.values()])) if limits else None
    # What is at home is welcome in some meals of the week, spread over its slots, so that what goes
    # with it is on the shelf; in the other meals it only costs nothing to buy.
    bare = (Around(left=_enough_at_home(context)), Around(left=frozenset()))
    offers = []
    for slot, base in zip(context.slots, context.choices(asked), strict=True):
        tables = [
            table_at(context, d, one, slot, avoid, bare[d * len(context.slots) >= HOME_MEALS])
            for d, one in enumerate(targets[:7])
        ]
        may_be_kept = any(may_keep(context.intake, slot.occasion, one.weekday) for one in targets)
        base = _not_barred(context, base, tables)
        offers.append(
            tuple(
                replace(
                    c,
                    cost=c.cost + _over_days([own_price(c.dish, table) for table in tables]),
                    minutes=_mean_minutes(c, context.by_key[c.dish], cooked_for=cooked_for)
                    if may_be_kept
                    else c.minutes,
                )
                for c in (
                    quickest(context, choice) if cooked_for else choice
                    for choice in _for_pots(context, base, tables)
                )
            )
        )
    return replace(
        model,
        offers=tuple(offers),
        family_price=0.0,
        minutes_most=float(least) if cooked_for else mean_limit,
        minute_price=IN_A_BLEND * OVER_MINUTE,
    )


def _not_barred(
    context: Context, base: tuple[Choice, ...], tables: Sequence[Table]
) -> tuple[Choice, ...]:
    """Keep to dishes that some day of the week may serve at this meal, fresh or kept."""

    def may_be(dish: Dish) -> bool:
        ways = (False, True) if dish.keeps_days else (False,)
        return any(breach(dish.key, table, kept=way) == NONE for table in tables for way in ways)

    kept = tuple(choice for choice in base if may_be(context.by_key[choice.dish]))
    return kept if len(kept) >= FEW_POTS else base


def _for_pots(
    context: Context, base: tuple[Choice, ...], tables: Sequence[Table]
) -> tuple[Choice, ...]:
    """Keep to dishes that one of the cooking days can cook for the days after it."""
    days = [table.pot_days for table in tables if table.pot_days]
    if not any(
        cooks_pot(context, table.slot.occasion, table.weekday, table.pot_days or 0)
        for table in tables
    ):
        return base
    most = max(days) if tables[0].slot.occasion == "evening" else min(days)
    kept = tuple(c for c in base if keeps_for(context.by_key[c.dish], most))
    return kept if len(kept) >= FEW_POTS else base


def _over_days(prices: Sequence[float]) -> float:
    """Price a dish that may be put on a good day for it, though not on every one."""
    return (min(prices) + sum(prices) / len(prices)) / 2


def _mean_minutes(choice: Choice, dish: Dish, *, cooked_for: bool) -> float:
    """Minutes a serving takes where a pot of a dish that keeps is eaten more than once."""
    if cooked_for and dish.keeps_days and dish.batch_portions > 1:
        foods = [line.food for line in dish.lines if not line.optional]
        return float(minutes_kept(dish, foods, 1).hands)
    portions = min(dish.batch_portions, USUAL_POT) if dish.keeps_days else 1
    return (choice.minutes + (portions - 1) * KEPT_HANDS_MIN) / portions
