"""How often a week should bring what the client likes, and which of it cannot be served."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from foods.dishes.model import Dish
from mealplan.client.intake import Intake
from mealplan.kitchen.preferences import Exclusions, Liking
from mealplan.menu.candidates import suits
from mealplan.plan import PlanDay
from mealplan.rules import Slot
from mealplan.rules.preferences.base import MAINS
from mealplan.rules.preferences.wanted import Wanted

DINNERS, MIDDAYS = 4, 3
"""Meals a week of a tradition that is liked (common practice). [meals/week]"""
GLADLY, MOST_OF_ALL = 3, 4
"""Meals a week of a kind of dish or a food that is liked so (common practice). [meals/week]"""
DAYS = 7


def served_at(
    dishes: Iterable[Dish], slots: Sequence[Slot], intake: Intake, exclusions: Exclusions
) -> dict[str, frozenset[str]]:
    """
    Name the dishes that may be served on each occasion.

    Parameters
    ----------
    dishes : iterable of Dish
    slots : sequence of Slot
        Meals of a day.
    intake : Intake
    exclusions : Exclusions

    Returns
    -------
    dict of str to frozenset of str
        Dish keys by occasion.
    """
    first = {slot.occasion: slot for slot in reversed(slots)}
    every = tuple(dishes)
    return {
        occasion: frozenset(d.key for d in every if suits(d, slot, intake, exclusions))
        for occasion, slot in first.items()
    }


def dishes_of_liking(liking: Liking, dishes: Iterable[Dish]) -> frozenset[str]:
    """
    Name the dishes a word means: called so, or made with what it names.

    Parameters
    ----------
    liking : Liking
    dishes : iterable of Dish

    Returns
    -------
    frozenset of str
        Keys. Where the word names dishes, foods of the same word are passed over.
    """
    if liking.dishes:
        return liking.dishes
    return frozenset(
        dish.key
        for dish in dishes
        if any(line.food in liking.foods and not line.optional for line in dish.lines)
    )


def wanted_of(
    exclusions: Exclusions,
    dishes: Sequence[Dish],
    slots: Sequence[Slot],
    served: Mapping[str, frozenset[str]],
    most: int,
) -> tuple[Wanted, ...]:
    """
    Turn what is liked into meals of a week.

    Parameters
    ----------
    exclusions : Exclusions
        What the client's words mean.
    dishes : sequence of Dish
    slots : sequence of Slot
        Meals of a day.
    served : mapping of str to frozenset of str
        From :func:`served_at`.
    most : int
        Servings of a dish in seven days.

    Returns
    -------
    tuple of Wanted
        Kitchens that are liked alike count together, every other word by itself; what can nowhere
        be served is left out.
    """
    found = []
    for grade, extra in (("favourites", 1), ("likes", 0)):
        kitchens = [x for x in exclusions.likings if x.tradition and x.grade == grade]
        meant = frozenset[str]().union(*(x.dishes for x in kitchens))
        words = tuple(x.word for x in kitchens)
        for occasion, least in zip(MAINS, (MIDDAYS, DINNERS + extra), strict=True):
            found.append(_wanted(words, meant, (occasion,), least, slots, served, most))
    for liking in exclusions.likings:
        if not liking.tradition:
            least = MOST_OF_ALL if liking.grade == "favourites" else GLADLY
            meant = dishes_of_liking(liking, dishes)
            found.append(_wanted((liking.word,), meant, served, least, slots, served, most))
    return tuple(one for one in found if one is not None)


def _wanted(
    words: tuple[str, ...],
    meant: frozenset[str],
    occasions: Iterable[str],
    least: int,
    slots: Sequence[Slot],
    served: Mapping[str, frozenset[str]],
    most: int,
) -> Wanted | None:
    where = frozenset(o for o in occasions if meant & served.get(o, frozenset()))
    dishes = meant & frozenset[str]().union(*(served[o] for o in where))
    if not dishes:
        return None
    of = DAYS * sum(slot.occasion in where for slot in slots)
    return Wanted(words, dishes, where, min(least, most * len(dishes)), of)


def explain_likings(
    days: Sequence[PlanDay],
    intake: Intake,
    exclusions: Exclusions,
    by_key: Mapping[str, Dish],
    served: Mapping[str, frozenset[str]],
) -> tuple[str, ...]:
    """
    Say which of what is liked the days do not serve at all, and why.

    Parameters
    ----------
    days : sequence of PlanDay
    intake : Intake
    exclusions : Exclusions
    by_key : mapping of str to Dish
    served : mapping of str to frozenset of str
        From :func:`served_at`.

    Returns
    -------
    tuple of str
        One sentence at most.
    """
    come = {meal.dish for day in days for meal in day.meals}
    may = frozenset[str]().union(*served.values())
    said = []
    for liking in exclusions.likings:
        meant = dishes_of_liking(liking, by_key.values())
        if meant & come:
            continue
        if meant & may:
            said.append(f"{liking.word} (no day takes it and keeps its musts)")
        else:
            said.append(f"{liking.word} ({_why_not(meant, intake, exclusions, by_key)})")
    if not said:
        return ()
    return (f"Liked, and not in these days: {'; '.join(said)}.",)


def _why_not(
    meant: Iterable[str], intake: Intake, exclusions: Exclusions, by_key: Mapping[str, Dish]
) -> str:
    """Say why none of some dishes may be served: the first reason they share."""
    dishes = [by_key[key] for key in meant if key in by_key]
    if not dishes:
        return "no dish on offer is made so"
    fits = [d for d in dishes if not {x.food for x in d.lines if not x.optional} & exclusions.foods]
    if not fits:
        return "every dish of it holds what is never eaten"
    fits = [dish for dish in fits if dish.heat <= intake.tastes.heat_max]
    if not fits:
        return "every dish of it is hotter than wanted"
    have = intake.kitchen.equipment
    fits = [d for d in fits if have is None or set(d.equipment) <= {*have, "none"}]
    if not fits:
        needed = {tool for dish in dishes for tool in dish.equipment} - {*(have or ()), "none"}
        return f"it needs what the kitchen lacks: {', '.join(sorted(needed))}"
    return "it suits none of the day's meals"
