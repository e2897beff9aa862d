"""
A preference prices a dish at a meal of a day, and says in a sentence what it minds or welcomes.

Preferences look at a :class:`Table`: one meal of one day, with what the days around it serve. They
know nothing of solvers and can be asked about any dish on any day.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import ClassVar, Protocol

from foods.dishes.model import Dish
from mealplan.client.household import Place
from mealplan.client.intake import Weekday
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
    def liked(self) -> frozenset[str]:
        """Dishes that count toward the main meals of what is liked."""
        ...

    @property
    def liked_mains(self) -> int:
        """How many of a week's main meals those are to be."""
        ...

    @property
    def far_fetched(self) -> Mapping[str, int]:
        """How many foods of each dish few shops have."""
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
    mains: int = 0
    """Main meals of the window that are known."""
    liked_mains: int = 0
    """Those that are of what is liked."""


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
    place: Place = "home"
    """Where it is eaten."""
    kitchen: bool = True
    """True where some meal of the day is eaten at home, so that a box can be packed there."""
    kept_cold: bool = False
    """True where what is carried lies cold until it is eaten."""
    short_of_time: bool = False
    """True where the day's cook has a limit of minutes, so that pots may be eaten from longer."""
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
        pots = self.pot_days is not None or self.short_of_time
        return max(self.most, POT_PORTIONS) if pots else self.most


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
