"""A shared table: which meals are shared, who eats along, and what was decided for each meal."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from mealplan.client.household import WORKDAYS, MealOfWeek
from mealplan.client.intake import WEEKDAYS
from mealplan.errors import IntakeError

MOST_EATERS = 20
"""Eaters with targets at one table; a training camp."""
SHARED_OCCASIONS = ("breakfast", "midday", "evening")
"""Meals that can be shared; what is eaten between them is each one's own."""
_OCCASION = {
    "breakfast": "breakfast",
    "lunch": "midday",
    "midday": "midday",
    "dinner": "evening",
    "evening": "evening",
}
_DAYS = {name: day for day in WEEKDAYS for name in (day, day[:3])} | {
    "monday": "mon",
    "tuesday": "tue",
    "wednesday": "wed",
    "thursday": "thu",
    "friday": "fri",
    "saturday": "sat",
    "sunday": "sun",
    "daily": "daily",
    "weekdays": "weekdays",
}


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Guest(_Part):
    """Someone without targets who eats along."""

    label: str = Field(min_length=1, max_length=40)
    """A role such as ``child``; never a person's name."""
    portion: float = Field(default=1.0, gt=0, le=3)
    """Their plate as a share of the mean of the others'. [1]"""
    allergies: tuple[str, ...] = Field(default=(), max_length=30)
    """Allergens or foods that no shared pot may hold."""


class SharedMeal(_Part):
    """One meal that was to be shared."""

    date: dt.date
    occasion: str
    dish: str = ""
    """Key of the one dish; empty where each eats what suits."""
    name: str = ""
    serve: str = ""
    """When everyone sits down: the latest time of those who share it. [HH:MM]"""
    apart: tuple[str, ...] = ()
    """What stands beside the pot, each taking their own, in words."""
    said: str = ""
    """Why it is not shared, where it is not."""


class TableDecided(_Part):
    """What a table shares, meal by meal, and who sits at it."""

    shared: tuple[MealOfWeek, ...]
    eaters: tuple[str, ...]
    """Roles of those with targets; the first one's kitchen cooks."""
    guests: tuple[Guest, ...] = ()
    meals: tuple[SharedMeal, ...] = ()

    def at(self, date: dt.date, occasion: str) -> SharedMeal | None:
        """
        Find a meal that was to be shared.

        Parameters
        ----------
        date : date
        occasion : str

        Returns
        -------
        SharedMeal or None
        """
        return next((m for m in self.meals if (m.date, m.occasion) == (date, occasion)), None)


def read_shared(words: Iterable[str]) -> tuple[MealOfWeek, ...]:
    """
    Read which meals are shared.

    Parameters
    ----------
    words : iterable of str
        Such as ``dinner``, ``saturday lunch`` or ``weekdays breakfast``.

    Returns
    -------
    tuple of str
        By days and occasion, as ``daily evening``.

    Raises
    ------
    IntakeError
        When one names no meal that can be shared.
    """
    found: list[MealOfWeek] = []
    for said in words:
        parts = said.lower().split()
        day = _DAYS.get(parts[0]) if len(parts) == 2 else "daily"
        occasion = _OCCASION.get(parts[-1]) if 1 <= len(parts) <= 2 else None
        if day is None or occasion is None:
            raise IntakeError(
                f"{said[:40]!r} is no meal that can be shared; write breakfast, lunch or dinner, "
                "with a day, weekdays or daily before it: 'dinner', 'saturday lunch'"
            )
        found.append(f"{day} {occasion}")
    if not found:
        raise IntakeError("say which meals are shared, such as dinner or saturday lunch")
    return tuple(dict.fromkeys(found))


def is_shared(shared: Iterable[MealOfWeek], weekday: str, occasion: str) -> bool:
    """
    Say whether a meal of a weekday is shared.

    Parameters
    ----------
    shared : iterable of str
        From :func:`read_shared`.
    weekday : str
    occasion : str

    Returns
    -------
    bool
    """
    days = (weekday, "daily", *(("weekdays",) if weekday in WORKDAYS else ()))
    return bool({f"{day} {occasion}" for day in days} & set(shared))


def meal_words(meal: MealOfWeek) -> str:
    """
    Say a meal as it is typed.

    Parameters
    ----------
    meal : str
        By days and occasion.

    Returns
    -------
    str
        Such as ``dinner`` or ``sat lunch``; :func:`read_shared` reads it back.
    """
    day, occasion = meal.split()
    said = {"evening": "dinner", "midday": "lunch"}.get(occasion, occasion)
    return said if day == "daily" else f"{day} {said}"


def guest_words(guest: Guest) -> str:
    """
    Say a guest as one is typed.

    Parameters
    ----------
    guest : Guest

    Returns
    -------
    str
        Such as ``child 0.6 nuts, soy``; :func:`read_guest` reads it back.
    """
    return f"{guest.label} {guest.portion:g} {', '.join(guest.allergies)}".strip()


def read_guest(said: str) -> Guest:
    """
    Read who eats along.

    Parameters
    ----------
    said : str
        A role, a share of the mean plate, and allergens with commas.

    Returns
    -------
    Guest

    Raises
    ------
    IntakeError
        When there is no role, or the share cannot be meant.
    """
    label: list[str] = []
    number: float | None = None
    rest: list[str] = []
    for word in said.split():
        if number is None and word.replace(".", "", 1).isdecimal():
            number = float(word)
        else:
            (label if number is None else rest).append(word)
    words = tuple(word.strip() for word in " ".join(rest).split(",") if word.strip())
    try:
        return Guest(
            label=" ".join(label), portion=1.0 if number is None else number, allergies=words
        )
    except ValidationError:
        raise IntakeError(
            f"guest {said[:60]!r}: write a role, a share above 0 and at most 3, and allergens with "
            "commas, such as 'child 0.6 nuts, soy'"
        ) from None
