"""What should happen to body mass, and when: goal, season, races and days held."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, field_validator, model_validator

from mealplan.client.fields import (
    Count,
    Date,
    IntakePart,
    Number,
    Phase,
    Words,
    clock_text,
    minute_of_day,
)


class Goal(IntakePart):
    """What should happen to body mass, said in one way, or nothing for the phase's default."""

    phase: Phase
    surplus_kcal: Number | None = Field(default=None, ge=-2000, le=2000)
    surplus_percent: Number | None = Field(default=None, ge=-50, le=50)
    rate_percent_per_week: Number | None = Field(default=None, ge=-3, le=3)
    change_kg: Number | None = Field(default=None, ge=-60, le=60)
    weeks: Number | None = Field(default=None, gt=0, le=104)
    energy_kcal: Number | None = Field(default=None, gt=0, le=10000)
    """
    Daily energy fixed by the coach. [kcal/day]

    With ``rate_percent_per_week`` beside it that is the pace wanted of it, as after a check-in that
    found expenditure to be other than predicted; else the pace is worked back from the energy.
    """

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        ways = {
            "surplus_kcal": self.surplus_kcal,
            "surplus_percent": self.surplus_percent,
            "rate_percent_per_week": self.rate_percent_per_week,
            "change_kg": self.change_kg,
            "energy_kcal": self.energy_kcal,
        }
        said = [name for name, value in ways.items() if value is not None]
        if len(said) > 1 and said != ["rate_percent_per_week", "energy_kcal"]:
            raise ValueError(f"{' and '.join(said)} say the same thing twice; keep one")
        if (self.change_kg is None) != (self.weeks is None):
            raise ValueError("change_kg and weeks belong together, such as 3 kg in 10 weeks")
        wanted = next(
            (value for name, value in ways.items() if value is not None and name != "energy_kcal"),
            None,
        )
        if wanted is not None and self.phase == "gain" and wanted < 0:
            raise ValueError(
                f"the phase is gain but {said[0]}={wanted:g} is a loss; change one of them"
            )
        if wanted is not None and self.phase == "cut" and wanted > 0:
            raise ValueError(
                f"the phase is cut but {said[0]}={wanted:g} is a gain; put a minus before it"
            )
        return self


class SeasonPart(IntakePart):
    """One phase of a season: what for, how long, how fast, and what ends it early."""

    phase: Phase
    weeks: Count = Field(ge=1, le=52)
    rate_percent_per_week: Number | None = Field(default=None, ge=-1.5, le=1.5)
    """Positive for gain; the phase's usual rate when left out. [%/week]"""
    stop_fat_mass_index: Number | None = Field(default=None, gt=0, le=30)
    stop_fat_percent: Number | None = Field(default=None, gt=0, le=60)
    stop_waist_cm: Number | None = Field(default=None, gt=40, le=200)

    @model_validator(mode="after")
    def _direction(self) -> Self:
        rate = self.rate_percent_per_week
        wrong = rate is not None and (
            (self.phase == "gain" and rate <= 0)
            or (self.phase == "cut" and rate >= 0)
            or (self.phase in ("hold", "endurance") and rate != 0)
        )
        if wrong:
            raise ValueError(
                f"a {self.phase} phase cannot run at {rate:+g} % a week: gain is above 0, cut "
                "below, hold and endurance 0"
            )
        return self


class Race(IntakePart):
    """A race or match that the days before are eaten for."""

    date: Date
    time: Words | None = None
    """Clock time it begins, HH:MM."""
    minutes: Number = Field(ge=10, le=2880)
    name: Words = Field(default="race", min_length=2, max_length=60)

    @field_validator("time")
    @classmethod
    def _clock(cls, time: str | None) -> str | None:
        return None if time is None else clock_text(minute_of_day(time))


class HeldDay(IntakePart):
    """A day on which the plan is held at maintenance instead of pushing on."""

    date: Date
    why: Literal["sick", "travelling"]
