"""
What a phrase of a meal names: an everyday food, a kitchen food, a dish, in whatever language.

Names are looked up whole, the longest first; a word with a slip of the pen is mended when exactly
one known word is that near.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

from foods.composition.as_eaten import (
    AsEaten,
    as_eaten,
    eaten_kinds,
    eaten_modifiers,
    elsewhere,
    energy_of,
)
from foods.composition.catalogue import Catalogue, KitchenFood
from mealplan.checkin.log.eaten_lexicon import LONGEST_NAME, Edible, Lexicon
from mealplan.checkin.log.eaten_tokens import tokens_of
from mealplan.checkin.log.eaten_vocabulary import (
    AND,
    ENERGY,
    NOTHING_ELSE,
    PLANT,
    SIZES,
    UNITS,
    VOLUMES,
    WEIGHTS,
    WITH,
    WITHOUT,
)

_FROM_ANIMALS = frozenset({"milk", "egg", "fish", "crustaceans"})
_STATE = frozenset(
    """
    boiled cooked raw fresh baked steamed canned plain dried ready drained rinsed sliced
    unsalted unenriched peeled
    """.split()  # noqa: SIM905
)
_OF_GROUP = {
    "plant milks": "milk", "breads": "bread", "refined grains": "grain", "whole grains": "grain",
    "flours and starches": "powder", "juices": "drink", "condiments": "sauce", "coconut": "sauce",
}  # fmt: skip
_OF_ROLE = {
    "starch": "grain", "protein": "meat", "vegetable": "vegetable", "fruit": "fruit",
    "fat": "nut", "flavour": "sauce", "sweet": "spread", "liquid": "drink", "topping": "nut",
}  # fmt: skip
_VOLUME_MEASURES = ("cup", "tbsp", "tsp")


def phrase_of(text: str) -> str:
    """
    Write a name as its words are compared: small letters, no accents, no marks.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
    """
    return " ".join(t.text for t in tokens_of(text) if t.kind != "mark")


def _stemmed(text: str) -> str:
    return " ".join(t.stem or t.text for t in tokens_of(text) if t.kind != "mark")


def lexicon_of(catalogue: Catalogue) -> Lexicon:
    """
    Give every name there is for a catalogue.

    Parameters
    ----------
    catalogue : Catalogue
        Foods of one's own among it come before all others.

    Returns
    -------
    Lexicon
    """
    shipped = _everyday()
    own = [food for food in catalogue if food.key not in shipped.catalogue]
    if not own:
        return shipped
    made = replace(
        shipped, catalogue=catalogue, names=dict(shipped.names), stems=dict(shipped.stems)
    )
    said: set[str] = set()
    for food in own:
        edible = _of_food(food, catalogue)
        for name in _names_of(food):
            made.names[phrase_of(name)] = made.stems[_stemmed(name)] = edible
            said |= set(phrase_of(name).split()) | set(_stemmed(name).split())
    made.words = shipped.words | said
    made.mendable = tuple(sorted({*shipped.mendable, *(word for word in said if len(word) > 3)}))
    return made


@cache
def _everyday() -> Lexicon:
    """Give the names of what ships, once a process."""
    catalogue = Catalogue.load()
    made = Lexicon(catalogue)
    singles: dict[str, KitchenFood] = {}
    for food in catalogue:
        for name in _names_of(food):
            singles.setdefault(_stemmed(name), food)
    for row in as_eaten():
        base = _of_row(row, catalogue)
        for name in row.names:
            _put(made, [name], _named(base, name, singles.get(_stemmed(name)), catalogue))
    for food in catalogue:
        _put(made, _names_of(food), _of_food(food, catalogue))
    for english, others in elsewhere().items():
        edible = made.names.get(phrase_of(english)) or made.stems.get(_stemmed(english))
        if edible is not None:
            _put(made, others, edible)
    known = {word for name in made.names for word in name.split()}
    made.mendable = tuple(sorted(w for w in known | set(_WORTH_MENDING) if len(w) > 3))
    made.words = frozenset(known | {word for name in made.stems for word in name.split()})
    return made


_WORTH_MENDING = (
    "slice",
    "slices",
    "bowl",
    "glass",
    "handful",
    "tablespoon",
    "teaspoon",
    "with",
    "leftover",
    "leftovers",
    "large",
    "small",
    "medium",
    "portion",
    "without",
)


def _put(made: Lexicon, names: Iterable[str], edible: Edible) -> None:
    for name in names:
        for phrase, index in ((phrase_of(name), made.names), (_stemmed(name), made.stems)):
            if phrase in changing_words():
                continue
            if phrase and len(phrase.split()) <= LONGEST_NAME:
                index.setdefault(phrase, edible)


def _of_row(row: AsEaten, catalogue: Catalogue) -> Edible:
    single = row.of[0][0] if len(row.of) == 1 and row.of[0][0] in catalogue else ""
    return Edible(
        name=row.names[0],
        kind=row.kind,
        kcal_per_100g=energy_of(row.of, catalogue),
        key=single,
        usual_g=row.usual_g,
        low_g=row.low_g,
        high_g=row.high_g,
        measures=row.measures,
        beside=row.beside,
        allergens=row.allergens,
        swallows=row.swallows,
        rest=row.rest,
        made_of=row.of if len(row.of) > 1 else (),
        number=_number_of(row, single, catalogue),
        bought=(catalogue.food(single).bought_ndb or "") if single else "",
    )


def _number_of(row: AsEaten, single: str, catalogue: Catalogue) -> str:
    """Give the number in the release of a row that is one food; empty where it is several."""
    if single:
        return catalogue.food(single).ndb or ""
    return row.of[0][0] if len(row.of) == 1 else ""


_TAKES_ITS_FOOD = frozenset(
    {"fruit", "vegetable", "nut", "grain", "spread", "milk", "bread", "meat", "drink", "oil",
     "cereal", "sauce"}
)  # fmt: skip


def _named(base: Edible, name: str, food: KitchenFood | None, catalogue: Catalogue) -> Edible:
    """Give a name its own food of the catalogue where several share a row."""
    kept = base.allergens
    if PLANT & set(phrase_of(name).split()):
        kept = tuple(a for a in base.allergens if a not in _FROM_ANIMALS)
    if food is None and base.key and base.kind.name == "grain":
        food = catalogue.food(base.key)
    if (
        food is not None
        and base.kind.name == "cereal"
        and base.key
        and _is_dry(catalogue.food(base.key), food)
    ):
        food = None
    if food is None or not base.key or base.kind.name not in _TAKES_ITS_FOOD:
        return replace(base, name=name, allergens=kept)
    unit = _unit_of(food)
    measures = dict(base.measures)
    if unit == "each" and name != base.name:
        measures["each"] = food.measure_g
    elif unit in _VOLUME_MEASURES:
        measures |= _volumes(food, unit)
    return replace(
        base,
        name=name,
        key=food.key,
        number=food.ndb or "",
        bought=food.bought_ndb or "",
        kcal_per_100g=energy_of(((food.key, 100.0),), catalogue),
        measures=measures,
        allergens=kept,
    )


def _is_dry(food: KitchenFood, other: KitchenFood) -> bool:
    """Say whether a food is eaten as it is bought where its namesake is cooked in water."""
    return food.yield_factor <= 1 and other.yield_factor > 1.7


def _unit_of(food: KitchenFood) -> str:
    unit = food.measure.partition(",")[0]
    if unit in _VOLUME_MEASURES or unit == "slice":
        return unit
    return "block" if unit == "block" else "each"


def _volumes(food: KitchenFood, unit: str) -> dict[str, float]:
    """Give the grams of a cup and spoons of a food measured by one of them [g]."""
    cup = food.measure_g * {"cup": 1, "tbsp": 16, "tsp": 48}[unit]
    return {"cup": cup, "tbsp": cup / 16, "tsp": cup / 48, "spoon": cup / 16}


def _of_food(food: KitchenFood, catalogue: Catalogue) -> Edible:
    kind = eaten_kinds()[_OF_GROUP.get(food.group, _OF_ROLE.get(food.role, "vegetable"))]
    unit = _unit_of(food)
    measures = dict(kind.measures)
    measures[unit] = food.measure_g
    if unit in _VOLUME_MEASURES:
        measures |= _volumes(food, unit)
    usual = food.measure_g
    if unit in ("cup", "block"):
        usual = min(food.measure_g, measures.get("portion", food.measure_g))
    elif unit in ("tbsp", "tsp") and kind.name == "nut":
        usual = 20.0
    spread = kind.portion_fraction
    return Edible(
        name=_called(food),
        kind=kind,
        kcal_per_100g=energy_of(((food.key, 100.0),), catalogue),
        key=food.key,
        number=food.ndb or "",
        bought=food.bought_ndb or "",
        usual_g=usual,
        low_g=usual * (1 - spread),
        high_g=usual * (1 + 1.5 * spread),
        measures=measures,
        beside={"*": usual},
        allergens=food.allergens,
    )


def _called(food: KitchenFood) -> str:
    called = ",".join(food.name.split(",")[:2])
    return called[:1].lower() + called[1:]


def _names_of(food: KitchenFood) -> list[str]:
    head = food.name.partition(",")[0].partition("(")[0]
    names = []
    for text in (food.name, head, food.shop_name, food.key.replace("_", " ")):
        plain = phrase_of(text)
        names.append(plain)
        names.append(" ".join(word for word in plain.split() if word not in _STATE))
    described = food.name.partition("(")[0].split(",")
    if len(described) > 1:
        names.append(f"{described[1]} {described[0]}")
    return names


@cache
def changing_words() -> frozenset[str]:
    """
    Give the single words that make another food of one, and name none by themselves.

    Returns
    -------
    frozenset of str
    """
    phrases = (phrase for modifier in eaten_modifiers() for phrase in modifier.words)
    return frozenset(phrase for phrase in phrases if " " not in phrase)


def is_known_word(word: str, stem: str, lexicon: Lexicon) -> bool:
    """
    Say whether a word means something in a meal by itself or in some name.

    Parameters
    ----------
    word, stem : str
    lexicon : Lexicon

    Returns
    -------
    bool
    """
    plain = (NOTHING_ELSE, UNITS, WEIGHTS, VOLUMES, ENERGY, SIZES, WITH, AND, WITHOUT,
             changing_words())  # fmt: skip
    return any(word in words for words in plain) or word in lexicon.words or stem in lexicon.words
