"""What one planned dish gives and why it is on the day."""

from __future__ import annotations

from foods.registry.nutrients import NUTRIENT_KEYS, NUTRIENTS
from mealplan.client.intake import Intake
from mealplan.kitchen.custom_foods import catalogue_of
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.plan import Meal, Plan, PlanDay
from mealplan.redaction import TELLING_KEYS
from mealplan.render.text_table import decimals

SHOWN = (
    "energy_kcal", "protein_g", "leucine_g", "lysine_g", "carbohydrate_g", "fat_g", "fibre_g",
    "calcium_mg", "iron_mg", "zinc_mg",
)  # fmt: skip
"""Nutrients of a portion that a person asks after first."""

NARROWEST = 12
"""Floors looked at, those the day passes by least first."""
MOST_NAMED = 4


def portion(meal: Meal, key: str, plan: Plan | None = None) -> float:
    """
    Add one nutrient of a meal up.

    Parameters
    ----------
    meal : Meal
    key : str
        Nutrient key.
    plan : Plan, optional
        The meal's, when it may serve foods of one's own.

    Returns
    -------
    float
        What is not measured counts as nothing. [nutrient unit]
    """
    space = FoodSpace.load() if plan is None else FoodSpace.of(catalogue_of(plan))
    amounts = space.per_gram(key)
    return float(sum(amounts[space.index[item.food]] * item.grams for item in meal.servings))


def gives(
    meal: Meal, plan: Plan | None = None, *, hide: bool = False
) -> tuple[tuple[str, str], ...]:
    """
    List what a portion gives.

    Parameters
    ----------
    meal : Meal
    plan : Plan, optional
        As for :func:`portion`.
    hide : bool
        True leaves out what gives the calories away.

    Returns
    -------
    tuple of (label, amount with unit)
    """
    labels = {nutrient.key: nutrient for nutrient in NUTRIENTS}
    return tuple(
        (
            labels[key].label,
            f"{decimals(portion(meal, key, plan))} {labels[key].unit}{_silent(meal, key, plan)}",
        )
        for key in SHOWN
        if key in labels and not (hide and key in TELLING_KEYS)
    )


def _silent(meal: Meal, key: str, plan: Plan | None) -> str:
    """Say when a package label leaves part of an amount open."""
    if plan is None or all(item.ndb is not None for item in meal.servings):
        return ""
    space = FoodSpace.of(catalogue_of(plan))
    known = space.known(key)
    silent = any(item.ndb is None and not known[space.index[item.food]] for item in meal.servings)
    return " at least; a label states none" if silent else ""


def why(
    plan: Plan, day: PlanDay, meal: Meal, intake: Intake, *, hide: bool = False
) -> tuple[str, ...]:
    """
    Say why a dish is where it is.

    Parameters
    ----------
    plan : Plan
    day : PlanDay
    meal : Meal
    intake : Intake
    hide : bool
        True leaves the share of energy out.

    Returns
    -------
    tuple of str
        Sentences; the first says what it does for the day's floors.
    """
    if not meal.servings:
        return ("It was eaten instead of what was planned.",)
    tightest = sorted(
        (
            (line.total / line.low, portion(meal, line.key, plan) / line.low, line)
            for line in day.adequacy
            if line.low
            and line.priority == "must"
            and line.key != "energy_kcal"
            and line.key in NUTRIENT_KEYS
        ),
        key=lambda item: item[0],
    )
    share_of_energy = meal.energy_kcal / day.energy_kcal if day.energy_kcal else 0.0
    named = [
        f"{share:.0%} of the least it needs of {_mid_sentence(line.label)}"
        for _, share, line in tightest[:NARROWEST]
        if share > share_of_energy
    ][:MOST_NAMED]
    said = [
        f"It carries {share_of_energy:.0%} of the day's energy"
        + (f" and, of what the day is shortest of, {', '.join(named)}." if named else ".")
    ]
    if hide:
        said = [f"Of what the day is shortest of it gives {', '.join(named)}."] if named else []
    if meal.from_freezer:
        said.append(f"It comes {meal.kept_label}: thaw it in the fridge the evening before.")
    elif meal.leftover_from is not None:
        said.append(f"It was cooked on {meal.leftover_from:%A} and kept, which saves cooking.")
    elif meal.cook_portions > 1:
        later = [
            f"{other.date:%A}"
            for other in plan.days
            for item in other.meals
            if item.leftover_from == day.date and item.dish == meal.dish
        ]
        said.append(
            f"It is cooked once for {meal.cook_portions} meals"
            + (f": a portion is kept for {', '.join(later)}" if later else "")
            + (f"; {meal.freeze_portions} go into the freezer" if meal.freeze_portions else "")
            + "."
        )
    if meal.dish in intake.tastes.likes:
        said.append("It is on the list of likes.")
    limit = intake.kitchen.hands_on_min.get(day.weekday)
    if limit is not None:
        said.append(f"The day asks for {day.hands_on_min} minutes hands-on; {limit} were given.")
    return tuple(said)


def _mid_sentence(label: str) -> str:
    """Write a label inside a sentence; names such as B12 keep their capital."""
    return label[:1].lower() + label[1:]
