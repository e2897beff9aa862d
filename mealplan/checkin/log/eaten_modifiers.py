"""Words that make another food of one: fried, sugar free, light, creamy; and what they change."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from math import sqrt

from foods.composition.as_eaten import EatenModifier, eaten_modifiers
from mealplan.checkin.log.eaten_lexicon import Edible, Lexicon

LONGEST_MODIFIER = 4
"""Most words of one modifier."""
_WITH_FAT = frozenset({"fried", "deep fried", "roasted", "buttery"})
"""Sorts that add fat, which a recipe written with oil has already."""
_OILS = frozenset({"sunflower_oil", "olive_oil", "sesame_oil", "01001", "21138"})
_SUGAR = "sugar"


@dataclass(frozen=True)
class ModifierEffect:
    """What modifiers make of the energy of a food, as factors of it."""

    middle: float = 1.0
    low: float = 1.0
    high: float = 1.0
    unused: tuple[str, ...] = ()
    """Modifiers that nothing is known of for such a food."""


@cache
def _phrases() -> dict[str, tuple[EatenModifier, ...]]:
    found: dict[str, tuple[EatenModifier, ...]] = {}
    for modifier in eaten_modifiers():
        for phrase in modifier.words:
            found[phrase] = (*found.get(phrase, ()), modifier)
    return found


def modifier_ahead(texts: Sequence[str]) -> tuple[str, int]:
    """
    Find the longest modifier that begins here.

    Parameters
    ----------
    texts : sequence of str
        The coming words as typed.

    Returns
    -------
    phrase : str
        Empty when none does.
    used : int
        How many words it takes.
    """
    for many in range(min(LONGEST_MODIFIER, len(texts)), 0, -1):
        phrase = " ".join(texts[:many])
        if phrase in _phrases():
            return phrase, many
    return "", 0


def named_with(food: Edible, phrases: Sequence[str], lexicon: Lexicon) -> tuple[Edible, list[str]]:
    """
    Take a food's own name with a modifier where there is one: skimmed milk, dried mango.

    Parameters
    ----------
    food : Edible
    phrases : sequence of str
        Its modifiers.
    lexicon : Lexicon

    Returns
    -------
    food : Edible
        Another one where a name says the modifier.
    left : list of str
        Modifiers that are not part of its name.
    """
    left: list[str] = []
    for phrase in phrases:
        other = _own_name(food, phrase, lexicon)
        if other is not None:
            food = other
        elif not _says(food.name, phrase):
            left.append(phrase)
    return food, left


def _own_name(food: Edible, phrase: str, lexicon: Lexicon) -> Edible | None:
    """Find a name that says the modifier, or another of its sort, together with the food."""
    sorts = {modifier.sort for modifier in _phrases().get(phrase, ())}
    same = [p for p, ms in _phrases().items() if sorts & {m.sort for m in ms} and p != phrase]
    for one in (phrase, *(same if "no sugar" in sorts or "from plants" in sorts else ())):
        for name in (f"{one} {food.name}", f"{food.name} {one}"):
            words = name.split()
            edible, used = lexicon.find(words, words)
            if edible is not None and used == len(words):
                return edible
    return None


def _says(name: str, phrase: str) -> bool:
    return f" {phrase} " in f" {name} "


def effect_on(food: Edible, phrases: Iterable[str], *, oil_said: bool) -> ModifierEffect:
    """
    Work out what modifiers make of a food's energy.

    Parameters
    ----------
    food : Edible
    phrases : iterable of str
    oil_said : bool
        True where the fat it was made with is named as a food of its own.

    Returns
    -------
    ModifierEffect
    """
    middle, below, above = 1.0, 0.0, 0.0
    unused: list[str] = []
    for sort, phrase in _by_sort(phrases).items():
        modifier = _for(phrase, food.kind.name)
        if modifier is None:
            unused.append(phrase)
            continue
        has_fat = any(key in _OILS for key, _ in food.made_of)
        if sort in _WITH_FAT and (oil_said or has_fat):
            continue
        if sort == "no sugar" and _unsugared(food):
            middle *= _unsugared(food)
            continue
        per_100g = max(1.0, food.kcal_per_100g)
        mid, low, high = (
            times + add / per_100g
            for times, add in zip(modifier.times, modifier.add_kcal, strict=True)
        )
        middle *= mid
        below += (1 - low / max(1e-9, mid)) ** 2
        above += (high / max(1e-9, mid) - 1) ** 2
    return ModifierEffect(
        middle,
        middle * max(0.0, 1 - sqrt(below)),
        middle * (1 + sqrt(above)),
        tuple(unused),
    )


def _by_sort(phrases: Iterable[str]) -> dict[str, str]:
    """Take every sort once: sugar free and diet say the same."""
    found: dict[str, str] = {}
    for phrase in phrases:
        modifiers = _phrases().get(phrase, ())
        found.setdefault(modifiers[0].sort if modifiers else phrase, phrase)
    return found


def _for(phrase: str, kind: str) -> EatenModifier | None:
    for modifier in _phrases().get(phrase, ()):
        if kind in modifier.kinds or not modifier.kinds:
            return modifier
    return None


def _unsugared(food: Edible) -> float:
    """Give the share of a recipe's energy that is left without its sugar; 0 where it has none."""
    sugar = sum(grams for key, grams in food.made_of if key == _SUGAR)
    if not sugar:
        return 0.0
    whole = sum(grams for _, grams in food.made_of) * food.kcal_per_100g / 100
    return max(0.01, 1 - sugar * _SUGAR_KCAL_PER_G / max(1.0, whole))


_SUGAR_KCAL_PER_G = 3.87
"""Granulated sugar of the release, number 19335. [kcal/g]"""
