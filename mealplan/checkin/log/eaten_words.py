"""
What was eaten, said in one sentence, read back as one before it is kept.

Foods of the kitchen are known by their words; what is not known asks for its energy. Whatever could
mean two things that differ by more than :data:`WORTH_ASKING_KCAL` is asked, never guessed. Text is
read from left to right with no pattern that could start over, and only so much of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from foods import FoodTable
from foods.catalogue import ALLERGENS, Catalogue, KitchenFood
from foods.matching import normalised
from mealplan.errors import IntakeError
from mealplan.units import kcal_from_kj

LONGEST_SENTENCE = 600
"""Longest sentence that is read. [characters]"""
MOST_PARTS = 20
"""Most foods of one meal."""
WORTH_ASKING_KCAL = 100.0
"""Readings that differ by more are asked about. [kcal]"""
FAR_APART_KCAL = 150.0
"""A bare number whose reading as grams and as kcal differ by more is asked about. [kcal]"""
LITTLE_KCAL = 60.0
"""One measure of a food with no more than this needs no amount. [kcal]"""
MOST_UNSAID_G = 200.0
"""One piece of a food heavier than this is not taken for granted. [g]"""
MOST_G, MOST_KCAL = 1500.0, 1600.0
"""More than this of one food at one meal is asked about (common practice). [g, kcal]"""


@dataclass(frozen=True)
class EatenPart:
    """One food of a meal, or something whose energy alone is known."""

    said: str
    food: str
    """Catalogue key; empty when only the energy is known."""
    grams: float
    """[g]"""
    energy_kcal: float
    """[kcal]"""
    words: str
    """As it is read back."""


@dataclass(frozen=True)
class EatenSentence:
    """A meal as it was understood."""

    parts: tuple[EatenPart, ...]
    asks: tuple[str, ...]
    """What has to be said more clearly; the meal is not kept while there is any."""

    @property
    def energy_kcal(self) -> float:
        """Energy of what was understood [kcal]."""
        return sum(part.energy_kcal for part in self.parts)

    @property
    def foods(self) -> tuple[tuple[str, float], ...]:
        """Foods by catalogue key with their grams."""
        return tuple((part.food, part.grams) for part in self.parts if part.food)

    @property
    def other_kcal(self) -> float:
        """Energy of what has no known food [kcal]."""
        return sum(part.energy_kcal for part in self.parts if not part.food)

    def read_back(self, *, hide: bool = False) -> str:
        """
        Say the meal in a sentence.

        Parameters
        ----------
        hide : bool
            True leaves energy out.

        Returns
        -------
        str
            Such as ``2 slices white bread (58 g) and 2 tbsp hummus (30 g): about 207 kcal.``
        """
        said = [part.words for part in self.parts]
        text = ", ".join(said[:-1]) + (" and " if said[:-1] else "") + said[-1] if said else ""
        if hide or not said:
            return f"{text}."
        return f"{text}: about {_said(self.energy_kcal)} kcal."


def _said(value: float) -> str:
    return f"{value:,.0f}"


_COUNTS = {
    "a": 1.0, "an": 1.0, "one": 1.0, "two": 2.0, "three": 3.0, "four": 4.0, "five": 5.0,
    "six": 6.0, "seven": 7.0, "eight": 8.0, "nine": 9.0, "ten": 10.0, "half": 0.5, "couple": 2.0,
    "quarter": 0.25, "dozen": 12.0, "single": 1.0, "double": 2.0,
}  # fmt: skip
_GLYPHS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3, "⅛": 0.125}
_WEIGHTS = {
    "g": 1.0, "gr": 1.0, "gram": 1.0, "grams": 1.0, "gm": 1.0, "kg": 1000.0, "oz": 28.35,
    "ounce": 28.35, "ounces": 28.35, "lb": 453.6,
}  # fmt: skip
"""[g]"""
_VOLUMES = {
    "ml": 1.0, "cl": 10.0, "dl": 100.0, "l": 1000.0, "litre": 1000.0, "litres": 1000.0,
    "liter": 1000.0, "liters": 1000.0, "cup": 240.0, "cups": 240.0, "tbsp": 15.0, "tbsps": 15.0,
    "tablespoon": 15.0, "tablespoons": 15.0, "tsp": 5.0, "tsps": 5.0, "teaspoon": 5.0,
    "teaspoons": 5.0, "glass": 240.0, "glasses": 240.0, "mug": 280.0, "mugs": 280.0,
    "bowl": 300.0, "bowls": 300.0, "pint": 500.0, "pints": 500.0, "spoon": 15.0,
    "spoons": 15.0, "spoonful": 15.0, "spoonfuls": 15.0,
}  # fmt: skip
"""[mL]; glass, mug and bowl as common practice."""
_ENERGY = {"kcal": 1.0, "kcals": 1.0, "cal": 1.0, "cals": 1.0, "calories": 1.0, "calorie": 1.0}
_KJ = frozenset({"kj", "kilojoule", "kilojoules"})
_HANDFUL_G = 30.0
"""A handful of nuts, seeds or dried fruit (common practice). [g]"""
_PIECES = frozenset(
    """
    slice slices piece pieces square squares bar bars block blocks biscuit biscuits
    whole
    """.split()  # noqa: SIM905
)
_FILLER = frozenset(
    """
    of the some my i had ate just about around approx approximately roughly ca circa
    also then fresh plain homemade cooked boiled steamed medium sized size and with plus
    """.split()  # noqa: SIM905
)
_SIZES = {"small": 0.75, "large": 1.3, "big": 1.3}
_VAGUE = frozenset(
    """
    can cans tin tins pack packs packet packets bag bags box jar jars bottle
    bottles few several bit lots lot plate plateful portion portions serving servings plates
    takeaway leftover leftovers
    """.split()  # noqa: SIM905
)
_MEASURE_VOLUMES = {"cup": 240.0, "tbsp": 15.0, "tsp": 5.0}

NAMES: dict[str, str] = {
    "sourdough": "bread_sourdough",
    "bread": "bread_white", "toast": "bread_white", "white bread": "bread_white",
    "brown bread": "bread_whole_wheat", "wholemeal bread": "bread_whole_wheat",
    "wholemeal toast": "bread_whole_wheat", "rice": "rice_white_cooked",
    "white rice": "rice_white_cooked", "brown rice": "rice_brown_cooked", "pasta": "pasta_cooked",
    "spaghetti": "pasta_cooked", "penne": "pasta_cooked", "macaroni": "pasta_cooked",
    "porridge": "oatmeal_cooked", "oatmeal": "oatmeal_cooked", "oat porridge": "oatmeal_cooked",
    "oats": "oats_rolled", "rolled oats": "oats_rolled", "wrap": "tortilla_wheat",
    "pita": "pita_white", "pitta": "pita_white", "pitta bread": "pita_white",
    "bread roll": "roll_crusty", "roll": "roll_crusty", "baked bean": "baked_beans_tomato",
    "coffee": "coffee_brewed", "black coffee": "coffee_brewed", "tea": "tea_black_brewed",
    "black tea": "tea_black_brewed", "green tea": "tea_green_brewed", "water": "water",
    "soy milk": "soymilk_fortified", "soya milk": "soymilk_fortified", "oat milk": "oat_drink",
    "dark chocolate": "chocolate_dark", "oil": "olive_oil", "tofu": "tofu_firm_calcium",
    "jam": "jam", "sugar": "sugar", "tomato soup": "soup_tomato_canned",
    "vegetable soup": "soup_vegetable_canned", "edamame": "edamame_cooked",
}  # fmt: skip
"""Everyday names of kitchen foods as eaten."""
_EVERYDAY = {normalised(name): key for name, key in NAMES.items()}


def read_eaten(text: str, catalogue: Catalogue | None = None) -> EatenSentence:
    """
    Read what was eaten at one meal.

    Parameters
    ----------
    text : str
        One sentence, such as ``pizza 300 kcal``, ``1 banana`` or ``2 slices of bread with hummus``.
    catalogue : Catalogue, optional
        Foods known, own ones included; those that ship when left out.

    Returns
    -------
    EatenSentence
        With no parts and no asks never: something that is not understood is asked.

    Raises
    ------
    IntakeError
        When the text is empty or longer than any meal.
    """
    if len(text) > LONGEST_SENTENCE:
        raise IntakeError(
            f"what was eaten has {len(text):,} letters, more than {LONGEST_SENTENCE:,}; name one "
            "meal's foods"
        )
    known = catalogue or Catalogue.load()
    pieces = _pieces(text, known)
    if not pieces:
        raise IntakeError(
            "nothing was typed; write what was eaten, such as 1 banana, or its energy, such as "
            "pizza 300 kcal"
        )
    parts: list[EatenPart] = []
    asks: list[str] = []
    if len(pieces) > MOST_PARTS:
        asks.append(f"{len(pieces)} foods are more than one meal has; say the largest of them")
    for piece in pieces[:MOST_PARTS]:
        found = _part(piece, known)
        if isinstance(found, str):
            asks.append(found)
        else:
            parts.append(found)
    return EatenSentence(tuple(parts), tuple(asks))


def _pieces(text: str, known: Catalogue) -> list[list[str]]:
    """Split a sentence into foods, each as its words and numbers."""
    words = _words(text)
    groups: list[list[list[str]]] = [[[]]]
    for place, word in enumerate(words):
        if word in (",", ";", "+", "&"):
            groups.append([[]])
        elif word in _JOINING and not _joins(words, place, known):
            groups[-1].append([])
        else:
            groups[-1][-1].append(word)
    pieces: list[list[str]] = []
    for group in groups:
        pieces += [[word for piece in group for word in piece]] if _is_one(group) else group
    return [piece for piece in pieces if any(word not in _FILLER for word in piece)]


def _is_one(group: Sequence[Sequence[str]]) -> bool:
    """Say whether an energy at the end of joined foods is that of all of them."""
    if len(group) < 2 or not any(word in _ENERGY or word in _KJ for word in group[-1]):
        return False
    counted = any(word[0].isdigit() for piece in group[:-1] for word in piece)
    return not counted


def _joins(words: Sequence[str], place: int, known: Catalogue) -> bool:
    """Say whether a joining word stands inside a number or a food's own name."""
    before, following = words[max(0, place - 1) : place], words[place + 1 : place + 3]
    if words[place] == "and" and before and {"half", "quarter"} & set(following):
        return before[0][0].isdigit() or before[0] in _COUNTS
    nearby = normalised(" ".join([*before, words[place], *following[:1]]))
    return len(nearby.split()) == 3 and nearby in _phrases(known)


_JOINING = frozenset(["and", "with", "plus", "on", "in", "over"])


def _words(text: str) -> list[str]:
    """Cut text into words, numbers and marks, one letter after the other."""
    found: list[str] = []
    word = ""
    kind = ""
    plain = text.lower().replace("~", " ").replace("≈", " ").replace("×", " x ")
    for place, letter in enumerate(plain):
        following = plain[place + 1 : place + 2]
        if letter.isdigit() and letter.isascii():
            now = "number"
        elif letter in ".,/" and kind == "number" and following.isdigit():
            now = "number" if letter != "," or _is_decimal(plain, place) else "mark"
        elif letter in _GLYPHS:
            now = "glyph"
        elif letter.isalpha() or (letter in "'’-" and kind == "word"):
            now = "word"
        elif letter in ",;\n+&":
            now = "mark"
        else:
            now = ""
        if now != kind or now in ("mark", "glyph"):
            if word:
                found.append(word)
            word = ""
        if now:
            word += ";" if letter == "\n" else letter
        kind = now
    if word:
        found.append(word)
    return [part.strip("'’-") or part for part in found]


def _is_decimal(text: str, place: int) -> bool:
    """Say whether a comma stands inside a number: one to three digits behind it, then no more."""
    digits = 0
    while text[place + 1 + digits : place + 2 + digits].isdigit() and digits < 4:
        digits += 1
    before = 0
    while before < 4 and text[place - 1 - before : place - before].isdigit():
        before += 1
    return digits in (1, 2) or (digits == 3 and before <= 3)


def _part(piece: Sequence[str], known: Catalogue) -> EatenPart | str:
    said = " ".join(piece)
    numbers: list[tuple[float, str]] = []
    rest: list[str] = []
    size = 1.0
    vague = False
    place = 0
    while place < len(piece):
        word = piece[place]
        value, used = _number(piece, place)
        if used:
            unit = piece[place + used] if place + used < len(piece) else ""
            if unit in ("x",):
                used, unit = used + 1, ""
            taken = unit in _WEIGHTS or unit in _VOLUMES or unit in _ENERGY or unit in _KJ
            taken = taken or unit in _PIECES or unit.startswith("handful")
            numbers.append((value, unit if taken else ""))
            place += used + (1 if taken else 0)
            continue
        if word in _SIZES:
            size = _SIZES[word]
        elif word in _VAGUE:
            vague = True
        elif word in _PIECES or word in _VOLUMES or word.startswith("handful"):
            numbers.append((1.0, word))
        elif word not in _FILLER:
            rest.append(word)
        place += 1
    return _understood(said, rest, numbers, size, vague, known)


def _number(piece: Sequence[str], place: int) -> tuple[float, int]:
    """Read a number at a place: its value and how many words it takes."""
    word = piece[place]
    if word in _GLYPHS:
        return _GLYPHS[word], 1
    if word in ("a", "half", "quarter") and piece[place + 1 : place + 2]:
        nearby = piece[place + 1]
        if word == "a" and nearby in ("half", "quarter", "couple", "dozen"):
            return _COUNTS[nearby], 2
        if word == "half" and nearby in ("a", "an"):
            return 0.5, 2
    coming = piece[place + 1 : place + 3]
    if (
        word.isdigit()
        and len(word) <= 3
        and len(coming) == 2
        and len(coming[0]) == 3
        and coming[0].isdigit()
        and (coming[1] in _ENERGY or coming[1] in _KJ)
    ):
        return float(word + coming[0]), 2
    if word in _COUNTS:
        value, used = _COUNTS[word], 1
    elif word[0].isdigit():
        value, used = _plain_number(word), 1
        if value < 0:
            return 0.0, 0
    else:
        return 0.0, 0
    following = piece[place + used : place + used + 1]
    if following and following[0] in _GLYPHS:
        return value + _GLYPHS[following[0]], used + 1
    if following and "/" in following[0] and value == int(value):
        return value + max(0.0, _plain_number(following[0])), used + 1
    if list(piece[place + used : place + used + 2]) == ["and", "half"]:
        return value + 0.5, used + 2
    if list(piece[place + used : place + used + 3]) == ["and", "a", "half"]:
        return value + 0.5, used + 3
    return value, used


def _plain_number(word: str) -> float:
    if "/" in word:
        over, _, under = word.partition("/")
        if not (over.isdigit() and under.isdigit()) or int(under) == 0 or len(word) > 9:
            return -1.0
        return int(over) / int(under)
    whole, comma, behind = word.partition(",")
    text = whole + behind if comma and len(behind) == 3 else word.replace(",", ".")
    if text.count(".") > 1 or len(text) > 9:
        return -1.0
    return float(text)


def _understood(
    said: str,
    rest: Sequence[str],
    numbers: Sequence[tuple[float, str]],
    size: float,
    vague: bool,
    known: Catalogue,
) -> EatenPart | str:
    name = " ".join(rest)
    energy = [(v, u) for v, u in numbers if u in _ENERGY or u in _KJ]
    amounts = [(v, u) for v, u in numbers if not (u in _ENERGY or u in _KJ)]
    if len(energy) == 1:
        value, unit = energy[0]
        kcal = kcal_from_kj(value) if unit in _KJ else value
        if kcal > 3000:
            return f"“{said}” has {_said(kcal)} kcal, more than a meal; check the number"
        return EatenPart(said, "", 0.0, kcal, f"{name or 'something'} ({_said(kcal)} kcal)")
    if len(energy) > 1 or len(amounts) > 2:
        return f"“{said}” has more than one amount; put a comma between foods"
    if not rest:
        return f"“{said}” names no food; write the food, or a number and kcal"
    foods = _foods(name, known)
    if not foods and normalised(name) in _TOO_WIDE:
        return f"which {name} was it? Or say about how much energy it had, such as {name} 250 kcal"
    if not foods:
        return (
            f"“{name}” is no food known here; say about how much energy it had, such as "
            f"{name} 400 kcal"
        )
    if vague:
        return f"how much was “{said}”? Write grams, cups or pieces, such as {name} 200 g"
    return _amount(said, name, foods, amounts, size, known)


def _amount(
    said: str,
    name: str,
    foods: Sequence[KitchenFood],
    amounts: Sequence[tuple[float, str]],
    size: float,
    known: Catalogue,
) -> EatenPart | str:
    read: list[EatenPart] = []
    for food in foods:
        per_100g = _energy_of(food.key, known)
        grams = _grams(food, amounts, size)
        little = food.measure_g / 100 * per_100g <= LITTLE_KCAL
        if grams is None and not amounts and little:
            grams = food.measure_g
        if not amounts and not little and food.measure_g > MOST_UNSAID_G:
            grams = None
        if grams is None and not amounts:
            return _how_much(said, name, food)
        if grams is None:
            continue
        kcal = grams / 100 * per_100g
        called = ",".join(food.name.split(",")[:2])
        called = called[:1].lower() + called[1:]
        words = f"{_said(grams)} g {called}"
        counted = _counted(amounts)
        if counted:
            words = f"{counted} {called} ({_said(grams)} g)"
        read.append(EatenPart(said, food.key, grams, kcal, words))
    if not read:
        return _how_much(said, name, foods[0])
    spread = max(p.energy_kcal for p in read) - min(p.energy_kcal for p in read)
    if spread > WORTH_ASKING_KCAL:
        options = ", ".join(dict.fromkeys(food.name.split(",")[0].lower() + " (" + food.name + ")"
                                          for food in foods[:4]))  # fmt: skip
        return f"which “{name}” was it: {options}? Or write its energy, such as {name} 300 kcal"
    best = read[0]
    bare = [v for v, u in amounts if not u]
    if bare and bare[0] >= 20 and abs(best.energy_kcal - bare[0]) > FAR_APART_KCAL:
        return (
            f"“{said}”: is {_said(bare[0])} grams or kcal? Write {name} {_said(bare[0])} g or kcal"
        )
    if best.grams > MOST_G or best.energy_kcal > MOST_KCAL:
        return (
            f"“{said}” would be {_said(best.grams)} g and "
            f"{_said(best.energy_kcal)} kcal; check the amount, or write its energy in kcal"
        )
    if best.grams <= 0:
        return f"how much was “{said}”? Write grams or pieces"
    return best


def _how_much(said: str, name: str, food: KitchenFood) -> str:
    measure = food.measure.partition(",")[0]
    return f"how much was “{said}”? Write grams, such as {name} 100 g, or 1 {measure}"


def _counted(amounts: Sequence[tuple[float, str]]) -> str:
    for value, unit in amounts:
        if unit and unit not in _WEIGHTS:
            return f"{value:g} {unit}"
        if not unit and value < 20:
            return f"{value:g} ×"
    return "" if amounts else "1 ×"


def _grams(food: KitchenFood, amounts: Sequence[tuple[float, str]], size: float) -> float | None:
    """Turn amounts into grams of one food; None when it is not measured so."""
    unit, _, _ = food.measure.partition(",")
    by_volume = unit in _MEASURE_VOLUMES
    weights = [(v, u) for v, u in amounts if u in _WEIGHTS]
    others = [(v, u) for v, u in amounts if u not in _WEIGHTS]
    if weights:
        value, weight = weights[0]
        grams = value * _WEIGHTS[weight]
        count = [v for v, u in others if not u and v < 20]
        return grams * (count[0] if count and amounts[0] == (count[0], "") else 1.0)
    if not amounts:
        small = by_volume and unit != "cup"
        return food.measure_g * size if small or not by_volume else None
    value, said = others[0]
    if said.startswith("handful"):
        return value * _HANDFUL_G if by_volume or "nut" in food.group else None
    if said in _VOLUMES:
        if by_volume:
            return value * _VOLUMES[said] / _MEASURE_VOLUMES[unit] * food.measure_g
        return None
    if said in _PIECES:
        single = said.rstrip("s")
        fits = single in unit or (single in ("piece", "whole") and not by_volume)
        return value * food.measure_g if fits else None
    if value >= 20:  # a bare number of that size is a weight
        return value
    return value * food.measure_g * size if not by_volume else None


@lru_cache(maxsize=4)
def _table() -> FoodTable:
    return FoodTable.load()


def _energy_of(key: str, known: Catalogue) -> float:
    """Give the energy of a food [kcal/100 g]."""
    return known.per_100g(key, _table())["energy_kcal"]


_STATE = frozenset(
    """
    boiled cooked raw fresh baked steamed canned plain dried ready drained rinsed sliced
    unsalted unenriched peeled
    """.split()  # noqa: SIM905
)


_PLANT = frozenset(["plant", "vegan", "veggie", "vegetarian", "based", "plantbased"])
_DRY = frozenset(["dry", "dried", "powder", "flour", "chip", "flake", "pickled", "juice"])
_ANIMAL = frozenset(
    """
    egg cheese milk butter yogurt yoghurt cream chicken beef pork ham bacon fish tuna salmon turkey
    lamb meat honey mayo mayonnaise steak prawn shrimp
    """.split()  # noqa: SIM905
)
_TOO_WIDE = frozenset(
    """
    soup sauce bar drink cereal cake burger sausage dressing spread juice mix salad curry stew
    sandwich nut seed sweet snack
    """.split()  # noqa: SIM905
)
"""Words that say too little by themselves."""


def _foods(name: str, known: Catalogue) -> tuple[KitchenFood, ...]:
    """Find the foods that words may mean, the likeliest first; none when a word is left over."""
    said = normalised(name).split()
    plant = bool(_PLANT & set(said))
    words = [word for word in said if word not in _PLANT]
    plain = " ".join(words)
    if not plain or (not plant and plain in _TOO_WIDE):
        return ()
    if not plant and _EVERYDAY.get(plain, "") in known:
        return (known.food(_EVERYDAY[plain]),)
    exact = [known.food(key) for key in _phrases(known).get(plain, ())]
    found = exact or [food for food in known if _may_be(food, words)]
    found = [food for food in found if plant or not _stands_in(food)]
    if not _DRY & set(words):
        found = [food for food in found if not _DRY & _all_words(food)] or found
    return tuple(sorted(found, key=lambda food: len(_all_words(food))))[:12]


def _may_be(food: KitchenFood, words: Sequence[str]) -> bool:
    """Say whether a food has all the words, the last one as the thing it is."""
    if _ANIMAL & set(words) or not set(words) <= _all_words(food):
        return False
    head = normalised(food.name.partition(",")[0].partition("(")[0]).split()
    shop = normalised(food.shop_name.partition(",")[0]).split()
    return words[-1] in (head[-1:] + shop[-1:])


def _stands_in(food: KitchenFood) -> bool:
    """Say whether a food takes the place of one from animals and has to be called so."""
    return bool({"plant", "vegan"} & _all_words(food)) or food.key.endswith("_plant")


@lru_cache(maxsize=2048)
def _all_words(food: KitchenFood) -> frozenset[str]:
    return frozenset(normalised(f"{food.name} {food.shop_name}").split())


_PHRASES: dict[int, dict[str, tuple[str, ...]]] = {}


def _phrases(known: Catalogue) -> dict[str, tuple[str, ...]]:
    """Index foods by the phrases that name them outright."""
    place = id(known)
    if place not in _PHRASES:
        index: dict[str, list[str]] = {}
        for food in known:
            for phrase in _names_of(food):
                if phrase and food.key not in index.setdefault(phrase, []):
                    index[phrase].append(food.key)
        _PHRASES.clear()
        _PHRASES[place] = {phrase: tuple(keys) for phrase, keys in index.items()}
    return _PHRASES[place]


def _names_of(food: KitchenFood) -> Iterable[str]:
    head = food.name.partition(",")[0].partition("(")[0]
    for text in (food.name, head, food.shop_name, food.key.replace("_", " ")):
        plain = normalised(text)
        yield plain
        yield " ".join(word for word in plain.split() if word not in _STATE)
    described = food.name.partition("(")[0].split(",")
    if len(described) > 1:
        yield normalised(f"{described[1]} {described[0]}")


def allergens_in(text: str, found: EatenSentence, catalogue: Catalogue) -> frozenset[str]:
    """
    Say which allergens a meal holds, by its foods and by what its words name.

    Parameters
    ----------
    text : str
        The sentence as typed.
    found : EatenSentence
        What was understood of it.
    catalogue : Catalogue

    Returns
    -------
    frozenset of str
    """
    keys = {part.food for part in found.parts if part.food}
    for piece in _pieces(text[:LONGEST_SENTENCE], catalogue)[:MOST_PARTS]:
        words = normalised(" ".join(word for word in piece if word.isalpha()))
        keys |= set(_phrases(catalogue).get(words, ()))
        for single in words.split():
            keys |= set(_phrases(catalogue).get(single, ())[:1])
    named = {a for key in keys for a in catalogue.food(key).allergens}
    said = f" {normalised(text[:LONGEST_SENTENCE])} "
    return frozenset(named | {a for a in ALLERGENS if f" {a.replace('_', ' ')} " in said})
