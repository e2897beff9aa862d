"""
Amounts as a kitchen without scales measures them.

A drawer holds cups of ¼, ⅓, ½, ⅔, ¾ and 1, a tablespoon, and teaspoons of ⅛, ¼, ½ and 1; a board
holds whole onions, halves and quarters; a shelf holds tins. Every amount is said in a few of these,
the grams they really hold are kept beside the words, and so the error of measuring instead of
weighing is known for every food.

The spoons and cups are the customary US ones, which the household weights of the composition
release were taken with: 16 tablespoons or 48 teaspoons a cup.

References
----------
.. [1] US Code of Federal Regulations, 21 CFR 101.9(b)(5)(viii): 1 cup is 240 mL, 1 tablespoon
   15 mL, 1 teaspoon 5 mL.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Literal

from foods.composition.catalogue import KitchenFood
from foods.registry.errors import FoodError
from foods.registry.typed import clipped

Units = Literal["metric", "us"]

TSP_PER_TBSP = 3
"""[teaspoon/tablespoon]"""
TSP_PER_CUP = 48
"""[teaspoon/cup]"""

_GLYPHS = {
    Fraction(1, 8): "⅛",
    Fraction(1, 4): "¼",
    Fraction(1, 3): "⅓",
    Fraction(3, 8): "⅜",
    Fraction(1, 2): "½",
    Fraction(5, 8): "⅝",
    Fraction(2, 3): "⅔",
    Fraction(3, 4): "¾",
    Fraction(7, 8): "⅞",
}

_CUP_PARTS = tuple(Fraction(n, d) for n, d in ((0, 1), (1, 4), (1, 3), (1, 2), (2, 3), (3, 4)))
_TSP_PARTS = tuple(Fraction(n, 4) for n in range(4))
_EIGHTH = Fraction(1, 8)

ERROR_WORTH_A_SPOON = 0.015
"""Another spoon is asked for when it lowers the error by more than this share of the amount."""
TIN_TOLERANCE = 0.05
"""An amount this near to half or whole tins is said in tins, as a share of the amount."""

_VOLUMES = {"cup": TSP_PER_CUP, "tbsp": TSP_PER_TBSP, "tsp": 1}
_PART_NOUNS = frozenset(
    {
        "clove", "ear", "half", "leaf", "piece", "sachet", "scoop", "serving", "sheet", "slice",
        "spear", "stalk",
    }
)  # fmt: skip
"""Measures that are a part or a vessel of a food rather than the food itself."""
_SAME_IN_PLURAL = frozenset({"kiwifruit", "fruit", "shiitake", "tofu", "celery", "nori", "matzo"})
_SIZES = ("small", "medium", "large")
_COOKED = frozenset({"boiled", "steamed", "baked", "grilled", "stir-fried"})
_NOT_TINS = ("passata", "sauerkraut", "applesauce", "pickled", "olives", "capers", "grape leaves")
_AFTER = {"strips": "in strips", "sprigs": "in sprigs"}
_UNSAID = frozenset({"elbows"})
"""Manners of the release that hold for other shapes as well."""
_NEED_NO_STATE = frozenset({"popcorn", "potato wedges", "jacket potatoes", "roast potatoes"})
_WEIGHED_DRY = "weighed dry"


@dataclass(frozen=True)
class KitchenAmount:
    """An amount of one food in kitchen measures, with the grams the measures hold."""

    measure: str
    """Such as ``½ cup + 2 tbsp`` or ``1½ medium``."""
    phrase: str
    """The measure together with the food's name, ready to be printed."""
    grams: float
    """Weight of what the words say. [g]"""
    asked_g: float
    """Weight the plan means. [g]"""

    @property
    def error_g(self) -> float:
        """Grams that measuring adds to the planned weight; negative when it leaves some out."""
        return self.grams - self.asked_g


def number_in_kitchen(value: float) -> str:
    """
    Write a count with kitchen fractions.

    Parameters
    ----------
    value : float
        Count of measures, 0 or more.

    Returns
    -------
    str
        Such as ``1½`` or ``⅔``: the nearest half, third, quarter or eighth.
    """
    return _count(_nearest(value))


def in_measures(food: KitchenFood, grams: float, units: Units = "metric") -> str:
    """
    Say an amount of a food in its household measure.

    Parameters
    ----------
    food : KitchenFood
        The food; its measure's weight comes from the composition release.
    grams : float
        Amount. [g]
    units : {"metric", "us"}
        Which pack sizes a tin or a block has.

    Returns
    -------
    str
        Such as ``1½ cups``, ``½ cup + 2 tbsp`` or ``2 cloves``.
    """
    return kitchen_amount(food, grams, "", units).measure


def amount_phrase(food: KitchenFood, grams: float, called: str, units: Units = "metric") -> str:
    """
    Say an amount together with the word the method uses.

    Parameters
    ----------
    food : KitchenFood
    grams : float
        Amount. [g]
    called : str
        The food's name in the method.
    units : {"metric", "us"}
        Which pack sizes a tin or a block has.

    Returns
    -------
    str
        Such as ``1 medium banana``, ``1½ cups cooked rice`` or ``½ cup + 2 tbsp tomato purée``.
    """
    return kitchen_amount(food, grams, called, units).phrase


def kitchen_amount(
    food: KitchenFood, grams: float, called: str = "", units: Units = "metric"
) -> KitchenAmount:
    """
    Turn grams into measures that exist.

    Parameters
    ----------
    food : KitchenFood
    grams : float
        Amount in the food's own state, 0 or more. [g]
    called : str
        The food's name in the method; its short catalogue name when empty.
    units : {"metric", "us"}
        Which pack sizes a tin or a block has.

    Returns
    -------
    KitchenAmount
    """
    name = called or food.name.partition(",")[0].lower()
    in_tins = _tins(food, grams, units)
    if in_tins is not None:
        count, size = in_tins
        word = "tin" if count <= 1 else "tins"
        measure = f"{_count(count)} {word} ({size:,.0f} g)"
        drained = ", drained" if food.drained_fraction else ""
        held = float(count) * size * (food.drained_fraction or 1.0)
        return KitchenAmount(measure, f"{measure} {name}{drained}", held, grams)
    unit, _, manner = food.measure.partition(",")
    if unit in _VOLUMES:
        return _by_volume(food, grams, name, unit, manner.strip())
    if unit == "block":
        return _by_block(food, grams, name, units)
    return _by_piece(food, grams, name, unit)


_UNITS = {
    "g": "g", "gram": "g", "grams": "g", "kg": "kg", "cup": "cup", "cups": "cup", "tbsp": "tbsp",
    "tablespoon": "tbsp", "tablespoons": "tbsp", "tsp": "tsp", "teaspoon": "tsp",
    "teaspoons": "tsp",
}  # fmt: skip
LONGEST_AMOUNT = 40
"""What of a typed amount is read. [characters]"""
_AMOUNT = re.compile(
    r"^\s*(?P<whole>\d+(?:[.,]\d+)?)?\s*(?:(?P<over>\d+)\s*/\s*(?P<under>\d+)|"
    r"(?P<glyph>[⅛¼⅓⅜½⅝⅔¾⅞]))?\s*(?P<unit>[^\d/]*?)\s*$"
)


def grams_of(text: str, food: KitchenFood) -> float:
    """
    Read an amount as a cook writes it.

    Parameters
    ----------
    text : str
        Grams (``120``, ``120 g``) or kitchen measures (``1½ cups``, ``1/2 tbsp``, ``2 burgers``).
    food : KitchenFood
        What its household measure weighs.

    Returns
    -------
    float
        [g]

    Raises
    ------
    FoodError
        When it is no amount, or the food is not measured so; the message says how it is.
    """
    text = clipped(text[:LONGEST_AMOUNT])
    found = _AMOUNT.match(text)
    unit, _, manner = food.measure.partition(",")
    if found is None or not any(found[part] for part in ("whole", "over", "glyph")):
        raise FoodError(
            f"{text!r:.40} is no amount of {food.name}: write grams, such as 120, or its measure, "
            f"such as 1 {unit}"
        )
    value = float((found["whole"] or "0").replace(",", "."))
    if found["over"]:
        if int(found["under"]) == 0:
            raise FoodError(f"{text!r:.40} divides by 0; write a fraction such as 1/2")
        if found["whole"] and not text.strip()[len(found["whole"])].isspace():
            raise FoodError(f"{text!r:.40} reads two ways; write 1 1/2 with a space, or 1.5")
        value += int(found["over"]) / int(found["under"])
    if found["glyph"]:
        value += next(float(part) for part, sign in _GLYPHS.items() if sign == found["glyph"])
    said = found["unit"].lower().strip(" .")
    known = _UNITS.get(said, "")
    if known == "kg":
        return value * 1000
    if not said and (found["over"] or found["glyph"]):  # half of what it is measured by
        return value * food.measure_g
    if known == "g" or not said:
        return value
    if known and unit in _VOLUMES:
        return value * food.measure_g * _VOLUMES[known] / _VOLUMES[unit]
    single = _inflect(said, several=False)
    if single == unit or single in unit.split() or f"{single}, {manner.strip()}" == food.measure:
        return value * food.measure_g
    raise FoodError(
        f"{text!r:.40}: {food.name} is not measured by the {single}; write grams, or its measure, "
        f"{food.measure} ({food.measure_g:g} g)"
    )


def _count(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    if not rest:
        return f"{whole}"
    return f"{whole or ''}{_GLYPHS[rest]}"


def _nearest(value: float, bases: tuple[int, ...] = (1, 2, 3, 4, 8)) -> Fraction:
    return min(
        (Fraction(round(value * base), base) for base in bases),
        key=lambda part: (abs(float(part) - value), part.denominator),
    )


@dataclass(frozen=True)
class _Spoons:
    """Cups, tablespoons and teaspoons that together make an amount."""

    cups: Fraction
    tbsp: int
    tsp: Fraction

    @property
    def teaspoons(self) -> Fraction:
        return self.cups * TSP_PER_CUP + self.tbsp * TSP_PER_TBSP + self.tsp

    def terms(self) -> list[str]:
        said = []
        if self.cups:
            said.append(f"{_count(self.cups)} {'cup' if self.cups <= 1 else 'cups'}")
        if self.tbsp:
            said.append(f"{self.tbsp} tbsp")
        if self.tsp:
            eighth = self.tsp % Fraction(1, 4)
            body = self.tsp - eighth
            said += [f"{_count(body)} tsp"] if body else []
            said += ["⅛ tsp"] if eighth else []
        return said

    def price(self, wanted: float) -> float:
        """Relative error, plus what each further spoon must be worth."""
        error = abs(float(self.teaspoons) - wanted) / wanted
        thirds = 0.3 if self.cups.denominator == 3 else 0.0
        return error + ERROR_WORTH_A_SPOON * (len(self.terms()) - 1 + thirds)


def _tsp_choices(left: float) -> Iterator[Fraction]:
    """Teaspoons under one tablespoon around what is left over."""
    whole = int(left)
    yield from (whole + part for part in _TSP_PARTS)
    yield Fraction(whole + 1)
    yield from (whole + part + _EIGHTH for part in _TSP_PARTS)


@cache
def _spoons(wanted: float) -> _Spoons:
    """Find the fewest spoons that hold a number of teaspoons nearly exactly."""
    found: list[_Spoons] = []
    whole = int(wanted / TSP_PER_CUP)
    for cups in (whole + part for part in (*_CUP_PARTS, Fraction(1))):
        after_cups = wanted - float(cups) * TSP_PER_CUP
        if cups and after_cups < -0.2 * wanted:
            continue
        base = max(0, int(after_cups / TSP_PER_TBSP))
        for tbsp in {0, base, base + 1} if after_cups > 0 else {0}:
            if tbsp > 3:
                continue
            left = after_cups - tbsp * TSP_PER_TBSP
            spoons = {Fraction(0), *_tsp_choices(left)} if left > 0 else {Fraction(0)}
            found.extend(
                _Spoons(cups, tbsp, tsp)
                for tsp in spoons
                if tsp < TSP_PER_TBSP and (cups or tbsp or tsp)
            )
    if not found:
        return _Spoons(Fraction(0), 0, _EIGHTH)
    return min(found, key=lambda x: (round(x.price(wanted), 6), len(x.terms()), -x.cups, -x.tbsp))


def _by_volume(food: KitchenFood, grams: float, name: str, unit: str, manner: str) -> KitchenAmount:
    grams_per_tsp = food.measure_g / _VOLUMES[unit]
    if grams <= 0:
        return KitchenAmount("none", f"no {name}", 0.0, grams)
    spoons = _spoons(round(grams / grams_per_tsp, 4))
    measure = " + ".join(spoons.terms())
    after = _AFTER.get(manner, "")
    before = "" if after or manner in name or manner in _UNSAID else manner
    words = [measure, before, _state(food, name), name, after]
    phrase = " ".join(word for word in words if word)
    return KitchenAmount(measure, phrase, float(spoons.teaspoons) * grams_per_tsp, grams)


def _state(food: KitchenFood, name: str) -> str:
    """Say ``cooked``, ``dry`` or ``drained`` where the measure would mislead without it."""
    if name in _NEED_NO_STATE:
        return ""
    if food.drained_fraction:
        word = "drained"
    elif food.state in _COOKED:
        word = "cooked"
    elif _WEIGHED_DRY in food.name:
        word = "dry"
    elif food.state == "frozen":
        word = "frozen"
    else:
        return ""
    return "" if word in name else word


def _tins(food: KitchenFood, grams: float, units: Units) -> tuple[Fraction, float] | None:
    if food.aisle != "canned goods" or any(word in food.name.lower() for word in _NOT_TINS):
        return None
    best: tuple[float, Fraction, float] | None = None
    for size in food.pack_us_g if units == "us" else food.pack_metric_g:
        holds = size * (food.drained_fraction or 1.0)
        count = Fraction(round(2 * grams / holds), 2)
        if not count or count > 6:
            continue
        error = abs(float(count) * holds - grams) / grams
        if error <= TIN_TOLERANCE and (best is None or (error, count) < best[:2]):
            best = (error, count, size)
    return None if best is None else best[1:]


def _by_block(food: KitchenFood, grams: float, name: str, units: Units) -> KitchenAmount:
    """Parts of the block the shop sells, which may not be the block of the release."""
    sizes = food.pack_us_g if units == "us" else food.pack_metric_g
    size = sizes[0] if sizes else food.measure_g
    count = max(_nearest(grams / size, (1, 2, 4, 8)), _EIGHTH)
    if count < 1:
        measure = f"{_count(count)} of a {size:,.0f} g block"
    elif count == 1:
        measure = f"1 block ({size:,.0f} g)"
    else:
        measure = f"{_count(count)} blocks ({size:,.0f} g each)"
    return KitchenAmount(measure, f"{measure} of {name}", float(count) * size, grams)


def _by_piece(food: KitchenFood, grams: float, name: str, unit: str) -> KitchenAmount:
    fine = 8 if food.step_fraction % 0.25 else 4
    value = grams / food.measure_g
    if food.step_fraction >= 1 and value > 1.5:
        bases: tuple[int, ...] = (1,)
    else:
        bases = (1, 2) if value > 3 else (1, 2, fine)
    count = max(_nearest(value, bases), Fraction(1, fine))
    size, _, noun = unit.rpartition(" ") if unit.startswith(_SIZES) else ("", "", unit)
    size, _, kind = size.partition(" ")
    noun = f"{kind} {noun}".strip()
    several = count > 1
    number = _count(count)
    held = float(count) * food.measure_g
    if noun not in _PART_NOUNS and not _ends_with(name, noun) and noun != "fruit":
        thing = f"{size} {_inflect(noun, several)}".strip()
        phrase = f"{number} {thing} ({name})" if not _is_same_thing(noun, name) else ""
        phrase = phrase or f"{number} {size} {_inflect(name, several)}".replace("  ", " ")
        return KitchenAmount(f"{number} {thing}", phrase, held, grams)
    if noun in _PART_NOUNS and not _ends_with(name, noun):
        part = f"{size} {_inflect(noun, several)}".strip()
        measure = f"{number} {part}"
        if noun == "serving":
            hand = "big handful" if count <= 1 else "big handfuls"
            each = f"({food.measure_g:.0f} g{' each' if several else ''} cooked)"
            return KitchenAmount(
                f"{number} {hand}", f"{number} {hand} of {name} {each}", held, grams
            )
        if noun in ("half", "spear"):
            thing = f"{_inflect(name, several=False)} {_inflect(noun, several)}"
            return KitchenAmount(measure, f"{number} {thing}", held, grams)
        return KitchenAmount(measure, f"{measure} {name}", held, grams)
    thing = f"{size} {_inflect(name, several)}".strip()
    short = [number, size, "" if noun == "fruit" else _inflect(noun, several)]
    return KitchenAmount(" ".join(word for word in short if word), f"{number} {thing}", held, grams)


def _ends_with(name: str, noun: str) -> bool:
    last = name.split()[-len(noun.split()) :]
    return _inflect(" ".join(last), several=False).lower() == noun


_KINDS = {
    "pepper": ("jalapeño", "chilli"),
    "tortilla": ("wrap", "flatbread"),
    "pita": ("flatbread",),
    "mushroom": ("shiitake",),
    "cake": ("rice cake",),
}


def _is_same_thing(noun: str, name: str) -> bool:
    """Say whether the method's word is another name for the piece that is counted."""
    single = _inflect(name, several=False)
    return any(single.endswith(word) for word in _KINDS.get(noun, ()))


def _inflect(phrase: str, several: bool) -> str:
    """Put the last word of a phrase into the singular or plural."""
    *before, last = phrase.split()
    single = _singular(last)
    return " ".join([*before, _plural(single) if several else single])


_SINGULARS = {
    "leaves": "leaf",
    "halves": "half",
    "potatoes": "potato",
    "tomatoes": "tomato",
    "mangoes": "mango",
    "radishes": "radish",
    "peaches": "peach",
}


def _singular(word: str) -> str:
    if word in _SINGULARS:
        return _SINGULARS[word]
    if word in _SAME_IN_PLURAL or not word.endswith("s") or word.endswith("ss"):
        return word
    if word.endswith("ies") and len(word) > 4:
        return f"{word[:-3]}y"
    return word[:-1]


def _plural(word: str) -> str:
    if word in _SAME_IN_PLURAL:
        return word
    for many, one in _SINGULARS.items():
        if word == one:
            return many
    if word.endswith(("ch", "sh", "x", "s")):
        return f"{word}es"
    if word.endswith("f") and not word.endswith("ff"):
        return f"{word[:-1]}ves"
    if word.endswith("y") and word[-2] not in "aeiou":
        return f"{word[:-1]}ies"
    return f"{word}s"
