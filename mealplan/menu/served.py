"""What a planned meal or day is to the days around it: dishes, grams, where a portion came from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.lp.daymodel import Choice, DayModel
from mealplan.lp.search import DayAnswer


@dataclass(frozen=True)
class Served:
    """What a planned meal was, for variety and kept portions."""

    dish: str
    grams: Mapping[str, float]
    kept_from: int | None
    """Index of the day it was cooked, when this is a kept portion."""

    @property
    def frozen(self) -> bool:
        """True where it came out of the freezer, cooked before the first of the days."""
        return self.kept_from is not None and self.kept_from < 0

    name: str = ""
    """What it was, when it was no dish of ours."""
    other_kcal: float = 0.0
    """Energy eaten whose foods are not known. [kcal]"""
    sd_kcal: float = 0.0
    """How far the energy of what was eaten instead may lie from what it is read as. [kcal]"""
    out: bool = False
    """True of a meal to be eaten out, of which only this is assumed."""


@dataclass(frozen=True)
class Solved:
    """One day's answer and what it serves."""

    served: tuple[Served, ...]
    objective: float
    bound: float
    model: DayModel = field(repr=False)
    answer: DayAnswer = field(repr=False)
    margins: Mapping[str, float] = field(default_factory=dict, repr=False)
    """What was added to floors, by nutrient. [nutrient unit]"""


def grams_in(space: FoodSpace, choice: Choice, served: Served) -> np.ndarray:
    """
    Grams of each line of a choice in a meal that was served.

    Parameters
    ----------
    space : FoodSpace
        The foods there are.
    choice : Choice
        The dish as it is offered.
    served : Served
        What the meal was.
    """
    return np.array([served.grams.get(space.foods[food].key, 0.0) for food in choice.foods])


def fixed_choice(served: Served, space: FoodSpace) -> Choice:
    """
    Make a choice whose amounts cannot move.

    Parameters
    ----------
    served : Served
        What the meal was.
    space : FoodSpace
        The foods there are.
    """
    # A meal of which only the energy is known still needs a line: nothing of the first food.
    amounts = dict(served.grams) or {space.foods[0].key: 0.0}
    keys = list(amounts)
    grams = np.array([amounts[key] for key in keys], dtype=float)
    return Choice(
        dish=served.dish,
        foods=np.array([space.index[key] for key in keys], dtype=np.int64),
        low=grams,
        typical=grams,
        high=grams,
        step=np.where(grams > 0, grams, 1.0),
        optional=np.zeros(len(keys), dtype=bool),
        cost=0.0,
        deviation=np.zeros(len(keys)),
    )


def already_there(space: FoodSpace, settled: Mapping[int, Served]) -> np.ndarray:
    """
    Grams of each food in meals that cannot change: no ceiling can forbid what was eaten.

    Parameters
    ----------
    space : FoodSpace
        The foods there are.
    settled : Mapping[int, Served]
        Meals that stand, by slot.
    """
    grams = np.zeros(len(space))
    for served in settled.values():
        for key, amount in served.grams.items():
            grams[space.index[key]] += amount
    return grams


def serve(
    space: FoodSpace,
    model: DayModel,
    answer: DayAnswer,
    origins: Sequence[Sequence[int | None]],
    settled: Mapping[int, Served] | None = None,
) -> tuple[Served, ...]:
    """
    Read what a day serves off its answer.

    Parameters
    ----------
    space : FoodSpace
        The foods there are.
    model : DayModel
        The day.
    answer : DayAnswer
        Its plan.
    origins : Sequence[Sequence[int or None]]
        Day each kept portion was cooked.
    settled : Mapping[int, Served] or None
        Meals that stand, by slot.
    """
    served: list[Served] = []
    for slot, (pick, grams) in enumerate(zip(answer.picks, answer.grams, strict=True)):
        if settled and slot in settled:
            served.append(settled[slot])
            continue
        choice = model.offers[slot][pick]
        amounts = {
            space.foods[food].key: float(amount)
            for food, amount in zip(choice.foods, grams, strict=True)
            if amount > 0
        }
        served.append(Served(choice.dish, amounts, origins[slot][pick]))
    return tuple(served)
