"""What was understood of a meal said in words: its parts, and what has to be asked."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal

from mealplan.science.quantity import NINETY_PERCENT

Meaning = Literal["foods", "as planned", "nothing", "as before"]
"""Whether foods are named, or the meal is said by another: the planned, none, an earlier one."""


ASKED_SD_KCAL = 120.0
"""Least doubt of a meal that was kept with a question open (common practice). [kcal]"""
UNUSED_FRACTION = 0.35
"""Doubt of a meal some words of which were of no use in the reading (common practice)."""


@dataclass(frozen=True)
class EatenPart:
    """One food of a meal, or something whose energy alone is known."""

    said: str
    food: str
    """Catalogue key; empty when only the energy is known."""
    grams: float
    """[g]"""
    energy_kcal: float
    """[kcal]"""
    words: str
    """As it is read back."""
    low_kcal: float
    """What it may hold at least. [kcal]"""
    high_kcal: float
    """What it may hold at most. [kcal]"""
    foods: tuple[tuple[str, float], ...] = ()
    """Catalogue keys with their grams, where the part is a known dish of several. [g]"""
    allergens: tuple[str, ...] = ()


@dataclass(frozen=True)
class EatenSentence:
    """A meal as it was understood."""

    parts: tuple[EatenPart, ...]
    asks: tuple[str, ...]
    """What has to be said more clearly; each names the doubtful words and the best guess."""
    blocked: bool = False
    """True when something has no guess at all, so that the meal cannot be kept as it is read."""
    meaning: Meaning = "foods"
    left_out: tuple[str, ...] = ()
    """Foods of the planned or earlier meal that were not eaten, as they were named."""
    share: float = 1.0
    """How much of the planned or earlier meal was eaten; of foods it is in their grams."""
    unused: tuple[str, ...] = ()
    """Words that were of no use in the reading and may change it; its range is wider for them."""

    @property
    def energy_kcal(self) -> float:
        """Energy of what was understood [kcal]."""
        return sum(part.energy_kcal for part in self.parts)

    @property
    def range_kcal(self) -> tuple[float, float]:
        """Least and most energy it may hold, the doubts of its parts being independent [kcal]."""
        loose = self.energy_kcal * UNUSED_FRACTION if self.unused else 0.0
        below = sqrt(sum((p.energy_kcal - p.low_kcal) ** 2 for p in self.parts) + loose**2)
        above = sqrt(sum((p.high_kcal - p.energy_kcal) ** 2 for p in self.parts) + loose**2)
        return max(0.0, self.energy_kcal - below), self.energy_kcal + above

    @property
    def sd_kcal(self) -> float:
        """
        How far its energy may lie from what it is read as, one standard deviation [kcal].

        The range is taken to hold nine readings in ten; what was asked and kept as it was read
        counts for :data:`ASKED_SD_KCAL` at least.
        """
        low, high = self.range_kcal
        spread = (high - low) / 2 / NINETY_PERCENT
        return max(spread, ASKED_SD_KCAL) if self.asks else spread

    @property
    def foods(self) -> tuple[tuple[str, float], ...]:
        """Foods by catalogue key with their grams."""
        single = [(part.food, part.grams) for part in self.parts if part.food]
        return (*single, *(food for part in self.parts for food in part.foods))

    @property
    def other_kcal(self) -> float:
        """Energy of what has no known food [kcal]."""
        return sum(p.energy_kcal for p in self.parts if not p.food and not p.foods)

    def read_back(self, *, hide: bool = False) -> str:
        """
        Say the meal in a sentence.

        Parameters
        ----------
        hide : bool
            True leaves energy out.

        Returns
        -------
        str
            Such as ``2 slices white bread (58 g) and 2 tbsp hummus (30 g): about 207 kcal.``
        """
        said = [part.words for part in self.parts]
        if self.meaning != "foods":
            share = "" if self.share == 1 else f" × {self.share:.3g}"
            less = f" without {' and '.join(self.left_out)}" if self.left_out else ""
            said.insert(0, f"{_MEANINGS[self.meaning]}{share}{less}")
        text = ", ".join(said[:-1]) + (" and " if said[:-1] else "") + said[-1] if said else ""
        aside = f" “{' '.join(self.unused)}” was not used." if self.unused else ""
        if hide or not self.parts:
            return f"{text}.{aside}"
        low, high = self.range_kcal
        middle = self.energy_kcal
        spread = f" ({_round(low)} to {_round(high)})" if high - low > 0.2 * middle > 8 else ""
        return f"{text}: about {said_number(middle)} kcal{spread}.{aside}"


_MEANINGS = {
    "as planned": "the planned meal",
    "nothing": "nothing",
    "as before": "as the meal before",
}


def said_number(value: float) -> str:
    """Write a number without decimals."""
    return f"{value:,.0f}"


def _round(value: float) -> str:
    return f"{round(value, -1):,.0f}"
