"""
From targets to days of meals: the only module that knows the whole planning chain.

A week is planned day after day, with prices on repeating a dish, a protein base or a main starch
and on each food the week does not use yet, and a discount on eating a kept portion.
"""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal, TypedDict, cast

import numpy as np

from foods import FoodError
from foods.catalogue import Catalogue
from foods.custom.food import OwnFood
from foods.dishes.load import load_dishes
from foods.dishes.minutes import Minutes
from foods.dishes.model import Dish
from foods.dishes.render import Told
from mealplan.client.intake import WEEKDAYS, Intake, Weekday, clock_text, minute_of_day
from mealplan.errors import IntakeError, NoPlanError, SafetyRefusal
from mealplan.kitchen.boiling import pulses_to_boil
from mealplan.kitchen.composition_spread import Z_SCORES, Spread, floor_margin
from mealplan.kitchen.custom_foods import catalogue_of, dishes_of, label_sentences
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.kitchen.measures import amount_phrase, in_measures
from mealplan.kitchen.method import (
    how_kept,
    made_fresh,
    minutes_for,
    minutes_kept,
    put_in_at_plate,
    told,
)
from mealplan.kitchen.preferences import Exclusions, read_exclusions
from mealplan.lp.build import best_amounts
from mealplan.lp.column_bound import relax
from mealplan.lp.daymodel import Choice, DayModel
from mealplan.lp.explain import dearest_floors, explain_day
from mealplan.lp.search import DayAnswer, solve_day
from mealplan.lp.week_bound import DayKind, Ties, bound_week, family_curve
from mealplan.market.forms import as_bought
from mealplan.market.price_list import PriceList, price_list
from mealplan.market.purchase_habits import hard_to_find, kin_of
from mealplan.menu.adequacy import (
    day_adequacy,
    day_protein_quality,
    explain_minutes,
    explain_misses,
)
from mealplan.menu.candidates import COST_PER_MINUTE, dish_families, make_choice, suits
from mealplan.menu.improve import improve, steps_of
from mealplan.menu.occasions import slots_for
from mealplan.plan import Meal, Plan, PlanDay, Serving
from mealplan.rules import Scope, Slot, day_rows
from mealplan.shopping.stock import Stock
from mealplan.shopping.unit_prices import eaten_rates
from mealplan.targets.ranges import DayTargets, TargetRange, Targets

WINDOW_DAYS = 7
"""Repeats are counted over this many days."""
MOST_IN_WINDOW = 2
"""A dish is served at most this often in the window."""
COST_AGAIN = 0.12
"""Serving a dish again within the window."""
COST_AGAIN_SOON = 0.35
"""Serving it again within two days, freshly cooked."""
GAIN_KEPT = 0.08
"""What a kept portion saves beyond its minutes."""
KEPT_RANGE = (0.75, 1.3)
"""A kept portion may differ from the one served fresh by these factors."""

KEPT_AT = ("midday", "small")
"""Meals a kept portion may fill: a box at midday, something ready between meals."""

COST_SAME_FAMILY = 0.05
"""Two meals of a day with the same protein base or main starch."""
COST_FAMILY_NEAR = 0.015
"""A meal of the day before or after with the same protein base or main starch."""
COST_NEW_FOOD = 0.005
"""A food the rest of the plan does not use: one more thing to buy, with leftovers."""

PAUSE_MIN = 15
"""Between the end of a session and a meal whose usual time falls into it. [min]"""

COST_KIN = 0.03
"""Buying a second thing of a kind of which a household keeps one: two sorts of firm tofu."""
COST_FAR_FETCHED = 0.06
"""A food that few shops have, unless it is liked, at home, or the household is well supplied."""
PACK_SHARE = 0.5
"""Price of opening a pack that costs the whole week's budget, where there is one."""

GAIN_AT_HOME = 0.03
"""Using up a food that is in the cupboard."""

GAIN_FIT = 0.03
"""A dish made for before or after training, served there."""
COST_UNFIT = 0.12
"""A heavy or very fibrous dish, one to eat away from training, shortly before it."""
BEFORE_MIN, AFTER_MIN = 240, 120
"""Meals this long before a session begins, or after it ends, belong to it (common practice)."""

COST_FADING = 0.012
"""A food that keeps fewer days cold than have gone by since the shopping."""

COST_OVER_MINUTE = 0.03
"""Each minute of hands-on work beyond what the day's cook has."""

NEAR_DISHES = 16
"""Dishes of a meal whose foods a quick bound on weeks counts."""

MOST_CLASH_SENTENCES = 6
"""Sentences about the worst day that stand in a plan."""

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Served:
    """What a planned meal was, for variety and kept portions."""

    dish: str
    grams: Mapping[str, float]
    kept_from: int | None
    """Index of the day it was cooked, when this is a kept portion."""
    name: str = ""
    """What it was, when it was no dish of ours."""
    other_kcal: float = 0.0
    """Energy eaten whose foods are not known. [kcal]"""


@dataclass(frozen=True)
class Context:
    """Everything about a client that does not change from day to day."""

    intake: Intake
    targets: Targets
    space: FoodSpace
    dishes: tuple[Dish, ...]
    exclusions: Exclusions

    @classmethod
    def make(
        cls, intake: Intake, targets: Targets, dishes: Sequence[Dish] | None = None
    ) -> Context:
        """
        Gather a client's planning context.

        Parameters
        ----------
        intake : Intake
        targets : Targets
        dishes : sequence of Dish, optional
            The dishes on offer; those that ship and the intake's own when left out.

        Returns
        -------
        Context
        """
        offered = tuple(dishes) if dishes is not None else dishes_of(intake)
        catalogue = catalogue_of(intake)
        return cls(
            intake=intake,
            targets=targets,
            space=FoodSpace.of(catalogue),
            dishes=offered,
            exclusions=read_exclusions(intake, catalogue, offered),
        )

    @cached_property
    def by_key(self) -> dict[str, Dish]:
        """Dishes by key."""
        return {dish.key: dish for dish in self.dishes}

    @cached_property
    def slots(self) -> tuple[Slot, ...]:
        """Meals of the day."""
        return slots_for(self.intake)

    @cached_property
    def families(self) -> dict[str, frozenset[str]]:
        """What gives each dish its character."""
        return {dish.key: dish_families(dish, self.space) for dish in self.dishes}

    @cached_property
    def name_bought(self) -> dict[str, str]:
        """Name under which each food is bought; raw and cooked carrots are one."""
        shop = self.intake.kitchen.shop
        return {food.key: as_bought(food, shop).food.bought_name for food in self.space.foods}

    @cached_property
    def kin(self) -> dict[str, str]:
        """Kind of each thing bought of which a household keeps one at a time."""
        return {self.name_bought[key]: kind for key, kind in kin_of().items()}

    @cached_property
    def bought(self) -> dict[str, frozenset[str]]:
        """What each dish cannot do without by the name it is bought under, seasonings aside."""
        return {
            dish.key: frozenset(
                self.name_bought[line.food]
                for line in dish.lines
                if not line.optional
                and self.space.foods[self.space.index[line.food]].role
                not in ("flavour", "fat", "liquid")
            )
            for dish in self.dishes
        }

    @cached_property
    def far_fetched(self) -> dict[str, int]:
        """How many foods each dish needs that few shops have and this client does not like."""
        if self.intake.kitchen.shop.well_stocked:
            return {}
        rare = hard_to_find() - self.exclusions.liked
        return {
            dish.key: count
            for dish in self.dishes
            if (
                count := sum(
                    line.food in rare and self.name_bought[line.food] not in self.cupboard
                    for line in dish.lines
                    if not line.optional
                )
            )
        }

    @cached_property
    def cupboard(self) -> frozenset[str]:
        """What is at home, by the name it is bought under: its use is preferred."""
        find = self.space.catalogue.food
        try:
            keys = [find(item.food).key for item in self.intake.kitchen.cupboard]
        except FoodError as error:
            raise IntakeError(f"kitchen.cupboard: {error}") from None
        return frozenset(self.name_bought[key] for key in keys)

    @cached_property
    def fading(self) -> dict[str, tuple[int, ...]]:
        """Days [days] the perishable foods of each dish keep cold, as bought."""
        return {
            dish.key: tuple(
                days
                for line in dish.lines
                if not line.optional
                and (days := self.space.foods[self.space.index[line.food]].fridge_days) is not None
            )
            for dish in self.dishes
        }

    def near_training(self, weekday: str) -> dict[int, Literal["before", "after"]]:
        """
        Say which meals of a weekday lie shortly before or after a session whose time is known.

        Parameters
        ----------
        weekday : str

        Returns
        -------
        dict of int to str
            By meal; a meal between two sessions counts as before the second.
        """
        found: dict[int, Literal["before", "after"]] = {}
        for begins, ends in self.sessions_on(weekday):
            for slot in self.slots:
                at = minute_of_day(self.time_on(slot, weekday))
                if 0 < begins - at <= BEFORE_MIN:
                    found[slot.index] = "before"
                elif 0 <= at - ends <= AFTER_MIN:
                    found.setdefault(slot.index, "after")
        return found

    def sessions_on(self, weekday: str) -> tuple[tuple[float, float], ...]:
        """
        Say when a weekday's sessions begin and end, where that is known.

        Parameters
        ----------
        weekday : str

        Returns
        -------
        tuple of (float, float)
            Minutes after midnight, in order. [min]
        """
        return tuple(
            sorted(
                (float(begins), begins + session.minutes)
                for session in getattr(self.intake.activity, "sessions", ())
                if session.day == weekday and session.time is not None
                for begins in (minute_of_day(session.time),)
            )
        )

    def time_on(self, slot: Slot, weekday: str) -> str:
        """
        Say when a meal is eaten: at its usual time, or after the session that time falls into.

        Parameters
        ----------
        slot : Slot
        weekday : str

        Returns
        -------
        str
            HH:MM; the usual time where the next meal would be overtaken.
        """
        at = minute_of_day(slot.time)
        for begins, ends in self.sessions_on(weekday):
            if begins <= at < ends:
                later = 5 * math.ceil((ends + PAUSE_MIN) / 5)
                following = [minute_of_day(s.time) for s in self.slots if s.index > slot.index]
                if later < min([*following, 24 * 60]):
                    return clock_text(later)
        return slot.time

    def days_since_shopping(self, day: int, weekday: str) -> int:
        """
        Count the days since food was bought: on the first day, and on named shopping days after it.

        Parameters
        ----------
        day : int
            Index of the day in the plan.
        weekday : str
            Of that day.

        Returns
        -------
        int
        """
        shop = self.intake.kitchen.shop
        if not shop.second_trips or not shop.shop_on:
            return day
        here = WEEKDAYS.index(cast("Weekday", weekday))
        return min(
            day, *((here - WEEKDAYS.index(shopping_day)) % 7 for shopping_day in shop.shop_on)
        )

    @cached_property
    def prices(self) -> PriceList | None:
        """The household's own prices; None when it gave none."""
        return price_list(self.intake.kitchen.shop, self.space.catalogue)

    @cached_property
    def worth_per_gram(self) -> np.ndarray | None:
        """Worth of a gram eaten [currency/g], (foods,); None without prices."""
        if self.prices is None:
            return None
        return eaten_rates(self.space, self.prices, self.intake.kitchen.shop)

    @cached_property
    def cost_to_open(self) -> dict[str, float]:
        """Price of buying each thing at all: one more on the list, a whole pack of it."""
        budget = self.intake.kitchen.shop.budget_per_week
        opened = dict.fromkeys(self.name_bought.values(), COST_NEW_FOOD)
        if self.prices is not None and budget is not None:
            for name, packs in self.prices.by_name.items():
                if name in opened:
                    opened[name] += PACK_SHARE * min(packs.values()) / budget
        return opened

    def kinds_of(self, names: Collection[str]) -> frozenset[str]:
        """Kinds of which a household keeps one, among things bought."""
        return frozenset(self.kin[name] for name in self.kin.keys() & set(names))

    def price_of_buying(self, dish: str, at_home: Collection[str], kinds: Collection[str]) -> float:
        """
        Price what a dish needs that the other days do not use yet.

        Parameters
        ----------
        dish : str
            Key.
        at_home : collection of str
            Names of what is bought or in the cupboard anyway.
        kinds : collection of str
            Their kinds.

        Returns
        -------
        float
        """
        new = self.bought[dish].difference(at_home)
        return sum(
            self.cost_to_open[name] + COST_KIN * (self.kin.get(name) in kinds) for name in new
        )

    @cached_property
    def budget(self) -> float | None:
        """A seventh of the client's part of the week's budget [currency/day]."""
        options = self.intake.kitchen.shop
        if options.budget_per_week is None:
            return None
        portions = [eater.portion for eater in options.portions(self.intake.kitchen.people)]
        return options.budget_per_week / 7 * portions[0] / sum(portions)

    @cached_property
    def allowed(self) -> frozenset[str]:
        """Catalogue keys the client may eat."""
        return frozenset(food.key for food in self.space.foods) - self.exclusions.foods

    @cached_property
    def _choices(self) -> dict[float, tuple[tuple[Choice, ...], ...]]:
        return {}

    def choices(self, energy_kcal: float) -> tuple[tuple[Choice, ...], ...]:
        """
        Offer every suitable dish at every meal of a day of this energy, variety aside.

        Parameters
        ----------
        energy_kcal : float
            The day's energy. [kcal]

        Returns
        -------
        tuple of tuple of Choice
            One tuple a meal.

        Raises
        ------
        NoPlanError
            When a meal is left without any dish.
        """
        if energy_kcal not in self._choices:
            offers = []
            for slot in self.slots:
                made = (
                    make_choice(
                        dish, slot, slot.energy_share * energy_kcal, self.space, self.exclusions
                    )
                    for dish in self.dishes
                    if suits(dish, slot, self.intake, self.exclusions)
                )
                offer = tuple(choice for choice in made if choice is not None)
                if not offer:
                    raise NoPlanError(
                        f"no dish is left for the {slot.label.lower()}: allergies, refusals, heat"
                        " and equipment together rule out every one; relax one of them or add a"
                        " dish",
                        tuple(
                            f"{word!r} rules out {n} foods"
                            for word, n in self.exclusions.words.items()
                        ),
                    )
                offers.append(offer)
            self._choices[energy_kcal] = tuple(offers)
        return self._choices[energy_kcal]


def _history_cost(
    choice: Choice, day: int, history: Mapping[int, Sequence[Served]]
) -> float | None:
    """Price a dish's earlier and later servings put on it; None when it is used up."""
    near = [
        (other, served)
        for other, meals in history.items()
        if other != day and abs(other - day) < WINDOW_DAYS
        for served in meals
        if served.dish == choice.dish
    ]
    if len(near) >= MOST_IN_WINDOW:
        return None
    return sum(COST_AGAIN_SOON if abs(other - day) <= 2 else COST_AGAIN for other, _ in near)


def _kept(
    choice: Choice,
    day: int,
    history: Mapping[int, Sequence[Served]],
    dish: Dish,
    space: FoodSpace,
) -> tuple[Choice, int] | None:
    """Offer a dish cooked on one of the last days as a kept portion, if it keeps that long."""
    for back in range(1, dish.keeps_days + 1):
        for served in history.get(day - back, ()):
            if served.dish != choice.dish or served.kept_from is not None:
                continue
            others = sum(
                1 for meals in history.values() for meal in meals if meal.dish == choice.dish
            )
            if dish.batch_portions < 2 or others >= MOST_IN_WINDOW:
                return None
            before = _grams_in(space, choice, served)
            least = np.ceil(before * KEPT_RANGE[0] / choice.step - 1e-9) * choice.step
            most = np.floor(before * KEPT_RANGE[1] / choice.step + 1e-9) * choice.step
            cooked = before > 0
            free = choice.optional
            low = np.where(cooked & ~free, np.clip(least, choice.low, choice.high), choice.low)
            high = np.where(cooked & ~free, np.clip(most, low, choice.high), choice.high)
            typical = np.where(cooked, np.clip(before, low, high), choice.typical)
            kept = replace(
                choice,
                low=low,
                high=np.maximum(high, typical),
                typical=typical,
                cost=_kept_cost(choice, dish),
                ratios=(),
            )
            return kept, day - back
    return None


def _grams_in(space: FoodSpace, choice: Choice, served: Served) -> np.ndarray:
    """Grams of each line of a choice in a meal that was served."""
    return np.array([served.grams.get(space.foods[food].key, 0.0) for food in choice.foods])


def _kept_cost(choice: Choice, dish: Dish) -> float:
    return max(0.0, choice.cost - GAIN_KEPT - COST_PER_MINUTE * dish.hands_on_min)


def week_bound(
    context: Context,
    targets: Sequence[DayTargets],
    avoid: Mapping[str, float] | None = None,
    *,
    thorough: bool = True,
) -> float | None:
    """
    Bound every plan of some days from below, whichever dishes the days serve.

    Days with the same targets, minutes and training are blended. A dish fits each day as well as
    it fits the best of them and a kept portion may have any amounts in its range: that can only
    lower the bound.

    Parameters
    ----------
    context : Context
    targets : sequence of DayTargets
        One a day, in order.
    avoid : mapping of str to float, optional
        Extra price by dish key.
    thorough : bool
        False for a bound found in a third of the time, one to five per cent lower.

    Returns
    -------
    float or None
        No plan can score less. None where dishes are so few that a plan may have to serve one
        more often than is usual.
    """
    servings = WINDOW_DAYS * len(context.slots)
    if any(
        MOST_IN_WINDOW * len(offer) <= servings
        for asked in targets
        for offer in context.choices(asked.energy_kcal)
    ):
        return None
    weeks = -(-len(targets) // WINDOW_DAYS)
    groups: dict[tuple[object, ...], list[int]] = {}
    for day, asked in enumerate(targets):
        alike = (
            asked.model_dump_json(exclude={"weekday"}),
            context.intake.kitchen.hands_on_min.get(asked.weekday),
            tuple(sorted(context.near_training(asked.weekday).items())),
        )
        groups.setdefault(alike, []).append(day)
    offered = {
        choice.dish
        for asked in targets
        for offer in context.choices(asked.energy_kcal)
        for choice in offer
    }
    bought = {key: context.bought[key] - context.cupboard for key in offered}
    kinds = []
    for days in groups.values():
        asked = targets[days[0]]
        rows = day_model(context, days[0], asked, {})[0].rows
        offers, kept = [], []
        for slot, base in zip(context.slots, context.choices(asked.energy_kcal), strict=True):
            fits = [own_prices(context, day, targets[day], slot, base, avoid or {}) for day in days]
            efforts = [minutes_prices(context, targets[day], slot, base) for day in days]
            own = np.min(fits, axis=0)
            fresh_own = np.min(np.array(fits) + np.array(efforts), axis=0)
            fresh = [
                replace(choice, cost=choice.cost + float(price))
                for choice, price in zip(base, fresh_own, strict=True)
            ]
            again = [
                replace(
                    choice,
                    cost=_kept_cost(choice, dish) + float(price),
                    deviation=np.zeros(len(choice.foods)),
                    ratios=(),
                )
                for choice, price in zip(base, own, strict=True)
                if (dish := context.by_key[choice.dish]).keeps_days >= 1
                and dish.batch_portions >= 2
                and context.intake.kitchen.leftovers
                and slot.occasion in KEPT_AT
            ]
            offers.append((*fresh, *again))
            kept.append(np.arange(len(fresh) + len(again)) >= len(fresh))
        model = DayModel(rows, context.slots, tuple(offers), context.space.max_g_day)
        kinds.append(DayKind(model, tuple(kept), len(days), len([day for day in days if day])))
    ties = Ties(
        most_each=MOST_IN_WINDOW * weeks,
        price_over=1.0,
        free_fresh=weeks,
        price_again=min(COST_AGAIN, COST_AGAIN_SOON),
        family_steps=family_curve(
            len(targets), len(context.slots), COST_SAME_FAMILY, COST_FAMILY_NEAR
        ),
        bought=bought,
        price_bought=context.cost_to_open,
        name_bought=[context.name_bought[food.key] for food in context.space.foods],
    )
    return bound_week(kinds, ties, near=None if thorough else NEAR_DISHES)


def day_model(
    context: Context,
    day: int,
    targets: DayTargets,
    history: Mapping[int, Sequence[Served]],
    *,
    avoid: Mapping[str, float] | None = None,
    keep: Mapping[int, str] | None = None,
    settled: Mapping[int, Served] | None = None,
    margins: Mapping[str, float] | None = None,
    stock: Stock | None = None,
) -> tuple[DayModel, tuple[tuple[int | None, ...], ...]]:
    """
    Build one day's model with the prices its neighbours put on its dishes.

    Parameters
    ----------
    context : Context
    day : int
        Index of the day in the plan.
    targets : DayTargets
        Its ranges.
    history : mapping of int to sequence of Served
        What the other days serve.
    avoid : mapping of str to float, optional
        Extra price by dish key, for another day than the one shown.
    keep : mapping of int to str, optional
        Dish a meal must stay, by meal; its amounts may move.
    settled : mapping of int to Served, optional
        Meals already eaten or portioned, by meal; nothing about them moves.
    margins : mapping of str to float, optional
        What to add to a floor so that it really holds, by nutrient. [nutrient unit]
    stock : Stock, optional
        What is at home, when the day should be made from it.

    Returns
    -------
    model : DayModel
    kept_from : tuple of tuples
        For each meal and dish, the day it was cooked, or None when cooked fresh.
    """
    keep, settled = keep or {}, settled or {}
    offers: list[tuple[Choice, ...]] = []
    origins: list[tuple[int | None, ...]] = []
    for slot, base in zip(context.slots, context.choices(targets.energy_kcal), strict=True):
        if slot.index in settled:
            offers.append((_fixed_choice(settled[slot.index], context.space),))
            origins.append((settled[slot.index].kept_from,))
            continue
        wanted = keep.get(slot.index)
        kept = tuple(choice for choice in base if choice.dish == wanted)
        offer, origin = _offer(context, day, targets, slot, kept or base, history, avoid or {})
        if not offer:
            # A dish kept stays at no extra price; where every dish is used up, any may come again.
            offer = kept or tuple(replace(choice, cost=choice.cost + 1.0) for choice in base)
            origin = (None,) * len(offer)
        if stock is not None:
            offer = tuple(
                stock.held_to(choice) if cooked is None else choice
                for choice, cooked in zip(offer, origin, strict=True)
            )
        offers.append(offer)
        origins.append(origin)
    scope = Scope(
        intake=context.intake,
        targets=context.targets,
        day=targets,
        slots=context.slots,
        space=context.space,
        margins=margins or {},
        other_kcal={slot: served.other_kcal for slot, served in settled.items()},
        worth_per_gram=context.worth_per_gram,
        budget=context.budget,
    )
    model = DayModel(
        rows=(*day_rows(scope), *(stock.rows() if stock is not None else ())),
        slots=context.slots,
        offers=tuple(offers),
        food_ceiling_g=np.maximum(context.space.max_g_day, _already(context.space, settled)),
        family_price=COST_SAME_FAMILY,
    )
    return model, tuple(origins)


def _already(space: FoodSpace, settled: Mapping[int, Served]) -> np.ndarray:
    """Grams of each food in meals that cannot change: no ceiling can forbid what was eaten."""
    grams = np.zeros(len(space))
    for served in settled.values():
        for key, amount in served.grams.items():
            grams[space.index[key]] += amount
    return grams


def own_prices(
    context: Context,
    day: int,
    targets: DayTargets,
    slot: Slot,
    base: Sequence[Choice],
    avoid: Mapping[str, float],
) -> list[float]:
    """
    Price what makes a dish fit a day's meal or not, whatever the other days serve.

    Parameters
    ----------
    context, day, targets, avoid
        As in :func:`day_model`.
    slot : Slot
        The meal.
    base : sequence of Choice
        The dishes.

    Returns
    -------
    list of float
        To be added to each dish's cost.
    """
    training = context.near_training(targets.weekday).get(slot.index)
    since = context.days_since_shopping(day, targets.weekday)
    prices = []
    for choice in base:
        dish = context.by_key[choice.dish]
        price = avoid.get(choice.dish, 0.0)
        price -= GAIN_AT_HOME * len(context.bought[choice.dish] & context.cupboard)
        price += COST_FAR_FETCHED * context.far_fetched.get(choice.dish, 0)
        price += COST_FADING * sum(days < since for days in context.fading[choice.dish])
        if training is not None and dish.training == training:
            price -= GAIN_FIT
        elif training == "before" and dish.training == "away from training":
            price += COST_UNFIT
        prices.append(price)
    return prices


def minutes_prices(
    context: Context, targets: DayTargets, slot: Slot, base: Sequence[Choice]
) -> list[float]:
    """
    Price the hands-on minutes a dish cooked fresh takes beyond what the day's cook has.

    Parameters
    ----------
    context, targets
        As in :func:`day_model`.
    slot : Slot
        The meal.
    base : sequence of Choice
        The dishes.

    Returns
    -------
    list of float
        To be added to each dish's cost.
    """
    minutes = context.intake.kitchen.hands_on_min.get(targets.weekday)
    if minutes is None:
        return [0.0] * len(base)
    # The day's minutes are shared by the meals cooked fresh, roughly by how long they take.
    most = minutes * slot.energy_share * 1.2
    return [
        COST_OVER_MINUTE * max(0.0, context.by_key[choice.dish].hands_on_min - most)
        for choice in base
    ]


def _offer(
    context: Context,
    day: int,
    targets: DayTargets,
    slot: Slot,
    base: tuple[Choice, ...],
    history: Mapping[int, Sequence[Served]],
    avoid: Mapping[str, float],
) -> tuple[tuple[Choice, ...], tuple[int | None, ...]]:
    """Price a meal's dishes by what other days serve and by minutes, those used up left out."""
    may_keep = context.intake.kitchen.leftovers and slot.occasion in KEPT_AT
    offer: list[Choice] = []
    origin: list[int | None] = []
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
        for food in served.grams
    }
    kinds = context.kinds_of(at_home)
    fits = own_prices(context, day, targets, slot, base, avoid)
    minutes = minutes_prices(context, targets, slot, base)
    for choice, own, effort in zip(base, fits, minutes, strict=True):
        dish = context.by_key[choice.dish]
        extra = own + COST_FAMILY_NEAR * sum(near[family] for family in choice.families)
        extra += context.price_of_buying(choice.dish, at_home, kinds)
        kept = _kept(choice, day, history, dish, context.space) if may_keep else None
        if kept is not None:
            offer.append(replace(kept[0], cost=kept[0].cost + extra))
            origin.append(kept[1])
            continue
        price = _history_cost(choice, day, history)
        if price is None:
            continue
        offer.append(replace(choice, cost=choice.cost + price + effort + extra))
        origin.append(None)
    return tuple(offer), tuple(origin)


def _fixed_choice(served: Served, space: FoodSpace) -> Choice:
    """Make a choice whose amounts cannot move."""
    # A meal of which only the energy is known still needs a line: nothing of the first food.
    amounts = dict(served.grams) or {space.foods[0].key: 0.0}
    keys = list(amounts)
    grams = np.array([amounts[key] for key in keys], dtype=float)
    return Choice(
        dish=served.dish,
        foods=np.array([space.index[key] for key in keys], dtype=np.int64),
        low=grams,
        typical=grams,
        high=grams,
        step=np.where(grams > 0, grams, 1.0),
        optional=np.zeros(len(keys), dtype=bool),
        cost=0.0,
        deviation=np.zeros(len(keys)),
    )


def _serve(
    context: Context,
    model: DayModel,
    answer: DayAnswer,
    origins: Sequence[Sequence[int | None]],
    settled: Mapping[int, Served] | None = None,
) -> tuple[Served, ...]:
    served: list[Served] = []
    for slot, (pick, grams) in enumerate(zip(answer.picks, answer.grams, strict=True)):
        if settled and slot in settled:
            served.append(settled[slot])
            continue
        choice = model.offers[slot][pick]
        amounts = {
            context.space.foods[food].key: float(amount)
            for food, amount in zip(choice.foods, grams, strict=True)
            if amount > 0
        }
        served.append(Served(choice.dish, amounts, origins[slot][pick]))
    return tuple(served)


@dataclass(frozen=True)
class Solved:
    """One day's answer and what it serves."""

    served: tuple[Served, ...]
    objective: float
    bound: float
    model: DayModel = field(repr=False)
    answer: DayAnswer = field(repr=False)
    margins: Mapping[str, float] = field(default_factory=dict, repr=False)
    """What was added to floors, by nutrient. [nutrient unit]"""


def solve_one(
    context: Context,
    day: int,
    targets: DayTargets,
    history: Mapping[int, Sequence[Served]],
    *,
    avoid: Mapping[str, float] | None = None,
    keep: Mapping[int, str] | None = None,
    settled: Mapping[int, Served] | None = None,
    seed: int | None = None,
    stock: Stock | None = None,
) -> Solved:
    """
    Plan one day among its neighbours.

    Parameters
    ----------
    context, day, targets, history, avoid, keep, settled, stock
        As in :func:`day_model`.
    seed : int, optional
        The intake's seed plus the day's index when left out.

    Returns
    -------
    Solved
    """
    number = context.intake.seed + day if seed is None else seed

    def solve(margins: Mapping[str, float]) -> Solved:
        model, origins = day_model(
            context,
            day,
            targets,
            history,
            avoid=avoid,
            keep=keep,
            settled=settled,
            margins=margins,
            stock=stock,
        )
        answer = solve_day(model, seed=number)
        served = _serve(context, model, answer, origins, settled)
        bound = answer.relaxation.bound
        return Solved(served, answer.objective, bound, model, answer, margins)

    plain = solve({})
    z = Z_SCORES[context.intake.nutrition.floor_certainty_percent]
    if z == 0:
        return plain
    return solve(_margins(context, targets, plain.served, z))


def _margins(
    context: Context, targets: DayTargets, served: Sequence[Served], z: float
) -> dict[str, float]:
    """Say how far above each floor a day like this must aim for the wanted certainty."""
    grams = np.zeros(len(context.space))
    for meal in served:
        for key, amount in meal.grams.items():
            grams[context.space.index[key]] += amount
    spread = Spread.of(context.space)
    return {
        key: floor_margin(
            spread.total_sd(key, grams, digestible=target.digestible),
            z,
            spread.total_skew(key, grams, digestible=target.digestible),
        )
        for key, target in targets.ranges.items()
        if target.low is not None and key != "energy_kcal" and not target.from_supplement_only
    }


def score_days(
    context: Context,
    targets: Sequence[DayTargets],
    solved: Mapping[int, Solved],
    avoid: Mapping[str, float],
) -> float:
    """
    Score a plan as a whole: each day priced by the days before it.

    Parameters
    ----------
    context : Context
    targets : sequence of DayTargets
        One a day, in order.
    solved : mapping of int to Solved
        Every day's answer, whatever neighbours it was planned among.
    avoid : mapping of str to float
        Extra price by dish key.

    Returns
    -------
    float
        Infinite when a meal is not what the days before it would let it be: a dish once too
        often, or a kept portion that does not fit the one cooked.
    """
    history: dict[int, tuple[Served, ...]] = {}
    total = 0.0
    for day, asked in enumerate(targets):
        model, answer, meals = solved[day].model, solved[day].answer, solved[day].served
        misses = model.miss(model.totals(answer.picks, answer.grams))
        total += float(misses.sum()) + model.sameness(answer.picks)
        bases = context.choices(asked.energy_kcal)
        for slot, served, base in zip(context.slots, meals, bases, strict=True):
            one = tuple(choice for choice in base if choice.dish == served.dish)
            offer, origin = _offer(context, day, asked, slot, one, history, avoid)
            if not offer:
                return math.inf
            choice, kept_from = offer[0], origin[0]
            grams = _grams_in(context.space, choice, served)
            none = choice.optional & (grams == 0)
            inside = (grams >= choice.low - 1e-6) & (grams <= choice.high + 1e-6)
            if kept_from != served.kept_from or not (inside | none).all():
                return math.inf
            away = np.where(none, 0.0, np.abs(grams - choice.typical))
            total += choice.cost + float(away @ choice.deviation)
        history[day] = meals
    return total


def _among_neighbours(
    context: Context,
    targets: Sequence[DayTargets],
    solved: Mapping[int, Solved],
    avoid: Mapping[str, float],
) -> dict[int, Solved]:
    """Write each day's answer among the days before it, its amounts set exactly."""
    history: dict[int, tuple[Served, ...]] = {}
    found: dict[int, Solved] = {}
    for day, asked in enumerate(targets):
        margins = solved[day].margins
        model, origins = day_model(context, day, asked, history, avoid=avoid, margins=margins)
        picks = tuple(
            next(
                pick
                for pick, choice in enumerate(offer)
                if choice.dish == served.dish and cooked[pick] == served.kept_from
            )
            for offer, cooked, served in zip(model.offers, origins, solved[day].served, strict=True)
        )
        grams = tuple(
            _grams_in(context.space, choice, served)
            for choice, served in zip(
                (offer[pick] for offer, pick in zip(model.offers, picks, strict=True)),
                solved[day].served,
                strict=True,
            )
        )
        eaten_later = {
            meal.dish for later in solved.values() for meal in later.served if meal.kept_from == day
        }
        held = [
            slot
            for slot, meal in enumerate(solved[day].served)
            if meal.kept_from is None and meal.dish in eaten_later
        ]
        grams, objective = best_amounts(model, picks, grams, held)
        answer = DayAnswer(picks, grams, objective, relax(model))
        served = _serve(context, model, answer, origins)
        found[day] = Solved(served, objective, answer.relaxation.bound, model, answer, margins)
        history[day] = served
    return found


def _polished(
    context: Context,
    targets: Sequence[DayTargets],
    solved: Mapping[int, Solved],
    avoid: Mapping[str, float],
    tell: Callable[[int], None],
) -> dict[int, Solved]:
    """Search a plan's days further; never worse than what is given."""

    def replan(
        day: int,
        history: Mapping[int, tuple[Served, ...]],
        *,
        settled: Mapping[int, Served],
        lean: Mapping[str, float],
        seed: int,
    ) -> Solved:
        prices = {dish: avoid.get(dish, 0.0) + lean.get(dish, 0.0) for dish in {*avoid, *lean}}
        return solve_one(
            context, day, targets[day], history, avoid=prices, settled=settled, seed=seed
        )

    keepers = [
        dish.key for dish in context.dishes if dish.keeps_days >= 1 and dish.batch_portions >= 2
    ]
    better = improve(
        solved,
        replan,
        lambda trial: score_days(context, targets, trial, avoid),
        keepers if context.intake.kitchen.leftovers else (),
        seed=context.intake.seed,
        tell=tell,
    )
    exact = _among_neighbours(context, targets, better, avoid)
    before = sum(day.objective for day in solved.values())
    after = sum(day.objective for day in exact.values())
    return exact if after < before else dict(solved)


def make_plan(
    intake: Intake,
    targets: Targets,
    *,
    days: int = 7,
    first: dt.date | None = None,
    avoid: Sequence[str] = (),
    dishes: Sequence[Dish] | None = None,
    polish: bool = False,
    progress: Progress | None = None,
) -> Plan:
    """
    Plan days of meals for a client.

    Parameters
    ----------
    intake : Intake
        Kitchen, tastes and seed; the same intake gives the same plan.
    targets : Targets
        From :func:`mealplan.targets.make.make_targets`.
    days : int
        How many, 1 to 28. [days]
    first : date, optional
        First day; the intake's start when left out.
    avoid : sequence of str
        Dish keys already shown, to be passed over where others do as well.
    dishes : sequence of Dish, optional
        Dishes on offer; those that ship and the intake's own when left out.
    polish : bool
        True to search further once every day is planned: some twenty times as long, never worse.
    progress : callable, optional
        Called with (days done, days in all), or steps when the plan is polished.

    Returns
    -------
    Plan

    Raises
    ------
    SafetyRefusal
        When a guard rail forbids planning.
    NoPlanError
        When no dish is left for a meal.
    IntakeError
        When a taste names nothing known.
    """
    refuse_unsafe(targets)
    if not 1 <= days <= 28:
        raise NoPlanError(f"days={days} is outside 1 to 28; plan four weeks at most at a time")
    context = Context.make(intake, targets, dishes)
    start = first or intake.start
    dates = [start + dt.timedelta(days=offset) for offset in range(days)]
    day_targets = [targets.on_date(date) for date in dates]
    shunned = dict.fromkeys(avoid, 0.5)
    history: dict[int, tuple[Served, ...]] = {}
    solved: dict[int, Solved] = {}
    steps = days + (steps_of(days) if polish else 0)

    def tell(done: int) -> None:
        if progress is not None:
            progress(done, steps)

    for day in range(days):
        solved[day] = solve_one(context, day, day_targets[day], history, avoid=shunned)
        history[day] = solved[day].served
        tell(day + 1)
    if polish:
        solved = _polished(
            context, day_targets, solved, shunned, lambda done: tell(min(days + done, steps))
        )
        history = {day: answer.served for day, answer in solved.items()}
        tell(steps)
    lowest = (
        week_bound(context, day_targets, shunned, thorough=polish) if days >= WINDOW_DAYS else None
    )
    planned = tuple(
        plan_day(context, day, dates[day], day_targets[day], history, solved[day])
        for day in range(days)
    )
    ranges: dict[str, TargetRange] = {}
    for target in day_targets:
        ranges.update(target.ranges)
    return Plan(
        role=intake.role,
        start=start,
        seed=intake.seed,
        days=planned,
        supplements=targets.supplements,
        notices=targets.notices,
        explanation=(
            *explain_misses(planned, ranges, context.space, context.allowed),
            *explain_minutes(planned, intake.kitchen.hands_on_min),
            *explain_clashes(planned, solved),
        ),
        bound_note=bound_note(planned, lowest),
        floor_costs=floor_costs(context, planned, solved),
        **own_of(context, planned, ranges),
    )


class Own(TypedDict):
    """What a plan carries so that it can be read back alone."""

    own_foods: tuple[OwnFood, ...]
    own_dishes: tuple[Dish, ...]
    sources: tuple[str, ...]


def own_of(context: Context, days: Sequence[PlanDay], wanted: Iterable[str]) -> Own:
    """
    Gather the foods and dishes of one's own that a plan serves.

    Parameters
    ----------
    context : Context
    days : sequence of PlanDay
    wanted : iterable of str
        Nutrient keys with a range.

    Returns
    -------
    Own
        Fields of a plan.
    """
    eaten = {s.food for day in days for meal in day.meals for s in meal.servings}
    served = {meal.dish for day in days for meal in day.meals}
    shipped = {dish.key: dish for dish in load_dishes()}
    dishes = tuple(
        dish for dish in context.dishes if dish.key in served and shipped.get(dish.key) != dish
    )
    foods = tuple(food for food in context.intake.own_foods if food.key in eaten)
    return Own(own_foods=foods, own_dishes=dishes, sources=label_sentences(foods, wanted))


def explain_clashes(days: Sequence[PlanDay], solved: Mapping[int, Solved]) -> tuple[str, ...]:
    """
    Say which few wishes clash on the worst day, and what giving way on each would buy.

    Parameters
    ----------
    days : sequence of PlanDay
        The plan's days.
    solved : mapping of int to Solved
        By the day's place in the plan; days not in it are not explained.

    Returns
    -------
    tuple of str
        Empty when no floor or ceiling is missed.
    """
    missed = {
        place: sum(line.priority == "must" for line in days[place].missed) for place in solved
    }
    worst = max(missed, key=lambda place: (missed[place], days[place].objective), default=None)
    if worst is None or not missed[worst]:
        return ()
    found = explain_day(solved[worst].model, solved[worst].answer)
    return tuple(
        f"{days[worst].date:%A}: {sentence}" for sentence in found.sentences[:MOST_CLASH_SENTENCES]
    )


def floor_costs(
    context: Context, days: Sequence[PlanDay], solved: Mapping[int, Solved]
) -> tuple[str, ...]:
    """
    Say which floor or ceiling costs most energy, and money when prices are known.

    Parameters
    ----------
    context : Context
    days : sequence of PlanDay
    solved : mapping of int to Solved
        By the day's place in the plan.

    Returns
    -------
    tuple of str
        For the day on which meeting everything is hardest.
    """
    hardest = max(solved, key=lambda place: days[place].objective)
    currency = context.intake.kitchen.shop.currency
    return dearest_floors(solved[hardest].model, context.worth_per_gram, currency)


def bound_note(days: Sequence[PlanDay], lowest: float | None = None) -> str:
    """
    Say how near the plan is to the best its dishes could do.

    Parameters
    ----------
    days : sequence of PlanDay
    lowest : float, optional
        What no plan of these days can score less than, whichever dishes its days serve.

    Returns
    -------
    str
        The day's bounds hold with each day's neighbours as they are; the lowest holds for all.
    """
    reached = sum(day.objective for day in days)
    least = sum(day.bound for day in days)
    said = (
        f"Misses and preferences together score {reached:.2f} over these days, where 0 would be "
        f"perfect; with the dishes on offer, each day's neighbours as they are, no plan can score "
        f"below {least:.2f}"
    )
    if lowest is None:
        return f"{said}."
    return f"{said}, and none at all, whatever its days serve, below {lowest:.2f}."


def refuse_unsafe(targets: Targets) -> None:
    """
    Stop when a guard rail forbids acting on these targets.

    Parameters
    ----------
    targets : Targets

    Raises
    ------
    SafetyRefusal
        One line that says what is refused, why and whom to see.
    """
    refusals = [n for n in targets.notices if n.severity in ("refuse", "override")]
    if refusals:
        said = " ".join(
            f"{n.message}{' See ' + n.see + '.' if n.see else ''} [{n.code}]" for n in refusals[:3]
        )
        raise SafetyRefusal(f"no plan is made: {said}")


def plan_day(
    context: Context,
    index: int,
    date: dt.date,
    targets: DayTargets,
    history: Mapping[int, Sequence[Served]],
    solved: Solved,
) -> PlanDay:
    """
    Write a solved day out as a plan's day.

    Parameters
    ----------
    context : Context
    index : int
        Of the day in the plan.
    date : date
    targets : DayTargets
    history : mapping of int to sequence of Served
        All days, for kept portions.
    solved : Solved

    Returns
    -------
    PlanDay
    """
    space = context.space
    meals = tuple(
        _meal(context, slot, served, index, date, history)
        for slot, served in zip(context.slots, solved.served, strict=True)
    )
    eaten: dict[str, float] = {}
    for served in solved.served:
        for key, grams in served.grams.items():
            eaten[key] = eaten.get(key, 0.0) + grams
    other = sum(served.other_kcal for served in solved.served)
    energy = space.per_gram("energy_kcal")
    total = other + sum(float(energy[space.index[key]]) * g for key, g in eaten.items())
    return PlanDay(
        date=date,
        weekday=targets.weekday,
        meals=meals,
        energy_kcal=round(total, 1),
        energy_target_kcal=targets.energy_kcal,
        adequacy=day_adequacy(targets, eaten, space, other_kcal=other),
        objective=round(solved.objective, 4),
        bound=round(solved.bound, 4),
        hands_on_min=sum(meal.hands_on_min for meal in meals),
        protein_quality=day_protein_quality(
            eaten,
            context.intake.nutrition.amino_acid_pattern,
            context.intake.age_years,
            space.catalogue,
        ),
    )


def _meal(
    context: Context,
    slot: Slot,
    served: Served,
    index: int,
    date: dt.date,
    history: Mapping[int, Sequence[Served]],
) -> Meal:
    space = context.space
    dish = context.by_key.get(served.dish)
    energy = space.per_gram("energy_kcal")
    weights = np.zeros(len(space))
    for key, grams in served.grams.items():
        weights[space.index[key]] = grams
    lines = (
        [(line.food, line.called, line.optional) for line in dish.lines]
        if dish is not None
        else [(key, space.foods[space.index[key]].name.lower(), False) for key in served.grams]
    )
    servings = tuple(
        _serving(
            space, key, served.grams[key], called, optional, energy, context.intake.kitchen.units
        )
        for key, called, optional in lines
        if served.grams.get(key)
    )
    kept = served.kept_from
    fresh = dish is not None and kept is None
    boxes = [
        (day - index, meal)
        for day, meals in history.items()
        for meal in meals
        if meal.dish == served.dish and meal.kept_from == index
    ]
    written = (
        _told(dish, served, boxes, context.intake.kitchen.units, space.catalogue)
        if dish is not None
        else Told((), (), ())
    )
    used = set(served.grams).union(*(meal.grams for _, meal in boxes))
    words = written.all
    if dish is None:
        minutes = Minutes(0, 0, 0)
    elif kept is None:
        minutes = minutes_for(dish, used, 1 + len(boxes))
    else:
        words = _kept_words(dish, served, index - kept)
        minutes = minutes_kept(dish, served.grams, index - kept)
    return Meal(
        slot=slot.index,
        occasion=slot.occasion,
        label=slot.label,
        time=context.time_on(slot, WEEKDAYS[date.weekday()]),
        dish=served.dish,
        name=dish.name if dish is not None else served.name,
        servings=servings,
        method=words,
        hands_on_min=minutes.hands,
        total_min=minutes.total,
        leftover_from=None if kept is None else date - dt.timedelta(days=index - kept),
        cook_portions=1 + len(boxes) if fresh else 0,
        soak_night_before=fresh and dish is not None and _overnight(dish, written),
        cautions=(
            (*(pulses_to_boil(dish, used, space.catalogue) if fresh else ()), *dish.cautions)
            if dish is not None
            else ()
        ),
        energy_kcal=round(float(weights @ energy) + served.other_kcal, 1),
        protein_g=round(float(weights @ space.per_gram("protein_g")), 1),
        leucine_g=round(float(weights @ space.per_gram("leucine_g")), 2),
    )


def _told(
    dish: Dish,
    served: Served,
    boxes: Sequence[tuple[int, Served]],
    units: Literal["metric", "us"],
    catalogue: Catalogue,
) -> Told:
    """Tell a dish for all that is cooked with this portion."""
    pot = dict(served.grams)
    at_plate = put_in_at_plate(dish) if dish.steps else frozenset()
    for days, meal in boxes:
        for food, grams in meal.grams.items():
            if food not in at_plate and not made_fresh(dish, food, days):
                pot[food] = pot.get(food, 0.0) + grams
    return told(dish, pot, 1 + len(boxes), units, catalogue)


def _kept_words(dish: Dish, served: Served, days: int) -> tuple[str, ...]:
    """Tell how a kept portion is eaten; rice that would be too old is boiled fresh."""
    if not dish.steps:
        return dish.sentences(served.grams)
    fresh = {food for food in served.grams if made_fresh(dish, food, days)}
    called = [line.called for line in dish.lines if line.food in fresh]
    first = (f"Boil fresh {called[0]} for it.",) if called else ()
    return (*first, how_kept(dish, served.grams))


def _overnight(dish: Dish, written: Told) -> bool:
    """Say whether something is begun the evening before."""
    return bool(written.evening) if dish.steps else dish.soak_night_before


def _serving(
    space: FoodSpace,
    key: str,
    grams: float,
    called: str,
    optional: bool,
    energy: np.ndarray,
    units: Literal["metric", "us"],
) -> Serving:
    food = space.foods[space.index[key]]
    return Serving(
        food=key,
        ndb=food.ndb,
        source="" if food.ndb is not None else space.catalogue.own[key].source,
        name=food.name,
        called=called,
        grams=round(grams, 3),
        measure=in_measures(food, grams, units),
        phrase=amount_phrase(food, grams, called, units),
        energy_kcal=round(grams * float(energy[space.index[key]]), 1),
        optional=optional,
    )
