"""
Whether the order and the handling of a dish are a cook's: what would stick or stay whole.

Noodles that wait drained, water kept and never named again, rolls never split, bread never
toasted, a pot hardly chilled, sweetened food in a savoury dish. Kitchen practice; what could hurt
stands in :mod:`foods.dishes.check`, seasoning in :mod:`foods.dishes.taste`.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping

from foods.composition.catalogue import Catalogue
from foods.dishes.actions import HOT
from foods.dishes.line import DishLine
from foods.dishes.model import Dish
from foods.dishes.process import line_start
from foods.dishes.taste import tastes_of
from foods.dishes.walk import PLATE, Moment

WAITS_AT_MOST = 3.0
"""Drained noodles stick when they wait longer than this for what they go into. [min]"""
CHILL_LEAST = 60.0
"""What weighs more than :data:`CHILLS_SOON` a portion and is eaten cold stands so long. [min]"""
CHILLS_SOON = 250.0
"""Smaller things are cold within half an hour. [g]"""
REHEAT_MOST = 45.0
"""What comes boiled falls apart when it simmers longer than this. [min]"""
DRAINED = frozenset({"boil", "steep"})


def craft_faults(dish: Dish, moments: Collection[Moment], catalogue: Catalogue) -> list[str]:
    """
    List what a cook would mend in the order of work and the handling of a dish.

    Parameters
    ----------
    dish : Dish
        With steps.
    moments : collection of Moment
        Its walk for what is served.
    catalogue : Catalogue

    Returns
    -------
    list of str
    """
    lines = {line.called: line for line in dish.lines}
    walked = tuple(moments)
    return [
        *_waits(walked, lines),
        *_kept_water(walked),
        *_breads(dish, walked),
        *_chilled(walked, lines),
        *_boiled_again(walked, lines, catalogue),
        *_sweetened(dish),
    ]


def _brings(line: DishLine, what: str) -> bool:
    return what in tastes_of().get(line.food, ())


def _waits(moments: tuple[Moment, ...], lines: Mapping[str, DishLine]) -> list[str]:
    """Hold drained noodles to being used at once, unless they are rinsed cold."""
    faults = []
    for place, moment in enumerate(moments):
        sticky = [
            p.name for p in moment.take if p.name in lines and _brings(lines[p.name], "sticks")
        ]
        if not sticky or moment.verb.key not in DRAINED or moment.step.at != "cook":
            continue
        waits = 0.0
        for later in moments[place + 1 :]:
            names = {name for p in (*later.take, *later.on) for name, _ in p.lines}
            moved = later.vessel != moment.vessel
            if later.verb.key == "rinse" and not moved:
                waits = 0.0
                break
            if later.vessel == PLATE or (moved and set(sticky) & names):
                break
            if not moved and later.verb.key != "drain":
                break
            waits += later.step.min if moved else 0.0
        if waits > WAITS_AT_MOST:
            faults.append(
                f"{sticky[0]} waits drained for {waits:g} min and sticks: boil it after the sauce, "
                "just before it is taken"
            )
    return faults


def _kept_water(moments: tuple[Moment, ...]) -> list[str]:
    """Ask for the use of water that is kept."""
    said = [" ".join((m.step.first, m.step.until, m.step.then)) for m in moments]
    for place, words in enumerate(said):
        keeps = re.search(r"\bwater kept\b|\bkeep a \w+ of the water\b", words)
        if keeps and not any("kept water" in later for later in said[place + 1 :]):
            return ["water is kept and never used: say where the kept water goes, or keep none"]
    return []


def _breads(dish: Dish, moments: tuple[Moment, ...]) -> list[str]:
    """Ask for the knife at what has to be opened, and for heat where the name says toast."""
    whole = [
        f"{line.called} is never split: give it a cut"
        for line in dish.lines
        if _brings(line, "split") and not line.cut
    ]
    named = re.search(r"\btoast\b", dish.name.lower())
    dry = ("toast", "grill", "bake")
    if named and not any(m.verb.key == "toast bread" or m.way in dry for m in moments):
        whole.append("the name says toast and no step toasts the bread")
    return whole


def _chilled(moments: tuple[Moment, ...], lines: Mapping[str, DishLine]) -> list[str]:
    """Give what is eaten cold the time to become so."""
    return [
        f"{held:.0f} g a portion is chilled for {moment.step.min:g} min and stays lukewarm: "
        f"{CHILL_LEAST:g} min is the least"
        for moment in moments
        if moment.verb.key == "chill" and moment.step.min < CHILL_LEAST
        for held in [sum(lines[name].typical_g * share for name, share in moment.holds.items())]
        if held > CHILLS_SOON and not _heated_after(moment, moments)
    ]


def _heated_after(chilled: Moment, moments: tuple[Moment, ...]) -> bool:
    """Say whether what was chilled, to set it, is cooked afterwards."""
    after = moments[moments.index(chilled) + 1 :]
    return any(m.way in HOT and set(m.holds) & set(chilled.holds) for m in after)


def _boiled_again(
    moments: tuple[Moment, ...], lines: Mapping[str, DishLine], catalogue: Catalogue
) -> list[str]:
    """Keep what comes boiled from boiling to pieces."""
    had: dict[str, float] = {}
    for moment in moments:
        if moment.way in ("boil", "hard boil"):
            for name in moment.holds:
                had[name] = had.get(name, 0.0) + moment.step.min
    return [
        f"{name} comes boiled and simmers {minutes:g} min more: {REHEAT_MOST:g} min is the most"
        for name, minutes in had.items()
        if minutes > REHEAT_MOST
        and line_start(lines[name], catalogue.food(lines[name].food)) == "boiled"
    ]


def _sweetened(dish: Dish) -> list[str]:
    return [
        f"{line.called} is sweetened: a savoury dish takes an unsweetened food"
        for line in dish.lines
        if dish.savoury and _brings(line, "sweetened")
    ]
