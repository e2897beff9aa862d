"""
The proof that a dish cooks: each food gets from the form it is bought in to how it is eaten.

What a food needs is a treatment and minutes (``treatments.csv``); anything in a pot goes on being
cooked by the steps after it. Several heats add up, each by its share of what it alone would take.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from foods.composition.catalogue import Catalogue, KitchenFood
from foods.dishes.actions import COLD, HOT, cuts, vessels
from foods.dishes.line import DishLine
from foods.dishes.treatments import Treatment, start_of, treatments
from foods.dishes.walk import (
    PLATE,
    WHOLE,
    Lines,
    Moment,
    Served,
    Steps,
    served_lines,
    walk_through,
)


def line_start(line: DishLine, food: KitchenFood) -> str:
    """
    Say in which form a line comes to the board.

    Parameters
    ----------
    line : DishLine
    food : KitchenFood

    Returns
    -------
    str
    """
    return line.start or start_of(food)


def faults_of(
    lines: Lines, steps: Steps, catalogue: Catalogue, served: Served = None
) -> tuple[list[str], tuple[Moment, ...]]:
    """
    Prove that every line gets from the form it is bought in to the state it is eaten in.

    Parameters
    ----------
    lines : collection of DishLine
    steps : collection of Action
    catalogue : Catalogue
    served : collection of str, optional
        Catalogue keys; every line when left out.

    Returns
    -------
    list of str
        What is lacking, with the food; empty when it is proven.
    tuple of Moment
        The walk it was read from.
    """
    moments, kitchen = walk_through(lines, steps, served)
    here = served_lines(lines, served)
    known = {step.makes for step in steps if step.makes} | set(vessels())
    known |= {line.called for line in lines}
    faults = [
        f"a step takes {name}, which is no line, result or vessel of the dish"
        for step in steps
        for name in (*step.take, *step.with_, *step.on)
        if name not in known
    ]
    if len(here) == len(lines):
        faults += [
            f"{missed} is not there any more, or not yet: take it by what it is called by then"
            for missed in kitchen.missed
        ]
    for name, share in kitchen.left.items():
        if share > 1 - WHOLE:
            what = "is never used" if share >= WHOLE else f"is used to {1 - share:.0%} only"
            faults.append(f"{name} {what}: add it to a step")
    end = PLATE if PLATE in kitchen.vessels else kitchen.served_from()
    faults += [
        f"what is in the {vessel} ({', '.join(held)}) is never served: a step has to take it"
        for vessel, held in kitchen.vessels.items()
        if held and vessel != end
    ]
    for line in here.values():
        faults += line_faults(line, catalogue.food(line.food), moments)
    return faults, moments


def line_faults(line: DishLine, food: KitchenFood, moments: Collection[Moment]) -> list[str]:
    """
    Say what one line lacks on its way to the plate.

    Parameters
    ----------
    line : DishLine
    food : KitchenFood
    moments : collection of Moment

    Returns
    -------
    list of str
    """
    start, eaten = line_start(line, food), line.eaten
    had = minutes_had(line.called, moments)
    heated = any(way in HOT for way in had)
    said = f"{line.called}: bought {start}, eaten {eaten}"
    if eaten == "raw" and any(way in HOT and way != "warm" for way in had):
        return [f"{said}, but it is cooked: call it cooked or leave it out of the pot"]
    if start == "boiled":
        return [] if eaten in ("cooked", "as is") else [f"{said}: a boiled food is eaten cooked"]
    rows = [row for row in treatments().get(food.key, ()) if row.start == start]
    ways = [row for row in rows if row.eaten == eaten]
    if eaten in ("raw", "as is"):
        needs = rows and not food.raw_ok and not any(row.way == "none" for row in rows)
        frozen = start in ("frozen", "dried") and rows and not food.raw_ok
        if needs or frozen or (not food.raw_ok and not rows and food.state != "canned"):
            return [f"{said}, but it must not be eaten so: give it its treatment"]
        return []
    if eaten == "cooked" and not ways:
        return [] if heated else [f"{said}, but no step heats it"]
    if not ways:
        return [f"{said}: no treatment leads there"]
    return _enough(line, ways, had, said)


def _enough(
    line: DishLine, ways: Collection[Treatment], had: Mapping[str, float], said: str
) -> list[str]:
    """Add up what each heat gives of what a food needs."""
    factor = cuts()[line.cut].cook_factor if line.cut else 1.0
    got = 0.0
    for row in ways:
        least = row.least_min * (factor if row.soak_h == 0 and row.hard_boil_min == 0 else 1.0)
        minutes = had.get(row.way, 0.0)
        if row.way == "boil":
            minutes += had.get("hard boil", 0.0)
            if row.hard_boil_min and had.get("hard boil", 0.0) < row.hard_boil_min:
                return [
                    f"{said}, boils hard {had.get('hard boil', 0):g} of {row.hard_boil_min:g} min"
                    f" ({row.source})"
                ]
        if row.soak_h and had.get("soak", 0.0) + had.get("chill", 0.0) < 60 * row.soak_h - 0.5:
            if minutes:
                return [f"{said}, is soaked {had.get('soak', 0) / 60:g} of {row.soak_h:g} h"]
            continue
        got += minutes / least
    if got >= WHOLE:
        return []
    asked = "; or ".join(f"{row.way} {row.least_min * factor:.3g} min" for row in ways)
    given = ", ".join(f"{way} {minutes:g}" for way, minutes in had.items()) or "nothing"
    return [f"{said}, gets {given} of what it needs: {asked}"]


def minutes_had(called: str, moments: Collection[Moment]) -> dict[str, float]:
    """
    Add up the minutes a line spends in each heat, whatever else is in the vessel.

    Parameters
    ----------
    called : str
    moments : collection of Moment

    Returns
    -------
    dict of str to float
        Way to minutes. [min]
    """
    found: dict[str, float] = {}
    for moment in moments:
        if called in moment.holds and moment.way:
            minutes = moment.step.min
            if moment.verb.key in ("chill overnight", "thaw"):
                minutes = 480.0
            if moment.way in HOT | COLD:
                found[moment.way] = found.get(moment.way, 0.0) + minutes
    return found


def cooked_from_dry(lines: Lines, steps: Steps, catalogue: Catalogue) -> tuple[str, ...]:
    """
    Name the foods a dish takes from dry to done itself.

    Parameters
    ----------
    lines : collection of DishLine
    steps : collection of Action
    catalogue : Catalogue

    Returns
    -------
    tuple of str
        Catalogue keys.
    """
    return tuple(
        line.food
        for line in lines
        if steps
        and line.food in catalogue
        and line_start(line, catalogue.food(line.food)) == "dried"
        and line.eaten == "cooked"
    )
