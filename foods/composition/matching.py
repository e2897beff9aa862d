"""
What a client's words mean in kitchen foods.

A word can be a food, an allergen, a group or a kitchen habit of speech ("nuts", "beans"). Whoever
excludes something is better served by one food too many than one too few, so every reading of a
word counts, save a few that would be silly: tofu is not a bean for being called bean curd.
"""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from foods.composition.food_words import Named, Test, normalised
from foods.registry.errors import FoodError
from foods.registry.typed import LONGEST_WORD

_ALLERGEN_WORDS = {
    "gluten": "gluten", "gluten cereal": "gluten", "cereal containing gluten": "gluten",
    "coeliac": "gluten", "celiac": "gluten",
    "wheat": "wheat", "rye": "rye", "barley": "barley", "oat": "oats",
    "soy": "soy", "soya": "soy", "soybean": "soy", "soya bean": "soy",
    "peanut": "peanut", "groundnut": "peanut",
    "tree nut": "tree_nut", "sesame": "sesame", "mustard": "mustard", "celery": "celery",
    "lupin": "lupin", "lupine": "lupin", "coconut": "coconut",
    "sulphite": "sulphites", "sulfite": "sulphites", "sulphur dioxide": "sulphites",
    "sulfur dioxide": "sulphites",
}  # fmt: skip

_ANIMAL_LABELS = {
    "milk": "milk", "cow milk": "milk", "dairy": "milk", "lactose": "milk", "whey": "milk",
    "casein": "milk", "cheese": "milk", "butter": "milk", "cream": "milk",
    "egg": "egg", "fish": "fish", "anchovy": "fish", "tuna": "fish", "salmon": "fish",
    "shellfish": "crustaceans", "crustacean": "crustaceans", "shrimp": "crustaceans",
    "prawn": "crustaceans", "crab": "crustaceans", "lobster": "crustaceans",
    "seafood": "crustaceans", "mollusc": "", "mollusk": "", "meat": "", "red meat": "",
    "beef": "", "pork": "", "ham": "", "bacon": "", "lamb": "", "chicken": "", "poultry": "",
    "turkey": "", "gelatin": "", "gelatine": "", "honey": "",
}  # fmt: skip
"""Never in the catalogue; the label word says which trace a strict reading looks for."""


def _groups(*names: str) -> Test:
    return lambda food: food.group in names


def _contains(*allergens: str) -> Test:
    return lambda food: bool(set(allergens) & set(food.allergens))


def _either(*tests: Test) -> Test:
    return lambda food: any(test(food) for test in tests)


def _keys(*keys: str) -> Test:
    return lambda food: food.key in keys


def _says(*phrases: str) -> Test:
    return lambda food: any(_has_phrase(_text(food), phrase) for phrase in phrases)


def _text(food: Named) -> str:
    return f" {normalised(food.key)} / {normalised(food.name)} / {normalised(food.words)} "


def _has_phrase(text: str, phrase: str) -> bool:
    return f" {phrase} " in text


_CAPSICUM = _says(
    "bell pepper", "sweet pepper", "capsicum", "chilli", "chili", "chile", "jalapeno", "hot pepper",
    "paprika",
)  # fmt: skip
_PULSES = _either(
    _groups(
        "beans", "canned beans", "chickpeas", "lentils and peas", "soy foods", "peanuts",
        "green peas and fresh beans",
    ),
    _contains("soy", "peanut", "lupin"),
    _says("mung bean", "green bean", "string bean", "snow pea", "snake bean", "carob"),
)  # fmt: skip
_GREENS = _either(_groups("leafy greens"), _says("kale", "collard green", "spinach", "rocket"))

_HABITS: dict[str, Test] = {
    "nut": _contains("tree_nut", "peanut"),
    "bean": _either(_groups("beans", "canned beans"), _says("bean")),
    "pulse": _PULSES,
    "legume": _PULSES,
    "pepper": _either(_CAPSICUM, _says("black pepper", "white pepper", "peppercorn")),
    "capsicum": _CAPSICUM,
    "chilli": lambda food: food.heat >= 1 and _CAPSICUM(food),
    "spicy": lambda food: food.heat >= 2,
    "hot spice": lambda food: food.heat >= 2,
    "nightshade": _either(
        _CAPSICUM,
        _says("tomato", "tomatillo", "aubergine"),
        lambda food: _has_phrase(_text(food), "potato") and not _says("sweet potato")(food),
    ),
    "cruciferous vegetable": _groups("brassicas"),
    "crucifer": _groups("brassicas"),
    "cabbage family": _groups("brassicas"),
    "green": _GREENS,
    "leafy green": _GREENS,
    "salad": _says("salad", "lettuce"),
    "allium": _either(_groups("alliums"), _says("garlic", "onion")),
    "berry": _either(_groups("berries"), _says("berry")),
    "bread": _either(_groups("breads"), _says("bread", "flatbread")),
    "grain": _groups("whole grains", "refined grains", "breads", "flours and starches"),
    "cereal": _groups("whole grains", "refined grains", "breads", "flours and starches"),
    "vegetable": lambda food: food.role == "vegetable",
    "fruit": lambda food: food.role == "fruit" or food.group == "juices",
    "seed": _either(_groups("seeds"), _says("seed")),
    "oil": _groups("oils"),
    "herb": _groups("fresh herbs", "dried herbs"),
    "spice": _groups("spices", "dried herbs"),
    "seaweed": _groups("sea vegetables"),
    "sea vegetable": _groups("sea vegetables"),
    "kelp": _groups("sea vegetables"),
    "sugar": _groups("sweeteners"),
    "sweetener": _groups("sweeteners"),
    "alcohol": _keys("vanilla_extract"),
    "plant milk": _groups("plant milks"),
    "dairy free milk": _groups("plant milks"),
    "seitan": _keys("wheat_gluten_dry"),
    "caffeine": _either(_says("caffeine"), _keys("cocoa_powder")),
    "chocolate": _says("chocolate", "cocoa"),
    "fermented food": _says("fermented", "miso", "soy sauce", "sauerkraut", "pickle"),
}

_SILLY = {
    "bean": ("bean curd", "yam bean"),
    "sugar": ("sugar snap", "no sugar"),
    "gluten": ("gluten free",),
    "berry": ("wheat berry",),
}
"""Phrases in which a word does not mean itself."""

_ADJECTIVES = {
    "raw", "cooked", "fresh", "dried", "canned", "tinned", "frozen", "baby", "red", "white",
    "green", "yellow", "brown", "black", "whole", "large", "small", "ripe", "roasted", "boiled",
    "organic", "plain", "any", "all",
}  # fmt: skip
"""Dropped when the full phrase means nothing: a red onion is an onion."""


class WordIndex:
    """
    Answers which foods a word may mean.

    Parameters
    ----------
    foods : iterable of Named
        Foods with their names, groups and allergens.
    """

    def __init__(self, foods: Iterable[Named]) -> None:
        self._foods = tuple(foods)
        self._texts = {food.key: _text(food) for food in self._foods}
        self._groups = {normalised(food.group): food.group for food in self._foods}
        words = {word for text in self._texts.values() for word in text.split() if len(word) > 2}
        self._vocabulary = sorted(
            words | set(self._groups) | set(_ALLERGEN_WORDS) | set(_HABITS) | set(_ANIMAL_LABELS)
        )

    def match(self, text: str, *, strict: bool = False) -> frozenset[str]:
        """
        Find the keys a word may mean.

        Parameters
        ----------
        text : str
            Word or phrase of a client.
        strict : bool
            True adds foods whose shop product often carries the allergen named.

        Returns
        -------
        frozenset of str
            Keys; empty for animal foods.

        Raises
        ------
        FoodError
            The word means nothing here.
        """
        raw = " ".join(text.lower().replace("_", " ").split())
        word = normalised(text)
        if "_" in text and text in self._texts:
            return frozenset({text})
        known = word in _HABITS or word in _ALLERGEN_WORDS or word in self._groups
        if word in _ANIMAL_LABELS:
            label = _ANIMAL_LABELS[word]
            return frozenset(
                food.key for food in self._foods if strict and label and label in food.label_check
            )
        tests: list[Test] = []
        if raw == "peppers":
            tests.append(_CAPSICUM)
        elif word in _HABITS:
            tests.append(_HABITS[word])
        if word in _ALLERGEN_WORDS:
            tests.append(_contains(_ALLERGEN_WORDS[word]))
        if word in self._groups:
            tests.append(_groups(self._groups[word]))
        if strict:
            wanted = _strict_labels(word)
            tests.append(lambda food: bool(wanted & set(food.label_check)))
        found = {food.key for food in self._foods if any(test(food) for test in tests)}
        if raw != "peppers":
            found |= self._speaking_of(word)
        silly = _SILLY.get(word, ())
        found -= {key for key in found if self._only_silly(key, word, silly)}
        if not found and not known:
            first, _, rest = word.partition(" ")
            if rest and first in _ADJECTIVES:
                return self.match(rest, strict=strict)
            raise FoodError(self._unknown(text, word))
        return frozenset(found)

    def label_words(self, text: str) -> frozenset[str]:
        """
        Find the allergens a client's word makes one look for on labels.

        Parameters
        ----------
        text : str
            An allergen, or a food: almonds are looked for as tree nuts.

        Returns
        -------
        frozenset of str
            Words of :data:`foods.composition.catalogue.ALLERGENS`; empty where labels have none.

        Raises
        ------
        FoodError
            The word means nothing here.
        """
        word = normalised(text)
        said = set(_strict_labels(word)) | {_ANIMAL_LABELS.get(word, "")} - {""}
        if not said:
            keys = self.match(text)
            held = [set(food.allergens) for food in self._foods if food.key in keys]
            said = set.intersection(*held) if held else set()
        if said & {"gluten", "wheat", "rye", "barley"}:
            said |= _GLUTEN_WORDS if "gluten" in said else {"gluten"}
        return frozenset(said)

    def named(self, text: str) -> frozenset[str]:
        """
        Find the keys of foods whose own names hold a phrase.

        Parameters
        ----------
        text : str
            Such as ``pea`` of an ingredients list.

        Returns
        -------
        frozenset of str
            Empty when no food is called so; groups, allergens and habits of speech do not count.
        """
        word = normalised(text)
        silly = _SILLY.get(word, ())
        return frozenset(
            key for key in self._speaking_of(word) if not self._only_silly(key, word, silly)
        )

    def _speaking_of(self, word: str) -> set[str]:
        if not word:
            return set()
        return {key for key, text in self._texts.items() if _has_phrase(text, word)}

    def _only_silly(self, key: str, word: str, phrases: tuple[str, ...]) -> bool:
        if not phrases or not _has_phrase(self._texts[key], word):
            return False
        text = self._texts[key]
        for phrase in phrases:
            text = text.replace(f" {phrase} ", " / ")
        return not _has_phrase(text, word)

    def _unknown(self, text: str, word: str) -> str:
        near = get_close_matches(word[:LONGEST_WORD], self._vocabulary, n=3, cutoff=0.7)
        hint = f"did you mean {', '.join(near)}?" if near else "nothing comes near."
        return (
            f"{text!r:.80} is no food, group or allergen of the kitchen catalogue: {hint} "
            "Use a plain name such as mushrooms, nuts, gluten or coriander."
        )


_GLUTEN_WORDS = {"gluten", "wheat", "rye", "barley"}


def _strict_labels(word: str) -> set[str]:
    if word == "nut":
        return {"tree_nut", "peanut"}
    return {_ALLERGEN_WORDS[word]} if word in _ALLERGEN_WORDS else set()
