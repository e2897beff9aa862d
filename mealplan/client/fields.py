"""
What every part of an intake is made of: kinds of field, and what no field may hold.

Nothing here knows a question; the parts are in the modules beside it.
"""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict

from mealplan.client.faults import shown

MOST_TASTES = 100
"""Words on one step of liking, far more than anyone keeps in mind."""


FIRST_YEAR, LAST_YEAR = 2000, 2100
"""Dates outside these years are slips of the pen."""


Sex = Literal["male", "female"]


Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


WEEKDAYS: tuple[Weekday, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


Phase = Literal["gain", "hold", "cut", "endurance"]


TrainingStatus = Literal["novice", "intermediate", "advanced"]


def _digits(value: object) -> object:
    """Refuse text and true/false where a number belongs; both could be read as numbers."""
    if isinstance(value, bool | str):
        raise ValueError(
            f"should be a number, not {shown(value)}; write digits without quotes or a unit"
        )
    return value


def _one_line(text: str) -> str:
    """Put words on one line, refusing signs that no page can print."""
    text = " ".join(text.split())
    odd = next((letter for letter in text if not letter.isprintable()), None)
    if odd is not None:
        raise ValueError(f"holds the control sign {odd!r}; keep to plain words")
    return text


def _written_date(value: object) -> object:
    """Refuse numbers for dates: they would be read as seconds since 1970."""
    if isinstance(value, str | dt.date):
        return value
    raise ValueError(f'should be a date such as "2026-11-30", not {shown(value)}')


def _recent(date: dt.date) -> dt.date:
    """Refuse dates that can only be slips of the pen."""
    if not FIRST_YEAR <= date.year <= LAST_YEAR:
        raise ValueError(f"is {date}; the year should lie between {FIRST_YEAR} and {LAST_YEAR}")
    return date


def minute_of_day(text: str) -> int:
    """
    Read a clock time.

    Parameters
    ----------
    text : str
        HH:MM.

    Returns
    -------
    int
        Minutes after midnight.

    Raises
    ------
    ValueError
        When it does not read so.
    """
    hours, colon, minutes = text.partition(":")
    if not (
        colon and hours.isdigit() and minutes.isdigit() and int(hours) < 24 and int(minutes) < 60
    ):
        raise ValueError(f"should read HH:MM, such as 07:30, not {text!r:.20}")
    return int(hours) * 60 + int(minutes)


def clock_text(minute: int) -> str:
    """
    Write a clock time.

    Parameters
    ----------
    minute : int
        Minutes after midnight.

    Returns
    -------
    str
        HH:MM.
    """
    return f"{minute // 60:02d}:{minute % 60:02d}"


YesNo = Literal["yes", "no"]


Number = Annotated[float, BeforeValidator(_digits)]


Count = Annotated[int, BeforeValidator(_digits)]


Words = Annotated[str, AfterValidator(_one_line)]


Date = Annotated[dt.date, BeforeValidator(_written_date), AfterValidator(_recent)]


class IntakePart(BaseModel):
    """Frozen, and nothing it does not know."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        str_strip_whitespace=True,
        use_attribute_docstrings=True,
    )
