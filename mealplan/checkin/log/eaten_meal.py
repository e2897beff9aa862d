"""A meal that was said by another one: as planned, half of it, the same as the day before."""

from __future__ import annotations

from dataclasses import replace

from mealplan.checkin.log.eaten_model import EatenPart, EatenSentence, said_number
from mealplan.plan import Meal

AS_COOKED_FRACTION = 0.1
"""Doubt of a planned meal eaten as it stands (common practice)."""


def in_place_of(found: EatenSentence, planned: Meal, before: Meal | None) -> EatenSentence:
    """
    Put foods in place of a meal that another one stands for.

    Parameters
    ----------
    found : EatenSentence
        As the sentence was read.
    planned : Meal
        What the plan has there.
    before : Meal or None
        The same meal of the day before, where the plan holds it.

    Returns
    -------
    EatenSentence
        With the foods of the meal meant among its parts; unchanged where foods are named.
    """
    if found.meaning == "as planned":
        return _with(found, planned, ())
    if found.meaning == "as before" and before is not None:
        ask = (
            f"it is read as the day before's {before.name}, about "
            f"{said_number(before.energy_kcal * found.share)} kcal; write the foods if it was "
            "another meal"
        )
        return _with(found, before, (ask,))
    if found.meaning == "as before":
        ask = "the plan holds no meal before this one; write what was eaten"
        return replace(found, asks=(*found.asks, ask), blocked=True)
    return found


def _with(found: EatenSentence, meal: Meal, asks: tuple[str, ...]) -> EatenSentence:
    kcal = meal.energy_kcal * found.share
    known = sum(serving.energy_kcal for serving in meal.servings)
    parts = [
        EatenPart(
            said=meal.name,
            food="",
            grams=sum(serving.grams for serving in meal.servings) * found.share,
            energy_kcal=known * found.share,
            words=meal.name if found.share == 1 else f"{found.share:.2g} × {meal.name}",
            low_kcal=known * found.share * (1 - AS_COOKED_FRACTION),
            high_kcal=known * found.share * (1 + AS_COOKED_FRACTION),
            foods=tuple((s.food, s.grams * found.share) for s in meal.servings),
        )
    ]
    rest = kcal - known * found.share
    if rest > 1 or not meal.servings:
        parts.append(
            EatenPart(meal.name, "", 0.0, rest, "what else was in it", 0.85 * rest, 1.15 * rest)
        )
    return replace(
        found,
        parts=(*(parts if meal.servings else parts[1:]), *found.parts),
        asks=(*asks, *found.asks),
        meaning="foods",
    )
