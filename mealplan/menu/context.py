"""Everything about a client that planning reads and no day changes."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Self, cast

import numpy as np

from foods import FoodError
from foods.dishes.load import dishes_by_key
from foods.dishes.model import Dish
from mealplan.client.intake import WEEKDAYS, Intake, Weekday
from mealplan.errors import IntakeError, NoPlanError
from mealplan.kitchen.custom_foods import catalogue_of, dishes_of
from mealplan.kitchen.food_arrays import FoodSpace, lacking
from mealplan.kitchen.food_safety import is_rice
from mealplan.kitchen.preferences import Exclusions, read_exclusions
from mealplan.lp.daymodel import Choice
from mealplan.market.forms import as_bought, boiling_ahead_min
from mealplan.market.price_list import PriceList, price_list
from mealplan.market.purchase_habits import kin_of
from mealplan.menu.candidates import dish_families, fading_days, make_choice, needing, suits
from mealplan.menu.clock import Clock
from mealplan.menu.errands import errands
from mealplan.menu.likings import served_at, wanted_of
from mealplan.menu.occasions import slots_for, slots_on
from mealplan.menu.plates import eased
from mealplan.menu.served import Served
from mealplan.rules import Slot
from mealplan.rules.preferences.buying import pack_prices
from mealplan.rules.preferences.wanted import Wanted
from mealplan.rules.variety import VarietyHabits, habits_of
from mealplan.rules.weights import weight
from mealplan.shopping.unit_prices import eaten_rates
from mealplan.targets.ranges import DayTargets, Targets

BEYOND_SHELF = weight("beyond_shelf")
SHARED_FACTS = (
    "_offered", "by_key", "families", "bought", "fading", "cost_to_open",
    "disliked_in", "with_rice", "from_frozen",
)  # fmt: skip
"""What is worked out before contexts of a client share it."""
PULSES = frozenset({"beans", "canned beans", "lentils and peas", "chickpeas"})
"""Groups of foods that lie heavy before bed."""
PULSES_G = 40.0
"""So much of them leads a small meal (common practice). [g]"""
HEATING = frozenset({"hob", "oven", "microwave", "grill", "pressure cooker", "kettle"})
"""Tools that make a dish warm."""


@dataclass(frozen=True)
class Context:
    """Everything about a client that does not change from day to day."""

    intake: Intake
    targets: Targets
    space: FoodSpace
    dishes: tuple[Dish, ...]
    exclusions: Exclusions
    shelf: frozenset[str] | None = None
    """Names of the only things to cook from; None for everything."""
    dear: float = 1.0
    """How much dearer money is than where a budget is only wished for. [1]"""
    frozen: Mapping[str, tuple[int, Served, int]] = field(default_factory=dict)
    """By dish: day it was cooked, below nought; a portion; how many there are."""
    beyond: bool = False
    """True where dishes may need more than the shelf holds, and plates give way to musts."""
    month: int | None = None
    """Month of the first day, 1 to 12; that of the intake's start when left out."""

    def with_shelf(self, names: frozenset[str]) -> Context:
        """
        Cook from some things only.

        Parameters
        ----------
        names : frozenset of str
            As they are bought.

        Returns
        -------
        Context
            What is known of the client is shared with this one.
        """
        return self.sharing_with(replace(self, shelf=names), {"shelf": names})

    def beyond_shelf(self, names: frozenset[str]) -> Context:
        """
        Cook from everything, where each thing that is not on the shelf is dear; plates give way.

        Parameters
        ----------
        names : frozenset of str
            The shelf; add-ons come from it alone.

        Returns
        -------
        Context
        """
        opened = {
            name: price + (0.0 if name in names else BEYOND_SHELF)
            for name, price in self.cost_to_open.items()
        }
        changed = {"shelf": names, "beyond": True, "cost_to_open": opened}
        return self.sharing_with(replace(self, shelf=names, beyond=True), changed)

    def sharing_with(self, other: Context, changed: Mapping[str, object]) -> Context:
        """Let another context of this client have what is worked out, but for what changed."""
        own = ("_choices", "_on_shelf", "only_frozen")
        for name in SHARED_FACTS:
            getattr(self, name)
        shared = {key: value for key, value in self.__dict__.items() if key not in own}
        other.__dict__.update(shared | dict(changed))
        return other

    @cached_property
    def habits(self) -> VarietyHabits:
        """What the household's word for variety means."""
        return habits_of(self.intake.kitchen.living)

    @classmethod
    def make(
        cls,
        intake: Intake,
        targets: Targets,
        dishes: Sequence[Dish] | None = None,
        *,
        month: int | None = None,
    ) -> Self:
        """
        Gather a client's planning context.

        Parameters
        ----------
        intake : Intake
        targets : Targets
        dishes : sequence of Dish, optional
            The dishes on offer; those that ship and the intake's own when left out.
        month : int, optional
            Of the first day, 1 to 12; that of the intake's start when left out.

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
            month=month,
        )

    @cached_property
    def by_key(self) -> dict[str, Dish]:
        """Dishes by key."""
        return dishes_by_key(self.dishes)

    @cached_property
    def slots(self) -> tuple[Slot, ...]:
        """Meals of the day."""
        return slots_for(self.intake)

    def slots_on(self, asked: DayTargets) -> tuple[Slot, ...]:
        """
        Give the meals of one day, light before its training.

        Parameters
        ----------
        asked : DayTargets

        Returns
        -------
        tuple of Slot
        """
        return slots_on(self.slots, asked)

    @cached_property
    def families(self) -> dict[str, frozenset[str]]:
        """What gives each dish its character."""
        return {dish.key: dish_families(dish, self.space) for dish in self.dishes}

    @cached_property
    def name_bought(self) -> dict[str, str]:
        """Name under which each food is bought; raw and cooked carrots are one."""
        shop = self.intake.kitchen.shop
        return {
            food.key: as_bought(food, shop, home=self.cupboard).food.bought_name
            for food in self.space.foods
        }

    @cached_property
    def cupboard(self) -> frozenset[str]:
        """Names of what is at home, in the form it is there: its use is preferred."""
        find = self.space.catalogue.food
        try:
            return frozenset(find(item.food).bought_name for item in self.intake.kitchen.cupboard)
        except FoodError as error:
            raise IntakeError(f"kitchen.cupboard: {error}") from None

    @cached_property
    def ahead_min(self) -> dict[str, int]:
        """
        Minutes of boiling pulses ahead where a day is short: nothing for what comes in tins.

        What is at home dried is boiled.
        """
        shop = self.intake.kitchen.shop
        found = {
            food.key: boiling_ahead_min(
                food,
                shop,
                time_to_boil=self.name_bought[food.key] in self.cupboard,
                home=self.cupboard,
            )
            for food in self.space.foods
        }
        return {key: minutes for key, minutes in found.items() if minutes}

    @cached_property
    def kin(self) -> dict[str, str]:
        """Kind of each thing bought of which a household keeps one at a time."""
        return {self.name_bought[key]: kind for key, kind in kin_of().items()}

    @cached_property
    def bought(self) -> dict[str, frozenset[str]]:
        """What each dish cannot do without by the name it is bought under, seasonings aside."""
        seasons = ("flavour", "fat", "liquid")
        keys = {food.key for food in self.space.foods if food.role not in seasons}
        return {
            dish.key: frozenset(
                self.name_bought[line.food]
                for line in dish.lines
                if not line.optional and line.food in keys
            )
            for dish in self.dishes
        }

    @cached_property
    def far_fetched(self) -> dict[str, float]:
        """Price of the foods each dish needs that few shops have, or none at this season."""
        return errands(
            self.dishes,
            self.intake.kitchen,
            self.month or self.intake.start.month,
            at_home={key for key, name in self.name_bought.items() if name in self.cupboard},
            liked=self.exclusions.liked,
        )

    @cached_property
    def disliked_in(self) -> dict[str, int]:
        """How many disliked things each dish cannot do without, itself counted."""
        return {
            dish.key: count
            for dish in self.dishes
            if (count := self.exclusions.grades(dish).count("dislikes"))
        }

    @cached_property
    def with_rice(self) -> frozenset[str]:
        """Dishes with boiled rice, which is not carried about warm."""
        return needing(self.dishes, self.space.foods, lambda food: is_rice(food.key))

    @cached_property
    def from_frozen(self) -> frozenset[str]:
        """Dishes that need something from a freezer."""
        return needing(self.dishes, self.space.foods, lambda food: food.aisle == "frozen")

    @cached_property
    def stock_g(self) -> dict[str, float]:
        """Give the grams of each thing at home, by the name it is bought under."""
        found: dict[str, float] = {}
        for item in self.intake.kitchen.cupboard:
            name = self.space.catalogue.food(item.food).bought_name
            found[name] = found.get(name, 0.0) + item.grams
        return found

    @cached_property
    def bought_per_eaten(self) -> dict[str, float]:
        """Give the grams bought for each gram eaten, by catalogue key."""
        shop = self.intake.kitchen.shop
        return {
            food.key: as_bought(food, shop, home=self.cupboard).bought_g(1.0)
            for food in self.space.foods
        }

    @cached_property
    def favourites(self) -> frozenset[str]:
        """Dishes the client likes most of all, by themselves or their kind."""
        grades = self.exclusions.dish_grades
        return frozenset(key for key, grade in grades.items() if grade == "favourites")

    @cached_property
    def served_at(self) -> dict[str, frozenset[str]]:
        """Dishes that may be served on each occasion."""
        return served_at(self.dishes, self.slots, self.intake, self.exclusions)

    @cached_property
    def wanted(self) -> tuple[Wanted, ...]:
        """What is liked, as meals of a week."""
        most = self.habits.most
        return wanted_of(self.exclusions, self.dishes, self.slots, self.served_at, most)

    @cached_property
    def of_pulses(self) -> frozenset[str]:
        """Dishes led by beans, lentils, peas or chickpeas."""
        return frozenset(dish.key for dish in self.dishes if self._pulses_g(dish) >= PULSES_G)

    def _pulses_g(self, dish: Dish) -> float:
        foods = ((self.space.foods[self.space.index[x.food]], x) for x in dish.lines)
        return sum(x.typical_g for food, x in foods if food.group in PULSES and not x.optional)

    def cold(self, dish: str) -> bool:
        """
        Say whether nothing of a dish is heated.

        Parameters
        ----------
        dish : str
            Key.
        """
        return not HEATING & set(self.by_key[dish].equipment)

    @cached_property
    def fading(self) -> dict[str, tuple[int, ...]]:
        """Days [days] the perishable foods of each dish keep cold, as bought."""
        return {dish.key: fading_days(dish, self.space) for dish in self.dishes}

    @cached_property
    def clock(self) -> Clock:
        """When meals and sessions are."""
        return Clock(self.intake, self.slots)

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
        packs = pack_prices(self.prices, self.intake.kitchen.shop.budget_per_week)
        new = self.habits.new_food
        return {name: new + packs.get(name, 0.0) for name in self.name_bought.values()}

    def kinds_of(self, names: Collection[str]) -> frozenset[str]:
        """Kinds of which a household keeps one, among things bought."""
        return frozenset(self.kin[name] for name in self.kin.keys() & set(names))

    @cached_property
    def budget(self) -> float | None:
        """A seventh of the client's part of the week's budget [currency/day]."""
        kitchen = self.intake.kitchen
        budget = kitchen.shop.budget_per_week
        return None if budget is None else budget / 7 * kitchen.shop.clients_part(kitchen.people)

    @cached_property
    def allowed(self) -> frozenset[str]:
        """Catalogue keys the client may eat."""
        return frozenset(food.key for food in self.space.foods) - self.exclusions.foods

    @cached_property
    def _choices(self) -> dict[tuple[float, ...], tuple[tuple[Choice, ...], ...]]:
        return {}

    def choices(self, asked: DayTargets) -> tuple[tuple[Choice, ...], ...]:
        """
        Offer every suitable dish at every meal of a day, variety aside.

        Parameters
        ----------
        asked : DayTargets
            The day's energy, and the sessions its meals are light before.

        Returns
        -------
        tuple of tuple of Choice
            One tuple a meal.

        Raises
        ------
        NoPlanError
            When a meal is left without any dish.
        """
        slots = self.slots_on(asked)
        energies = tuple(round(slot.energy_share * asked.meal_kcal, 3) for slot in slots)
        if energies not in self._choices:
            self._choices[energies] = tuple(
                self._from_shelf(self._every(slot, energy))
                for slot, energy in zip(slots, energies, strict=True)
            )
        return self._choices[energies]

    def off_shelf(self, asked: DayTargets) -> tuple[tuple[Choice, ...], ...]:
        """Offer every suitable dish whatever the shelf cooks; nothing where there is no shelf."""
        if self.shelf is None:
            return ((),) * len(self.slots)
        return tuple(
            self._every(slot, round(slot.energy_share * asked.meal_kcal, 3))
            for slot in self.slots_on(asked)
        )

    @cached_property
    def _offered(self) -> dict[tuple[int, float], tuple[Choice, ...]]:
        """Offers by meal and its energy before any shelf, shared by all contexts of a client."""
        return {}

    def _every(self, slot: Slot, meal_kcal: float) -> tuple[Choice, ...]:
        key = (slot.index, meal_kcal)
        if key not in self._offered:
            self._offered[key] = self._every_at(slot, meal_kcal)
        return self._offered[key]

    def _every_at(self, slot: Slot, meal_kcal: float) -> tuple[Choice, ...]:
        """Offer every dish that suits a meal."""
        made = (
            make_choice(dish, slot, meal_kcal, self.space, self.exclusions, self.ahead_min)
            for dish in self.dishes
            if suits(dish, slot, self.intake, self.exclusions)
        )
        offer = tuple(choice for choice in made if choice is not None)
        if not offer:
            raise NoPlanError(
                f"no dish is left for the {slot.label.lower()}: allergies, refusals, heat and"
                " equipment together rule out every one; relax one of them or add a dish",
                tuple(f"{word!r} rules out {n} foods" for word, n in self.exclusions.words.items()),
            )
        return offer

    def _from_shelf(self, offer: tuple[Choice, ...]) -> tuple[Choice, ...]:
        """Offer only what the shelf can cook, add-ons from it only; all when that is nothing."""
        if self.shelf is None:
            return offer
        found = []
        for choice in offer:
            there = self._on_shelf[choice.foods]
            if self.beyond:
                there = there | ~choice.optional
                choice = eased(choice)
            if choice.dish in self.only_frozen:
                found.append(choice)
            elif (there | choice.optional).all():
                found.append(choice if there.all() else choice.without(~there))
        return tuple(found) or offer

    @cached_property
    def room_to_freeze(self) -> bool:
        """Whether the household wants portions in the freezer and has room for them."""
        return self.intake.kitchen.living.room_for_more(sum(n for *_, n in self.frozen.values()))

    @cached_property
    def only_frozen(self) -> frozenset[str]:
        """Dishes in the freezer that the shelf cannot cook."""
        if self.shelf is None or self.beyond:
            return frozenset()
        return lacking(map(self.by_key.__getitem__, self.frozen), self._on_shelf, self.space)

    @cached_property
    def _on_shelf(self) -> np.ndarray:
        shelf = self.shelf or frozenset()
        return np.array([self.name_bought[food.key] in shelf for food in self.space.foods])
