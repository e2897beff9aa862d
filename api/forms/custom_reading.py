"""
What a page shows of a food or dish that is being entered: understood amounts, checks, what is open.

Nothing is decided here; the food's and the dish's own rules decide.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from foods.composition.catalogue import Catalogue
from foods.composition.unlisted.amino_acids import AMINO_ACID_PAIRS, AMINO_ACIDS
from foods.custom.as_catalogue import composition, kitchen_food, named_ingredients
from foods.custom.daily_values import daily_values
from foods.custom.food import OwnFood, Question, questions, reference_name
from foods.custom.label import LabelLine, read_label
from foods.custom.label_checks import EnergyCheck, energy_of_parts
from foods.dishes.model import Dish
from foods.dishes.render import tell
from foods.registry.nutrients import nutrient
from mealplan.kitchen.custom_foods import label_sentences
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.store.records import OwnVersion

WANTED = (
    *(item.counts_as for item in daily_values().values() if item.counts_as),
    "fibre_g", "saturated_fat_g", "sugars_g", "linoleic_g", "alpha_linolenic_g",
    *(key for key in (*AMINO_ACIDS, *AMINO_ACID_PAIRS) if key.endswith("_g")),
)  # fmt: skip
"""What a plan may count, to say what a label leaves out."""

SHOWN_ACIDS = ("lysine_g", "methionine_cystine_g", "leucine_g", "threonine_g", "tryptophan_g")
"""Imputed amino acids shown first: those plant proteins are short of, and leucine."""


@dataclass(frozen=True)
class OwnFoodLine:
    """One food on the list of a coach's own."""

    food: OwnFood
    version: OwnVersion
    used_by: tuple[str, ...]
    """Names of the coach's dishes that hold it."""
    per_100g: str
    allergens: str
    old: bool
    """True when the label was read so long ago that the recipe may have changed."""


@dataclass(frozen=True)
class OwnDishLine:
    """One dish on the list of a coach's own."""

    dish: Dish
    version: OwnVersion
    allergens: str
    portion: str
    """Energy and protein of the usual portion."""


@dataclass(frozen=True)
class FoodRead:
    """What was understood of a label."""

    lines: tuple[LabelLine, ...]
    basis: str
    """What 100 g are of what the label counts by."""
    energy: EnergyCheck
    questions: tuple[tuple[Question, bool], ...]
    """What has to be confirmed, and whether it is."""
    sentence: str
    """Where it comes from, what is missing, what is imputed."""
    reference: str
    imputed: tuple[tuple[str, float], ...]
    """Label and grams per 100 g; shown, never counted."""
    measure: str
    pack: str
    made_of: tuple[str, ...]
    """Foods its ingredients name; whoever avoids one is not served it."""
    allergens: tuple[str, ...]
    traces: tuple[str, ...]


def read_food(draft: OwnFood) -> FoodRead:
    """
    Say what was understood of a food that is being entered.

    Parameters
    ----------
    draft : OwnFood
        Its form is right; its faults and questions may be open.

    Returns
    -------
    FoodRead
    """
    record = kitchen_food(draft) if not draft.faults else None
    known = composition(draft) if not draft.faults else None
    label = draft.label
    basis = "as the label counts"
    if label.per == "100 ml":
        basis = f"100 ml weigh {label.basis_g:g} g"
    elif label.per == "serving":
        basis = f"a serving weighs {label.basis_g:g} g"
    imputed = known.imputed_per_100g if known is not None else {}
    return FoodRead(
        lines=read_label(label).lines,
        basis=basis,
        energy=energy_of_parts(label),
        questions=tuple((q, q.code in draft.confirmed) for q in questions(draft)),
        sentence=" ".join(label_sentences([draft], WANTED)) if known is not None else "",
        reference=reference_name(draft) if known is not None else "",
        imputed=tuple((nutrient(key).label, imputed[key]) for key in SHOWN_ACIDS if key in imputed),
        measure=""
        if record is None
        else f"1 {record.measure} weighs {record.measure_g:g} g; the "
        f"smallest amount planned is {record.step_g:g} g, the most a day {record.max_g_day:g} g",
        pack="" if record is None else _pack(record.pack_metric_g),
        made_of=named_ingredients(draft.ingredients),
        allergens=() if record is None else record.allergens,
        traces=() if record is None else record.label_check,
    )


def _pack(sizes: tuple[float, ...]) -> str:
    if not sizes:
        return "sold by weight, as no pack size is given"
    return f"packs of {' and '.join(f'{size:g}' for size in sizes)} g"


@dataclass(frozen=True)
class DishRead:
    """What was understood of a dish."""

    lines: tuple[tuple[str, str, str, str], ...]
    """Food, least, usual and most of each line, in grams."""
    gives: tuple[tuple[str, str], ...]
    """Nutrient and amount of the usual portion."""
    allergens: tuple[str, ...]
    traces: tuple[str, ...]
    from_labels: tuple[str, ...]
    called: tuple[tuple[str, str], ...]
    """The words by which the method speaks of each food."""
    words: tuple[str, ...]
    """The method as a cook will read it, where steps were given as data; they are proven."""
    hotter: tuple[str, ...]
    """Foods hotter than the dish is said to be."""


def _words(dish: Dish, catalogue: Catalogue) -> tuple[str, ...]:
    if not dish.proven:
        return ()
    return tell(dish, {line.food: line.typical_g for line in dish.lines}, catalogue=catalogue).all


SHOWN = ("energy_kcal", "protein_g", "leucine_g", "fibre_g", "iron_mg", "calcium_mg")


def read_dish(dish: Dish, catalogue: Catalogue) -> DishRead:
    """
    Say what was understood of a dish.

    Parameters
    ----------
    dish : Dish
    catalogue : Catalogue
        With the coach's own foods.

    Returns
    -------
    DishRead
        Allergens come from the foods, optional ones included.
    """
    foods = {line.food: catalogue.food(line.food) for line in dish.lines}
    space = FoodSpace.of(catalogue)

    def total(key: str) -> float:
        per_gram = space.per_gram(key)
        return sum(
            float(per_gram[space.index[line.food]]) * line.typical_g
            for line in dish.lines
            if not line.optional
        )

    gives = []
    for key in SHOWN:
        item = nutrient(key)
        known = space.known(key)
        silent = sum(not known[space.index[line.food]] for line in dish.lines if not line.optional)
        least = f" at least ({silent} of its foods state none)" if silent else ""
        gives.append((item.label, f"{_plain(total(key))} {item.unit}{least}"))
    allergens = dict.fromkeys(word for food in foods.values() for word in food.allergens)
    traces = dict.fromkeys(word for food in foods.values() for word in food.label_check)
    return DishRead(
        lines=tuple(
            (
                foods[line.food].name + (" (may be left out)" if line.optional else ""),
                f"{line.low_g:.4g} g",
                f"{line.typical_g:.4g} g",
                f"{line.high_g:.4g} g",
            )
            for line in dish.lines
        ),
        gives=tuple(gives),
        words=_words(dish, catalogue),
        allergens=tuple(allergens),
        traces=tuple(word for word in traces if word not in allergens),
        from_labels=tuple(foods[key].name for key in foods if key in catalogue.own),
        hotter=tuple(food.name for food in foods.values() if food.heat > dish.heat),
        called=tuple((foods[line.food].name, line.called) for line in dish.lines),
    )


def _plain(value: float) -> str:
    return f"{value:,.0f}" if value >= 20 else f"{value:.1f}"


LABEL_GOOD_FOR_DAYS = 365
"""After this a label should be looked at again (common practice: recipes change). [days]"""


def food_line(
    version: OwnVersion, food: OwnFood, dishes: Mapping[str, Dish], today: dt.date
) -> OwnFoodLine:
    """
    Write one food for the list.

    Parameters
    ----------
    version : OwnVersion
    food : OwnFood
    dishes : mapping of str to Dish
        The coach's own, by key.
    today : date

    Returns
    -------
    OwnFoodLine
    """
    amounts = read_label(food.label).per_100g
    return OwnFoodLine(
        food=food,
        version=version,
        used_by=tuple(
            dish.name for dish in dishes.values() if food.key in {line.food for line in dish.lines}
        ),
        per_100g=f"{amounts['energy_kcal']:.0f} kcal, {amounts['protein_g']:.3g} g protein",
        allergens=", ".join(kitchen_food(food).allergens).replace("_", " ") or "none",
        old=(today - food.entered).days > LABEL_GOOD_FOR_DAYS,
    )


def dish_line(version: OwnVersion, dish: Dish, catalogue: Catalogue) -> OwnDishLine:
    """
    Write one dish for the list.

    Parameters
    ----------
    version : OwnVersion
    dish : Dish
    catalogue : Catalogue

    Returns
    -------
    OwnDishLine
    """
    read = read_dish(dish, catalogue)
    (_, energy), (_, protein), *_ = read.gives
    return OwnDishLine(
        dish=dish,
        version=version,
        allergens=", ".join(read.allergens).replace("_", " ") or "none",
        portion=f"{energy}, {protein} protein",
    )
