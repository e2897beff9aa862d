"""
What a phrase of a meal names: an everyday food, a kitchen food, a dish, in whatever language.

Names are looked up whole, the longest first; a word with a slip of the pen is mended when exactly
one known word is that near.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

from rapidfuzz import process
from rapidfuzz.distance import OSA

from foods.composition.as_eaten import (
    AsEaten,
    EatenKind,
    as_eaten,
    eaten_kinds,
    eaten_modifiers,
    elsewhere,
    energy_of,
)
from foods.composition.catalogue import Catalogue, KitchenFood
from foods.composition.matching import normalised
from mealplan.checkin.log.eaten_tokens import tokens_of
from mealplan.checkin.log.eaten_vocabulary import (
    AND,
    CHAT,
    ENERGY,
    NOTHING_ELSE,
    PLANT,
    SIZES,
    SOURCES,
    UNITS,
    VOLUMES,
    WEIGHTS,
    WITH,
    WITHOUT,
)

LONGEST_NAME = 7
"""Most words of one name."""
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


@dataclass(frozen=True)
class Edible:
    """What a name stands for."""

    name: str
    kind: EatenKind
    kcal_per_100g: float
    key: str
    """Catalogue key when it is one food of the kitchen."""
    usual_g: float
    low_g: float
    high_g: float
    measures: Mapping[str, float]
    beside: Mapping[str, float]
    allergens: tuple[str, ...] = ()
    swallows: bool = False
    rest: tuple[tuple[str, float], ...] | None = None
    made_of: tuple[tuple[str, float], ...] = ()
    """What a name of several foods stands for. [g]"""
    foods: tuple[tuple[str, float], ...] = ()
    """Of a dish: catalogue keys with their grams in the usual portion. [g]"""
    number: str = ""
    """Number in the release where one row stands behind the name."""
    bought: str = ""
    """Number of what it is cooked from, where the catalogue says so."""


@dataclass
class Lexicon:
    """Every name known, with its words."""

    catalogue: Catalogue
    names: dict[str, Edible] = field(default_factory=dict)
    """By their words as written."""
    stems: dict[str, Edible] = field(default_factory=dict)
    """By their words in the singular."""
    words: frozenset[str] = frozenset()
    """Single words that stand in some name or mean something by themselves."""
    mendable: tuple[str, ...] = ()
    """Words that a slip of the pen may have meant."""

    def find(self, texts: Sequence[str], stems: Sequence[str]) -> tuple[Edible | None, int]:
        """
        Find the longest name that begins here.

        Parameters
        ----------
        texts, stems : sequence of str
            The coming words as typed and in the singular.

        Returns
        -------
        edible : Edible or None
        used : int
            How many words it takes.
        """
        for many in range(min(LONGEST_NAME, len(texts)), 0, -1):
            found = self.names.get(" ".join(texts[:many])) or self.stems.get(" ".join(stems[:many]))
            if found is not None:
                return found, many
        return None, 0

    def mend(self, word: str) -> str:
        """
        Find what a word with a slip of the pen meant.

        Parameters
        ----------
        word : str

        Returns
        -------
        str
            Empty when nothing or more than one word is near.
        """
        if len(word) < SHORTEST_MENDED or len(word) > LONGEST_MENDED:
            return ""
        if word in COMMON or (len(word) < LONGER_WORD and "'" not in word):
            turned = self._swapped(word)
            return turned if turned and not self._others(word, turned) else ""
        turned = self._swapped(word)
        if turned:
            return turned
        most = 1 if len(word) < LONG_WORD else 2
        near = process.extract(word, self.mendable, scorer=OSA.distance, score_cutoff=most, limit=4)
        near = [one for one in near if one[0][0] == word[0]]
        best = [one[0] for one in near if one[1] == near[0][1]]
        meant = {self._meant(one) for one in best}
        return best[0] if len(meant) == 1 else ""

    def _others(self, word: str, turned: str) -> bool:
        """Say whether a letter left out or typed wrong would name another food: tost, toast."""
        near = process.extract(word, self.mendable, scorer=OSA.distance, score_cutoff=1, limit=8)
        meant = self._meant(turned)
        foods = (one[0] for one in near if one[0][0] == word[0] and one[0] in self.names)
        return any(self._meant(one) != meant for one in foods)

    def _swapped(self, word: str) -> str:
        """Mend two neighbouring letters of a short word put the wrong way round."""
        if word in COMMON:
            return ""
        pairs = (word[:n] + word[n + 1] + word[n] + word[n + 2 :] for n in range(len(word) - 1))
        found = sorted({other for other in pairs if other != word and self._meant_by(other)})
        return found[0] if len(found) == 1 else ""

    def _meant_by(self, word: str) -> str:
        """Give a word as it stands among those a slip may have meant, singular or plural."""
        return next((one for one in (word, normalised(word)) if one in self.mendable), "")

    def _meant(self, word: str) -> str:
        """Give what a word stands for, so that two spellings of one food are no doubt."""
        edible = self.names.get(word) or self.stems.get(normalised(word))
        return edible.key or edible.name if edible is not None else normalised(word)


SHORTEST_MENDED, LONGER_WORD, LONG_WORD, LONGEST_MENDED = 4, 5, 8, 25
"""Letters of the shortest word whose letters are put in order, of the shortest that is mended, of
one with two slips, and of the longest."""
COMMON = CHAT | NOTHING_ELSE | SOURCES
"""Words of everyday talk, never taken for a food misspelt."""


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
