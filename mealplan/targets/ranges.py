"""
Target ranges: what a day should give, nutrient by nutrient, each end with its reason.

Plain frozen data between the physiology that works targets out and the planner that meets them.
"""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import BaseModel, ConfigDict

from mealplan.client.intake import Weekday
from mealplan.quantity import Provenance, Quantity

Tier = Literal["energy", "ceiling", "protein", "amino acid", "floor", "fuel", "comfort"]
"""
How much a miss matters, heaviest first: energy and ceilings that guard health, then protein and
amino acids, then vitamin and mineral floors, then carbohydrate and fat shares, then comfort.
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
    relaxed_low: float | None = None
    """Documented fall-back floor when the full one cannot be met from food."""
    relaxed_reason: str = ""
    working: Quantity | None = None

    def sentence(self) -> str:
        """Say the range in words, such as ``iron at least 14.4 mg``."""
        if self.low is not None and self.high is not None:
            return f"{self.label} {self.low:,.4g} to {self.high:,.4g} {self.unit}"
        if self.low is not None:
            return f"{self.label} at least {self.low:,.4g} {self.unit}"
        if self.high is not None:
            return f"{self.label} at most {self.high:,.4g} {self.unit}"
        return f"{self.label}: shown, not limited"


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

    def on_date(self, date: dt.date) -> DayTargets:
        """
        Look one day up: its weekday's ranges, at maintenance when it is held.

        Parameters
        ----------
        date : date

        Returns
        -------
        DayTargets
        """
        days = self.maintenance if date in self.held else self.days
        return days[date.weekday()]

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
