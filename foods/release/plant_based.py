"""
Decide whether a food of the release is free of animal ingredients: yes, by label, no or unclear.

The release has no such flag, and no single sign is enough: broth has no cholesterol, seaweed has
some, and LanguaL codes exist for a third of the foods. So signs are asked in a fixed order, the
animal ones first, and a food is accepted only when its group or its own words say what it is.
Everything left over is unclear, and unclear is never offered.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from functools import cache
from importlib.resources import files
from typing import cast

from foods.registry.models import PlantBased
from foods.release import plant_words as vocabulary
from foods.release.food_record import FoodRecord, Verdict

ANIMAL_GROUPS = {
    "0100": "dairy and egg products",
    "0500": "poultry",
    "0700": "sausages and luncheon meats",
    "1000": "pork",
    "1300": "beef",
    "1500": "fish and shellfish",
    "1700": "lamb, veal and game",
}

LACTOSE, RETINOL, VITAMIN_D2, VITAMIN_D3, VITAMIN_D = 213, 319, 325, 326, 328
HYDROXYPROLINE, CHOLESTEROL, DHA = 521, 601, 621
FINED_GROUP = "1400"
"""Beverages: wine, beer and cider are often fined with gelatin, isinglass, egg or casein."""
PROCESS: Mapping[PlantBased, str] = {"yes": "refining aid", "label": "fining agent"}
"""What cannot be known of a food that is plant-based by composition, by what follows from it."""
LACTOSE_NOISE_G = 0.35
"""Most lactose the assay reports in plain plants such as mushrooms and broccoli. [g/100 g]"""
BUTYRIC_ACID, BUTYRIC_ACID_OF_MILK_FAT_G = 607, 0.1
"""Fatty acid 4:0, all but confined to milk fat; less is noise of the assay. [g/100 g]"""


Rule = Callable[[FoodRecord], Verdict | None]


@cache
def exceptions() -> dict[str, Verdict]:
    """
    Read the few foods decided one by one, each with its reason.

    Returns
    -------
    dict of str to Verdict
        By number in the release.
    """
    rows = files("foods.release").joinpath("plant_exceptions.csv").read_text("utf-8").splitlines()
    return {
        row["ndb"]: Verdict(cast("PlantBased", row["plant_based"]), row["reason"])
        for row in csv.DictReader(rows)
    }


def exception(record: FoodRecord) -> Verdict | None:
    """
    Decide the listed exceptions.

    Parameters
    ----------
    record : FoodRecord
        The food of the release.
    """
    return exceptions().get(record.ndb)


def animal_group(record: FoodRecord) -> Verdict | None:
    """
    Refuse the animal food groups.

    Parameters
    ----------
    record : FoodRecord
        The food of the release.
    """
    group = ANIMAL_GROUPS.get(record.group_code)
    return Verdict("no", f"food group: {group}") if group else None


def cholesterol(record: FoodRecord) -> Verdict | None:
    """
    Refuse measured cholesterol; its absence proves nothing.

    Parameters
    ----------
    record : FoodRecord
        The food of the release.
    """
    if record.above_zero(CHOLESTEROL):
        return Verdict("no", f"cholesterol {record.amounts[CHOLESTEROL]:g} mg per 100 g")
    return None


def animal_langual(record: FoodRecord) -> Verdict | None:
    """
    Refuse LanguaL codes of animal sources and ingredients.

    Parameters
    ----------
    record : FoodRecord
        The food of the release.
    """
    for code in sorted(record.langual & vocabulary.ANIMAL_LANGUAL.keys()):
        return Verdict("no", f"LanguaL {code}: {vocabulary.ANIMAL_LANGUAL[code]}")
    return None


def animal_word(record: FoodRecord) -> Verdict | None:
    """
    Refuse animal words in the description or its recipe note, once false ones are masked.

    Parameters
    ----------
    record : FoodRecord
        The food of the release.
    """
    for where, text in (("description", record.text), ("recipe note", record.notes.lower())):
        found = vocabulary.ANIMAL.search(vocabulary.ONLY_SOUNDS_ANIMAL.sub("#", text))
        if found:
            return Verdict("no", f"the {where} says “{found[0]}”")
    return None


def vitamin_d3(record: FoodRecord) -> Verdict | None:
    """
    Refuse vitamin D3: added forms are made from wool grease as a rule.

    Parameters
    ----------
    record : FoodRecord
        The food of the release.
    """
    if record.above_zero(VITAMIN_D3):
        return Verdict("no", "vitamin D3, made from wool grease as a rule")
    return None


def mixed_group_traces(record: FoodRecord) -> Verdict | None:
    """
    Doubt signs of milk and gelatin in mixed foods; in plain plants they are assay noise.

    Parameters
    ----------
    record : FoodRecord
        The food of the release.
    """
    if record.in_core_group:
        return None
    if record.amounts.get(LACTOSE, 0.0) > LACTOSE_NOISE_G:
        return Verdict("no", "lactose in a mixed food")
    if record.above_zero(LACTOSE):
        return Verdict("unclear", "a trace of lactose in a mixed food")
    if record.above_zero(HYDROXYPROLINE):
        return Verdict("unclear", "hydroxyproline in a mixed food, as gelatin has")
    if record.amounts.get(BUTYRIC_ACID, 0.0) > BUTYRIC_ACID_OF_MILK_FAT_G:
        return Verdict("no", "butyric acid, as milk fat has")
    return None


def retinol(record: FoodRecord) -> Verdict | None:
    """
    Doubt retinol in a plant-group food that is not said to be fortified.

    Parameters
    ----------
    record : FoodRecord
        The food of the release.
    """
    if (
        record.in_core_group
        and record.above_zero(RETINOL)
        and not vocabulary.FORTIFIED.search(record.text)
    ):
        return Verdict("unclear", "retinol in a food not said to be fortified")
    return None


def unstated_vitamin_d(record: FoodRecord) -> Verdict | None:
    """
    Doubt vitamin D whose form is not stated, except where the trade uses D2.

    Parameters
    ----------
    record : FoodRecord
        The food of the release.
    """
    if (
        record.above_zero(VITAMIN_D)
        and not record.above_zero(VITAMIN_D2)
        and not vocabulary.VITAMIN_D2_BY_TRADE.search(record.text)
    ):
        return Verdict("unclear", "vitamin D of an unstated form, which may be D3")
    return None


def unclear_class(record: FoodRecord) -> Verdict | None:
    """
    Doubt classes of food whose recipes differ.

    Parameters
    ----------
    record : FoodRecord
        The food of the release.
    """
    for code in sorted(record.langual & vocabulary.UNCLEAR_LANGUAL.keys()):
        return Verdict("unclear", f"LanguaL {code}: {vocabulary.UNCLEAR_LANGUAL[code]}")
    text = vocabulary.NOT_UNCLEAR.sub("#", record.text)
    # A recipe of the release itself, or a vegetable fat by LanguaL, settles what is home-prepared.
    if record.notes.startswith("Recipe:") or record.langual & vocabulary.VEGETABLE_FAT_LANGUAL:
        text = vocabulary.HOME_PREPARED.sub("#", text)
    found = vocabulary.UNCLEAR.search(text)
    return Verdict("unclear", f"recipes behind “{found[0]}” differ") if found else None


def plant_group(record: FoodRecord) -> Verdict | None:
    """
    Accept what is left of the plant groups, branded foods only when plain.

    Parameters
    ----------
    record : FoodRecord
        The food of the release.
    """
    if not record.in_core_group:
        return None
    if record.manufacturer and not vocabulary.PLAIN_BRANDED.search(record.text):
        return Verdict("unclear", "branded product whose recipe the release does not state")
    return Verdict("yes", "plant food group and no animal sign")


def plain_food(record: FoodRecord) -> Verdict | None:
    """
    Accept foods of the mixed groups whose description names a plain plant food.

    Parameters
    ----------
    record : FoodRecord
        The food of the release.
    """
    plain = vocabulary.PLAIN.get(record.group_code)
    if plain is None or not plain.search(record.text):
        return None
    spoilers = vocabulary.SPOILERS.get(record.group_code, vocabulary.FLAVOURED)
    if spoilers.search(record.text):
        return None
    process = vocabulary.PROCESS_UNKNOWN.get(record.group_code)
    if process and process.search(record.text):
        verdict: PlantBased = "label" if record.group_code == FINED_GROUP else "yes"
        return Verdict(verdict, f"plain plant food by its description; {PROCESS[verdict]} unknown")
    return Verdict("yes", "plain plant food by its description")


RULES: tuple[Rule, ...] = (
    exception,
    animal_group,
    cholesterol,
    animal_langual,
    animal_word,
    vitamin_d3,
    mixed_group_traces,
    retinol,
    unstated_vitamin_d,
    unclear_class,
    plant_group,
    plain_food,
)
"""Asked in this order; the first that answers decides."""


def classify(record: FoodRecord) -> Verdict:
    """
    Decide whether a food is free of animal ingredients.

    Parameters
    ----------
    record : FoodRecord
        What is known of the food.

    Returns
    -------
    Verdict
        The first answer of ``RULES``; unclear when none answers.
    """
    for rule in RULES:
        verdict = rule(record)
        if verdict is not None:
            return verdict
    return Verdict("unclear", "a mixed food whose ingredients the release does not state")
