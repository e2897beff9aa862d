"""
Target ranges: what a day should give, nutrient by nutrient, each end with its reason.

Plain frozen data between the physiology that works targets out and the planner that meets them.
"""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import BaseModel, ConfigDict

from mealplan.client.intake import Weekday
from mealplan.science.quantity import Provenance, Quantity

Tier = Literal[
    "energy", "ceiling", "protein", "amino acid", "floor", "soft ceiling", "fuel", "comfort"
]
"""
How much a miss matters, heaviest first: energy and ceilings that guard health, then protein and
amino acids, then vitamin and mineral floors, then ceilings of fibre and
sodium, then carbohydrate and fat shares, then comfort.
"""


DAY_SHARE = 2 / 3
"""
Least share of a weekly floor on any one day. [fraction] (common practice)

The reports say that amounts may vary much from day to day without ill effect in most cases, and
name neither a time nor a least; this keeps a week from being two days' work.
"""


class TargetRange(BaseModel):
    """Floor, aim and ceiling of one nutrient for one day, in that nutrient's unit."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)

    key: str
    """Nutrient key the range limits; amino-acid groups are digestible amounts."""
    label: str
    unit: str
    low: float | None = None
    aim: float | None = None
    high: float | None = None
    low_tier: Tier = "floor"
    high_tier: Tier = "comfort"
    low_source: str = ""
    high_source: str = ""
    provenance: Provenance = "published"
    reason: str = ""
    """One sentence on why this range applies to this client."""
    supplied: float = 0.0
    """Amount a supplement line brings each day."""
    supplied_by: str = ""
    from_supplement_only: bool = False
    """True when food is not expected to reach the floor and the supplement line is what counts."""
    digestible: bool = False
    over: Literal["day", "week"] = "day"
    """
    What floor and aim are a mean of. Reference intakes of vitamins and minerals are usual intakes
    over time; a week is this program's choice of time. Ceilings hold every day all the same.
    """
    day_low: float | None = None
    """Least on any one day when floor and aim are means of the week."""
    relaxed_low: float | None = None
    """Documented fall-back floor when the full one cannot be met from food."""
    relaxed_reason: str = ""
    working: Quantity | None = None

    @property
    def usual(self) -> float:
        """What a usual day of this client brings: the aim, else the floor, else the ceiling."""
        return next((x for x in (self.aim, self.low, self.high) if x is not None), 0.0)

    def weekly(self) -> TargetRange:
        """
        Let the floor be a mean of the week, with two thirds of it as the least on any day.

        Returns
        -------
        TargetRange
            The same range when it has no floor.
        """
        if self.low is None:
            return self
        return self.model_copy(update={"over": "week", "day_low": DAY_SHARE * self.low})

    @property
    def each_day(self) -> float | None:
        """Least that every single day must give [unit]."""
        if self.over == "day" or self.low is None or self.day_low is None:
            return self.low
        return min(self.low, self.day_low)

    def sentence(self) -> str:
        """Say the range in words, such as ``iron at least 14.4 mg``."""
        if self.low is not None and self.high is not None:
            return f"{self.label} {self.low:,.4g} to {self.high:,.4g} {self.unit}"
        if self.low is not None:
            return f"{self.label} at least {self.low:,.4g} {self.unit}"
        if self.high is not None:
            return f"{self.label} at most {self.high:,.4g} {self.unit}"
        return f"{self.label}: shown, not limited"


DRINK_STEP_ML = 50.0
"""Drinks are told to this. [mL]"""
LONG_MIN = 120.0
"""From this length on the danger of overdrinking stands beside the amount. [min]"""
LEAST_DRINK_ML = 50.0
"""Less than this is not worth a word. [mL]"""


class FuelItem(BaseModel):
    """What to eat and drink around one session: rows with a time, that a menu can serve."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)

    when: Literal["before", "during", "after", "between"]
    session: str
    """The session in words."""
    time: str | None = None
    """Clock time to begin eating or drinking, HH:MM; None when the session has no time."""
    next_day: bool = False
    """True when the clock time is that of the day after."""
    minutes: float | None = None
    """How long it goes on: the session while it lasts, the hours of fast refuelling after. [min]"""
    carbohydrate_low_g: float = 0.0
    carbohydrate_aim_g: float = 0.0
    carbohydrate_high_g: float = 0.0
    """Over the whole time. [g]"""
    carbohydrate_per_h_g: float | None = None
    """Aim each hour, while it lasts or while refuelling. [g/h]"""
    several_sugars: bool = False
    """True when the rate takes glucose with fructose."""
    protein_g: float | None = None
    fluid_low_ml: float | None = None
    fluid_high_ml: float | None = None
    """Over the whole time. [mL]"""
    sodium_mg_per_l: float | None = None
    """Of the drink. [mg/L]"""
    fibre_high_g: float | None = None
    fat_high_g: float | None = None
    """Most that sits well before hard training. [g]"""
    counted_in: str = ""
    """Another item that holds this carbohydrate already, in words; empty when it stands alone."""
    energy_high_kcal: float | None = None
    """Most energy of a meal so near training. [kcal]"""
    meal: int | None = None
    """The day's meal that is eaten before or after the session; None where none is near."""
    snack: bool = False
    """True where no meal is near and a snack is eaten before, beside the meals."""
    meal_carbohydrate_g: float | None = None
    """Carbohydrate that the meal after the session should hold. [g]"""
    note: str = ""
    source: str = ""
    provenance: Provenance = "published"

    def sentence(self) -> str:
        """Say what to eat and drink, such as ``10:30 before swimming: 160 g carbohydrate``."""
        parts = []
        if self.carbohydrate_high_g > 0:
            words = f"{self.carbohydrate_aim_g:.0f} g carbohydrate"
            if self.carbohydrate_high_g > self.carbohydrate_low_g:
                words += f" ({self.carbohydrate_low_g:.0f} to {self.carbohydrate_high_g:.0f})"
            if self.carbohydrate_per_h_g is not None:
                words += f", {self.carbohydrate_per_h_g:.0f} g an hour"
            words += " as glucose with fructose" if self.several_sugars else ""
            parts.append(words + (f", part of {self.counted_in}" if self.counted_in else ""))
        if self.protein_g is not None:
            parts.append(f"{self.protein_g:.0f} g protein")
        if self.fluid_high_ml is not None and self.fluid_high_ml >= LEAST_DRINK_ML:
            least, most = (
                DRINK_STEP_ML * round(amount / DRINK_STEP_ML)
                for amount in (self.fluid_low_ml or 0.0, self.fluid_high_ml)
            )
            ends = f"{least:,.0f} to {most:,.0f}" if most > least else f"about {most:,.0f}"
            words = f"{ends} mL to drink"
            if self.sodium_mg_per_l is not None:
                words += f" with {self.sodium_mg_per_l:.0f} mg sodium a litre"
            if self.when == "during" and (self.minutes or 0.0) >= LONG_MIN:
                words += " (by thirst, never so much that weight rises: overdrinking can kill)"
            parts.append(words)
        if self.fibre_high_g is not None:
            parts.append(f"at most {self.fibre_high_g:.0f} g fibre and {self.fat_high_g:.0f} g fat")
        if self.snack:
            parts.append("as a snack beside the meals")
        if self.energy_high_kcal is not None:
            parts.append("in a light meal")
        if self.when == "between":
            return (
                f"between meals, {self.session}: {', '.join(parts)}, as juice, sports drink, dried "
                "fruit, or white bread with jam"
            )
        begin = f"{self.time} " if self.time else ""
        begin += "the next day, " if self.next_day and self.time else ""
        return f"{begin}{self.when} {self.session}: {', '.join(parts) or 'nothing needed'}"


class SupplementLine(BaseModel):
    """One supplement to take each day, outside the dishes."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)

    key: str
    name: str
    dose: str
    nutrients: dict[str, float]
    """Nutrient key to amount a day."""
    reason: str
    caution: str = ""
    source: str = ""
    provenance: Provenance = "published"


class Notice(BaseModel):
    """Something the reader must know before acting: a caution or a passed guard rail."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)

    code: str
    severity: Literal["refuse", "override", "warn", "note"]
    message: str
    reason: str = ""
    see: str = ""
    source: str = ""
    provenance: str = ""


class DayTargets(BaseModel):
    """Every range of one day."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)

    weekday: Weekday
    energy_kcal: float
    ranges: dict[str, TargetRange]
    fuel: tuple[FuelItem, ...] = ()
    """Food and drink around the day's sessions, in order of time."""
    meal_times: tuple[str, ...] = ()
    """When the day's meals are, HH:MM; empty for their usual times."""

    @property
    def meal_kcal(self) -> float:
        """Energy left for the meals: the day's without what is taken while training, in kcal."""
        energy = self.ranges.get("energy_kcal")
        return self.energy_kcal - (energy.supplied if energy is not None else 0.0)


class Targets(BaseModel):
    """A client's targets with their working, seven weekdays long."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)

    role: str
    made_on: dt.date
    energy: Quantity
    """Mean daily energy to plan for. [kcal/day]"""
    worksheet: tuple[Quantity, ...]
    """Lines of working in reading order: resting energy, total energy, goal, protein ..."""
    days: tuple[DayTargets, ...]
    supplements: tuple[SupplementLine, ...]
    notices: tuple[Notice, ...]
    meals: int
    protein_per_meal_g: float
    leucine_per_meal_g: float
    held: dict[dt.date, str] = {}
    """Days held at maintenance, and why."""
    maintenance: tuple[DayTargets, ...] = ()
    """Ranges of the seven weekdays at maintenance; only there when days are held."""
    special: dict[dt.date, DayTargets] = {}
    """Days before a race and the race itself, each with its own ranges and fuel."""

    def on_date(self, date: dt.date) -> DayTargets:
        """
        Look one day up: at maintenance when held, else a race's own, else its weekday's.

        Parameters
        ----------
        date : date
            A day of the plan.

        Returns
        -------
        DayTargets
        """
        if date in self.held:
            return self.maintenance[date.weekday()]
        return self.special.get(date) or self.days[date.weekday()]

    def on(self, weekday: Weekday) -> DayTargets:
        """
        Look one weekday up.

        Parameters
        ----------
        weekday : str
            Three-letter English name.

        Returns
        -------
        DayTargets
        """
        return next(day for day in self.days if day.weekday == weekday)
