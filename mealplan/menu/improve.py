"""
Search a plan's days further: plan a few again among the rest and keep what is better.

Planning day after day never looks ahead: a day does not know that the next could eat what it
cooks. Here one, two or three days at a time are planned again with all the others in sight, from
other first guesses, at times with dishes that keep made a little cheaper or those just served a
little dearer. A change stays only if the whole plan scores better, so the outcome is never worse
than the start (a large-neighbourhood search).

References
----------
.. [1] P. Shaw, Principles and Practice of Constraint Programming 1998, LNCS 1520, 417-431,
   doi:10.1007/3-540-49481-2_30: large-neighbourhood search.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from typing import Protocol

from mealplan.menu.served import Served, Solved

PASSES = 5
"""Times every neighbourhood is tried; two passes in a row that find nothing end the search."""
LEAN = 0.04
"""How much cheaper a dish that keeps is made, or dearer one that was just served."""


class Replan(Protocol):
    """Plan one day again among the others."""

    def __call__(
        self,
        day: int,
        history: Mapping[int, tuple[Served, ...]],
        *,
        settled: Mapping[int, Served],
        lean: Mapping[str, float],
        seed: int,
    ) -> Solved:
        """Give the day; ``lean`` adds to the price of dishes, ``settled`` meals do not move."""
        ...


def neighbourhoods(days: int) -> tuple[tuple[int, ...], ...]:
    """
    List the days to take out together.

    Parameters
    ----------
    days : int
        How many there are. [days]

    Returns
    -------
    tuple of tuple of int
        Single days, two days up to three apart, three days in a row.
    """
    singles = [(day,) for day in range(days)]
    pairs = [(day, day + gap) for gap in (1, 2, 3) for day in range(days - gap)]
    rows = [(day, day + 1, day + 2) for day in range(days - 2)]
    return (*singles, *pairs, *rows)


def steps_of(days: int) -> int:
    """
    Count the steps a search takes at most, for showing how far it is.

    Parameters
    ----------
    days : int
        [days]

    Returns
    -------
    int
    """
    return PASSES * len(neighbourhoods(days))


def improve(
    start: Mapping[int, Solved],
    replan: Replan,
    score: Callable[[Mapping[int, Solved]], float],
    keepers: Collection[str],
    *,
    seed: int,
    tell: Callable[[int], None],
) -> dict[int, Solved]:
    """
    Improve a plan as a whole.

    Parameters
    ----------
    start : mapping of int to Solved
        Each day as planned.
    replan : callable
        Plans one day among the others.
    score : callable
        What a plan costs in all; infinite when a kept portion does not fit what was cooked.
    keepers : collection of str
        Dishes a portion of which can be kept.
    seed : int
        Same seed, same outcome.
    tell : callable
        Called with the steps done.

    Returns
    -------
    dict of int to Solved
        Scores no worse than the start.
    """
    best = dict(start)
    least = score(best)
    ahead = dict.fromkeys(keepers, -LEAN)
    done = 0
    idle = 0
    for turn in range(PASSES):
        idle += 1
        for freed in neighbourhoods(len(best)):
            served = {meal.dish: LEAN for day in freed for meal in best[day].served}
            lean = ({}, ahead, served)[(turn + len(freed) - 1) % 3]
            trial = _without(best, freed, replan, lean, seed + 1009 * (turn + 1))
            value = score(trial)
            if value < least - 1e-6:
                best, least, idle = trial, value, 0
            done += 1
            tell(done)
        if idle == 2:
            break
    return best


def _without(
    best: Mapping[int, Solved],
    freed: tuple[int, ...],
    replan: Replan,
    lean: Mapping[str, float],
    seed: int,
) -> dict[int, Solved]:
    """Plan some days again; what a day outside them eats kept stays as it was cooked."""
    trial = dict(best)
    history = {day: solved.served for day, solved in best.items() if day not in freed}
    for day in freed:
        wanted = {
            (meal.dish, meal.kept_from)
            for meals in history.values()
            for meal in meals
            if meal.kept_from == day
        }
        settled = {
            slot: meal
            for slot, meal in enumerate(best[day].served)
            if meal.kept_from is None and (meal.dish, day) in wanted
        }
        trial[day] = replan(day, history, settled=settled, lean=lean, seed=seed + day)
        history[day] = trial[day].served
    return trial
