"""What a client will eat and cook, and what a coach wishes of the targets."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, field_validator, model_validator

from foods.dishes.minutes import Hob
from foods.dishes.model import Equipment
from foods.registry.typed import LONGEST_WORD
from mealplan.client.fields import (
    MOST_TASTES,
    Count,
    IntakePart,
    Number,
    Weekday,
    Words,
    clock_text,
    minute_of_day,
)
from mealplan.client.household import FrozenPot, Living, ShopOptions

TasteWords = Annotated[
    tuple[Annotated[Words, Field(max_length=LONGEST_WORD)], ...], Field(max_length=MOST_TASTES)
]


class Tastes(IntakePart):
    """What must not, should not and should be on the plate, in the client's own words."""

    allergies: TasteWords = ()
    """Allergens that must be absent: soy, gluten, tree_nut, peanut, sesame ..."""
    never: TasteWords = ()
    """
    Never to serve. Here and below: foods, food groups, dishes by key or name, kinds of dish,
    cooking traditions, textures (soupy, crisp) or heat (mild, hot).
    """
    dislikes: TasteWords = ()
    """Served only when little else is possible."""
    seldom: TasteWords = ()
    """Fine now and then."""
    likes: TasteWords = ()
    favourites: TasteWords = ()
    """Liked most of all."""
    oats_ok_when_gluten_free: bool = False
    heat_max: Count = Field(default=3, ge=0, le=3)
    pulses_bloat: bool = False
    """True keeps pulses to a small amount once a day, away from training and from bedtime."""


class CupboardItem(IntakePart):
    """A food already at home, as bought."""

    food: Words = Field(max_length=80)
    grams: Number = Field(gt=0, le=50_000)


class Kitchen(IntakePart):
    """Time, tools and meal times."""

    meals: Count = Field(default=4, ge=3, le=6)
    hands_on_min: dict[Weekday, Count] = Field(default={})
    """Most minutes of hands-on cooking on that day; days left out have no limit. [min]"""
    equipment: tuple[Equipment, ...] | None = None
    """Tools there are; none given means the usual kitchen."""
    rings: Count = Field(default=3, ge=1, le=8)
    """Pots and pans that stand on the hob at once."""
    meal_times: tuple[Words, ...] = Field(default=(), max_length=12)
    """Clock times HH:MM, one a meal; usual times when left out."""
    leftovers: bool = True
    units: Literal["metric", "us"] = "metric"
    people: Count = Field(default=1, ge=1, le=12)
    cupboard: tuple[CupboardItem, ...] = Field(default=(), max_length=300)
    frozen: tuple[FrozenPot, ...] = Field(default=(), max_length=60)
    """Cooked portions in the freezer."""
    living: Living = Living()
    """How varied, what is cooked when, and how much there may be to buy."""
    shop: ShopOptions = ShopOptions()
    """Forms, packs, walking order, shopping days and who eats what share."""

    @property
    def hob(self) -> Hob:
        """What this household boils its water on; a kettle counts once it is named."""
        return Hob(self.rings, "kettle" in (self.equipment or ()))

    @property
    def pressure_cooker(self) -> bool:
        """True once a pressure cooker is named among the tools."""
        return "pressure cooker" in (self.equipment or ())

    @field_validator("meal_times")
    @classmethod
    def _clock(cls, times: tuple[str, ...]) -> tuple[str, ...]:
        clock = [minute_of_day(text) for text in times]
        if clock != sorted(set(clock)):
            raise ValueError(
                f"should rise through the day, not {', '.join(times)}; put the first meal first"
            )
        return tuple(clock_text(minute) for minute in clock)

    @field_validator("hands_on_min")
    @classmethod
    def _minutes(cls, minutes: dict[Weekday, int]) -> dict[Weekday, int]:
        for day, value in minutes.items():
            if not 5 <= value <= 600:
                raise ValueError(f"should be 5 to 600 minutes, not {value} on {day}")
        return minutes


class ProteinWish(IntakePart):
    """A coach's own protein range instead of the default."""

    low_g_per_kg: Number = Field(ge=0.6, le=3.5)
    high_g_per_kg: Number = Field(ge=0.6, le=3.8)
    per: Literal["body mass", "fat-free mass"] = "body mass"

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.low_g_per_kg > self.high_g_per_kg:
            raise ValueError("protein low_g_per_kg is above high_g_per_kg; swap them")
        return self


class Bound(IntakePart):
    """A coach's own floor or ceiling on one nutrient, in the nutrient's own unit a day."""

    low: Number | None = Field(default=None, ge=0)
    high: Number | None = Field(default=None, ge=0)
    reason: Words = Field(default="", max_length=200)

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.low is None and self.high is None:
            raise ValueError("a bound needs low or high")
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"low {self.low:g} is above high {self.high:g}; swap them")
        return self


class PrescribedIron(IntakePart):
    """Iron that a clinician prescribed after a blood test; this program never starts it."""

    mg_per_day: Number = Field(gt=0, le=200)
    """Elemental iron, averaged over days when taken every other day. [mg/day]"""
    by: Words = Field(min_length=3, max_length=80)
    """Role of the clinician."""


class Nutrition(IntakePart):
    """Choices about targets that a coach may set."""

    protein: ProteinWish | None = None
    amino_acid_pattern: Literal["WHO2007", "IOM2005", "FAO2013"] = "WHO2007"
    bounds: dict[str, Bound] = Field(default={})
    floor_certainty_percent: Literal[50, 75, 80, 90, 95] = 50
    """Plan so that each floor is really met with this chance, composition being uncertain. [%]"""
    daily_floors: bool = False
    """True holds floors of vitamins and minerals on every day instead of over the week."""
    supplements: dict[str, bool] = Field(default={})
    """Switches by key; vitamin B12, vitamin D and iodine are on unless the coach says no."""
    prescribed_iron: PrescribedIron | None = None
    performance: tuple[Words, ...] = ()
    """Lines for training and races to switch on, such as caffeine; all are off by default."""
