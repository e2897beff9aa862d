"""Small pieces of wording and clock the cooking sheet is made of."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable

from mealplan.cooking.models import Caution
from mealplan.kitchen.food_safety import Advice


def round_weight(grams: float) -> float:
    """
    Round a weight for the eye: to 5 g, below 20 g to 1 g.

    Parameters
    ----------
    grams : float
        Weight. [g]
    """
    return round(grams / 5) * 5 if grams >= 20 else round(grams)


def lower_first(name: str) -> str:
    """
    Put the first letter into lower case.

    Parameters
    ----------
    name : str
        As the catalogue writes it.
    """
    return name[:1].lower() + name[1:]


def plain_name(name: str) -> str:
    """
    Shorten a bought name for a sentence that says dry or raw itself.

    Parameters
    ----------
    name : str
        As the catalogue writes it.
    """
    return re.sub(r"(, dr(y|ied)| \([^)]*\))", "", name)


def moment(date: dt.date, clock: str, minutes: int = 0) -> dt.datetime:
    """
    Turn a date and a clock time, shifted by minutes, into a moment.

    Parameters
    ----------
    date : date
        The day.
    clock : str
        Time of day, as HH:MM.
    minutes : int
        Minutes later; negative is earlier. [min]
    """
    hours, _, rest = clock.partition(":")
    return dt.datetime.combine(date, dt.time(int(hours), int(rest))) + dt.timedelta(minutes=minutes)


def clock_text(date: dt.date, clock: str, minutes: int = 0) -> str:
    """
    Write a clock time shifted by minutes.

    Parameters
    ----------
    date : date
        The day.
    clock : str
        Time of day, as HH:MM.
    minutes : int
        Minutes later; negative is earlier. [min]
    """
    return f"{moment(date, clock, minutes):%H:%M}"


def cautions(found: Iterable[Advice], seen: set[str] | None = None) -> tuple[Caution, ...]:
    """
    Show general advice once a week, what belongs to one food every time.

    Parameters
    ----------
    found : Iterable[Advice]
        What is cooked.
    seen : set[str] or None
        Cautions given already; grows.
    """
    shown = []
    for advice in found:
        if seen is not None and "any" in advice.groups:
            if advice.key in seen:
                continue
            seen.add(advice.key)
        shown.append(Caution(text=advice.text, source=advice.source))
    return tuple(shown)
