"""Where a plan does not keep to how the household lives, and what keeping to it would take."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from foods.dishes.model import Dish
from mealplan.client.intake import Kitchen, Weekday
from mealplan.plan import PlanDay
from mealplan.rules.preferences.places import can_be_eaten


def explain_living(
    days: Sequence[PlanDay],
    kitchen: Kitchen,
    ahead_min: Mapping[str, int],
    dishes: Mapping[str, Dish],
) -> tuple[str, ...]:
    """
    Say in sentences where the days do not keep to minutes, cooking days and places, and why.

    Parameters
    ----------
    days : sequence of PlanDay
        Planned days.
    kitchen : Kitchen
        Minutes of each weekday, and cooking days.
    ahead_min : mapping of str to int
        Minutes of boiling ahead where a day is short, by catalogue key. [min]
    dishes : mapping of str to Dish
        By key.

    Returns
    -------
    tuple of str
        Empty when every day keeps to it.
    """
    return (
        *_minutes(days, kitchen.hands_on_min, ahead_min),
        *_cooking_days(days, kitchen),
        *_places(days, kitchen, dishes),
    )


def _minutes(
    days: Sequence[PlanDay], limits: Mapping[Weekday, int], ahead_min: Mapping[str, int]
) -> tuple[str, ...]:
    over = [
        (day, minutes)
        for day in days
        if (minutes := _minutes_of(day, ahead_min)) > limits.get(day.weekday, minutes)
    ]
    if not over:
        return ()
    said = ", ".join(
        f"{day.date:%a} ({minutes} min, {minutes - limits[day.weekday]} over)"
        for day, minutes in over
    )
    longest = {
        meal.name: meal.hands_on_min
        for day, _ in over
        for meal in sorted(day.meals, key=lambda meal: -meal.hands_on_min)[:1]
    }
    names = ", ".join(f"{name} ({minutes} min)" for name, minutes in longest.items())
    return (
        f"More hands-on minutes than you gave on {said}. Longest: {names}. It would take that many "
        "minutes on those days, a meal less a day, or a cooking day more near them.",
    )


def _minutes_of(day: PlanDay, ahead_min: Mapping[str, int]) -> int:
    """Add what is boiled ahead for the day to what its meals take."""
    boiled = {
        serving.food
        for meal in day.meals
        if meal.leftover_from is None
        for serving in meal.servings
        if serving.food in ahead_min
    }
    return day.hands_on_min + sum(ahead_min[key] for key in boiled)


def _cooking_days(days: Sequence[PlanDay], kitchen: Kitchen) -> tuple[str, ...]:
    cooking = kitchen.living.cooking_days
    if not cooking:
        return ()
    elsewhere = [
        day
        for day in days
        if day.weekday not in cooking
        and any(meal.occasion == "evening" and meal.leftover_from is None for meal in day.meals)
    ]
    if not elsewhere:
        return ()
    said = ", ".join(f"{day.date:%a}" for day in elsewhere)
    first = next((place for place, day in enumerate(days) if day.weekday in cooking), len(days))
    if any(days.index(day) < first for day in elsewhere):
        why = (
            "The plan begins before the first cooking day, so that no pot is there yet; begin it "
            "on a cooking day."
        )
    else:
        why = (
            "Cooked dishes keep three days cold at most, and few keep so long: name cooking days "
            "nearer to each other."
        )
    return (f"Dinner is cooked on {said}, no cooking day of yours. {why}",)


def _places(
    days: Sequence[PlanDay], kitchen: Kitchen, dishes: Mapping[str, Dish]
) -> tuple[str, ...]:
    """Name the meals that cannot be eaten where they should be."""
    found = [
        f"{meal.name} ({day.date:%a} {meal.label.lower()}, {place})"
        for day in days
        for meal in day.meals
        for place in [kitchen.living.place_of(day.weekday, meal.occasion)]
        if meal.dish in dishes
        and not can_be_eaten(
            dishes[meal.dish],
            place,
            kept=meal.leftover_from is not None,
            kitchen=not kitchen.living.away_all_day(
                day.weekday, [other.occasion for other in day.meals]
            ),
        )
    ]
    if not found:
        return ()
    return (
        f"Not to be had where it is eaten: {'; '.join(found)}. No dish on offer can be made, "
        "carried or heated there; another place, or a tool to heat with, would help.",
    )
