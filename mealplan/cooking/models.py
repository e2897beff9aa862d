"""The cooking sheet as plain frozen data: boils, cookings, boxes, days."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import BaseModel, ConfigDict


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Caution(_Part):
    """Food-safety advice as it is shown, with its source."""

    text: str
    source: str


class Amount(_Part):
    """One food of a batch."""

    food: str
    called: str
    grams: float
    """For the whole batch, as the method weighs it. [g]"""
    measure: str
    phrase: str
    """Measure and name together."""
    measured_g: float
    """What the measure holds. [g]"""
    start_from: str = ""
    """What it is before cooking, such as ``85 g dry, about ½ cup`` or ``400 g raw, 2 potatoes``."""


class SetAside(_Part):
    """Boiled beans kept for a later day."""

    day: dt.date
    grams: float
    measure: str
    keep_in: Literal["fridge", "freezer"]


class Boil(_Part):
    """Something boiled ahead for one or more dishes."""

    food: str
    name: str
    kind: Literal["pulse", "grain", "bake", "vegetable"]
    day: dt.date
    dry_g: float
    dry_measure: str
    cooked_g: float
    water: str
    soak_hours: int
    minutes: int
    how: str = ""
    """How hard and how long a pulse boils."""
    hands_on_min: int
    dishes: tuple[str, ...]
    evening_before: bool = False
    """Must be ready the evening before, because the dish stands overnight."""
    also_for: tuple[dt.date, ...] = ()
    """Later days whose cooking uses the rest."""
    set_aside: tuple[SetAside, ...] = ()
    """How the rest is kept until then."""
    cautions: tuple[Caution, ...] = ()


class Box(_Part):
    """One portion to put away."""

    to_freeze: bool = False
    """For the freezer, beyond the plan: ``eaten_on`` is no day of it."""

    eaten_on: dt.date
    label: str
    """Meal it is for."""
    eater: str
    percent_of_pot: int
    """Share of what is mixed in the pot that gives the portion its planned energy. [%]"""
    measured_out: tuple[str, ...]
    """Foods of this box that are not in the pot's proportion, each with its amount."""
    at_serving: tuple[str, ...]
    """Foods added on the day it is eaten."""
    boil_fresh: tuple[str, ...]
    """Rice that would be too old and is boiled on the day."""
    keep_in: Literal["fridge", "freezer", "cupboard"]
    eat_by: dt.date


class StoveStep(_Part):
    """One thing to do at the stove, by itself."""

    clock: str
    """When the work it belongs to begins. [HH:MM]"""
    dish: str
    """Name of the dish, in words."""
    text: str
    wait_min: float = 0.0
    """How long it goes on by itself; 0 without waiting. [min]"""


class Cooking(_Part):
    """One dish cooked on one day."""

    dish: str
    name: str
    label: str
    start: str
    """Clock time to begin. [HH:MM]"""
    serve: str
    portions: int
    rounds: int
    """Times the method is gone through, when the batch is larger than one pan."""
    amounts: tuple[Amount, ...]
    evening: tuple[str, ...] = ()
    """Steps of the evening before, with amounts."""
    method: tuple[str, ...]
    """Steps with the batch's amounts at the first mention of each food."""
    single: tuple[StoveStep, ...] = ()
    """The same, one step at a time with its waiting."""
    plates: tuple[str, ...]
    """Who eats now and how much of the pot."""
    boxes: tuple[Box, ...]
    hands_on_min: int
    total_min: int
    equipment: tuple[str, ...]
    cautions: tuple[Caution, ...]


class Kept(_Part):
    """A box eaten today."""

    dish: str
    name: str
    label: str
    serve: str
    cooked_on: dt.date
    frozen: bool = False
    """True where it comes out of the freezer."""
    how: str
    add: tuple[str, ...]
    minutes: int
    cautions: tuple[Caution, ...]


class Step(_Part):
    """One line of the day's order of work."""

    clock: str
    text: str


class Pack(_Part):
    """What is mixed and packed for one session, or put ready between meals."""

    clock: str = ""
    """When it must be ready, the start of the session; empty when that has no time. [HH:MM]"""
    name: str
    text: str


class CookDay(_Part):
    """One day in the kitchen."""

    date: dt.date
    boils: tuple[Boil, ...]
    cookings: tuple[Cooking, ...]
    kept: tuple[Kept, ...]
    order: tuple[Step, ...]
    packs: tuple[Pack, ...] = ()
    """Bottles and food to take along to the day's sessions."""
    tonight: tuple[str, ...]
    """What to soak, boil or mix this evening for tomorrow."""
    hands_on_min: int
    """At the meals of the day, as the menu says. [min]"""
    ahead_min: int = 0
    """Hands for what is boiled ahead for them. [min]"""
    clashes: tuple[str, ...]
    """Work that falls into the same minutes and what to begin earlier."""
    measuring_error_kcal: float
    """What measuring instead of weighing adds to the day's energy. [kcal]"""


class BatchPlan(_Part):
    """What to cook on each day of a plan."""

    start: dt.date
    evening_before: tuple[str, ...]
    """What to soak before the first day."""
    days: tuple[CookDay, ...]
    cautions: tuple[Caution, ...] = ()
    """What holds for the whole week, such as an allergy at a shared table."""
