"""Whether a phrase names a food, or one of a kind."""

from __future__ import annotations

from foods.composition.food_words import normalised
from mealplan.checkin.log.eaten_lexicon import Edible, Lexicon

_SORTS = {
    "bread": ("18",),
    "oil": ("04",),
    "milk": ("01077", "01079", "01085"),
}
"""Numbers of the release that begin so are of a kind of food."""
_FAT_KEYS = frozenset({"olive_oil", "sunflower_oil", "sesame_oil", "mayonnaise_tofu"})
_CHEESES = ("01009", "01011", "01019", "01026", "01032", "01033", "06930", "01017", "01042")


def is_of(food: Edible, key: str, lexicon: Lexicon) -> bool:
    """
    Say whether an ingredient is a food said, or of its sort: the bun of a burger is bread.

    Parameters
    ----------
    food : Edible
        Such as what was left out.
    key : str
        Catalogue key or number in the release of an ingredient.
    lexicon : Lexicon

    Returns
    -------
    bool
    """
    if key in (food.key, food.number):
        return True
    if food.kind.name == "bread" and key in lexicon.catalogue:
        return lexicon.catalogue.food(key).group == "breads"
    if "cheese" in food.name:
        return key in _CHEESES
    if "dressing" in food.name or food.kind.name in ("oil", "sauce"):
        return key in _FAT_KEYS or key.startswith("04")
    if food.kind.name == "grain" and food.key and key in lexicon.catalogue:
        name = normalised(food.name).split()[-1]
        return name in normalised(lexicon.catalogue.food(key).name).split()
    return any(key.startswith(start) for start in _SORTS.get(food.kind.name, ()))
