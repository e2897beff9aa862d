"""How much a client moves: sessions of the usual week, or one factor."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, field_validator

from mealplan.client.fields import IntakePart, Number, Weekday, Words, clock_text, minute_of_day


class Session(IntakePart):
    """One training session of the usual week."""

    day: Weekday
    activity: Words = Field(min_length=2, max_length=120)
    """A compendium code such as 02054, or words from its description."""
    time: Words | None = None
    """Clock time it begins, HH:MM; meals near it are then chosen to fit."""
    minutes: Number = Field(ge=5, le=600)
    met: Number | None = Field(default=None, ge=1, le=23)
    """Gross metabolic equivalents when known better than the table. [MET]"""
    load: Literal["light", "moderate", "hard", "very hard"] | None = None
    kind: Literal["strength", "endurance", "mixed", "none"] | None = None
    """What it trains, where the table of exercise costs does not know or does not fit."""
    assumed: tuple[Literal["day", "minutes"], ...] = ()
    """What was not said and is taken as usual; the worksheet says so."""

    @field_validator("time")
    @classmethod
    def _clock(cls, time: str | None) -> str | None:
        return None if time is None else clock_text(minute_of_day(time))


class MultiplierActivity(IntakePart):
    """Total energy as resting energy times one factor that already holds the training."""

    method: Literal["multiplier"]
    system: Literal["fao2004", "nasem2023", "iom2005", "legacy"] = "fao2004"
    pal: Number = Field(ge=1.0, le=5.0)


class ComponentActivity(IntakePart):
    """Total energy as resting and everyday energy plus each session's net cost."""

    method: Literal["component"]
    everyday_factor: Number = Field(ge=1.0, le=2.0)
    """Everyday movement without training or digestion: 1.15 desk, 1.25-1.35 mixed, 1.45 on feet."""
    sessions: tuple[Session, ...] = Field(default=(), max_length=42)
    vary_by_day: bool = False
    """True eats more on harder days; the seven days still sum to seven times the mean."""
