"""
The plan: days of meals, each food with its table number, grams, kitchen measure and dish.

Plain frozen data, ready for JSON; nothing here computes.
"""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import BaseModel, ConfigDict

from foods.custom.food import OwnFood
from foods.dishes.model import Dish
from mealplan.client.household import FrozenPot
from mealplan.client.intake import CupboardItem, Weekday
from mealplan.targets.ranges import Notice, SupplementLine

EATEN = "eaten"
"""Stands in a plan for a meal that was no dish of ours."""


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)


class Serving(_Part):
    """One food on the plate, as eaten."""

    food: str
    """Catalogue key."""
    ndb: str | None
    """Number of the food in the composition table (USDA SR28); None for a food of one's own."""
    name: str
    called: str
    """The words the method uses."""
    grams: float
    """Edible weight in the state the name says. [g]"""
    measure: str
    """The same amount in kitchen measures."""
    phrase: str
    """Measure and food as a cook reads them, such as ``1½ cups cooked rice``."""
    energy_kcal: float
    optional: bool = False
    source: str = ""
    """Where its composition comes from when not from the table: package label, with its date."""


class Meal(_Part):
    """One occasion of one day."""

    slot: int
    occasion: Literal["breakfast", "midday", "evening", "small"]
    label: str
    time: str
    dish: str
    """Dish key."""
    name: str
    servings: tuple[Serving, ...]
    method: tuple[str, ...]
    hands_on_min: int
    total_min: int
    eater: str = ""
    """Role of whose plate it is where several eat at one table; empty in a client's own plan."""
    leftover_from: dt.date | None = None
    """Day this dish was cooked, when it is a kept portion."""
    eaten_out: bool = False
    """True for a meal to be eaten out: its energy is assumed, nothing of it is shopped for."""
    from_freezer: bool = False
    """True for a portion that was in the freezer before the plan began."""
    freeze_portions: int = 0
    """Portions cooked for the freezer, beyond the plan; part of those to cook."""
    cook_portions: int = 1
    """Portions to cook now, kept ones included; 0 for a kept portion."""
    over_before: tuple[str, ...] = ()
    """Nutrients of which it holds more than sits well so shortly before a session."""
    soak_night_before: bool = False
    left_out: tuple[str, ...] = ()
    """Kept to read plans made before methods left out what is not served; never shown."""
    cautions: tuple[str, ...] = ()
    energy_kcal: float
    eaten_sd_kcal: float = 0.0
    """How far the energy of what was eaten instead may lie from this; 0 for a planned dish."""
    protein_g: float
    leucine_g: float

    @property
    def kept_label(self) -> str:
        """Say where a kept portion comes from; empty for what is cooked now."""
        if self.leftover_from is None:
            return ""
        if self.from_freezer:
            return f"from the freezer, cooked {self.leftover_from.day} {self.leftover_from:%b}"
        return f"kept from {self.leftover_from:%a}"

    @property
    def put_by(self) -> str:
        """Say what becomes of portions not eaten now, such as ``keep 1, freeze 2``."""
        kept = self.cook_portions - 1 - self.freeze_portions
        parts = (("keep", kept), ("freeze", self.freeze_portions))
        return ", ".join(f"{word} {number}" for word, number in parts if number > 0)


class AdequacyLine(_Part):
    """One nutrient of one day against its range."""

    key: str
    label: str
    unit: str
    from_food: float
    from_supplement: float = 0.0
    total: float
    low: float | None = None
    aim: float | None = None
    high: float | None = None
    day_low: float | None = None
    """Least on this day where the floor is the mean of the week. [unit]"""
    met: bool
    """True when floor and ceiling both hold; of a weekly floor, the least of a day."""
    priority: Literal["must", "wish"] = "must"
    """A wish is comfort or fuel: shown when missed, never at the cost of a floor."""
    sd: float = 0.0
    """Spread of the total from the composition data. [unit]"""
    chance: float | None = None
    """Chance that the floor is really met, composition being uncertain, 0 to 1."""
    unknown_share: float = 0.0
    """Share of the day's grams in foods without a value for this nutrient, 0 to 1."""
    source: str = ""
    note: str = ""

    @property
    def floor(self) -> float | None:
        """What the day itself must give [unit]."""
        return self.low if self.day_low is None else self.day_low

    @property
    def over_usual_day(self) -> bool:
        """True where only a ceiling for the usual day is passed, which the mean of days answers."""
        over = self.high is not None and self.total > self.high
        return not self.met and over and self.priority == "wish" and self.day_low is not None


class WeekMean(_Part):
    """Mean of some days against a floor that holds over a week."""

    start: dt.date
    """First of the days."""
    days: int
    """How many; 7, or what the plan ends with. [days]"""
    key: str
    label: str
    unit: str
    mean: float
    low: float
    """Floor of the mean."""
    met: bool


class ProteinQuality(_Part):
    """How a day's protein, all foods mixed first, meets a scoring pattern."""

    pattern: str
    pdcaas: float
    """Cut off at 1."""
    diaas: float
    """Not cut off; 1 is the pattern met."""
    limiting: str
    """Label of the scarcest amino-acid group."""
    known_fraction: float
    """Share of the protein whose value for that group is known; below 1 the score is a floor."""


class FuelFood(_Part):
    """One food to take along."""

    food: str
    """Catalogue key."""
    name: str
    grams: float
    """[g]"""
    phrase: str
    """Grams and kitchen measure, such as ``620 g sports drink (2½ cups)``."""


class FuelPack(_Part):
    """What is got ready to be eaten and drunk beside the meals, for one session or loading day."""

    when: Literal["during", "between"]
    session: str
    """The session in words, or the day of loading."""
    time: str | None = None
    """When it begins, HH:MM; None when the session has no time."""
    minutes: float | None = None
    foods: tuple[FuelFood, ...] = ()
    water_ml: float = 0.0
    """Water beside the drink, so that both together are what is drunk. [mL]"""
    drink_ml: float = 0.0
    """All there is to drink. [mL]"""
    salt_g: float = 0.0
    """Table salt stirred into the drink, for its sodium. [g]"""
    how: str
    """What to mix and pack, and when to drink and eat, in sentences."""


class PlanDay(_Part):
    """One day."""

    date: dt.date
    weekday: Weekday
    meals: tuple[Meal, ...]
    energy_kcal: float
    """Of the meals. [kcal]"""
    energy_target_kcal: float
    """What the meals are to bring. [kcal]"""
    adequacy: tuple[AdequacyLine, ...]
    objective: float
    """Priced misses and preferences of this day; what is welcome takes off."""
    bound: float
    """No day made of the dishes on offer can score below this."""
    hands_on_min: int
    protein_quality: ProteinQuality | None = None
    """None when no food of the day is known."""
    around_sessions: tuple[str, ...] = ()
    """What to eat and drink before, during and after the day's sessions, in order of time."""
    fuel_g: dict[str, float] = {}
    """Foods for what is taken while training and between meals, by catalogue key. [g]"""
    packs: tuple[FuelPack, ...] = ()
    """The same foods, session by session, to be got ready in the kitchen."""
    training_kcal: float = 0.0
    """Energy taken while training, which the meals leave room for. [kcal]"""

    @property
    def missed(self) -> tuple[AdequacyLine, ...]:
        """Ranges not met, musts first; ceilings for the usual day are judged over the days."""
        found = (line for line in self.adequacy if not line.met and not line.over_usual_day)
        return tuple(sorted(found, key=lambda line: line.priority))


class Alternative(_Part):
    """What a list comes to that the days could be planned from, or are."""

    chosen: bool
    """True of the list the plan was made from."""
    things: int
    """Things to buy."""
    dishes: int
    main_most: int
    """Times the commonest dish comes at a main meal."""
    bought_g: float
    left_g: float
    """Of what is bought, left after the days. [g]"""
    paid: float | None
    """At the till; None without prices."""
    currency: str
    hands_on_min: int
    musts_missed: int


class Plan(_Part):
    """Days of meals for one client."""

    schema_version: Literal[1] = 1
    role: str
    start: dt.date
    seed: int
    days: tuple[PlanDay, ...]
    supplements: tuple[SupplementLine, ...]
    notices: tuple[Notice, ...]
    cupboard: tuple[CupboardItem, ...] | None = None
    """What was at home when it was made, the last week's rest included; None for the intake's."""
    frozen: tuple[FrozenPot, ...] | None = None
    """What was in the freezer then; None for the intake's."""
    week_means: tuple[WeekMean, ...] = ()
    """Floors of vitamins and minerals, which hold as means of each seven days."""
    readings: tuple[str, ...] = ()
    """Iron and zinc as usual intake, and energy through the day, in sentences."""
    explanation: tuple[str, ...] = ()
    """What is missed and why, in sentences."""
    sources: tuple[str, ...] = ()
    """Foods whose composition is not from the table, and what that leaves open, in sentences."""
    own_foods: tuple[OwnFood, ...] = ()
    """Foods from package labels that are served, with everything their numbers rest on."""
    own_dishes: tuple[Dish, ...] = ()
    """Dishes that are served and do not ship."""
    bound_note: str = ""
    """How near the plan is to the best its dishes could do."""
    alternatives: tuple[Alternative, ...] = ()
    """Shorter and longer lists for the same days, this one among them; empty unless asked for."""
    floor_costs: tuple[str, ...] = ()
    """Which floor or ceiling costs most energy, and money when prices are known, in sentences."""

    @property
    def musts_missed(self) -> tuple[str, ...]:
        """Keys of musts missed, once a day or week that misses them."""
        of_days = (line.key for day in self.days for line in day.missed if line.priority == "must")
        return (*of_days, *(mean.key for mean in self.week_means if not mean.met))
