"""The dishes each meal may be, priced by what the client wants and what the other days serve."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import cast

from mealplan.client.intake import WEEKDAYS, Weekday
from mealplan.kitchen.method import minutes_kept
from mealplan.lp.daymodel import Choice
from mealplan.menu.candidates import hands_on
from mealplan.menu.context import Context
from mealplan.menu.leftovers import kept_portion, may_keep
from mealplan.menu.pots import SHORT_MIN, PotLeft, cooks_pot, minutes_for_mains, spare_for_lunch
from mealplan.menu.served import Served
from mealplan.rules import Slot
from mealplan.rules.preferences import FRESH, FROZEN, OWN, SHARED
from mealplan.rules.preferences.barred import NONE, Breach, breach
from mealplan.rules.preferences.base import POT_PORTIONS, Around, Table
from mealplan.rules.preferences.minutes import OVER_MINUTE
from mealplan.rules.preferences.pots import keeps_for
from mealplan.rules.preferences.repeat import WINDOW_DAYS, Repeat
from mealplan.targets.ranges import DayTargets

_REPEAT = Repeat()
FEW = 4
"""Dishes of a shelf left at a meal where some are barred, below which it is looked beyond."""
HOME_MEALS = 4
"""Meals of seven days that use a thing at home, from which on it is used often enough."""


def around(context: Context, day: int, history: Mapping[int, Sequence[Served]]) -> Around:
    """
    Gather what the days around one day serve and buy.

    Parameters
    ----------
    context : Context
    day : int
        Index of the day in the plan.
    history : mapping of int to sequence of Served
        What the other days serve.

    Returns
    -------
    Around
    """
    served_on: dict[str, list[int]] = {}
    for other, meals in history.items():
        if other != day and abs(other - day) < WINDOW_DAYS:
            for served in meals:
                served_on.setdefault(served.dish, []).append(other)
    near = Counter(
        family
        for other in (day - 1, day + 1)
        for served in history.get(other, ())
        for family in context.families.get(served.dish, ())
    )
    at_home = context.cupboard | {
        context.name_bought[food]
        for meals in history.values()
        for served in meals
        if not served.frozen
        for food in served.grams
    }
    chosen = [
        (slot, served.dish)
        for other, meals in history.items()
        if other != day and abs(other - day) < WINDOW_DAYS
        for slot, served in zip(context.slots, meals, strict=False)
    ]
    return Around(
        served_on,
        near,
        at_home,
        context.kinds_of(at_home),
        left=_left(context, day, history),
        known=Counter(slot.occasion for slot, _ in chosen),
        come=tuple(
            sum(slot.occasion in one.occasions and dish in one.dishes for slot, dish in chosen)
            for one in context.wanted
        ),
        led=Counter(
            (slot.index, family)
            for slot, dish in chosen
            for family in context.families.get(dish, ())
        ),
    )


def _left(context: Context, day: int, history: Mapping[int, Sequence[Served]]) -> frozenset[str]:
    """Name what is at home, not used up by the other days, and not in many of their meals yet."""
    left = dict(context.stock_g)
    meals_of: Counter[str] = Counter()
    if left:
        for other, meals in history.items():
            for served in meals if other != day else ():
                if served.frozen:
                    continue
                used = set()
                for food, grams in served.grams.items():
                    name = context.name_bought[food]
                    if name in left:
                        left[name] -= grams * context.bought_per_eaten[food]
                        used.add(name)
                meals_of.update(used if abs(other - day) < WINDOW_DAYS else ())
    return frozenset(
        name for name, grams in left.items() if grams > 0 and meals_of[name] < HOME_MEALS
    )


def table_at(
    context: Context,
    day: int,
    targets: DayTargets,
    slot: Slot,
    avoid: Mapping[str, float],
    others: Around | None = None,
) -> Table:
    """
    Show preferences one meal of one day.

    Parameters
    ----------
    context : Context
    day : int
        Index of the day in the plan.
    targets : DayTargets
        Its ranges.
    slot : Slot
        The meal.
    avoid : mapping of str to float
        Extra price by dish key.
    others : Around, optional
        From :func:`around`; nothing served on other days when left out.

    Returns
    -------
    Table
    """
    living = context.intake.kitchen.living
    limit = context.intake.kitchen.hands_on_min.get(targets.weekday)
    return Table(
        facts=context,
        day=day,
        slot=slot,
        no_time=limit is not None and limit < SHORT_MIN,
        pot_portions=portions_of_pot(living.cooking_days),
        same_breakfast=living.same_breakfast_on_weekdays,
        weekday=targets.weekday,
        place=living.place_of(targets.weekday, slot.occasion),
        kitchen=not living.away_all_day(
            targets.weekday, [other.occasion for other in context.slots]
        ),
        kept_cold=living.is_kept_cold(targets.weekday, slot.occasion),
        pot_days=pot_days(living.cooking_days, targets.weekday),
        days_to_pot=days_to(living.cooking_days, targets.weekday),
        training=context.clock.near_training(targets).get(slot.index),
        since_shopping=context.days_since_shopping(day, targets.weekday),
        shunned=avoid,
        around=others or Around(),
        habits=context.habits,
    )


def portions_of_pot(cooking: Sequence[str]) -> int:
    """
    Say how many portions of one pot are eaten in a week.

    Parameters
    ----------
    cooking : sequence of str
        Weekdays named as cooking days.

    Returns
    -------
    int
        Fewer where more days cook. [portions]
    """
    return min(POT_PORTIONS, -(-WINDOW_DAYS // (len(set(cooking)) or 1)))


def pot_days(cooking: Sequence[str], weekday: str) -> int | None:
    """
    Count the days for which a cooking day cooks.

    Parameters
    ----------
    cooking : sequence of str
        Weekdays named as cooking days.
    weekday : str

    Returns
    -------
    int or None
        0 on a day that is none; None where none is named. [days]
    """
    if not cooking:
        return None
    return days_to(cooking, weekday) if weekday in cooking else 0


def days_to(cooking: Sequence[str], weekday: str) -> int:
    """
    Count the days to the next cooking day.

    Parameters
    ----------
    cooking : sequence of str
        Weekdays named as cooking days.
    weekday : str

    Returns
    -------
    int
        1 to 7; 0 where none is named. [days]
    """
    here = WEEKDAYS.index(cast("Weekday", weekday))
    found = ((WEEKDAYS.index(cast("Weekday", day)) - here - 1) % 7 + 1 for day in cooking)
    return min(found, default=0)


def own_price(dish: str, table: Table) -> float:
    """
    Price what makes a dish fit a day's meal or not, whatever the other days serve.

    Parameters
    ----------
    dish : str
        Key.
    table : Table

    Returns
    -------
    float
    """
    price = 0.0
    for preference in OWN:
        price += preference.price(dish, table)
    return price


def offer_at(
    context: Context,
    table: Table,
    base: tuple[Choice, ...],
    history: Mapping[int, Sequence[Served]],
    pots: Mapping[str, PotLeft],
    others: Sequence[Choice] = (),
) -> tuple[tuple[Choice, ...], tuple[int | None, ...]]:
    """
    Price a meal's dishes by what other days serve and by minutes, those used up left out.

    Of what is barred there only the least is offered, and that where nothing else is.

    Parameters
    ----------
    context : Context
    table : Table
        The meal among the other days.
    base : tuple of Choice
        The dishes that suit it, variety aside.
    history : mapping of int to sequence of Served
        What the other days serve.
    pots : mapping of str to PotLeft
        What can be eaten kept (:func:`mealplan.menu.pots.pots_on`).
    others : sequence of Choice
        Dishes that the shelf cannot cook, for a meal that has few without them.

    Returns
    -------
    offer : tuple of Choice
    origin : tuple of int or None
        For each, the day it was cooked; None when cooked fresh.
    """
    offer, origin, barred = _priced(context, table, base, history, pots)
    if others and barred.count(NONE) < min(FEW, len(barred)):
        there = {choice.dish for choice in base}
        more = tuple(choice for choice in others if choice.dish not in there)
        offers, origins, breaches = _priced(context, table, more, history, pots)
        offer += offers
        origin += origins
        barred += breaches
    least = min(barred, default=NONE)
    kept = [place for place, one in enumerate(barred) if one == least]
    offer, origin = [offer[place] for place in kept], [origin[place] for place in kept]
    return _by_cooking_days(context, table, offer, origin, new_pot=_new_pot(context, table))


def _new_pot(context: Context, table: Table) -> bool:
    return cooks_pot(context, table.slot.occasion, table.weekday, table.pot_days or 0)


def _minutes_on(context: Context, table: Table, day: int) -> int:
    """Give the minutes a day has for cooking, by its place from the table's; 15 where unsaid."""
    weekday = WEEKDAYS[(WEEKDAYS.index(table.weekday) + day - table.day) % 7]
    return context.intake.kitchen.hands_on_min.get(weekday, SHORT_MIN)


def _priced(
    context: Context,
    table: Table,
    base: Sequence[Choice],
    history: Mapping[int, Sequence[Served]],
    pots: Mapping[str, PotLeft],
) -> tuple[list[Choice], list[int | None], list[Breach]]:
    """Price dishes at a meal, with the day each was cooked and what serving it there breaks."""
    may_be_kept = may_keep(context.intake, table.slot.occasion, table.weekday)
    if _minutes_on(context, table, table.day) < SHORT_MIN:
        base = tuple(quickest(context, choice) for choice in base)
    new_pot = _new_pot(context, table)
    offer: list[Choice] = []
    origin: list[int | None] = []
    barred: list[Breach] = []
    for choice in base:
        key = choice.dish
        pot = pots.get(key) if may_be_kept and not new_pot else None
        if pot is not None and pot.frozen:
            frozen = _frozen(context, table, choice, history, pots)
            if frozen is not None:
                offer.append(frozen)
                origin.append(pot.day)
                barred.append(breach(key, table, kept=True))
                continue
            pot = None
        if key in context.only_frozen:
            continue
        extra = own_price(key, table)
        for preference in SHARED:
            extra += preference.price(key, table)
        if pot is not None and _may_be_had(key, table, pots):
            # What is added to a portion is made ready where the pot is cooked, as its minutes are.
            short = _minutes_on(context, table, pot.day) < SHORT_MIN
            one = quickest(context, choice) if short else choice
            kept = kept_portion(one, table, pot, history, context.space)
            if kept is not None:
                offer.append(replace(kept, cost=kept.cost + extra))
                origin.append(pot.day)
                barred.append(breach(key, table, kept=True))
                continue
        if _REPEAT.used_up(key, table):
            continue
        cost = choice.cost
        for preference in FRESH:
            cost += preference.price(key, table)
        offer.append(replace(choice, cost=cost + extra))
        origin.append(None)
        barred.append(breach(key, table, kept=False))
    return offer, origin, barred


def _frozen(
    context: Context,
    table: Table,
    choice: Choice,
    history: Mapping[int, Sequence[Served]],
    pots: Mapping[str, PotLeft],
) -> Choice | None:
    """Offer a portion out of the freezer, for which nothing is bought; None where it cannot be."""
    if not _may_be_had(choice.dish, table, pots):
        return None
    kept = kept_portion(choice, table, pots[choice.dish], history, context.space)
    if kept is None:
        return None
    extra = sum(preference.price(choice.dish, table) for preference in FROZEN)
    return replace(kept, cost=kept.cost + extra)


def quickest(context: Context, choice: Choice) -> Choice:
    """
    Leave off add-ons where they take minutes that a short day does not have.

    Parameters
    ----------
    context : Context
    choice : Choice

    Returns
    -------
    Choice
    """
    if not choice.optional.any():
        return choice
    required = frozenset(context.space.foods[food].key for food in choice.foods[~choice.optional])
    minutes = hands_on(context.by_key[choice.dish], required, 1, context.ahead_min)
    if minutes >= choice.minutes:
        return choice
    return replace(choice.without(choice.optional), minutes=minutes)


def _may_be_had(dish: str, table: Table, pots: Mapping[str, PotLeft]) -> bool:
    """Say whether a portion takes no time the cook lacked, and is not left for a later dinner."""
    if table.pot_days == 0 and table.slot.occasion == "evening":
        return True
    if pots[dish].over_min > 0:
        return False
    dinners = range(table.day, table.day + table.days_to_pot)
    return table.pot_days != 0 or spare_for_lunch(dish, pots, dinners)


def _by_cooking_days(
    context: Context,
    table: Table,
    offer: list[Choice],
    origin: list[int | None],
    *,
    new_pot: bool,
) -> tuple[tuple[Choice, ...], tuple[int | None, ...]]:
    """Hold main meals to what a cooking day cooks or cooked, as long as there is any."""
    kept = list(range(len(offer)))
    if table.slot.occasion == "evening" and table.pot_days == 0:
        kept = [place for place in kept if origin[place] is not None] or kept
    elif table.pot_days and new_pot:
        fresh = [
            place
            for place, choice in enumerate(offer)
            if keeps_for(context.by_key[choice.dish], table.pot_days)
        ]
        for place in fresh:
            offer[place] = _as_pot(context, offer[place], table)
        # Dinner comes first; at midday the same pot again is no other dish.
        least = 1 if table.slot.occasion == "evening" else 2
        kept = fresh if len(fresh) >= least else kept
    return tuple(offer[place] for place in kept), tuple(origin[place] for place in kept)


def _as_pot(context: Context, choice: Choice, table: Table) -> Choice:
    """Count the minutes of all that a cooking day cooks, and what short days after it have."""
    dish = context.by_key[choice.dish]
    foods = frozenset(context.space.foods[food].key for food in choice.foods)
    most = min(table.pot_days or 1, dish.batch_portions)
    kept = minutes_kept(dish, foods, 1).hands
    over = sum(
        max(0.0, kept - spare)
        for spare in minutes_for_mains(context, table.weekday, table.pot_days or 0)
    )
    return replace(
        choice,
        minutes=hands_on(dish, foods, most, context.ahead_min),
        cost=choice.cost + OVER_MINUTE * over,
    )
