"""
A food from a label and a dish of one's own as forms: which fields, and how typed text is read.

What was typed is kept as typed and given back whatever is wrong with it. Numbers may have a decimal
comma. What does not read as a number is passed on as it is, so that the message of the food itself
says how to mend it.
"""

from __future__ import annotations

import datetime as dt
import re
import zlib
from typing import Any, get_args

from api.forms.intake_fields import Field, FieldGroup, Typed
from foods.composition.catalogue import AISLES, ALLERGENS, Role
from foods.custom.daily_values import daily_values
from foods.custom.food import OwnFood, State, groups
from foods.custom.label import Label

CARRIED = ("milk", "egg", "fish", "crustaceans")
"""Allergens of animal foods: a package may carry traces of them, no food here contains them."""

PLANT_ALLERGENS = tuple(word for word in ALLERGENS if word not in CARRIED)

LABEL_NUMBERS: tuple[tuple[str, str, str], ...] = (
    ("energy_kcal", "Energy", "kcal"),
    ("energy_kj", "Energy", "kJ"),
    ("fat_g", "Fat", "g"),
    ("saturated_fat_g", "of which saturates", "g"),
    ("monounsaturated_fat_g", "of which monounsaturates", "g"),
    ("polyunsaturated_fat_g", "of which polyunsaturates", "g"),
    ("trans_fat_g", "of which trans fat", "g"),
    ("carbohydrate_g", "Carbohydrate", "g"),
    ("sugars_g", "of which sugars", "g"),
    ("polyols_g", "of which polyols or sugar alcohols", "g"),
    ("fibre_g", "Fibre", "g"),
    ("protein_g", "Protein", "g"),
    ("salt_g", "Salt", "g"),
    ("sodium_mg", "Sodium", "mg"),
)
"""Fields of a nutrition table: name in the label, words, unit."""

_NUMBERS = ("serving_g", "serving_ml", "density_g_per_ml", *(name for name, _, _ in LABEL_NUMBERS))


def _options(values: tuple[str, ...], blank: str = "") -> tuple[tuple[str, str], ...]:
    first = (("", blank),) if blank else ()
    return first + tuple((value, value.replace("_", " ")) for value in values)


def food_groups() -> tuple[FieldGroup, ...]:
    """
    Lay out the form of a food, but for its nutrition table and allergens.

    Returns
    -------
    tuple of FieldGroup
        What it is; how a kitchen and a shop know it.
    """
    return (_what_it_is(), _kitchen_and_shop())


def _what_it_is() -> FieldGroup:
    return FieldGroup(
        "What it is",
        (
            Field(
                "name",
                "Name",
                "text",
                hint="what your kitchen calls it, such as soya drink with calcium; no brand",
                required=True,
            ),
            Field(
                "state",
                "How it is sold",
                "choice",
                options=(
                    ("ready", "ready to eat or heat"),
                    ("liquid", "to pour"),
                    ("powder", "powder"),
                    ("frozen", "frozen"),
                    ("canned", "in a tin or jar"),
                ),
                usual="ready",
            ),
            Field(
                "role",
                "Part on the plate",
                "choice",
                options=_options(get_args(Role)),
                usual="protein",
            ),
            Field(
                "group",
                "Food group",
                "choice",
                hint="for variety, and for words such as no soy foods",
                options=_options(groups(), "none of these"),
                usual="",
            ),
            Field("entered", "Label read on", "date", required=True),
            Field("words", "Other words for it", "text", hint="by which a client may name it"),
        ),
    )


def _kitchen_and_shop() -> FieldGroup:
    return FieldGroup(
        "In the kitchen and the shop",
        (
            Field(
                "measure",
                "Household measure",
                "text",
                hint="burger, slice, scoop, tbsp; a drink goes by the cup",
            ),
            Field("measure_g", "Weight of one", "number", unit="g"),
            Field(
                "step",
                "Smallest part",
                "choice",
                options=(("", "usual"), ("1", "whole"), ("0.5", "half"), ("0.25", "quarter")),
                usual="",
            ),
            Field(
                "max_g_day",
                "Most a day",
                "number",
                unit="g",
                hint="blank: 300, drinks 750, powders 60",
            ),
            Field("pack_g", "Pack sizes", "text", hint="in grams, drinks in ml: 500, 1000"),
            Field("aisle", "Aisle", "choice", options=_options(AISLES, "usual for its kind")),
            Field(
                "fridge_days",
                "Keeps in the fridge",
                "number",
                unit="days",
                hint="once opened; blank when it keeps in a cupboard",
            ),
            Field("freezes", "It may be frozen", "flag"),
            Field(
                "texture",
                "Texture",
                "choice",
                options=_options(("soft", "crunchy", "crisp", "chewy", "creamy", "juicy")),
                usual="soft",
            ),
            Field(
                "heat",
                "Chilli heat",
                "choice",
                options=(("0", "none"), ("1", "mild"), ("2", "hot"), ("3", "very hot")),
                usual="0",
            ),
        ),
        open=False,
    )


def only(typed: Typed, name: str) -> str:
    """
    Give the one text of a field, empty without it.

    Parameters
    ----------
    typed : mapping
    name : str

    Returns
    -------
    str
    """
    values = typed.get(name, ())
    return values[-1].strip() if values else ""


def number_or_text(text: str) -> Any:
    """
    Read a number with a point or a comma; anything else stays text for the model to refuse.

    Parameters
    ----------
    text : str

    Returns
    -------
    float or str
    """
    plain = text.replace(" ", "").replace("\u202f", "")
    if re.fullmatch(r"\d+,\d+", plain):
        plain = plain.replace(",", ".")
    if re.fullmatch(r"\d+(\.\d+)?", plain) and len(plain) <= 15:
        return float(plain)
    return text


def blank_food(today: dt.date) -> Typed:
    """
    Give what a new food's form starts with.

    Parameters
    ----------
    today : dt.date
        Day the label is taken to be read on.
    """
    fields = [field for group in food_groups() for field in group.fields if field.usual]
    return {
        **{field.name: (field.usual,) for field in fields},
        "entered": (today.isoformat(),),
        "form": ("eu",),
        "per": ("100 g",),
    }


def food_data(typed: Typed) -> dict[str, Any]:
    """
    Turn the typed form of a food into the food's data.

    Parameters
    ----------
    typed : mapping of str to tuple of str

    Returns
    -------
    dict
        For ``OwnFood``; blanks are left out, so what is not on the label is missing.
    """
    label: dict[str, Any] = {"form": only(typed, "form"), "per": only(typed, "per")}
    for name in _NUMBERS:
        if only(typed, name):
            label[name] = number_or_text(only(typed, name))
    for part in ("amounts", "percent"):
        found = {key: number_or_text(only(typed, f"{part}.{key}")) for key in daily_values()}
        label[part] = {key: value for key, value in found.items() if value != ""}
    data: dict[str, Any] = {
        "label": label,
        "allergens": tuple(typed.get("allergens", ())),
        "traces": tuple(typed.get("traces", ())),
        "confirmed": tuple(typed.get("confirmed", ())),
        "freezes": bool(typed.get("freezes")),
        "heat": int(only(typed, "heat")) if only(typed, "heat").isdigit() else 0,
        "pack_g": tuple(
            number_or_text(part) for part in re.split(r"[;,] *", only(typed, "pack_g")) if part
        ),
    }
    for name in (
        "key", "name", "entered", "state", "role", "group", "words", "ingredients", "measure",
        "aisle", "texture", "amino_acids_like",
    ):  # fmt: skip
        if only(typed, name):
            data[name] = only(typed, name)
    for name in ("measure_g", "step", "max_g_day", "fridge_days"):
        if only(typed, name):
            data[name] = number_or_text(only(typed, name))
    return data


def seen_of(ingredients: str) -> str:
    """
    Mark a text of ingredients, so that its allergens are proposed once.

    Parameters
    ----------
    ingredients : str
        As printed on the package.
    """
    return str(zlib.crc32(" ".join(ingredients.split()).encode()))


def typed_food(food: OwnFood) -> Typed:
    """
    Write a food into its form.

    Parameters
    ----------
    food : OwnFood

    Returns
    -------
    mapping of str to tuple of str
        Confirmations are left out: who amends a label confirms it anew.
    """
    typed: dict[str, tuple[str, ...]] = {
        "form": (food.label.form,),
        "per": (food.label.per,),
        "allergens": food.allergens,
        "traces": food.traces,
        "heat": (str(food.heat),),
        "pack_g": (", ".join(f"{size:g}" for size in food.pack_g),),
        "entered": (food.entered.isoformat(),),
        "seen": (seen_of(food.ingredients),),
    }
    for name in _NUMBERS:
        value = getattr(food.label, name)
        if value is not None:
            typed[name] = (f"{value:g}",)
    for part in ("amounts", "percent"):
        for key, value in getattr(food.label, part).items():
            typed[f"{part}.{key}"] = (f"{value:g}",)
    for name in (
        "key", "name", "state", "role", "group", "words", "ingredients", "measure", "aisle",
        "texture", "amino_acids_like",
    ):  # fmt: skip
        typed[name] = (getattr(food, name),)
    for name in ("measure_g", "step", "max_g_day", "fridge_days"):
        value = getattr(food, name)
        if value is not None:
            typed[name] = (f"{value:g}",)
    if food.freezes:
        typed["freezes"] = ("yes",)
    return typed


LABEL_FORMS: tuple[tuple[str, str], ...] = (
    ("eu", "European"),
    ("us", "US"),
)

LABEL_PER: tuple[tuple[str, str], ...] = tuple(
    (value, value) for value in get_args(Label.model_fields["per"].annotation)
)

STATES = get_args(State)
