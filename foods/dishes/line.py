"""One food of a dish: how much, in which state it comes and is eaten, how it is cut."""

from __future__ import annotations

from typing import Self

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

from foods.dishes.actions import Eaten, Start, cuts


class DishLine(BaseModel):
    """One food of a dish: how little, how much usually, and how much at most a portion holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    food: str = Field(max_length=80)
    """Catalogue key, in the state it is weighed (cooked pulses and grains, raw onion)."""
    called: str = Field(max_length=80)
    """The words the method uses for it."""
    g: tuple[float, float, float]
    """Low, typical and high amount in one portion [g]."""
    optional: bool = False
    """True when the dish is still the dish without it: nothing, or between low and high."""
    eaten: Eaten = "as is"
    """The state it is eaten in; the proof shows that the steps lead there."""
    start: Start = ""
    """The form it comes to the board in, where that is not the usual one of the food."""
    cut: str = ""
    """A way to cut of ``cuts.csv``; nothing when it is used whole."""

    @field_validator("cut")
    @classmethod
    def _cut_known(cls, value: str) -> str:
        if value and value not in cuts():
            raise ValueError(f"{value!r} is no way to cut; choose one of {', '.join(cuts())}")
        return value

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        low, typical, high = self.g
        if not 0 < low <= typical <= high:
            raise ValueError(
                f"{self.food}: g={list(self.g)} must rise from low over typical to high, all above"
                " 0; an add-on that may be left out says optional = true instead of low 0"
            )
        return self

    @property
    def low_g(self) -> float:
        """Least amount when served [g]."""
        return self.g[0]

    @property
    def typical_g(self) -> float:
        """Usual amount [g]."""
        return self.g[1]

    @property
    def high_g(self) -> float:
        """Most that still makes the same dish [g]."""
        return self.g[2]
