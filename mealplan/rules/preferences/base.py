"""
A preference prices a dish at a meal of a day, and says in a sentence what it minds or welcomes.

Preferences look at a :class:`Table`: one meal of one day, with what the days around it serve. They
know nothing of solvers and can be asked about any dish on any day.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import ClassVar, Protocol

from foods.dishes.model import Dish
from mealplan.client.household import Place
from mealplan.client.intake import Weekday
from mealplan.rules.preferences.wanted import Wanted
from mealplan.rules.rows.base import Slot
from mealplan.rules.variety import HABITS, VarietyHabits


class Facts(Protocol):
    """What does not change from day to day."""

    @property
    def by_key(self) -> Mapping[str, Dish]:
        """Dishes by key."""
        ...

    @property
    def families(self) -> Mapping[str, frozenset[str]]:
        """What gives each dish its character."""
        ...

    @property
    def bought(self) -> Mapping[str, frozenset[str]]:
        """What each dish cannot do without, by the name it is bought under."""
        ...

    @property
    def cupboard(self) -> frozenset[str]:
        """What is at home, by the name it is bought under."""
        ...

    @property
    def favourites(self) -> frozenset[str]:
        """Dishes liked most of all."""
        ...

    @property
    def wanted(self) -> tuple[Wanted, ...]:
        """What is liked, as meals of a week."""
        ...

    @property
    def of_pulses(self) -> frozenset[str]:
        """Dishes led by beans, lentils, peas or chickpeas."""
        ...

    def cold(self, dish: str) -> bool:
        """
        Say whether nothing of a dish is heated.

        Parameters
        ----------
        dish : str
            Key.
        """
        ...

    @property
    def far_fetched(self) -> Mapping[str, float]:
        """Price of the foods of each dish that few shops have, or none at that season."""
        ...

    @property
    def disliked_in(self) -> Mapping[str, int]:
        """How many disliked things each dish cannot do without, itself counted."""
        ...

    @property
    def with_rice(self) -> frozenset[str]:
        """Dishes with boiled rice."""
        ...

    @property
    def from_frozen(self) -> frozenset[str]:
        """Dishes that need something from a freezer."""
        ...

    @property
    def fading(self) -> Mapping[str, tuple[int, ...]]:
        """Days that the perishable foods of each dish keep cold."""
        ...

    @property
    def cost_to_open(self) -> Mapping[str, float]:
        """Price of buying each thing at all."""
        ...

    @property
    def room_to_freeze(self) -> bool:
        """Whether the household wants portions in the freezer and has room for them."""
        ...

    @property
    def kin(self) -> Mapping[str, str]:
        """Kind of each thing of which a household keeps one."""
        ...


MAINS = ("midday", "evening")
"""Occasions of main meals."""
POT_PORTIONS = 4
"""Portions of one pot that a household short of time eats in a week (common practice)."""


@dataclass(frozen=True)
class Around:
    """What the days around one day serve and buy."""

    served_on: Mapping[str, Sequence[int]] = field(default_factory=dict)
    """Days that serve each dish within the window, once a serving."""
    near: Mapping[str, int] = field(default_factory=dict)
    """Meals of the day before and the day after, by family."""
    at_home: frozenset[str] = frozenset()
    """Names of what is bought or in the cupboard anyway."""
    kinds: frozenset[str] = frozenset()
    """Their kinds."""
    left: frozenset[str] | None = None
    """Names of what was at home and is not used up by other days; None for all of it."""
    known: Mapping[str, int] = field(default_factory=dict)
    """Meals of the window that are chosen, by occasion. [meals]"""
    come: tuple[int, ...] = ()
    """How often each of what is liked has come. [meals]"""
    led: Mapping[tuple[int, str], int] = field(default_factory=dict)
    """Other days on which a family leads a meal, by the meal's index and the family. [days]"""


@dataclass(frozen=True)
class Table:
    """One meal of one day, as preferences see it."""

    facts: Facts
    day: int
    """Index of the day in the plan."""
    slot: Slot
    weekday: Weekday = "mon"
    days_to_pot: int = 0
    """Days to the next cooking day; 0 where none is named. [days]"""
    pot_days: int | None = None
    """
    Days until the next cooking day, this one included; 0 where this is none, and None where the
    household named none. [days]
    """
    same_breakfast: bool = False
    """True where the household wants one breakfast on weekdays."""
    place: Place = "home"
    """Where it is eaten."""
    kitchen: bool = True
    """True where some meal of the day is eaten at home, so that a box can be packed there."""
    kept_cold: bool = False
    """True where what is carried lies cold until it is eaten."""
    no_time: bool = False
    """True where the day's cook has no time for a main meal, so that pots are eaten from."""
    pot_portions: int = POT_PORTIONS
    """Portions of one pot a household with these cooking days eats in a week. [portions]"""
    training: str | None = None
    """``before`` or ``after`` where a session lies near."""
    since_shopping: int = 0
    """Days since food was bought. [days]"""
    shunned: Mapping[str, float] = field(default_factory=dict)
    """Extra price by dish key."""
    around: Around = Around()
    habits: VarietyHabits = HABITS["usual"]
    """What the household's word for variety means."""

    @property
    def most(self) -> int:
        """Servings of a dish in seven days at a meal like this."""
        small = self.slot.occasion in ("breakfast", "small")
        return self.habits.most_small if small else self.habits.most

    @property
    def most_kept(self) -> int:
        """Servings of a dish in seven days where the last is a kept portion."""
        pots = self.pot_days is not None or self.no_time
        return max(self.most, self.pot_portions) if pots else self.most

    @cached_property
    def behind(self) -> tuple[tuple[Wanted, float], ...]:
        """What is liked and behind its share at this meal, with how far."""
        come = self.around.come or (0,) * len(self.facts.wanted)
        found = (
            (wanted, wanted.behind(times, self.around.known))
            for wanted, times in zip(self.facts.wanted, come, strict=True)
            if self.slot.occasion in wanted.occasions
        )
        return tuple((wanted, far) for wanted, far in found if far > 0)

    @cached_property
    def catches_up(self) -> Mapping[str, float]:
        """By how much each dish of what is behind would catch up, its words together."""
        gains: dict[str, float] = {}
        for wanted, far in self.behind:
            for dish in wanted.dishes:
                gains[dish] = gains.get(dish, 0.0) + far
        return gains

    @property
    def minds_repeats(self) -> bool:
        """False for a household that likes it steady, and at the one breakfast of weekdays."""
        same = self.same_breakfast and self.slot.occasion == "breakfast"
        return self.habits.minds_repeats and not same


class Preference(Protocol):
    """One thing the household minds or welcomes."""

    name: ClassVar[str]

    def price(self, dish: str, table: Table) -> float:
        """
        Say what serving a dish there adds to the score; below nought when welcome.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        ...

    def sentence(self, dish: str, table: Table) -> str:
        """
        Say why, for a reader; empty when it minds nothing there.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        ...
