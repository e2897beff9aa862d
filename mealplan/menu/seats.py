"""One eater at a shared table: what may be offered there, and how a plate follows the pot."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from foods.dishes.model import Dish
from foods.dishes.treatments import boiled_ahead
from mealplan.client.intake import Intake
from mealplan.kitchen.boiling import boiling_of, cooks_from_dry
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.kitchen.method import put_in_at_plate
from mealplan.lp.daymodel import Choice
from mealplan.menu.candidates import hands_on
from mealplan.menu.context import Context
from mealplan.menu.leftovers import ONE_POT
from mealplan.rules import Slot
from mealplan.table.model import is_shared
from mealplan.targets.ranges import DayTargets

MEASURED = frozenset({"starch", "protein", "vegetable", "fruit", "topping"})
"""Roles of foods that a plate can take more or less of, where they stand beside the pot."""


@dataclass(frozen=True)
class Ladled:
    """The plate of a pot that was filled first, which the others follow."""

    dish: str
    grams: Mapping[str, float]
    """What is on it, by catalogue key. [g]"""
    beside: frozenset[str]
    """What stands beside the pot, each taking their own."""
    meal_kcal: float
    """Energy the meal usually carries for whom it was filled. [kcal]"""


@dataclass(frozen=True)
class SeatContext(Context):
    """An eater's planning context at a table where some meals are shared."""

    shared: tuple[str, ...] = ()
    """Meals by days and occasion (:func:`mealplan.table.model.read_shared`)."""
    never_in_pot: frozenset[str] = frozenset()
    """Catalogue keys that someone at the table cannot have."""
    plates: int = 1
    """Plates filled from a shared pot."""
    ladled: Mapping[int, Ladled] = field(default_factory=dict)
    """By meal, the plate that this one's follows."""

    def following(self, ladled: Mapping[int, Ladled]) -> SeatContext:
        """
        Fill plates from pots that another's plate has settled.

        Parameters
        ----------
        ladled : mapping of int to Ladled
            By meal.

        Returns
        -------
        SeatContext
            What is known of the eater is shared with this one.
        """
        other = replace(self, ladled=ladled)
        self.sharing_with(other, {"ladled": ladled})
        return other

    def choices(self, asked: DayTargets) -> tuple[tuple[Choice, ...], ...]:
        """
        Offer what suits each meal; at a shared one only what everybody can have.

        Parameters
        ----------
        asked : DayTargets
            The day's energy, weekday and sessions.

        Returns
        -------
        tuple of tuple of Choice
            One tuple a meal; where no dish serves all, what suits this eater.
        """
        slots = self.slots_on(asked)
        return tuple(
            self._from_pot(slot, slot.energy_share * asked.meal_kcal, offer)
            if is_shared(self.shared, asked.weekday, slot.occasion)
            else offer
            for slot, offer in zip(slots, super().choices(asked), strict=True)
        )

    def in_one_pot(self, dish: str) -> bool:
        """
        Say whether nothing that a dish cannot do without is kept from someone at the table.

        Parameters
        ----------
        dish : str
            Key.

        Returns
        -------
        bool
        """
        lines = self.by_key[dish].lines
        return not any(line.food in self.never_in_pot for line in lines if not line.optional)

    def _from_pot(
        self, slot: Slot, meal_kcal: float, offer: tuple[Choice, ...]
    ) -> tuple[Choice, ...]:
        found = tuple(self._for_all(choice) for choice in offer if self._serves_all(choice))
        ladled = self.ladled.get(slot.index)
        if ladled is None:
            return found or offer
        return tuple(
            follow(choice, ladled, meal_kcal / ladled.meal_kcal, self.space)
            if choice.dish == ladled.dish
            else choice
            for choice in found or offer
        )

    def _serves_all(self, choice: Choice) -> bool:
        return not (self._never[choice.foods] & ~choice.optional).any()

    def _for_all(self, choice: Choice) -> Choice:
        """Leave off add-ons that someone cannot have, and count the work for every plate."""
        gone = self._never[choice.foods]
        kept = choice.without(gone) if gone.any() else choice
        foods = frozenset(self.space.foods[food].key for food in kept.foods)
        return replace(
            kept, minutes=hands_on(self.by_key[kept.dish], foods, self.plates, self.ahead_min)
        )

    @property
    def _never(self) -> np.ndarray:
        return np.array([food.key in self.never_in_pot for food in self.space.foods])


def beside(dish: Dish, space: FoodSpace) -> frozenset[str]:
    """
    Name what of a dish stands beside the pot, so that each can take their own amount.

    Parameters
    ----------
    dish : Dish
    space : FoodSpace
        The foods there are.

    Returns
    -------
    frozenset of str
        Catalogue keys: what is put on at the plate, add-ons that can be measured out, and a starch
        that is boiled for itself.
    """
    found = set(put_in_at_plate(dish)) if dish.steps else set()
    for line in dish.lines:
        food = space.foods[space.index[line.food]]
        if food.role not in MEASURED:
            continue
        own_pot = food.role == "starch" and boiling_of(food) is not None
        if dish.steps:
            own_pot = own_pot and boiled_ahead(food) is not None
        else:
            own_pot = own_pot and not cooks_from_dry(dish, food)
        if line.optional or own_pot:
            found.add(line.food)
    return frozenset(found)


def follow(choice: Choice, ladled: Ladled, scale: float, space: FoodSpace) -> Choice:
    """
    Hold a plate to what is in the pot: the same foods in the same proportions, more or less of all.

    Parameters
    ----------
    choice : Choice
        The dish as it is offered to this eater.
    ladled : Ladled
        The plate that was filled first.
    scale : float
        This plate's usual energy over that one's. [1]
    space : FoodSpace
        The foods there are.

    Returns
    -------
    Choice
        What stands beside the pot is free.
    """
    keys = [space.foods[food].key for food in choice.foods]
    there = np.array([ladled.grams.get(key, 0.0) for key in keys])
    free = np.array([key in ladled.beside for key in keys], dtype=bool)
    gone = ~free & (there <= 0)
    if (gone & ~choice.optional).any():
        return choice
    if gone.any():
        choice, there, free = choice.without(gone), there[~gone], free[~gone]
    wanted = np.round(there * scale / choice.step) * choice.step
    typical = np.where(free, choice.typical, np.clip(wanted, choice.low, choice.high))
    near = np.where(free, choice.near, np.maximum(ONE_POT * typical, choice.step))
    pot = np.flatnonzero(~free)
    ratios = [one for one in choice.ratios if free[one[0]] or free[one[1]]]
    if len(pot) > 1:
        most = int(pot[np.argmax(there[pot])])
        ratios += [
            _proportion(int(line), most, there, typical, choice.step)
            for line in pot
            if line != most
        ]
    return replace(
        choice,
        typical=typical,
        near=near,
        far=choice.far * choice.typical / typical,
        optional=choice.optional & free,
        ratios=tuple(ratios),
    )


def _proportion(
    line: int, most: int, there: np.ndarray, typical: np.ndarray, step: np.ndarray
) -> tuple[int, int, float, float]:
    """Give the share of a food beside the pot's main one, within a fifth or one kitchen step."""
    pot = float(there[line] / there[most])
    own = float(typical[line] / typical[most])
    grain = float(step[line] / typical[most])
    off = max(ONE_POT * pot, grain)
    return line, most, max(0.0, min(pot - off, own)), max(pot + off, own)


def in_kitchen_of(intake: Intake, host: Intake, energy_share: float) -> Intake:
    """
    Cook where the table's first eater does: those tools, minutes, stocks and shops.

    Parameters
    ----------
    intake : Intake
        The eater's; meals, their times and where they are eaten stay theirs.
    host : Intake
        The first eater's.
    energy_share : float
        This eater's part of what the table eats, which takes as much of the budget. [1]

    Returns
    -------
    Intake
        Cooks for this eater alone: the others have plans of their own.
    """
    own, there = intake.kitchen, host.kitchen
    budget = there.shop.budget_per_week
    shop = there.shop.model_copy(
        update={
            "eaters": (),
            "budget_per_week": None if budget is None else budget * energy_share,
        }
    )
    living = there.living.model_copy(
        update={
            "with_kettle": own.living.with_kettle,
            "with_nothing": own.living.with_nothing,
            "on_the_move": own.living.on_the_move,
        }
    )
    kitchen = there.model_copy(
        update={
            "meals": own.meals,
            "meal_times": own.meal_times,
            "people": 1,
            "living": living,
            "shop": shop,
        }
    )
    return intake.model_copy(update={"kitchen": kitchen})
