"""
How long a dish takes: its steps scheduled with one pair of hands, the rings of a hob and an oven.

A plan, its pages, the cooking sheet and every export take their minutes from :func:`minutes_of`.
Lines count at their typical amounts, so that a plan knows the minutes before it knows the grams.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from foods.composition.catalogue import Catalogue
from foods.dishes.actions import cuts, vessels
from foods.dishes.line import DishLine
from foods.dishes.treatments import start_of, water_per_g
from foods.dishes.walk import Lines, Moment, Served, Steps, served_lines, walk

Cooker = str

PREHEAT_MIN = 12
"""An oven's way to its heat. [min]"""
BOIL_MIN_PER_L = 5.0
"""A ring's way from cold water to the boil; common practice. [min/l]"""
DRAINED_ML_PER_G = 6.0
"""Water for what is boiled from dry and drained; usual packet advice. [ml/g]"""
COVERED_ML_PER_G = 2.0
"""Water that covers fresh food which is boiled and drained. [ml/g]"""
BOILS_AWAY_ML_PER_MIN = 10.0
"""Lost from an open pot at the boil, whatever is in it; common practice. [ml/min]"""
STEAMS_AWAY_ML = 50.0
"""Lost from under the lid while grain takes up its water; common practice. [ml]"""
MICROWAVE_MIN_PER_KG = 6.0
"""From the fridge to steaming at 800 W, stirred; common practice. [min/kg]"""
MICROWAVE_TWICE = 1.5
"""Minutes for twice as much, against once; common practice. [1]"""
BOWL_FILL = 0.75
"""A bowl that is stirred in a microwave is filled to this share at most; common practice. [1]"""
SIDE_BY_SIDE = 0.6
"""Patties and other pieces that may not touch, against loose food; common practice. [1]"""
FILL = 0.9
"""A pot is filled to this share at most. [1]"""
DRAINS = frozenset({"boil", "start boiling"})
"""Verbs whose water is poured away."""
CALLS_FOR_WATER = DRAINS | {"cook grain", "steep"}
"""Verbs that take the water their grains call for when a step names none."""
KETTLE_MIN_PER_L = 2.5
"""An electric kettle's way from cold water to the boil; common practice. [min/l]"""
FETCH_MIN = 0.25
"""Fetching, weighing or opening one line. [min]"""
RINGS = 3
"""Pots that stand on the hob at once."""


@dataclass(frozen=True)
class Minutes:
    """How long a dish takes."""

    hands: int
    """At it, on the day. [min]"""
    total: int
    """From the first move to the plate, on the day. [min]"""
    evening_hands: int
    """At it the evening before. [min]"""


@dataclass(frozen=True)
class Hob:
    """What a household boils its water on."""

    rings: int = RINGS
    """Pots that stand on it at once."""
    kettle: bool = False
    """Water comes boiling from a kettle."""


USUAL_HOB = Hob()


class _Diary:
    """When something that serves so many at once is busy."""

    def __init__(self, capacity: int) -> None:
        self.capacity = capacity
        self.busy: list[tuple[float, float]] = []

    def earliest(self, ready: float, length: float) -> float:
        """Find the first start from ``ready`` on at which it is free for long enough."""
        starts = sorted({ready, *(end for _, end in self.busy if end > ready)})
        for start in starts:
            points = {start, *(a for a, _ in self.busy if start < a < start + length)}
            if all(
                sum(1 for a, b in self.busy if a <= point < b) < self.capacity for point in points
            ):
                return start
        return starts[-1]

    def book(self, start: float, length: float) -> None:
        """Keep it busy."""
        if length > 0:
            self.busy.append((start, start + length))


def cut_minutes(line: DishLine, portions: float) -> float:
    """
    Estimate the cutting of one line.

    Parameters
    ----------
    line : DishLine
        At its typical amount.
    portions : float

    Returns
    -------
    float
        [min]
    """
    rate = cuts()[line.cut].min_per_100g if line.cut else 0.0
    return rate * line.typical_g / 100 * portions


def hands_of(moment: Moment, portions: float) -> float:
    """
    Estimate the hands one step takes, cutting aside.

    Parameters
    ----------
    moment : Moment
    portions : float

    Returns
    -------
    float
        [min]
    """
    verb = moment.verb
    times = portions if moment.step.each else 1.0
    return (
        verb.hands_min + verb.hands_share * moment.step.min * times + verb.hands_each_min * portions
    )


def rounds_of(moment: Moment, lines: Mapping[str, DishLine], portions: float) -> int:
    """
    Count the rounds, or the trays, that a step needs: browning must not stew, a bowl not run over.

    Parameters
    ----------
    moment : Moment
    lines : mapping of str to DishLine
        At typical amounts.
    portions : float

    Returns
    -------
    int
        1 where all fits in one go.
    """
    if moment.way == "microwave":
        held = (kilograms_of(moment, lines) + moment.step.water_ml / 1000) * portions
        return max(1, math.ceil(held / (BOWL_FILL * vessels()[moment.vessel].litres) - 0.02))
    browns = moment.way in ("fry", "toast") or moment.verb.key == "roast"
    most = vessels()[moment.vessel].fry_kg if browns else None
    if not most or moment.step.each:
        return 1
    if "board" in moment.sources:  # shaped pieces lie side by side
        most *= SIDE_BY_SIDE
    return max(1, math.ceil(kilograms_of(moment, lines) * portions / most - 0.2))


def kilograms_of(moment: Moment, lines: Mapping[str, DishLine]) -> float:
    """
    Weigh what a vessel holds of one typical portion, without water.

    Parameters
    ----------
    moment : Moment
    lines : mapping of str to DishLine

    Returns
    -------
    float
        [kg]
    """
    held = (lines[name].typical_g * share for name, share in moment.holds.items() if name in lines)
    return sum(held) / 1000


def step_minutes(moment: Moment, lines: Mapping[str, DishLine], portions: float) -> float:
    """
    Give the minutes of one round of a step for so many portions.

    In a microwave they grow with what stands in it: twice as much takes half as long again, and
    a kilogram never less than :data:`MICROWAVE_MIN_PER_KG`.

    Parameters
    ----------
    moment : Moment
    lines : mapping of str to DishLine
        At typical amounts.
    portions : float

    Returns
    -------
    float
        [min]
    """
    minutes = moment.step.min
    if moment.way != "microwave" or minutes <= 0:
        return minutes
    portions /= rounds_of(moment, lines, portions)
    held = (kilograms_of(moment, lines) + moment.step.water_ml / 1000) * portions
    grown: float = minutes * max(portions, 1.0) ** math.log2(MICROWAVE_TWICE)
    return max(minutes, math.ceil(max(grown, MICROWAVE_MIN_PER_KG * held) - 0.05))


def elapsed_of(
    moment: Moment, lines: Mapping[str, DishLine], portions: float, hob: Hob = USUAL_HOB
) -> float:
    """
    Estimate the minutes a step keeps its vessel busy.

    Parameters
    ----------
    moment : Moment
    lines : mapping of str to DishLine
    portions : float
    hob : Hob

    Returns
    -------
    float
        [min]
    """
    minutes = step_minutes(moment, lines, portions) * (portions if moment.step.each else 1.0)
    if moment.way in ("fry", "toast", "microwave"):
        minutes *= rounds_of(moment, lines, portions)
    if moment.way in ("boil", "hard boil", "steep", "steam") and moment.empty:
        per_litre = KETTLE_MIN_PER_L if hob.kettle else BOIL_MIN_PER_L
        minutes += per_litre * max(0.4, water_of(moment, lines, portions) / 1000)
    return max(minutes, hands_of(moment, portions))


def water_of(moment: Moment, lines: Mapping[str, DishLine], portions: float) -> float:
    """
    Work out the water a step takes: its own, and what its dry grains call for.

    Parameters
    ----------
    moment : Moment
    lines : mapping of str to DishLine
        At typical amounts.
    portions : float

    Returns
    -------
    float
        [ml]
    """
    catalogue = Catalogue.load()
    found = moment.step.water_ml
    if moment.step.water_ml == 0 and moment.verb.key in (
        "cook grain",
        "boil",
        "start boiling",
        "steep",
    ):
        for portion in moment.take:
            line = lines.get(portion.name)
            if line is not None and line.food in catalogue:
                food = catalogue.food(line.food)
                least = 0.0
                if moment.verb.key in DRAINS:
                    dried = (line.start or start_of(food)) == "dried"
                    least = DRAINED_ML_PER_G if dried else COVERED_ML_PER_G
                asked = max(least, water_per_g(food, moment.way))
                found += asked * line.typical_g / food.yield_factor
        if moment.verb.key in DRAINS and not found:
            held = (lines[name].typical_g * moment.holds[name] for name in moment.holds)
            found = COVERED_ML_PER_G * sum(held)
    found *= portions
    if moment.verb.key == "cook grain":
        found += STEAMS_AWAY_ML
    if moment.verb.key in DRAINS:
        found += BOILS_AWAY_ML_PER_MIN * moment.step.min
        found = min(found, _room_ml(moment, lines, portions))
    return found


def _room_ml(moment: Moment, lines: Mapping[str, DishLine], portions: float) -> float:
    """Say how much water a pot takes beside what it holds, in ml."""
    catalogue = Catalogue.load()
    held = 0.0
    for name, share in moment.holds.items():
        line = lines[name]
        grams = line.typical_g * share
        if line.food in catalogue:
            food = catalogue.food(line.food)
            dried = (line.start or start_of(food)) == "dried"
            grams /= food.yield_factor if dried else 1.0
        held += grams
    return max(1000 * FILL * vessels()[moment.vessel].litres - held * portions, 0.0)


def minutes_of(
    lines: Lines, steps: Steps, served: Served = None, portions: int = 1, hob: Hob = USUAL_HOB
) -> Minutes:
    """
    Schedule the steps with one pair of hands, the rings of a hob and one oven.

    Steps keep the order they are written in; while something cooks, hands go on with the next step
    that needs another vessel. Lines are counted at their typical amounts, so that a plan knows the
    minutes before it knows the grams.

    Parameters
    ----------
    lines : collection of DishLine
    steps : collection of Action
    served : frozenset of str, optional
        Catalogue keys; every line when left out.
    portions : int
        Portions cooked at once.
    hob : Hob
        Three rings and no kettle when left out.

    Returns
    -------
    Minutes
    """
    here = served_lines(lines, served)
    moments = walk(lines, steps, served)
    evening = [m for m in moments if m.step.at == "evening before"]
    day = [m for m in moments if m.step.at != "evening before"]
    hands = total = 0.0
    seen: set[str] = set()
    for moment in evening:
        hands += hands_of(moment, portions) + _new(moment, here, seen, portions)
    evening_hands = hands
    hands = 0.0
    diaries = {"hands": _Diary(1), "hob": _Diary(hob.rings), "oven": _Diary(2), "": _Diary(99)}
    ready: dict[str, float] = {}
    for moment in day:
        cutting = _new(moment, here, seen, portions)
        at = diaries["hands"].earliest(0.0, cutting)
        diaries["hands"].book(at, cutting)
        start = max(
            [
                at + cutting,
                ready.get(moment.vessel, 0.0),
                *(ready.get(s, 0) for s in moment.sources),
            ]
        )
        if moment.verb.cooker in ("oven", "grill"):
            start = max(start, PREHEAT_MIN)
        if moment.step.at == "plate":
            start = max([start, *ready.values()])
        needs, keeps = hands_of(moment, portions), elapsed_of(moment, here, portions, hob)
        cooker = diaries.get(moment.verb.cooker, diaries[""])
        start = cooker.earliest(diaries["hands"].earliest(start, needs), keeps)
        start = diaries["hands"].earliest(start, needs)
        diaries["hands"].book(start, needs)
        cooker.book(start, keeps)
        ready[moment.vessel] = start + keeps
        hands += cutting + needs
        total = max(total, ready[moment.vessel])
    at_it = max(1, math.ceil(hands - 0.25))
    return Minutes(at_it, max(at_it, math.ceil(total - 0.25)), math.ceil(evening_hands))


REHEAT_HANDS_MIN = 2.0
REHEAT_MIN = 7.0
"""Warming a kept portion until it steams right through. [min]"""


def kept_minutes(lines: Lines, steps: Steps, served: Served, *, reheated: bool) -> Minutes:
    """
    Say how long a kept portion takes: warming it, and what is done at the plate.

    Parameters
    ----------
    lines : collection of DishLine
    steps : collection of Action
    served : collection of str or None
        Catalogue keys; every line when None.
    reheated : bool

    Returns
    -------
    Minutes
    """
    here = served_lines(lines, served)
    seen: set[str] = set()
    hands = REHEAT_HANDS_MIN if reheated else 0.5
    for moment in walk(lines, steps, served):
        if moment.step.at != "plate":
            seen |= {p.name for p in (*moment.take, *moment.with_, *moment.on)}
            continue
        hands += hands_of(moment, 1) + _new(moment, here, seen, 1)
    at_it = max(1, math.ceil(hands - 0.25))
    return Minutes(at_it, max(at_it, math.ceil(REHEAT_MIN)) if reheated else at_it, 0)


def _new(moment: Moment, lines: Mapping[str, DishLine], seen: set[str], portions: int) -> float:
    """Count fetching and cutting of what a step is the first to use."""
    minutes = 0.0
    for portion in (*moment.take, *moment.with_, *moment.on):
        if portion.name in lines and portion.name not in seen:
            seen.add(portion.name)
            minutes += FETCH_MIN + cut_minutes(lines[portion.name], portions)
    return minutes


def cookers_of(lines: Lines, steps: Steps) -> tuple[Cooker, ...]:
    """
    Name what a dish needs to heat or cut with.

    Parameters
    ----------
    lines : collection of DishLine
    steps : collection of Action

    Returns
    -------
    tuple of str
        ``none`` when nothing.
    """
    required = frozenset(line.food for line in lines if not line.optional)
    found = dict.fromkeys(m.verb.cooker for m in walk(lines, steps, required) if m.verb.cooker)
    return tuple(c for c in found if c != "toaster") or ("none",)
