"""
A dish told for what is served: its sentences with amounts, its minutes, and what is made fresh.

Menu, page, cooking sheet and exports take words and minutes from here, so that they agree. A dish
of one's own in plain sentences is told as it was written.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import lru_cache
from typing import Literal

from foods.composition.catalogue import Catalogue, KitchenFood
from foods.composition.table import FoodTable
from foods.dishes.check import parts_of
from foods.dishes.minutes import USUAL_HOB, Hob, Minutes, kept_minutes, minutes_of
from foods.dishes.model import Dish
from foods.dishes.process import line_start
from foods.dishes.render import Told, joined, tell
from foods.dishes.walk import MINOR, role_of
from mealplan.kitchen.food_safety import is_rice, keeping
from mealplan.kitchen.measures import Units, kitchen_amount

UNPROVEN = (
    "The method of this dish is plain text and was not proven: boil everything dried, and heat "
    "sprouts and frozen vegetables through, before the first step."
)
"""Said with a dish of one's own in sentences."""
KEPT_HANDS_MIN = 5
KEPT_TOTAL_MIN = 10
"""Warming and serving a kept portion of a dish in plain sentences. [min]"""
FRESH_GRAIN_HANDS_MIN = 3
FRESH_GRAIN_TOTAL_MIN = 20
"""Boiling rice for a kept portion whose own rice would be too old. [min]"""


def dry_text(food: KitchenFood, cooked_g: float, units: Units) -> tuple[float, str]:
    """
    Say what weighs an amount before it is boiled.

    Parameters
    ----------
    food : KitchenFood
    cooked_g : float
        [g]
    units : {"metric", "us"}

    Returns
    -------
    float
        Dry weight. [g]
    str
        The same in cups; empty when the release has no such measure.
    """
    dry_g = cooked_g / food.yield_factor
    cups = [
        portion.grams_each
        for portion in (FoodTable.load().portions(food.bought_ndb) if food.bought_ndb else ())
        if portion.measure.partition(",")[0].strip() in ("cup", "cup spaghetti", "cup elbows")
        or portion.measure.startswith("cup")
    ]
    if not cups:
        return dry_g, ""
    as_cup = food.model_copy(
        update={
            "measure": "cup", "measure_g": cups[0], "drained_fraction": None, "aisle": "",
            "name": food.bought_name,
        }
    )  # fmt: skip
    spoon = cups[0] / 16
    rounded = round(dry_g / spoon) * spoon or spoon
    return dry_g, kitchen_amount(as_cup, rounded, food.bought_name, units).measure


def told(
    dish: Dish,
    grams: Mapping[str, float],
    portions: float,
    units: Units,
    catalogue: Catalogue,
    amounts: Mapping[str, str] | None = None,
    *,
    kettle: bool = False,
) -> Told:
    """
    Tell a dish for what is in the pot.

    Parameters
    ----------
    dish : Dish
    grams : mapping of str to float
        Catalogue key to grams in all. [g]
    portions : float
        Portions in the pot.
    units : {"metric", "us"}
    catalogue : Catalogue
    amounts : mapping of str to str, optional
        Words for the whole amount of each line by the word the dish calls it; given, every line's
        amount is said once, else only that of shares and of what comes dry.
    kettle : bool
        Water to boil in comes from a kettle.

    Returns
    -------
    Told
    """
    if not dish.steps:
        return Told((), dish.sentences(grams), ())
    lines = {line.called: line for line in dish.lines}

    def say(called: str, amount_g: float) -> str:
        line = lines[called]
        food = catalogue.food(line.food)
        whole = amount_g > 0.999 * grams[line.food]
        if line_start(line, food) == "dried" and food.yield_factor > 1:
            dry_g, measure = dry_text(food, amount_g, units)
            return f"{dry_g:.0f} g dry" + (f", about {measure}" if measure else "")
        if amounts is not None and whole:
            return amounts.get(called, "")
        return kitchen_amount(food, round(amount_g, 2), called, units).measure

    every = amounts is not None
    return tell(dish, grams, portions, say, every, catalogue, kettle)


def minutes_for(
    dish: Dish, served: Collection[str], portions: int, hob: Hob = USUAL_HOB
) -> Minutes:
    """
    Say how long cooking a dish takes.

    Parameters
    ----------
    dish : Dish
    served : collection of str
        Catalogue keys.
    portions : int
        Portions cooked at once.
    hob : Hob
        The household's.

    Returns
    -------
    Minutes
    """
    if not dish.steps:
        return Minutes(dish.hands_on_min, dish.total_min, 0)
    return _minutes(_This(dish), frozenset(served), portions, hob)


class _This:
    """A dish told from others by being itself, since comparing all its parts takes long."""

    def __init__(self, dish: Dish) -> None:
        self.dish = dish

    def __hash__(self) -> int:
        return id(self.dish)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _This) and other.dish is self.dish


@lru_cache(maxsize=16_384)
def _minutes(this: _This, served: frozenset[str], portions: int, hob: Hob) -> Minutes:
    return minutes_of(this.dish.lines, this.dish.steps, served, portions, hob)


@lru_cache(maxsize=16_384)
def _minutes_of_kept(this: _This, served: frozenset[str]) -> Minutes:
    dish = this.dish
    return kept_minutes(dish.lines, dish.steps, served, reheated=dish.kept == "reheated")


def minutes_kept(dish: Dish, served: Collection[str], days: int) -> Minutes:
    """
    Say how long a kept portion takes.

    Parameters
    ----------
    dish : Dish
    served : collection of str
        Catalogue keys.
    days : int
        Days since it was cooked. [days]

    Returns
    -------
    Minutes
    """
    if dish.steps:
        minutes = _minutes_of_kept(_This(dish), frozenset(served))
    else:
        minutes = Minutes(
            min(KEPT_HANDS_MIN, dish.hands_on_min), min(KEPT_TOTAL_MIN, dish.total_min), 0
        )
    if any(made_fresh(dish, food, days) for food in served):
        return Minutes(
            minutes.hands + FRESH_GRAIN_HANDS_MIN, max(minutes.total, FRESH_GRAIN_TOTAL_MIN), 0
        )
    return minutes


def kept_place(dish: Dish, days: int) -> Literal["fridge", "freezer", "cupboard"]:
    """
    Say where a portion is kept for so many days.

    Parameters
    ----------
    dish : Dish
    days : int
        [days]

    Returns
    -------
    {"fridge", "freezer", "cupboard"}
        The cupboard for what keeps longer than cooked food does, such as nuts and dried fruit.
    """
    longest = keeping("cooked").fridge_days
    if dish.keeps_days > longest and not dish.freezes:
        return "cupboard"
    return "freezer" if days > longest and dish.freezes else "fridge"


def kept_days(dish: Dish, *, freezer: bool) -> int:
    """
    Say how long a portion of a pot keeps.

    Parameters
    ----------
    dish : Dish
    freezer : bool
        False where the household has none.

    Returns
    -------
    int
        After the day it is cooked. [days]
    """
    if freezer or not dish.freezes:
        return dish.keeps_days
    return min(dish.keeps_days, keeping("cooked").fridge_days)


def made_fresh(dish: Dish, food: str, days: int) -> bool:
    """
    Say whether it is rice that would be older than it keeps in the fridge.

    Parameters
    ----------
    dish : Dish
    food : str
        Catalogue key.
    days : int
        Since the dish was cooked. [days]

    Returns
    -------
    bool
    """
    old = days > keeping("rice").fridge_days
    return old and is_rice(food) and kept_place(dish, days) == "fridge"


def put_in_at_plate(dish: Dish) -> frozenset[str]:
    """
    Name the foods that are put in when a portion is eaten, a kept one as well.

    Parameters
    ----------
    dish : Dish
        With steps.

    Returns
    -------
    frozenset of str
        Catalogue keys.
    """
    fresh = set(parts_of(dish).fresh)
    return frozenset(line.food for line in dish.lines if line.called in fresh)


def how_kept(dish: Dish, served: Collection[str]) -> str:
    """
    Say how a kept portion is eaten, part by part.

    Parameters
    ----------
    dish : Dish
        With steps.
    served : collection of str
        Catalogue keys.

    Returns
    -------
    str
    """
    parts = parts_of(dish, served)
    minor = {line.called for line in dish.lines if role_of(line) in MINOR}
    cold = [name for name in parts.cold if name not in minor]
    if not parts.reheated:
        said = "Eat it cold from the fridge."
    elif cold:
        said = f"Reheat it until it steams right through, all but the {joined(cold)}: that is cold."
    else:
        said = "Reheat it until it steams right through."
    plate = tell(dish, dict.fromkeys(served, 1.0)).plate
    return " ".join((said, *plate))
