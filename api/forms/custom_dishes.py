"""A dish of one's own as a form: which fields, and how typed text becomes a dish."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, get_args

from api.forms.custom_foods import number_or_text, only
from api.forms.intake_fields import Typed
from api.forms.steps import read_steps, steps_text, with_states
from foods.composition.catalogue import Catalogue, KitchenFood
from foods.composition.food_words import normalised
from foods.dishes.model import OCCASIONS, Dish, Equipment
from foods.registry.errors import FoodError
from foods.registry.typed import LONGEST_WORD
from mealplan.kitchen.measures import grams_of, in_measures
from mealplan.kitchen.recipe_draft import RecipeDraft, key_of

LINES, SPARE_LINES, MOST_LINES = 6, 2, 40
"""Rows for foods in the form of a dish: at first, left blank below those in use, at most."""
LEAST_SHARE, MOST_SHARE = 0.6, 1.5
"""What a line's amount may be where only the usual one is given, as shares of it."""


@dataclass(frozen=True)
class LineTyped:
    """One row of a dish's form."""

    number: int
    food: str = ""
    called: str = ""
    usual: str = ""
    least: str = ""
    most: str = ""
    optional: bool = False


def dish_lines(typed: Typed) -> tuple[LineTyped, ...]:
    """
    Give the rows of a dish's form as typed, with blank ones to fill in.

    Parameters
    ----------
    typed : Typed
        Field name to what was typed.
    """
    used = [
        number
        for number in range(1, MOST_LINES + 1)
        if any(only(typed, f"{name}{number}") for name in ("food", "usual", "called"))
    ]
    last = min(MOST_LINES, max(LINES, max(used, default=0) + SPARE_LINES))
    return tuple(
        LineTyped(
            number,
            only(typed, f"food{number}"),
            only(typed, f"called{number}"),
            only(typed, f"usual{number}"),
            only(typed, f"least{number}"),
            only(typed, f"most{number}"),
            bool(typed.get(f"optional{number}")),
        )
        for number in range(1, last + 1)
    )


def blank_dish() -> Typed:
    """Give what a new dish's form starts with."""
    return {
        "tradition": ("home",),
        "batch_portions": ("2",),
        "keeps_days": ("0",),
        "training": ("any",),
        "texture": ("mixed",),
        "heat": ("0",),
    }


def _find(text: str, catalogue: Catalogue) -> KitchenFood:
    """Look a food up by its name or key, or by how its name begins where that is one food."""
    try:
        return catalogue.food(text)
    except FoodError:
        wanted = normalised(text)
        begun = [food for food in catalogue if normalised(food.name).startswith(wanted)]
        if len(begun) == 1:
            return begun[0]
        names = {normalised(food.name): food.name for food in catalogue}
        near = [
            names[key] for key in get_close_matches(wanted[:LONGEST_WORD], names, n=3, cutoff=0.5)
        ]
        near = [food.name for food in begun[:4]] or near
        hint = f"did you mean {'; '.join(near)}?" if near else "choose one of the list."
        raise FoodError(f"no food is called {text[:60]!r}: {hint}") from None


def _called(food: KitchenFood, said: str, method: str) -> str:
    """Find the words by which the method speaks of a food."""
    text = method.lower()
    if said:
        return said
    short = food.name.partition(",")[0].lower()
    words = short.split()
    spans = [
        " ".join(words[start : start + length])
        for length in range(len(words), 0, -1)
        for start in range(len(words) - length + 1)
    ]
    candidates = [
        *(span for span in spans if len(span) > 3),
        *(word for word in food.words.lower().split() if len(word) > 3),
        food.measure.partition(",")[0].lower(),
    ]
    for candidate in candidates:
        for form in (candidate, candidate.removesuffix("s"), candidate.removesuffix("es")):
            if len(form) > 2 and re.search(rf"\b{re.escape(form)}", text):
                return form
    return short


def dish_data(typed: Typed, catalogue: Catalogue) -> dict[str, Any]:
    """
    Turn the typed form of a dish into the dish's data.

    Parameters
    ----------
    typed : mapping of str to tuple of str
    catalogue : Catalogue
        Foods it may use, the coach's own included.

    Returns
    -------
    dict
        For ``Dish``.

    Raises
    ------
    FoodError
        When a food is unknown or an amount cannot be read; the message names the row.
    """
    told = [line.strip() for line in only(typed, "method").splitlines() if line.strip()]
    method = [step if step.endswith((".", "!", "?")) else f"{step}." for step in told]
    text = " ".join(method)
    rows = [row for row in dish_lines(typed) if row.food or row.usual or row.called]
    lines = [_line_data(row, text, catalogue) for row in rows]
    data: dict[str, Any] = {
        "key": only(typed, "key") or key_of(only(typed, "name")),
        "name": only(typed, "name"),
        "tradition": only(typed, "tradition") or "home",
        "occasions": tuple(typed.get("occasions", ())),
        "lines": tuple(lines),
        "method": tuple(method),
        "soak_night_before": bool(typed.get("soak_night_before")),
        "freezes": bool(typed.get("freezes")),
        "portable": bool(typed.get("portable")),
        "equipment": tuple(typed.get("equipment", ())) or ("none",),
        "training": only(typed, "training") or "any",
        "texture": only(typed, "texture") or "mixed",
        "protein_base": only(typed, "protein_base"),
    }
    steps = read_steps(only(typed, "steps"))
    if steps:
        data |= {
            "steps": steps,
            "method": (),
            "equipment": (),
            "lines": with_states(lines, steps, catalogue),
            "savoury": not typed.get("sweet"),
            "kept": "cold" if typed.get("kept_cold") else "reheated",
        }
    return data | _numbers(typed, worked_out=("hands_on_min", "total_min") if steps else ())


def _line_data(row: LineTyped, method: str, catalogue: Catalogue) -> dict[str, Any]:
    """Turn one row that holds anything into a line's data."""
    if not row.food and not row.usual:
        raise FoodError(
            f"line {row.number}, {row.called}: choose the food it means and its amount, or "
            "empty the line"
        )
    if not row.food:
        raise FoodError(f"line {row.number} has an amount and no food; choose one of the list")
    if not row.usual:
        raise FoodError(f"line {row.number}, {row.food}: say how much one portion usually holds")
    try:
        food = _find(row.food, catalogue)
        usual = grams_of(row.usual, food)
        least = grams_of(row.least, food) if row.least else _part(usual, LEAST_SHARE, food)
        most = grams_of(row.most, food) if row.most else _part(usual, MOST_SHARE, food)
    except FoodError as error:
        raise FoodError(f"line {row.number}: {error}") from None
    most = max(usual, min(most, food.max_g_day))
    return {
        "food": food.key,
        "called": _called(food, row.called, method),
        "g": (min(least, usual), usual, most),
        "optional": row.optional,
    }


def _numbers(typed: Typed, worked_out: tuple[str, ...]) -> dict[str, Any]:
    """Read the numbers of a dish, but for those that are worked out from its steps."""
    data: dict[str, Any] = {}
    for name in ("hands_on_min", "total_min", "keeps_days", "batch_portions", "heat"):
        if name in worked_out:
            continue
        if only(typed, name):
            value = number_or_text(only(typed, name))
            data[name] = int(value) if isinstance(value, float) and value.is_integer() else value
        elif name.endswith("_min"):
            data[name] = ""  # sentences give no minutes: they have to be typed
    return data


def _part(usual: float, share: float, food: KitchenFood) -> float:
    """
    Take a share of the usual amount in whole steps, one at least.

    What is counted in pieces is not halved by default: of one burger the least is one.
    """
    spooned = food.measure.partition(",")[0] in ("cup", "tbsp", "tsp", "scoop", "block")
    unit = food.step_g if spooned or usual < food.measure_g else food.measure_g
    return float(max(1.0, round(usual * share / unit)) * unit)


def typed_dish(dish: Dish, catalogue: Catalogue) -> Typed:
    """
    Write a dish into its form, amounts in kitchen measures where they say the same.

    Parameters
    ----------
    dish : Dish
    catalogue : Catalogue

    Returns
    -------
    mapping of str to tuple of str
    """
    typed: dict[str, tuple[str, ...]] = {
        "key": (dish.key,),
        "name": (dish.name,),
        "tradition": (dish.tradition,),
        "occasions": dish.occasions,
        "method": ("\n".join(dish.method),),
        "equipment": dish.equipment,
        "training": (dish.training,),
        "texture": (dish.texture,),
        "protein_base": (dish.protein_base,),
        "steps": (steps_text(dish),),
        "sweet": () if dish.savoury else ("yes",),
        "kept_cold": ("yes",) if dish.kept == "cold" else (),
    }
    for name in ("hands_on_min", "total_min", "keeps_days", "batch_portions", "heat"):
        typed[name] = (str(getattr(dish, name)),)
    for name in ("soak_night_before", "freezes", "portable"):
        if getattr(dish, name):
            typed[name] = ("yes",)
    for number, line in enumerate(dish.lines, start=1):
        food = catalogue.food(line.food)
        typed[f"food{number}"] = (food.name,)
        typed[f"called{number}"] = (line.called,)
        for name, grams in (
            ("least", line.low_g),
            ("usual", line.typical_g),
            ("most", line.high_g),
        ):
            typed[f"{name}{number}"] = (_amount_text(grams, food),)
        if line.optional:
            typed[f"optional{number}"] = ("yes",)
    return typed


def typed_recipe(draft: RecipeDraft, catalogue: Catalogue) -> Typed:
    """
    Write a recipe from elsewhere into the form of a dish; what is not sure stays blank.

    Parameters
    ----------
    draft : RecipeDraft
    catalogue : Catalogue

    Returns
    -------
    mapping of str to tuple of str
    """
    data = draft.data()
    typed: dict[str, tuple[str, ...]] = {
        **blank_dish(),
        "name": (draft.name,),
        "tradition": (draft.tradition,),
        "occasions": draft.occasions,
        "method": ("\n".join(data["method"]),),
        "equipment": draft.tools,
        "batch_portions": (str(data["batch_portions"]),),
    }
    for name, minutes in (("hands_on_min", draft.hands_on_min), ("total_min", draft.total_min)):
        typed[name] = (str(minutes),) if minutes else ("",)
    for number, line in enumerate(draft.lines, start=1):
        typed[f"called{number}"] = (line.called,)
        grams = None if line.grams is None else line.grams / draft.portions
        typed[f"usual{number}"] = ("" if grams is None else f"{grams:.4g} g",)
        if line.food:
            typed[f"food{number}"] = (catalogue.food(line.food).name,)
        if line.optional:
            typed[f"optional{number}"] = ("yes",)
    return typed


SAME_G = 0.05
"""Amounts this near are written in kitchen measures. [g]"""


def _amount_text(grams: float, food: KitchenFood) -> str:
    said = in_measures(food, grams)
    try:
        if abs(grams_of(said, food) - grams) < SAME_G:
            return said
    except FoodError:
        pass
    return f"{grams:g} g"


DISH_CHOICES: Mapping[str, tuple[tuple[str, str], ...]] = {
    "occasions": tuple(
        (value, "between meals" if value == "small" else value) for value in OCCASIONS
    ),
    "equipment": tuple((value, value) for value in get_args(Equipment) if value != "none"),
    "training": tuple(
        (value, value) for value in get_args(Dish.model_fields["training"].annotation)
    ),
    "texture": tuple((value, value) for value in get_args(Dish.model_fields["texture"].annotation)),
    "heat": (("0", "none"), ("1", "mild"), ("2", "hot"), ("3", "very hot")),
}
"""What may be chosen or ticked in the form of a dish."""
