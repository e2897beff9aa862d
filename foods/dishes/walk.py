"""
Going through the steps of a dish: which vessel holds what, and what heat it gets, step by step.

:func:`walk` does so for what is served this time. The proof, the minutes and the words read that
walk and nothing else.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field

from foods.composition.catalogue import Catalogue
from foods.dishes.actions import HOT, Action, Verb
from foods.dishes.line import DishLine

Lines = Collection[DishLine]
Steps = Collection[Action]
Served = Collection[str] | None
"""Catalogue keys of what is served; None for every line."""

WHOLE = 0.999
"""A line used to this share is used up; thirds do not add up to one exactly. [1]"""
PLATE = "plate"
MINOR = frozenset({"fat", "flavour", "liquid"})
"""Roles of what clings to other food."""


@dataclass(frozen=True)
class Taken:
    """A share of a line, or of a result, that a step takes."""

    name: str
    share: float = 1.0
    rest: bool = False
    """Part of it went into an earlier step, and nothing of it is left now."""
    lines: tuple[tuple[str, float], ...] = ()
    """What a result or a vessel is made of: each line with its share."""


@dataclass(frozen=True)
class Moment:
    """One step as it happens for what is served this time."""

    step: Action
    verb: Verb
    vessel: str
    way: str
    """What it does to what the vessel holds."""
    fresh: bool
    """The vessel was empty and has not been used."""
    empty: bool
    """The vessel was empty."""
    take: tuple[Taken, ...]
    with_: tuple[Taken, ...]
    on: tuple[Taken, ...]
    holds: Mapping[str, float]
    """Lines in the vessel once all is in, each with its share."""
    sources: tuple[str, ...]
    """Vessels something was taken from."""
    result: str
    """What the vessel's contents are called before the step, where they have a name."""


@dataclass
class Worktop:
    """The vessels while the steps are walked through."""

    vessels: dict[str, dict[str, float]] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    """Vessel that holds a named result."""
    left: dict[str, float] = field(default_factory=dict)
    """Share of each line still on the board."""
    ways: dict[str, str] = field(default_factory=dict)
    """How each vessel was last heated."""
    minor: frozenset[str] = frozenset()
    """Fats, seasonings and liquids, which go where the food they are on goes."""
    plated: frozenset[str] = frozenset()
    """Lines, results and vessels that steps at the plate name."""
    missed: list[str] = field(default_factory=list)
    """What a step asked for and did not find, with the verb."""

    def served_from(self) -> str:
        """Name the vessel that is "it" at the plate: the fullest no step there names."""
        names = {at: name for name, at in self.names.items()}
        free = {
            vessel: len(held)
            for vessel, held in self.vessels.items()
            if held
            and vessel not in self.plated
            and names.get(vessel) not in self.plated
            and not set(held) - self.minor <= self.plated
        }
        return max(free, key=lambda vessel: free[vessel]) if free else ""

    def lift(self, name: str, share: float | None) -> tuple[Taken | None, str]:
        """
        Take a line, a result or all a vessel holds; give it with where it was.

        Parameters
        ----------
        name : str
            Line, result or vessel.
        share : float or None
            How much of it; the rest when None. [fraction]
        """
        if name in self.names or name in self.vessels:
            vessel = self.names.pop(name, name)
            held = self.vessels.pop(vessel, {})
            if not held:
                return None, vessel
            return Taken(name, 1.0, False, tuple(held.items())), vessel
        if name not in self.left:
            return None, ""
        on_board = self.left[name]
        if on_board > 1 - WHOLE:
            taken = on_board if share is None else min(share, on_board)
            self.left[name] = on_board - taken
            last = on_board < WHOLE and on_board - taken <= 1 - WHOLE
            return Taken(name, taken, last, ((name, taken),)), ""
        for vessel, held in self.vessels.items():
            if name in held:
                parts = {name: held.pop(name)}
                if set(held) <= self.minor:  # its oil and salt come along
                    parts |= held
                    held.clear()
                return Taken(name, parts[name], False, tuple(parts.items())), vessel
        return None, ""

    def put(self, vessel: str, portions: Collection[Taken]) -> None:
        """
        Put what was taken into a vessel.

        Parameters
        ----------
        vessel : str
            Where it goes.
        portions : Collection[Taken]
            What was taken, with its share.
        """
        held = self.vessels.setdefault(vessel, {})
        for portion in portions:
            for line, share in portion.lines:
                held[line] = held.get(line, 0.0) + share


def served_lines(lines: Lines, served: Served) -> dict[str, DishLine]:
    """
    Choose the lines that are served this time, by the words the dish calls them.

    Parameters
    ----------
    lines : collection of DishLine
    served : collection of str or None
        Catalogue keys; None for every line.

    Returns
    -------
    dict of str to DishLine
    """
    return {line.called: line for line in lines if served is None or line.food in served}


def walk(lines: Lines, steps: Steps, served: Served = None) -> tuple[Moment, ...]:
    """
    Go through the steps for what is served this time.

    A step whose every taken line is left out does not happen.

    Parameters
    ----------
    lines : collection of DishLine
    steps : collection of Action
    served : collection of str, optional
        Catalogue keys; every line when left out.

    Returns
    -------
    tuple of Moment
    """
    moments, _ = walk_through(lines, steps, served)
    return moments


def role_of(line: DishLine) -> str:
    """
    Give the role of a line's food; nothing for a food of one's own.

    Parameters
    ----------
    line : DishLine

    Returns
    -------
    str
    """
    catalogue = Catalogue.load()
    return catalogue.food(line.food).role if line.food in catalogue else ""


def walk_through(
    lines: Lines, steps: Steps, served: Served = None
) -> tuple[tuple[Moment, ...], Worktop]:
    """
    Go through the steps and give the kitchen as it stands afterwards as well.

    Parameters
    ----------
    lines : collection of DishLine
    steps : collection of Action
    served : collection of str, optional
        Catalogue keys; every line when left out.

    Returns
    -------
    tuple of Moment
    Worktop
    """
    on_board = served_lines(lines, served)
    kitchen = Worktop(
        left=dict.fromkeys(on_board, 1.0),
        minor=frozenset(name for name, line in on_board.items() if role_of(line) in MINOR),
        plated=frozenset(
            name
            for step in steps
            if step.at == "plate"
            for name in (*step.take, *step.with_, *step.on)
        ),
    )
    moments: list[Moment] = []
    used: set[str] = set()
    for step in steps:
        moment = _moment(step, kitchen, moments, used)
        if moment is not None:
            moments.append(moment)
    return tuple(moments), kitchen


def _moment(step: Action, kitchen: Worktop, before: list[Moment], used: set[str]) -> Moment | None:
    """Carry out one step; None when nothing it takes is served."""
    verb, shares = step.verb, step.shares
    plate = step.at == "plate"
    vessel = step.in_ or (PLATE if plate else "")
    if not vessel:
        last = before[-1].vessel if before else ""
        stays = last and (not verb.vessel or verb.says_more != verb.says)
        vessel = last if stays and last != PLATE else (verb.vessel or last or "bowl")
    parts: dict[str, list[Taken]] = {"take": [], "with": [], "on": []}
    sources: list[str] = []
    for kind, names in (("take", step.take), ("with", step.with_), ("on", step.on)):
        for name in names:
            portion, source = kitchen.lift(name, shares.get(name))
            if portion is None:
                kitchen.missed.append(f"{step.do}: {name}")
            else:
                parts[kind].append(portion)
                if source and source != vessel:
                    sources.append(source)
    if (step.take and not parts["take"]) or (step.on and not step.take and not parts["on"]):
        loose = [p for kind in parts.values() for p in kind]
        if loose:
            kitchen.put(vessel, loose)
        return None
    if plate and PLATE not in kitchen.vessels:
        main = kitchen.served_from()
        if main:
            sources.append(main)
            kitchen.vessels[PLATE] = kitchen.vessels.pop(main)
    empty = not kitchen.vessels.get(vessel)
    result = next((name for name, at in kitchen.names.items() if at == vessel), "")
    kitchen.put(vessel, [p for kind in parts.values() for p in kind])
    way = kitchen.ways.get(vessel, "") if verb.way == "as before" else verb.way
    if way in HOT:
        kitchen.ways[vessel] = way
    if step.makes:
        kitchen.names = {n: at for n, at in kitchen.names.items() if at != vessel}
        kitchen.names[step.makes] = vessel
    fresh = vessel not in used
    used.add(vessel)
    return Moment(
        step, verb, vessel, way, fresh, empty, tuple(parts["take"]), tuple(parts["with"]),
        tuple(parts["on"]), dict(kitchen.vessels.get(vessel, {})), tuple(sources), result,
    )  # fmt: skip


def pieces(moments: Collection[Moment], at: str) -> Iterator[Moment]:
    """
    Choose the moments of one place: the evening before, the cooking, or the plate.

    Parameters
    ----------
    moments : collection of Moment
    at : str

    Returns
    -------
    iterator of Moment
    """
    return (moment for moment in moments if moment.step.at == at)
