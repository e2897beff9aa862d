"""
The few wishes that clash, and how far each would have to give.

A set of ends clashes when not even a day that blends dishes freely can meet them together; as a
blend is allowed more than a plan, such a clash is proven for every plan made of these dishes. From
the prices of a blend that fails, the ends that take part are read; dropping them one by one while
the rest still clashes leaves a few of which none is superfluous (a deletion filter [1]_).

Where a blend could meet everything, whole dishes in kitchen measures are what stands in the way,
and the filter is run once more on the dishes that were chosen; that answer holds for those dishes
only and is said so.

References
----------
.. [1] J. W. Chinneck, E. W. Dravnieks, ORSA Journal on Computing 3(2), 1991, 157-168,
   doi:10.1287/ijoc.3.2.157: deletion filter.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from mealplan.lp.daymodel import DayModel
from mealplan.lp.explain.blend import Blend
from mealplan.lp.explain.ends import MET, End, in_unit, thing
from mealplan.lp.search import DayAnswer

MOST_CLASHES = 3
"""Clashes looked for on one day."""


@dataclass(frozen=True)
class Relaxing:
    """How far one end of a clash has to give for the rest to hold."""

    end: End
    to: float | None
    """New bound at best; None when giving it up whole is not enough. [row unit]"""


@dataclass(frozen=True)
class Clash:
    """Ends that cannot all be met, none superfluous."""

    ends: tuple[End, ...]
    proven: bool
    """True for every plan of these dishes; False for the dishes of this day only."""
    relaxings: tuple[Relaxing, ...] = ()


def find_clash(
    blend: Blend, among: Iterable[int], keep_last: Sequence[int] = ()
) -> tuple[int, ...]:
    """
    Reduce ends that cannot all be met to a few that still cannot.

    Parameters
    ----------
    blend : Blend
        The freest day.
    among : iterable of int
        Ends to look at, as indices into ``blend.ends``.
    keep_last : sequence of int
        Ends a reader wants to see in the answer if it is possible: tried last for dropping.

    Returns
    -------
    tuple of int
        Indices of a minimal clash, or empty when a blend meets them all.
    """
    among = tuple(among)
    weight = np.zeros(len(blend.ends))
    weight[list(among)] = 1.0
    _, bound, price = blend.least(weight, enough=MET / 2, proof=MET)
    if bound <= MET:
        return ()
    energy = [end for end in among if blend.ends[end].row.tier == "energy"]
    kept = sorted({*np.flatnonzero((np.abs(price) > 1e-9) & (weight > 0)).tolist(), *energy})
    order = sorted(kept, key=lambda end: (end in keep_last, _telling(blend.ends[end]), price[end]))
    for end in order:
        if end not in kept:
            continue
        trial = [other for other in kept if other != end]
        weight = np.zeros(len(blend.ends))
        weight[trial] = 1.0
        _, bound, price = blend.least(weight, enough=MET / 2, proof=MET)
        if bound > MET:
            kept = [other for other in trial if abs(price[other]) > 1e-9]
    return tuple(kept)


def _telling(end: End) -> int:
    """Rank how much an end tells a reader; what tells least is tried for dropping first."""
    if end.row.tier == "energy":
        return 3
    if end.side == "ceiling":
        return 0
    return 2 if end.row.tier in ("protein", "amino acid") else 1


def relax_each(blend: Blend, clash: Sequence[int], others: Iterable[int]) -> tuple[Relaxing, ...]:
    """
    Say how far each end of a clash must give so that the other ends hold.

    Parameters
    ----------
    blend : Blend
        The freest day.
    clash : sequence of int
        Ends that clash.
    others : iterable of int
        Further ends that should hold as well.

    Returns
    -------
    tuple of Relaxing
        The least each must give in a blend: a plan of whole dishes may need a little more.
    """
    held = sorted({*clash, *others})
    found = []
    for end in clash:
        weight = np.zeros(len(blend.ends))
        weight[held] = 1000.0
        weight[end] = 1.0
        blend.least(weight)
        missed = blend.missed()
        rest = sum(float(missed[other]) for other in held if other != end)
        this = blend.ends[end]
        step = float(missed[end]) * this.scale
        to = this.bound - step if this.side == "floor" else this.bound + step
        found.append(Relaxing(this, to if rest <= MET else None))
    return tuple(found)


def clashes_of(
    model: DayModel, answer: DayAnswer, blend: Blend, missed: Sequence[End]
) -> tuple[Clash, ...]:
    """
    Find the clashes behind what a day misses.

    Parameters
    ----------
    model : DayModel
        The day.
    answer : DayAnswer
        Its plan.
    blend : Blend
        The freest day of its dishes.
    missed : sequence of End
        Musts it does not meet.

    Returns
    -------
    tuple of Clash
        At most :data:`MOST_CLASHES`.
    """
    if not missed:
        return ()
    at = {(end.row.name, end.side): index for index, end in enumerate(blend.ends)}
    wanted = [at[end.row.name, end.side] for end in missed]
    met = [index for index in range(len(blend.ends)) if index not in wanted]
    found: list[tuple[int, ...]] = []
    for index in wanted:
        if any(index in clash for clash in found) or len(found) == MOST_CLASHES:
            continue
        clash = find_clash(blend, [*met, index], keep_last=wanted)
        if clash:
            found.append(clash)
    if not found:
        clash = find_clash(blend, range(len(blend.ends)), keep_last=wanted)
        if clash:
            found.append(clash)
    if found:
        return tuple(
            Clash(tuple(blend.ends[index] for index in clash), True, relax_each(blend, clash, met))
            for clash in found
        )
    chosen = replace(
        model, offers=tuple((o[p],) for o, p in zip(model.offers, answer.picks, strict=True))
    )
    narrow = Blend(chosen, blend.ends)
    clash = find_clash(narrow, range(len(blend.ends)), keep_last=wanted)
    return (Clash(tuple(blend.ends[index] for index in clash), proven=False),) if clash else ()


def clash_sentence(clash: Clash) -> str:
    """
    Say which wishes cannot be had together, and where they come from.

    Parameters
    ----------
    clash : Clash
        As :func:`clashes_of` finds it.
    """
    reasons = "; ".join(dict.fromkeys(end.row.why for end in clash.ends))
    words = [end.words for end in clash.ends]
    if len(words) == 1:
        said = f"{words[0]} is out of reach on its own"
    else:
        said = f"{', '.join(words[:-1])} and {words[-1]} cannot be had together"
    scope = "whatever dishes on offer are chosen" if clash.proven else "with the dishes of this day"
    return f"{said[0].upper()}{said[1:]}, {scope} ({reasons})."


def relaxing_sentence(clash: Clash) -> str:
    """
    Say what giving way on each would take.

    Parameters
    ----------
    clash : Clash
        As :func:`clashes_of` finds it.
    """
    ways = []
    for relaxing in clash.relaxings:
        end = relaxing.end
        if relaxing.to is not None:
            how = "reaches {} at best" if end.side == "floor" else "rises to {} at least"
            amount = in_unit(end.asked(relaxing.to), end.row.unit)
            ways.append(f"{thing(end.row.label)} {how.format(amount)}")
    if not ways:
        return "Giving way on any one of them alone is not enough for all the rest."
    return f"For all the rest to hold, {', or '.join(ways)}."
