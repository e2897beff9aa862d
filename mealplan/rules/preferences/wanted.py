"""Meals of what is liked: each of the client's words comes as often in a week as it should."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from mealplan.rules.weights import weight

OTHER_MEAL = weight("other_meal")


@dataclass(frozen=True)
class Wanted:
    """One liking as meals of a week."""

    words: tuple[str, ...]
    """The client's own."""
    dishes: frozenset[str]
    """Keys of the dishes it means and that may be served."""
    occasions: frozenset[str]
    """Meals that can be of it."""
    least: float
    """Meals in seven days that should be. [meals/week]"""
    of: int
    """Meals of these occasions in seven days. [meals/week]"""

    def behind(self, come: int, known: Mapping[str, int]) -> float:
        """
        Say how far the week is behind, with one more meal of these occasions to choose.

        Parameters
        ----------
        come : int
            Meals of it within the window. [meals]
        known : mapping of str to int
            Meals that are chosen, by occasion. [meals]

        Returns
        -------
        float
            Nothing where it is not behind. [meals]
        """
        chosen = sum(known.get(occasion, 0) for occasion in self.occasions)
        return max(0.0, self.least * min(chosen + 1, self.of) / self.of - come)
