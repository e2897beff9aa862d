"""
The words by which a client may name dishes: traditions, kinds, textures, heats and groups of food.

What they mean is decided in :mod:`mealplan.kitchen.preferences`; here they are listed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from foods.composition.catalogue import Catalogue
from foods.composition.food_words import normalised
from foods.dishes.actions import table
from foods.dishes.kinds import dish_kinds, kinds_called
from foods.dishes.model import Dish

TEXTURES = {
    "soft": "soft", "mushy": "soft", "crisp": "crisp", "crispy": "crisp", "crunchy": "crisp",
    "chewy": "chewy", "soupy": "soupy", "runny": "soupy", "creamy": "creamy", "smooth": "creamy",
}  # fmt: skip
"""Words for a texture by the texture a dish states."""
HEATS = {
    "no chilli": (0, 0), "no heat": (0, 0), "mild": (1, 1), "mildly hot": (1, 1),
    "hot": (2, 3), "spicy": (2, 3), "very hot": (3, 3),
}  # fmt: skip
"""Words for chilli heat by the least and the most of it."""
KINDS = frozenset(
    {
        "bagel", "burger", "chili", "curry", "dal", "falafel", "granola", "muesli", "noodle",
        "pancake", "pasta", "porridge", "rice bowl", "salad", "sandwich", "sausage", "soup",
        "taco", "toast", "wrap",
    }
)  # fmt: skip
"""Kinds of dish whose word is also a food's: the foods are meant, and the dishes called so."""
NAMED_KINDS = (
    "bake", "bowl", "casserole", "congee", "cup", "hash", "overnight oats", "pie", "risotto",
    "roll", "shake", "smoothie", "stew", "stir fry",
)  # fmt: skip
"""Further kinds by a word of their names."""


@dataclass(frozen=True)
class TasteWord:
    """One word that tastes accept."""

    word: str
    dishes: int
    """Dishes it means."""
    also: tuple[str, ...] = ()
    """Other words for the same."""


@cache
def regions() -> Mapping[str, tuple[str, ...]]:
    """
    Load the words for regions and neighbours, by the traditions they mean.

    Returns
    -------
    mapping of str to tuple of str
        Normalised word to traditions as dishes state them.
    """
    return {
        normalised(row["word"]): tuple(row["traditions"].split(";"))
        for row in table("traditions.csv")
    }


def taste_words(
    dishes: Sequence[Dish], catalogue: Catalogue
) -> Mapping[str, tuple[TasteWord, ...]]:
    """
    List the words tastes accept, by what they speak of.

    Parameters
    ----------
    dishes : sequence of Dish
    catalogue : Catalogue

    Returns
    -------
    mapping of str to tuple of TasteWord
        Kitchens, regions, kinds of dish, textures, heat and food groups.
    """
    return {
        "kitchens": _counted(
            {dish.tradition for dish in dishes},
            lambda word: sum(dish.tradition == word for dish in dishes),
        ),
        "regions and neighbours": tuple(
            TasteWord(word, sum(dish.tradition in meant for dish in dishes))
            for word, meant in sorted(regions().items())
        ),
        "kinds of dish": _counted(
            {
                *KINDS,
                *NAMED_KINDS,
                *(word for kind in dish_kinds().values() for word in kind.words),
            },
            lambda word: sum(
                dish.kind in kinds_called(word)
                or f" {normalised(word)} " in f" {normalised(dish.name)} "
                for dish in dishes
            ),
        ),
        "textures": tuple(
            TasteWord(
                texture,
                sum(dish.texture == texture for dish in dishes),
                tuple(word for word, meant in TEXTURES.items() if meant == texture != word),
            )
            for texture in dict.fromkeys(TEXTURES.values())
        ),
        "chilli heat": tuple(
            TasteWord(word, sum(least <= dish.heat <= most for dish in dishes))
            for word, (least, most) in HEATS.items()
        ),
        "groups of food": tuple(
            TasteWord(group, 0) for group in sorted({food.group for food in catalogue})
        ),
    }


def _counted(words: set[str], count: Callable[[str], int]) -> tuple[TasteWord, ...]:
    found = (TasteWord(word, count(word)) for word in sorted(words))
    return tuple(word for word in found if word.dishes)
