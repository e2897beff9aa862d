"""Dishes of the kitchen, known by the words of their names, in the portion they are written for."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from foods.composition.as_eaten import energy_of
from foods.composition.catalogue import Catalogue
from foods.composition.food_words import normalised
from foods.dishes.load import load_dishes
from foods.dishes.model import Dish
from mealplan.checkin.log.eaten_model import EatenPart
from mealplan.checkin.log.eaten_tokens import Token

FEWEST_WORDS = 3
"""Words that name a dish; fewer name a food or many dishes."""
ENOUGH_FRACTION = 0.85
"""Share of the words of a dish's name that have to be said."""
PORTION_FRACTION = 0.25
"""Doubt of a portion nobody measured."""
_SMALL_WORDS = frozenset("a an and of with the in on to for over from my some had ate".split())  # noqa: SIM905


def _words(text: str) -> frozenset[str]:
    return frozenset(normalised(text).split()) - _SMALL_WORDS


@cache
def _shipped() -> tuple[tuple[frozenset[str], Dish], ...]:
    return tuple((_words(dish.name), dish) for dish in load_dishes())


def dish_of(tokens: Sequence[Token], catalogue: Catalogue, own: Sequence[Dish]) -> EatenPart | None:
    """
    Find the dish whose name a whole sentence is.

    Parameters
    ----------
    tokens : sequence of Token
    catalogue : Catalogue
    own : sequence of Dish
        Dishes of one's own, which come before those that ship.

    Returns
    -------
    EatenPart or None
    """
    if any(t.kind == "number" and t.value >= 1.5 for t in tokens):
        return None
    said = frozenset(t.stem for t in tokens if t.kind == "word") - _SMALL_WORDS
    for dish in own:
        words = _words(dish.name)
        if words and words <= said and len(said) <= len(words) + 1:
            return _part(dish, catalogue)
    if len(said) < FEWEST_WORDS:
        return None
    best: tuple[float, Dish] | None = None
    for words, dish in _shipped():
        if said <= words:
            share = len(said) / len(words)
            if share >= ENOUGH_FRACTION and (best is None or share > best[0]):
                best = (share, dish)
    return _part(best[1], catalogue) if best else None


def _part(dish: Dish, catalogue: Catalogue) -> EatenPart | None:
    lines = [line for line in dish.lines if not line.optional and line.food in catalogue]
    foods = tuple((line.food, float(line.g[1])) for line in lines)
    if not foods:
        return None
    grams = sum(amount for _, amount in foods)
    kcal = grams * energy_of(foods, catalogue) / 100
    allergens = {a for key, _ in foods for a in catalogue.food(key).allergens}
    return EatenPart(
        said=dish.name,
        food="",
        grams=grams,
        energy_kcal=kcal,
        words=f"1 portion of {dish.name[:1].lower()}{dish.name[1:]}",
        low_kcal=kcal * (1 - PORTION_FRACTION),
        high_kcal=kcal * (1 + PORTION_FRACTION),
        foods=foods,
        allergens=tuple(sorted(allergens)),
    )
