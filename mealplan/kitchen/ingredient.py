"""
One line of a recipe from elsewhere, matched to a kitchen food by its words.

The names by which the shipped dishes call their foods are the first dictionary, the catalogue's and
the shelf's names the second; likeness of words decides among them. What is not sure is asked.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from statistics import median

from rapidfuzz import fuzz, process

from foods.composition.catalogue import Catalogue, KitchenFood
from foods.composition.food_words import normalised
from foods.dishes.load import load_dishes
from foods.dishes.treatments import start_of
from foods.registry.errors import FoodError
from mealplan.kitchen.measures import grams_of

SURE = 92.0
"""Likeness from which a name is taken without asking. [0 to 100]"""
LIKE = 60.0
"""Likeness from which a food is offered as a choice. [0 to 100]"""
CHOICES = 5
LONGEST_LINE = 300
DRAINED = 0.6
"""Of a tin's net weight what stays in the sieve; common practice. [1]"""
_WEIGHTS = {
    "g": 1.0, "gram": 1.0, "grams": 1.0, "kg": 1000.0, "oz": 28.35, "ounce": 28.35,
    "ounces": 28.35, "lb": 453.6, "lbs": 453.6, "pound": 453.6, "pounds": 453.6,
}  # fmt: skip
_LITRES = {"ml": 0.001, "cl": 0.01, "dl": 0.1, "l": 1.0, "litre": 1.0, "litres": 1.0, "liter": 1.0,
           "liters": 1.0}  # fmt: skip
_TINS = frozenset({"tin", "tins", "can", "cans", "jar", "jars"})
_SPOONS = {"tablespoon": "tbsp", "tablespoons": "tbsp", "tbsps": "tbsp", "tbs": "tbsp",
           "teaspoon": "tsp", "teaspoons": "tsp", "tsps": "tsp", "cups": "cup"}  # fmt: skip
_PIECES = frozenset(
    {"clove", "cloves", "slice", "slices", "stalk", "stalks", "leaf", "leaves", "piece", "pieces",
     "sprig", "sprigs", "cup", "tbsp", "tsp", "block", "sheet", "sheets", "head", "bunch", "ear",
     "ears"}
)  # fmt: skip
_GLYPHS = {"½": 0.5, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 0.25, "¾": 0.75, "⅛": 0.125, "⅜": 0.375,
           "⅝": 0.625, "⅞": 0.875}  # fmt: skip
_NUMBER = re.compile(
    r"^\s*(?:about |approx\.? )?(?:(\d+)\s+(\d+)\s*/\s*(\d+)|(\d+)\s*/\s*(\d+)"
    r"|(\d+(?:[.,]\d+)?)?\s*([½⅓⅔¼¾⅛⅜⅝⅞])|(\d+(?:[.,]\d+)?))"
    r"(?:\s*(?:-|–|to)\s*(\d+(?:[.,]\d+)?))?\s*"
)
_UNIT = re.compile(r"^([a-zA-Z]+)\.?(?=\s|$|\))\s*(?:of\s+)?")
_WEIGHT_INSIDE = re.compile(r"(\d+(?:[.,]\d+)?)\s*-?\s*(g|kg|oz|ounces?|ml)\b", re.IGNORECASE)
_DRIED = re.compile(r"\b(?:dry|dried|uncooked)\b", re.IGNORECASE)
_DONE = re.compile(r"\b(?:cooked|boiled|canned|tinned|tins?|cans?|jars?|drained|leftover)\b", re.I)
_MANNER = re.compile(
    r"\b(?:finely|roughly|thinly|freshly|coarsely|lightly|chopped|sliced|diced|minced|grated|"
    r"crushed|peeled|rinsed|drained|cubed|shredded|halved|quartered|melted|softened|toasted|large|"
    r"small|medium|fresh|ripe|organic|good|extra|heaped|level|packed|warm|cold|hot|"
    r"to taste|for serving|to serve|optional|uncooked|cooked|boiled|canned|tinned|leftover|dry|"
    r"dried|tins?|cans?|jars?)\b",
    re.IGNORECASE,
)
_LOOSE = frozenset({"ground", "plain", "baby", "all", "purpose", "virgin", "rolled", "powdered"})
"""Dropped when the full words are no name a dish uses: ground cumin is cumin."""
_TWO_WAYS: Mapping[str, tuple[str, ...]] = {
    "cornflour": ("cornstarch", "flour_corn_whole"),
    "corn flour": ("cornstarch", "flour_corn_whole"),
}
"""Words that mean one thing on one side of the sea and another on the other."""
_PLANT = r"(?:vegan|plant|plant-based|dairy-free|soya?|oat|almond|coconut|cashew|rice|peanut|nut|"
_PLANT += r"sunflower|cocoa|cacao|apple|pea|vegetable|flax|butter)"
_ANIMAL = re.compile(
    r"\b(eggs?|milk|butter|buttermilk|ghee|cream|cheese|parmesan|feta|mozzarella|yogh?urt|honey|"
    r"gelatine?|meat|beef|pork|ham|bacon|lamb|veal|chicken|turkey|duck|sausages?|fish|salmon|tuna|"
    r"cod|anchov(?:y|ies)|prawns?|shrimps?|crab|lobster|mince|lard|whey)\b",
    re.IGNORECASE,
)


_OURS = re.compile(
    r"^(?P<grams>\d+(?:\.\d+)?) g (?P<called>[^\[\]]+) "
    r"\[(?P<name>[^\[\]]+?)(?:; [\d.]+ g (?:dry|raw|frozen))?\](?P<added>, if using)?$"
)
"""As this program writes its lines."""


@dataclass(frozen=True)
class MatchedLine:
    """A line of a recipe, as far as it was understood."""

    text: str
    """As it came."""
    food: str
    """Catalogue key; empty while it is not sure."""
    called: str
    """The words the recipe uses for it."""
    grams: float | None
    """For all portions, as the food is weighed; None while it is not known. [g]"""
    optional: bool
    question: str = ""
    """What has to be answered before it counts; empty when nothing."""
    choices: tuple[str, ...] = ()
    """Catalogue keys it may mean, best first."""


@dataclass(frozen=True)
class _Amount:
    count: float | None
    unit: str
    name: str
    inside: str
    """What stood in brackets."""


def match_line(text: str, catalogue: Catalogue) -> MatchedLine:
    """
    Match a line of a recipe to a kitchen food.

    Parameters
    ----------
    text : str
        Such as ``1 (400 g) tin chickpeas, drained``.
    catalogue : Catalogue
        Foods it may mean.

    Returns
    -------
    MatchedLine
        With a question where food or amount is not sure.
    """
    text = " ".join(text[:LONGEST_LINE].split())
    ours = _OURS.match(text)
    if ours:
        named = next((food for food in catalogue if food.name == ours["name"]), None)
        if named is not None:
            grams = float(ours["grams"])
            return MatchedLine(text, named.key, ours["called"], grams, bool(ours["added"]))
    amount = _read(text)
    optional = bool(re.search(r"\b(?:optional|if using|if desired|if you like)\b", text, re.I))
    called = _called(amount.name) or text[:60].lower()
    food, choices = _food(amount, catalogue, dried=bool(_DRIED.search(text)))
    animal = _animal(amount.name)
    if animal and (food is None or not _own_words(food, amount.name)):
        said = f"{animal} is not plant-based: choose what stands for it, or leave the line out"
        return MatchedLine(text, "", called, None, optional, said, choices)
    if food is None:
        near = "; ".join(catalogue.food(key).name for key in choices)
        said = f"which food is meant? {f'It may be {near}' if near else 'Nothing like it is known'}"
        return MatchedLine(text, "", called, None, optional, said, choices)
    weighed, question = _grams(amount, text, food)
    return MatchedLine(text, food.key, called, weighed, optional, question, choices)


def _read(text: str) -> _Amount:
    """Take the number, the unit and the brackets off a line."""
    inside = " ".join(re.findall(r"\(([^()]*)\)", text))
    bare = re.sub(r"\([^()]*\)", " ", text)
    bare = " ".join(bare.split())
    found = _NUMBER.match(bare)
    count = None
    if found:
        count = _value(found)
        bare = bare[found.end() :]
    unit = ""
    word = _UNIT.match(bare)
    if word and count is not None:
        said = _SPOONS.get(word[1].lower(), word[1].lower())
        if said in _WEIGHTS or said in _LITRES or said in _TINS or said in _PIECES:
            unit, bare = said, bare[word.end() :]
    return _Amount(count, unit, bare.strip(" ,.;"), inside)


def _value(found: re.Match[str]) -> float:
    def number(text: str | None) -> float:
        return float(text.replace(",", ".")) if text else 0.0

    if found[2]:
        value = number(found[1]) + number(found[2]) / max(number(found[3]), 1)
    elif found[4]:
        value = number(found[4]) / max(number(found[5]), 1)
    elif found[7]:
        value = number(found[6]) + _GLYPHS[found[7]]
    else:
        value = number(found[8])
    return (value + number(found[9])) / 2 if found[9] else value


def _called(name: str) -> str:
    """Give the words by which the recipe's own steps most likely speak of it."""
    head = re.split(r",| - | – |\bor\b|\bfor\b|\bif\b", name)[0]
    return " ".join(_MANNER.sub(" ", head).split()).lower()[:60].strip(" ,.;-")


def _animal(name: str) -> str:
    """Name the first animal food a line speaks of that nothing marks as of plants."""
    for found in _ANIMAL.finditer(name):
        before = name[: found.start()].lower().split()
        after = name[found.end() :].lower().split()
        marked = before and re.fullmatch(_PLANT, before[-1].strip(",-"))
        if not marked and (after[:1] not in (["beans"], ["bean"], ["substitute"], ["nuts"])):
            return found[0].lower()
    return ""


def _own_words(food: KitchenFood, name: str) -> bool:
    """Say whether a food's own name holds every word of a line, as butter beans do."""
    return normalised(_called(name)) in normalised(f"{food.name} {food.words}")


@cache
def _spoken() -> Mapping[str, Counter[str]]:
    """Count which food the shipped dishes mean by a word."""
    found: dict[str, Counter[str]] = {}
    for dish in load_dishes():
        for line in dish.lines:
            found.setdefault(normalised(line.called), Counter())[line.food] += 1
    return found


@cache
def _usual_g() -> Mapping[str, float]:
    """Give what a portion of a shipped dish usually holds of each food, in grams."""
    found: dict[str, list[float]] = {}
    for dish in load_dishes():
        for line in dish.lines:
            found.setdefault(line.food, []).append(line.typical_g)
    return {food: median(grams) for food, grams in found.items()}


def _food(
    amount: _Amount, catalogue: Catalogue, *, dried: bool
) -> tuple[KitchenFood | None, tuple[str, ...]]:
    """Find the food a line means, and what else it may mean; nothing dried comes from a tin."""
    wanted = normalised(_called(amount.name))
    if not wanted:
        return None, ()
    if wanted in _TWO_WAYS:
        return None, tuple(key for key in _TWO_WAYS[wanted] if key in catalogue)
    short = " ".join(word for word in wanted.split() if word not in _LOOSE)
    spoken = _spoken().get(wanted) or _spoken().get(short)
    if spoken:
        known = [
            (key, times)
            for key, times in spoken.most_common()
            if key in catalogue and not (dried and catalogue.food(key).state == "canned")
        ]
        if known and known[0][1] >= 0.75 * sum(times for _, times in known):
            return catalogue.food(known[0][0]), tuple(key for key, _ in known[:CHOICES])
    scores = [
        (key, score)
        for key, score in _likeness(wanted, catalogue)
        if not (dried and catalogue.food(key).state == "canned")
    ]
    choices = tuple(key for key, score in scores[:CHOICES] if score >= LIKE)
    best = scores[0][1] if scores else 0.0
    alone = len(scores) < 2 or best - scores[1][1] >= 4
    if best >= SURE and alone:
        return catalogue.food(scores[0][0]), choices
    return None, choices


def _likeness(wanted: str, catalogue: Catalogue) -> list[tuple[str, float]]:
    """Score the foods by how alike their names are, the best name of each counting."""
    names: dict[str, str] = {}
    for food in catalogue:
        short = food.name.partition(",")[0]
        for name in (food.name, short, food.shop_name, *food.words.split(";")):
            names.setdefault(normalised(name), food.key)
    for spoken, foods in _spoken().items():
        first = foods.most_common(1)[0][0]
        if first in catalogue:
            names.setdefault(spoken, first)
    found: dict[str, float] = {}
    for name, score, _ in process.extract(
        wanted, list(names), scorer=fuzz.token_sort_ratio, limit=30
    ):
        key = names[name]
        found[key] = max(found.get(key, 0.0), float(score))
    return sorted(found.items(), key=lambda item: (-item[1], item[0]))


def _grams(amount: _Amount, text: str, food: KitchenFood) -> tuple[float | None, str]:
    """Weigh a line as its food is weighed; with a question where that is not sure."""
    if amount.count is None:
        if food.role in ("flavour", "fat"):
            usual = _usual_g().get(food.key, food.step_g)
            return None, f"no amount is given; a portion usually holds {usual:g} g of {food.name}"
        return None, f"how much {food.name}? The recipe gives no amount"
    try:
        grams, tinned = _weighed(amount, food)
    except FoodError as error:
        return None, str(error)
    if tinned or _DONE.search(text):
        return grams, ""
    if food.yield_factor <= 1 or amount.unit not in (*_WEIGHTS, "cup"):
        return grams, ""
    if amount.unit == "cup" and start_of(food) in ("dried", "boiled"):
        return None, f"how many grams are the cups of {food.name}, and weighed dry or done?"
    if _DRIED.search(text):
        return grams * food.yield_factor, ""
    if start_of(food) == "dried":  # grain and pasta are weighed dry unless a recipe says otherwise
        return grams * food.yield_factor, ""
    if start_of(food) == "boiled":
        return grams, f"are the {grams:.0f} g of {food.name} weighed dry or boiled? Taken as boiled"
    return grams, ""


def _weighed(amount: _Amount, food: KitchenFood) -> tuple[float, bool]:
    """Turn number and unit into grams; and say whether they came from a tin."""
    count = amount.count or 0.0
    inside = _WEIGHT_INSIDE.search(amount.inside)
    if amount.unit in _TINS:
        if not inside:
            raise FoodError(f"how much does a {amount.unit} of {food.name} hold? Write grams")
        net = float(inside[1].replace(",", ".")) * _WEIGHTS.get(inside[2].lower(), 1.0)
        wet = start_of(food) == "boiled"
        return count * net * (DRAINED if wet else 1.0), True
    if amount.unit in _WEIGHTS:
        return count * _WEIGHTS[amount.unit], False
    if amount.unit in _LITRES:
        litres = count * _LITRES[amount.unit]
        if food.measure.partition(",")[0] in ("cup", "tbsp", "tsp"):
            return grams_of(f"{litres / 0.2366:.4f} cup", food), False
        return litres * 1000, False
    if not amount.unit:
        if food.measure.partition(",")[0] in ("cup", "tbsp", "tsp"):
            raise FoodError(f"{count:g} of {food.name}: write how many grams or cups that is")
        return count * food.measure_g, False
    return grams_of(f"{count:.4f} {amount.unit}", food), False
