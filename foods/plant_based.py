"""
Decide whether a food of the release is free of animal ingredients: yes, no or unclear.

The release has no such flag, and no single sign is enough: broth has no cholesterol, seaweed has
some, and a LanguaL code exists for a third of the foods. So signs are asked in a fixed order, the
animal ones first, and a food is accepted only when its own words say what it is. Everything left
over is unclear, and unclear is never offered.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from foods.models import PlantBased

ANIMAL_GROUPS = {
    "0100": "dairy and egg products",
    "0500": "poultry",
    "0700": "sausages and luncheon meats",
    "1000": "pork",
    "1300": "beef",
    "1500": "fish and shellfish",
    "1700": "lamb, veal and game",
}
CORE_GROUPS = frozenset({"0200", "0900", "1100", "1200", "1600", "2000"})
"""Spices, fruit, vegetables, nuts and seeds, legumes, grains."""

CHOLESTEROL, VITAMIN_D3, LACTOSE, HYDROXYPROLINE, RETINOL = 601, 326, 213, 521, 319

ANIMAL_LANGUAL = {
    "H0143": "cheese added",
    "H0149": "honey added",
    "H0171": "poultry added",
    "H0184": "milk added",
    "H0185": "egg yolk added",
    "H0186": "egg added",
    "H0191": "meat added",
    "H0205": "egg white added",
    "H0260": "whey added",
    "H0262": "animal fat added",
    "H0271": "butter added",
    "H0296": "cream added",
    "H0748": "milk protein added",
    "B1125": "guinea fowl",
    "B1136": "swine",
    "B1161": "cattle",
    "B1198": "chicken",
    "B1201": "cow",
    "B1236": "turkey",
    "B1253": "goose",
    "B1304": "pigeon",
    "B1316": "duck",
    "B1346": "quail",
    "B1457": "chicken",
    "B1460": "pheasant",
    "B1710": "chicken",
    "B1711": "capon",
    "B1713": "hen",
    "C0170": "broth or stock",
    "C0193": "animal skin",
    "C0235": "milk",
}
"""LanguaL codes that name an animal source or ingredient, by exact code: COWPEA contains COW."""


@dataclass(frozen=True, slots=True)
class FoodRecord:
    """
    What the rule may look at.

    Parameters
    ----------
    ndb : str
        Number in the release, used only for exceptions.
    description : str
        Description as released.
    group_code : str
        Food group of the release, such as ``1100``.
    common_names : str
        Other names of the food.
    manufacturer : str
        Maker, where the release names one.
    langual : frozenset of str
        LanguaL codes; empty when the release gives none.
    amounts : mapping of int to float
        Nutrient number to amount per 100 g; a number that is absent was not measured.
    """

    ndb: str
    description: str
    group_code: str
    common_names: str = ""
    manufacturer: str = ""
    langual: frozenset[str] = frozenset()
    amounts: Mapping[int, float] = field(default_factory=dict)

    def above_zero(self, number: int) -> bool:
        """True when a nutrient was measured and is above zero."""
        return self.amounts.get(number, 0.0) > 0


@dataclass(frozen=True, slots=True)
class Verdict:
    """Answer of the rule and what decided it."""

    plant_based: PlantBased
    reason: str


def _words(*patterns: str) -> re.Pattern[str]:
    return re.compile(r"\b(?:" + "|".join(patterns) + r")\b")


# Plant names that contain the name of an animal or of something made from one.
_MASKED = _words(
    r"coconut (?:meat|milk|cream)", r"nuts, coconut \w+(?:,? raw)?.*", r"expressed from grated meat",
    r"(?:peanut|almond|cashew|cocoa|apple|sesame|ucuhuba|shea|nut|sunflower seed|seed|nuts?) butters?",
    r"butterhead", r"butter ?beans?", r"butternuts?", r"butterburs?", r"buttercup", r"butterbur.*",
    r"creamy? of (?:wheat|rice|tartar|rye)", r"cream[- ]style", r"cream style",
    r"eggplants?", r"oyster mushrooms?", r"mushrooms?, oyster", r"vegetable[- ]oyster", r"cowpeas?",
    r"lambs?'?s?[- ]quarters?", r"beefsteak tomato(?:es)?", r"steak fries", r"bread[- ]and[- ]butter",
    r"duck sauce", r"hamburger relish", r"hot ?dog relish", r"horseradish(?:-tree)?", r"hearts? of palm",
    r"bullock'?s[- ]heart", r"poultry seasoning", r"meat extender", r"bacon bits, meatless",
    r"ice cream coatings", r"soy ?milk", r"soy yogurt", r"milk ?weed", r"(?:soy|almond|rice|oat|hemp) milk",
    r"without (?:salt|added \w+|milk|meat|egg|cheese|butter|beef|pork|chicken)(?! *,? *(?:whole )?milk)",
)  # fmt: skip

_ANIMAL_WORDS = _words(
    r"milk", r"buttermilk", r"butter", r"cream", r"creamed", r"creamy", r"cheese\w*", r"cheddar",
    r"parmesan", r"mozzarella", r"ricotta", r"whey", r"casein\w*", r"yogh?urt", r"kefir", r"ghee",
    r"lactose", r"dairy", r"au gratin", r"scalloped", r"alfredo", r"custard", r"sherbet", r"ice cream",
    r"eggs?", r"egg-?nog", r"mayonnaise", r"meringues?", r"souffl\w+", r"albumin",
    r"meats?", r"meatballs?", r"beef", r"beefsteak", r"steaks?", r"veal", r"pork", r"ham", r"bacon",
    r"sausages?", r"frankfurters?", r"hot ?dogs?", r"salami", r"pepperoni", r"bologna", r"lard", r"tallow",
    r"suet", r"gelatins?", r"lamb", r"mutton", r"goat", r"bison", r"buffalo", r"venison", r"deer", r"elk",
    r"moose", r"caribou", r"rabbit", r"chicken", r"turkey", r"duck", r"goose", r"poultry", r"quail",
    r"fish", r"anchov\w+", r"tuna", r"salmon", r"cod", r"shrimps?", r"crabs?", r"lobster", r"clams?",
    r"oysters?", r"mussels?", r"squid", r"seal", r"whale", r"walrus", r"seafood", r"worcestershire",
    r"broth", r"bouillon", r"stock", r"gravy", r"honey", r"royal jelly", r"hamburger\w*", r"bear",
    r"animal", r"blood", r"liver", r"marrow", r"shellac", r"carmine",
)  # fmt: skip

_UNCLEAR_WORDS = _words(
    r"refried", r"baked beans", r"meatless", r"veggie", r"vegetarian", r"vegan", r"margarine\w*",
    r"spread", r"breaded", r"battered?", r"sauce", r"home[- ]prepared", r"au jus", r"pudding",
    r"candied", r"o'?brien", r"puffs", r"fresh-refrigerated", r"pie filling",
)  # fmt: skip

_OILS = re.compile(
    r"^(?:oil, (?!.*(?:fish|cod|herring|menhaden|salmon|sardine))|vegetable oil|shortening.*(?:soybean|palm|vegetable|cottonseed|coconut|corn))"
)
_PLAIN = _words(
    r"^sugars?, (?:brown|granulated|powdered|turbinado|maple)", r"^syrups?, (?:maple|corn|malt|sorghum|cane)",
    r"^molasses", r"^leavening agents", r"^salt, table", r"^tortillas, ready-to-bake or -fry, corn",
)  # fmt: skip


def _animal_group(record: FoodRecord, text: str) -> Verdict | None:
    group = ANIMAL_GROUPS.get(record.group_code)
    return Verdict("no", f"food group {group}") if group else None


def _cholesterol(record: FoodRecord, text: str) -> Verdict | None:
    if record.above_zero(CHOLESTEROL):
        return Verdict("no", f"cholesterol {record.amounts[CHOLESTEROL]:g} mg per 100 g")
    return None


def _langual(record: FoodRecord, text: str) -> Verdict | None:
    for code in sorted(record.langual & ANIMAL_LANGUAL.keys()):
        return Verdict("no", f"LanguaL code {code}: {ANIMAL_LANGUAL[code]}")
    return None


def _keyword(record: FoodRecord, text: str) -> Verdict | None:
    found = _ANIMAL_WORDS.search(text)
    return Verdict("no", f"the description says {found[0]!r}") if found else None


def _vitamin_d3(record: FoodRecord, text: str) -> Verdict | None:
    if record.above_zero(VITAMIN_D3):
        return Verdict("no", "vitamin D3, as a rule made from wool grease")
    return None


def _mixed_group_traces(record: FoodRecord, text: str) -> Verdict | None:
    if record.group_code in CORE_GROUPS:
        return None
    if record.above_zero(LACTOSE):
        return Verdict("no", "lactose in a mixed food")
    if record.above_zero(HYDROXYPROLINE):
        return Verdict("unclear", "hydroxyproline in a mixed food, as gelatin has")
    return None


def _retinol(record: FoodRecord, text: str) -> Verdict | None:
    if record.above_zero(RETINOL) and "fortified" not in text and "added vitamin" not in text:
        return Verdict("unclear", "retinol in a food not said to be fortified")
    return None


def _unclear_class(record: FoodRecord, text: str) -> Verdict | None:
    found = _UNCLEAR_WORDS.search(text)
    if found:
        return Verdict("unclear", f"recipes behind {found[0]!r} differ")
    if record.manufacturer:
        return Verdict("unclear", "branded product with an unknown recipe")
    return None


def _accepted(record: FoodRecord, text: str) -> Verdict | None:
    if record.group_code in CORE_GROUPS:
        return Verdict("yes", "plant food group, and no animal sign")
    if record.group_code == "0400" and _OILS.search(text):
        return Verdict("yes", "plain vegetable oil or fat")
    if _PLAIN.search(text):
        return Verdict("yes", "plain plant food by its description")
    return None


RULES: tuple[Callable[[FoodRecord, str], Verdict | None], ...] = (
    _animal_group,
    _cholesterol,
    _langual,
    _keyword,
    _vitamin_d3,
    _mixed_group_traces,
    _retinol,
    _unclear_class,
    _accepted,
)
"""Asked in this order; the first that answers decides."""


def masked(text: str) -> str:
    """
    Lower the case and blot out plant names that only sound animal.

    Parameters
    ----------
    text : str
        Description, such as ``Nuts, coconut meat, raw``.

    Returns
    -------
    str
        Text in which the keyword rule may look for animal words.
    """
    return _MASKED.sub("#", text.lower())


def classify(
    record: FoodRecord, rules: Iterable[Callable[[FoodRecord, str], Verdict | None]] = RULES
) -> Verdict:
    """
    Decide whether a food is free of animal ingredients.

    Parameters
    ----------
    record : FoodRecord
        What is known of the food.
    rules : iterable of callable
        Rules in the order they are asked.

    Returns
    -------
    Verdict
        The first answer; unclear when no rule answers.
    """
    text = masked(record.description)
    for rule in rules:
        verdict = rule(record, text)
        if verdict is not None:
            return verdict
    return Verdict("unclear", "a mixed food whose ingredients the release does not state")
