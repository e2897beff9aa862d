"""One food of a meal with all that was said about it."""

from __future__ import annotations

from dataclasses import dataclass, field

from mealplan.checkin.log.eaten_lexicon import Edible
from mealplan.checkin.log.eaten_measures import SaidAmount

HEADS = frozenset(
    {"dish", "stew", "soup", "salad", "pastry", "sweet", "drink", "hot drink", "snack",
     "soft drink", "yoghurt", "sauce", "cereal"}
)  # fmt: skip
"""Kinds of food that are named by what is in them: banana cake, lentil soup."""


def is_head(edible: Edible) -> bool:
    """
    Say whether a food is named by what is in it.

    Parameters
    ----------
    edible : Edible

    Returns
    -------
    bool
    """
    if edible.kind.name == "dish":
        return edible.swallows or edible.rest is not None
    return edible.kind.name in HEADS


@dataclass
class Piece:
    """One food of a meal with all that was said about it."""

    said: list[str] = field(default_factory=list)
    food: Edible | None = None
    inside: list[Edible] = field(default_factory=list)
    """Foods named before it that it is made of."""
    quantities: list[SaidAmount] = field(default_factory=list)
    sizes: list[str] = field(default_factory=list)
    energies: list[tuple[float, bool]] = field(default_factory=list)
    """Energy said [kcal], and whether it is that of each piece."""
    density: float = 0.0
    """Energy said for 100 g. [kcal]"""
    unknown: list[str] = field(default_factory=list)
    stray: list[str] = field(default_factory=list)
    """Words that are part of some name, yet name nothing here by themselves."""
    mended: list[str] = field(default_factory=list)
    joined: str = ""
    """``with`` or ``and`` what went before; empty for the first of a group."""
    dry: bool = False
    """True when it was weighed before it was cooked."""
    drained: bool = False
    """True when the liquid of its tin was poured off."""
    modifiers: list[str] = field(default_factory=list)
    """Words that make another food of it, such as fried."""
    doubts: list[str] = field(default_factory=list)
    """What its words may mean as well."""
    times_behind: bool = False
    """True when a multiplier was said behind its name."""
    beside_word: bool = False
    """True when nothing stood between it and the food before."""
    absent: bool = False
    """True for what was left out."""
    title: bool = False
    """True for a name behind which its parts are listed."""
    inner: bool = False
    """True for a part of such a list."""
    told_all: bool = False
    """True when its energy was told of all foods it names."""

    @property
    def empty(self) -> bool:
        """Whether nothing was said that could be eaten."""
        named = self.food or self.energies or self.unknown or self.stray
        changed = self.modifiers or self.drained or self.dry
        return not (named or self.quantities or changed)
