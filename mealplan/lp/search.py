"""
Choose dishes and amounts for one day, guided by the relaxation's prices.

From the blend that the relaxation likes, each meal's dish is exchanged while the day improves: the
current prices rank every other dish at once, only the few most promising are solved, and the best
days found are brought to whole kitchen measures. The same seed gives the same day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from mealplan.lp.amounts import UNSERVABLE, AmountsLP, Grams, polish
from mealplan.lp.column_bound import Relaxation, best_portions, relax
from mealplan.lp.daymodel import DayModel, Floats

HARD = 0.06
"""
A day this far from its bound is searched once more, with more dishes looked at and solved. Where
much is missed whatever is chosen, so that the bound itself is above 1, it is this share of the
bound, and the search goes on from the favourite alone, among the same dishes.
"""


WIDER = 5
"""The second search looks at so many times as many dishes: a blend hides which fit whole."""


@dataclass(frozen=True)
class DayAnswer:
    """A day's dishes and amounts, with how good any day could be."""

    picks: tuple[int, ...]
    grams: Grams
    objective: float
    relaxation: Relaxation

    @property
    def gap(self) -> float:
        """Distance from the proven bound [objective]."""
        return self.objective - self.relaxation.bound


def solve_day(
    model: DayModel,
    *,
    seed: int = 1,
    starts: int = 4,
    tries: int = 4,
    finalists: int = 12,
    width: int = 12,
    fixed: Sequence[int | None] = (),
) -> DayAnswer:
    """
    Plan one day.

    Parameters
    ----------
    model : DayModel
        The day.
    seed : int
        Same seed, same day.
    starts : int
        Number of first guesses; the first is the relaxation's own favourite.
    tries : int
        Dishes solved for each meal in each sweep.
    finalists : int
        Days brought to kitchen measures.
    width : int
        Dishes of a meal that are looked at: those the relaxation would mind least. Keeping it
        fixed is what makes the search cost the same however many dishes there are.
    fixed : sequence of int or None
        Dish index a meal is locked to, one entry a meal; empty locks nothing.

    Returns
    -------
    DayAnswer
    """
    relaxation = relax(model)
    search = _narrowed(model, relaxation, width, fixed)
    search.look(np.random.default_rng(seed), starts=starts, tries=tries)
    objective, picks, grams = search.best(finalists)
    if objective - relaxation.bound > HARD * max(1.0, relaxation.bound):
        again, guesses, more = search, 1, 2 * tries
        if relaxation.bound <= 1:
            again = _narrowed(model, relaxation, WIDER * width, fixed)
            guesses, more = max(1, starts - 1), round(1.5 * tries)
        again.look(np.random.default_rng(seed + 1), starts=guesses, tries=more)
        objective, picks, grams = min(
            (objective, picks, grams), again.best(2 * finalists), key=lambda found: found[0]
        )
    return DayAnswer(picks=picks, grams=grams, objective=objective, relaxation=relaxation)


def _narrowed(
    model: DayModel, relaxation: Relaxation, width: int, fixed: Sequence[int | None]
) -> _Search:
    """Set a search up over the dishes worth looking at."""
    places = _worth_trying(relaxation, width, fixed)
    narrow = replace(
        model,
        offers=tuple(
            tuple(offer[i] for i in kept) for offer, kept in zip(model.offers, places, strict=True)
        ),
    )
    seen_from = replace(
        relaxation,
        reduced_cost=_at(relaxation.reduced_cost, places),
        share=_at(relaxation.share, places),
    )
    locked = [
        None if pick is None else int(np.flatnonzero(kept == pick)[0])
        for pick, kept in zip(fixed or [None] * len(places), places, strict=True)
    ]
    return _Search(narrow, seen_from, locked, places)


def _worth_trying(
    relaxation: Relaxation, width: int, fixed: Sequence[int | None]
) -> list[NDArray[np.int64]]:
    """Choose the dishes of each meal to look at, in the order they are offered."""
    chosen = []
    for slot, reduced in enumerate(relaxation.reduced_cost):
        kept = set(np.argsort(reduced, kind="stable")[:width].tolist())
        kept |= set(np.flatnonzero(relaxation.share[slot] > 0).tolist())
        lock = fixed[slot] if fixed else None
        if lock is not None:
            kept.add(lock)
        chosen.append(np.array(sorted(kept), dtype=np.int64))
    return chosen


def _at(parts: Sequence[Floats], places: Sequence[NDArray[np.int64]]) -> tuple[Floats, ...]:
    return tuple(part[kept] for part, kept in zip(parts, places, strict=True))


@dataclass(frozen=True)
class _Looked:
    """A choice of dishes in their best continuous amounts."""

    value: float
    price: Floats
    shares: Floats
    grams: Grams


class _Search:
    """
    Exchange dishes from first guesses; remember every day solved, so that none is solved twice.

    Parameters
    ----------
    model : DayModel
        The day, with the dishes worth looking at.
    relaxation : Relaxation
        Of this model.
    locked : sequence of int or None
        Dish index a meal is locked to.
    places : sequence of array of int
        For each meal, the place of each of its dishes among all on offer.
    """

    def __init__(
        self,
        model: DayModel,
        relaxation: Relaxation,
        locked: Sequence[int | None],
        places: Sequence[NDArray[np.int64]],
    ) -> None:
        self._model = model
        self._relaxation = relaxation
        self._locked = locked
        self._places = places
        self._lp = AmountsLP(model)
        self._seen: dict[tuple[int, ...], _Looked] = {}
        self._whole: dict[tuple[int, ...], tuple[Grams, float]] = {}

    def _value(self, picks: tuple[int, ...]) -> _Looked:
        looked = self._seen.get(picks)
        if looked is None:
            for slot, pick in enumerate(picks):
                self._lp.put(slot, pick)
            value, price = self._lp.solve()
            value += self._model.between(picks)
            looked = _Looked(value, price, self._lp.shares(), self._lp.grams())
            self._seen[picks] = looked
        return looked

    def look(self, rng: np.random.Generator, *, starts: int, tries: int) -> None:
        """Exchange dishes while the day improves, from the favourite and from random guesses."""
        model = self._model
        for start in range(starts):
            picks = _first_guess(model, self._relaxation, self._locked, rng if start else None)
            now = self._value(picks)
            improved = True
            while improved:
                improved = False
                for slot in range(len(model.slots)):
                    if self._locked[slot] is not None:
                        continue
                    most = float(now.shares[slot])
                    for pick in _promising(model, picks, slot, now.price, tries, most):
                        trial = (*picks[:slot], pick, *picks[slot + 1 :])
                        looked = self._value(trial)
                        if looked.value < now.value - 1e-6:
                            picks, now = trial, looked
                            improved = True
                            break

    def best(self, finalists: int) -> tuple[float, tuple[int, ...], Grams]:
        """Bring the best days seen to kitchen measures; give the best, dishes by place on offer."""
        best: tuple[float, tuple[int, ...], Grams] | None = None
        ranked = sorted(self._seen.items(), key=lambda item: (item[1].value, item[0]))
        for rank, (candidate, looked) in enumerate(ranked):
            enough = rank >= finalists or (best is not None and looked.value >= best[0])
            if enough and best is not None and best[0] < UNSERVABLE:
                break
            if candidate not in self._whole:
                self._whole[candidate] = polish(self._model, candidate, looked.grams)
            grams, objective = self._whole[candidate]
            if best is None or objective < best[0] - 1e-9:
                best = (objective, candidate, grams)
        assert best is not None
        objective, picks, grams = best
        whole = tuple(int(kept[pick]) for pick, kept in zip(picks, self._places, strict=True))
        return objective, whole, grams


def _first_guess(
    model: DayModel,
    relaxation: Relaxation,
    locked: Sequence[int | None],
    rng: np.random.Generator | None,
) -> tuple[int, ...]:
    taken: set[str] = {
        model.offers[slot][pick].dish for slot, pick in enumerate(locked) if pick is not None
    }
    used = np.zeros(len(model.food_ceiling_g))
    for slot, pick in enumerate(locked):
        if pick is not None:
            used += model.least_grams(slot, pick)
    picks = []
    for slot, offer in enumerate(model.offers):
        pick = locked[slot]
        if pick is None:
            score = relaxation.share[slot] - 0.05 * relaxation.reduced_cost[slot]
            if rng is not None:
                score = score + rng.gumbel(size=len(offer)) * 0.3
            order = np.argsort(-score, kind="stable")
            pick = next(
                (
                    int(i)
                    for i in order
                    if offer[i].dish not in taken
                    and (used + model.least_grams(slot, int(i)) <= model.food_ceiling_g).all()
                ),
                int(order[0]),
            )
            used += model.least_grams(slot, pick)
        taken.add(offer[pick].dish)
        picks.append(pick)
    return tuple(picks)


def _promising(
    model: DayModel, picks: tuple[int, ...], slot: int, price: Floats, tries: int, most: float
) -> list[int]:
    """
    Rank a meal's other dishes by what they cost at the day's prices, those below ``most``.

    A dish dearer at these prices than the one it would replace is proven not to better the day,
    so it need not be solved.
    """
    _, cost = best_portions(model.tables[slot], price)
    others = {model.offers[other][pick].dish for other, pick in enumerate(picks) if other != slot}
    if model.family_price:
        has = model.has_family
        elsewhere = sum(
            (has[other][pick] for other, pick in enumerate(picks) if other != slot),
            start=np.zeros(has[slot].shape[1]),
        )
        alike = has[slot] @ elsewhere
        cost = cost + model.family_price * (alike - alike[picks[slot]])
    offer = model.offers[slot]
    if model.minutes_most is not None:
        now = model.overtime(picks)
        cost = cost + [
            model.overtime((*picks[:slot], other, *picks[slot + 1 :])) - now
            for other in range(len(offer))
        ]
    order = np.argsort(cost, kind="stable")
    used = sum(
        (model.least_grams(other, pick) for other, pick in enumerate(picks) if other != slot),
        start=np.zeros(len(model.food_ceiling_g)),
    )
    ranked: list[int] = []
    for i in order:
        if cost[i] >= most:
            break
        if i == picks[slot] or offer[i].dish in others:
            continue
        if (used + model.least_grams(slot, int(i)) <= model.food_ceiling_g).all():
            ranked.append(int(i))
            if len(ranked) == tries:
                break
    return ranked
