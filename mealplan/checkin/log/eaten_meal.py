"""A meal that was said by another one: as planned, half of it, the same as the day before."""

from __future__ import annotations

from dataclasses import replace

from foods.composition.food_words import normalised
from mealplan.checkin.log.eaten_model import EatenPart, EatenSentence, said_number
from mealplan.plan import Meal, Serving

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
    eaten, gone_kcal, missed = _left(found.left_out, meal)
    kcal = (meal.energy_kcal - gone_kcal) * found.share
    known = sum(serving.energy_kcal for serving in eaten)
    less = f" without {' and '.join(found.left_out)}" if len(eaten) < len(meal.servings) else ""
    asks = (*asks, *missed)
    parts = [
        EatenPart(
            said=meal.name,
            food="",
            grams=sum(serving.grams for serving in eaten) * found.share,
            energy_kcal=known * found.share,
            words=(meal.name if found.share == 1 else f"{found.share:.2g} × {meal.name}") + less,
            low_kcal=known * found.share * (1 - AS_COOKED_FRACTION),
            high_kcal=known * found.share * (1 + AS_COOKED_FRACTION),
            foods=tuple((s.food, s.grams * found.share) for s in eaten),
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
        blocked=found.blocked or bool(missed),
    )


def _left(names: tuple[str, ...], meal: Meal) -> tuple[list[Serving], float, tuple[str, ...]]:
    """Take what was left out of a meal, with its energy [kcal]; ask about what it has not."""
    eaten = list(meal.servings)
    gone = 0.0
    missed: list[str] = []
    for name in names:
        words = set(normalised(name).split())
        found = [serving for serving in eaten if words <= _words(serving)]
        if not found:
            missed.append(
                f"{meal.name} has no “{name}” to leave out; write the foods that were eaten"
            )
        gone += sum(serving.energy_kcal for serving in found)
        eaten = [serving for serving in eaten if serving not in found]
    return eaten, gone, tuple(missed)


def _words(serving: Serving) -> set[str]:
    """Give the words a food of a meal goes by."""
    text = f"{serving.name} {serving.called} {serving.food.replace('_', ' ')}"
    return set(normalised(text).split())
