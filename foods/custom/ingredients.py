"""
Read an ingredients list: is anything in it of animal origin, and which allergens does it name.

A list is read with the same words as descriptions of the release (``foods.release.plant_words``),
after phrases that only sound animal are blotted out; a few ingredients can be either and are
asked about. What follows "may contain" is a trace, not an ingredient. A reading only proposes:
whoever holds the package confirms the allergens.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from foods.registry.typed import clipped
from foods.release.plant_words import ANIMAL, ONLY_SOUNDS_ANIMAL, words

_PLANTS = (
    r"(?:plant|vegan|vegetable|vegetarian|veg|soya?|soybean|oat|almond|coconut|rice|cashew|hazelnut"
    r"|pea|hemp|nut|mushroom|yeast|seaweed|cocoa|shea|peanut|tofu|wheat|dairy-free|plant-based)"
)

_PLANT_PHRASES = words(
    rf"{_PLANTS}[- ](?:based[- ])?(?:milk|drink|cream|creamer|cheese|butter|yogh?urt|meat|burger"
    r"|mince|sausage|stock|broth|bouillon|gravy|steak|fat|egg|honey|gelatine?|lard|mayonnaise|mayo)\w*",
    r"creamed coconut", r"coconut milk powder", r"butter ?beans?", r"butternut \w+",
    r"kidney beans?", r"egg ?replacers?", r"(?:rennet|gelatine?)[- ]?free",
    r"marrow(?:fat)? (?:peas?|squash)", r"fish[- ]free", r"worcester sauce \(vegan\)",
)  # fmt: skip
"""Phrases of ingredients lists that name a plant by an animal's word."""

_FREE_FROM = re.compile(
    r"\b(?:free (?:from|of)|without(?: any)?|contains no|no)\s+[\w-]+(?: [\w-]+){0,2}?"
    r"(?: (?:and|or) [\w-]+)?(?=\s*[,.;:()]|$)"
    r"|(?<![\w-])[\w-]{1,60}[- ]free\b"
)
"""
What a package says it lacks. It reaches no further than the next comma: an ingredient blotted out
by mistake would be worse than a claim read as an ingredient, which is only asked about.
"""

_TRACES = re.compile(
    r"(?:may (?:also )?contain|can contain|traces of|(?:made|produced|packed|processed) in an? "
    r"(?:factory|facility|plant|bakery|kitchen|site)|not suitable for)[^.;\n]*",
)

_ANIMAL_ADDITIVES = words(
    r"lanolin", r"isinglass", r"beeswax", r"bees wax", r"propolis", r"collagen", r"elastin",
    r"keratin", r"pepsin", r"lactoferrin", r"lactalbumin", r"lactitol from milk", r"ovalbumin",
    r"e ?120", r"e ?441", r"e ?542", r"e ?901", r"e ?904", r"e ?966", r"e ?1105", r"squid ink",
    r"dripping", r"gelatine?", r"kefir", r"quark", r"mascarpone", r"paneer", r"skyr",
)  # fmt: skip
"""Ingredients of animal origin that no description of the release names."""

_EITHER = {
    r"cholecalciferol|vitamin d-?3": "vitamin D3 is made from wool grease unless it says lichen",
    r"vitamin d(?!-?[23])": "the form of vitamin D is not stated; D3 is usually from wool grease",
    r"mono-? ?(?:and|&) di-?glycerides?[\w ]{0,40}|e ?47[0-7][a-f]?|e ?43[2-6]": (
        "this emulsifier is made from plant or animal fat"
    ),
    r"glycer(?:ol|in|ine)|e ?422": "glycerol is made from plant or animal fat",
    r"natural flavou?r(?:ing)?s?|flavou?ring|flavou?rs?": (
        "flavourings may be of plant or animal origin"
    ),
    r"l-?cysteine|e ?920|e ?921": "cysteine is often made from feathers or hair",
    r"e ?63[15]|e ?640|glycine": "this flavour enhancer may be of animal origin",
    r"omega-?3|dha|epa": "omega-3 fat may come from fish or from algae",
    r"stearic acid|magnesium stearate|e ?570": "stearates are made from plant or animal fat",
    r"enzymes?": "enzymes may be of animal origin",
}
"""Ingredients that can be either, with why."""

_SETTLED = re.compile(
    r"(?:vitamin d-?[23]?|cholecalciferol|omega-?3|dha|epa)[^,;.]{0,80}\b(?:lichen|alga[el]?|plant"
    r"|vegan)\w*|(?:lichen|algal?|algae)[^,;.]{0,80}\b(?:vitamin d-?[23]?|omega-?3|dha|epa)"
    r"|(?:mono-? ?(?:and|&) di-?glycerides?[\w ]{0,40}|glycer\w+|e ?4\d\d\w?|flavou?r\w*)"
    r"[^,;.]{0,80}\((?:[^)]{0,200}\b)?(?:vegetable|plant|vegan|palm|rapeseed|sunflower|soy)[^)]{0,200}\)"
)
"""Where the list itself says that such an ingredient comes from plants."""

_PLANT_CLAIM = re.compile(r"\bvegan\b|\b(?:100 ?%|fully|entirely) plant[- ]based\b")

_ALLERGEN_WORDS: tuple[tuple[tuple[str, ...], re.Pattern[str]], ...] = (
    (("wheat", "gluten"), words(
        r"wheat\w*", r"spelt", r"kamut", r"khorasan", r"durum", r"semolina", r"couscous",
        r"bulgu?r", r"seitan", r"farro", r"emmer", r"einkorn", r"triticale", r"freekeh", r"panko",
    )),
    (("gluten",), words(r"gluten", r"breadcrumbs?")),
    (("rye", "gluten"), words(r"rye\w*")),
    (("barley", "gluten"), words(r"barley\w*", r"malt(?:ed|s)?", r"malt extract")),
    (("oats", "gluten"), words(r"oats?", r"oat ?(?:meal|bran|flour|fibre|fiber|drink|base)")),
    (("soy",), words(
        r"soya?\w*", r"tofu", r"tempeh", r"edamame", r"miso", r"natto", r"okara", r"tamari",
        r"shoyu",
    )),
    (("peanut",), words(r"peanuts?", r"groundnuts?", r"arachis\w*")),
    (("tree_nut",), words(
        r"nuts?", r"almonds?", r"hazelnuts?", r"walnuts?", r"cashews?", r"pecans?", r"pistachios?",
        r"macadamias?", r"brazil nuts?", r"praline", r"marzipan", r"chestnuts?", r"pine nuts?",
    )),
    (("coconut", "tree_nut"), words(r"coconuts?", r"copra")),
    (("sesame",), words(r"sesame", r"tahini", r"tahin", r"halva", r"halvah", r"gomasio")),
    (("mustard",), words(r"mustard")),
    (("celery",), words(r"celery", r"celeriac")),
    (("lupin",), words(r"lupin\w*", r"lupini")),
    (("sulphites",), words(
        r"(?:meta)?(?:bi)?sul(?:ph|f)ites?", r"sul(?:ph|f)ur dioxide", r"e ?22[0-8]",
    )),
    (("milk",), words(
        r"milk", r"whey", r"casein\w*", r"lactose", r"cream", r"butter", r"cheese", r"yogh?urt",
        r"dairy",
    )),
    (("egg",), words(r"eggs?", r"albumen", r"ovalbumin")),
    (("fish",), words(r"fish", r"anchov\w+", r"cod", r"tuna", r"salmon")),
    (("crustaceans",), words(r"crustaceans?", r"shellfish", r"shrimps?", r"prawns?", r"crab",
                             r"lobster")),
)  # fmt: skip
"""Allergens and the words of an ingredients list that name them."""

_NOT_TREE_NUTS = words(r"nutmeg", r"tiger ?nuts?", r"doughnuts?", r"butternut\w*", r"groundnuts?")
_NOT_GLUTEN = words(r"buckwheat\w*", r"malt(?:odextrin|itol|ose)\w*")


@dataclass(frozen=True)
class IngredientReading:
    """What an ingredients list says."""

    animal: tuple[str, ...]
    """Words for ingredients of animal origin."""
    unclear: tuple[tuple[str, str], ...]
    """Ingredients that can be either, each with why."""
    allergens: tuple[str, ...]
    """Named among the ingredients, in the words of the catalogue."""
    traces: tuple[str, ...]
    """Named after "may contain", and in no ingredient."""
    claims_vegan: bool
    """The text itself says vegan or fully plant-based."""


def read_ingredients(text: str) -> IngredientReading:
    """
    Read an ingredients list.

    Parameters
    ----------
    text : str
        As printed, "may contain" included.

    Returns
    -------
    IngredientReading
        Everything empty when the text is.
    """
    plain = clipped(text.lower().replace("’", "'").replace("\u00ad", ""))
    traces = " ".join(_TRACES.findall(plain))
    listed = _FREE_FROM.sub(" # ", _TRACES.sub(" # ", plain))
    masked = ONLY_SOUNDS_ANIMAL.sub("#", _PLANT_PHRASES.sub("#", listed))
    animal = dict.fromkeys(
        found[0] for pattern in (ANIMAL, _ANIMAL_ADDITIVES) for found in pattern.finditer(masked)
    )
    open_text = _SETTLED.sub("#", listed)
    unclear = {
        found[0].strip(): why
        for pattern, why in _EITHER.items()
        for found in words(pattern).finditer(open_text)
    }
    # The animal allergens are looked for where plant phrases are blotted out, so that oat milk is
    # oats and not milk.
    named = _allergens(listed, masked)
    carried = _allergens(traces, traces)
    return IngredientReading(
        animal=tuple(animal),
        unclear=tuple(unclear.items()),
        allergens=named,
        traces=tuple(word for word in carried if word not in named),
        claims_vegan=bool(_PLANT_CLAIM.search(plain)),
    )


_GENERAL = frozenset(
    {
        "protein", "powder", "extract", "oil", "concentrate", "isolate", "flour", "starch", "fibre",
        "fiber", "natural", "vitamin", "acid", "drink", "paste", "juice", "puree", "seed", "leaf",
        "water", "salt", "sea", "base", "fat", "whole", "raw", "dried", "ground", "organic",
        "sauce", "flake", "granule", "milk", "butter", "vegetable", "textured", "hulled", "yellow",
        "red", "green", "white", "black", "brown", "syrup", "malt", "and", "with", "from", "the",
        "for", "calcium", "iron", "zinc", "added", "contain", "suitable", "diet", "vegan", "free",
        "low", "sodium", "potassium", "gluten", "set", "mix", "cooked", "canned", "frozen",
        "unsweetened", "sweetened", "fortified", "plain", "firm", "soft", "dry", "hot", "sweet",
        "cream", "cake", "bread", "meal", "bean",
    }
)  # fmt: skip
"""Words of ingredients that say nothing alone."""

_JOINING = frozenset(
    {
        "and", "with", "from", "the", "for", "added", "contain", "contains", "suitable", "free",
        "protein", "powder", "extract", "oil", "concentrate", "isolate", "flour", "starch", "fibre",
        "fiber", "natural", "vitamin", "vitamins", "acid", "paste", "textured", "dried", "ground",
    }
)  # fmt: skip
"""Words that name no food even together: protein isolate may be of anything."""

_MOST_WORDS = 4
"""Longest name of a food that is looked for in a list. [words]"""


def _says_nothing(span: list[str]) -> bool:
    """Tell what names no food: a word that is part of many names, or words that only join."""
    if len(span) == 1:
        word = span[0]
        return len(word) < 3 or word in _GENERAL or word.removesuffix("s") in _GENERAL
    return all(len(word) < 3 or word in _JOINING for word in span)


def ingredient_names(text: str, is_food: Callable[[str], bool]) -> tuple[str, ...]:
    """
    Find the foods an ingredients list names.

    Parameters
    ----------
    text : str
        As printed; what it may contain, or is free from, is passed over.
    is_food : callable
        Whether a phrase is the name of a food.

    Returns
    -------
    tuple of str
        Longest names first in each part of the list: potato starch, not potato and starch.
    """
    plain = clipped(text.lower())
    listed = _FREE_FROM.sub(" , ", _TRACES.sub(" , ", plain))
    found: dict[str, None] = {}
    for part in re.split(r"[,;:()\[\].%]|\d+", listed):
        words_left = re.findall(r"[^\W\d_]+(?:-[^\W\d_]+)*", part)[:20]
        start = 0
        while start < len(words_left):
            for length in range(min(_MOST_WORDS, len(words_left) - start), 0, -1):
                span = words_left[start : start + length]
                if _says_nothing(span):
                    continue
                if is_food(" ".join(span)):
                    found[" ".join(span)] = None
                    start += length - 1
                    break
            start += 1
    return tuple(found)


_ANIMAL_ALLERGENS = frozenset({"milk", "egg", "fish", "crustaceans"})


def _allergens(listed: str, masked: str) -> tuple[str, ...]:
    plants = _NOT_GLUTEN.sub("#", _NOT_TREE_NUTS.sub("#", listed))
    peanuts = re.sub(r"\bpea ?nuts?\b", "peanut", plants)
    found: dict[str, None] = {}
    for keys, pattern in _ALLERGEN_WORDS:
        text = masked if set(keys) <= _ANIMAL_ALLERGENS else peanuts
        if pattern.search(text):
            found.update(dict.fromkeys(keys))
    return tuple(found)
