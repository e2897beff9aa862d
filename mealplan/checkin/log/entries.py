"""
What a client can log, one class a kind: weighed, measured, eaten, trained, felt, and events.

Each says what is impossible, not what is odd: that is asked beside the rest of the log.
"""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, model_validator

from mealplan.checkin.log.entry import LogEntry
from mealplan.science.units import CM_PER_INCH, KG_PER_LB, LB_PER_STONE

MassUnit = Literal["kg", "lb", "st"]
GirthUnit = Literal["cm", "in"]
CM_PER_UNIT: dict[GirthUnit, float] = {"cm": 1.0, "in": CM_PER_INCH}
KG_PER_UNIT: dict[MassUnit, float] = {"kg": 1.0, "lb": KG_PER_LB, "st": LB_PER_STONE * KG_PER_LB}
"""One of the unit in kilograms."""

LOWEST_MASS_KG, HIGHEST_MASS_KG = 25.0, 350.0
"""Outside these a reading is refused, not questioned (common practice). [kg]"""

Scale5 = Annotated[int, Field(ge=1, le=5)]
GirthSite = Literal["waist", "abdomen", "hip", "neck", "chest", "thigh", "calf", "upper arm"]
Side = Literal["left", "right"]
LIMBS: frozenset[GirthSite] = frozenset({"thigh", "calf", "upper arm"})
"""Places with a left and a right."""
EventKind = Literal[
    "phase change",
    "travel",
    "sick",
    "new diet",
    "creatine start",
    "refeed",
    "training change",
    "other",
]


class WeighInConditions(BaseModel):
    """How a weigh-in was taken; unknown where left out."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    fasted: bool | None = None
    after_toilet: bool | None = None
    clothed: bool | None = None
    usual_scale: bool | None = None


class WeighIn(LogEntry):
    """
    One reading of a scale, kept in the unit it was read in.

    ``WeighIn(on=..., mass_kg=80.2)`` and ``WeighIn(on=..., value=176.8, unit="lb")`` both work.
    """

    kind: Literal["weigh-in"] = "weigh-in"
    value: float
    unit: MassUnit = "kg"
    written: str = Field(default="", max_length=200)
    """The cell as it stood in an imported file."""
    conditions: WeighInConditions = WeighInConditions()
    confirmed: bool = False
    """True once the client or coach has said that an odd reading is right."""

    @model_validator(mode="before")
    @classmethod
    def _in_kilograms(cls, data: Any) -> Any:
        return _plain_value(data, "mass_kg")

    @model_validator(mode="after")
    def _possible(self) -> Self:
        if not LOWEST_MASS_KG <= self.mass_kg <= HIGHEST_MASS_KG:
            raise ValueError(
                f"{self.value:g} {self.unit} is {self.mass_kg:.1f} kg, outside "
                f"{LOWEST_MASS_KG:g} to {HIGHEST_MASS_KG:g} kg for an adult; "
                f"check the number and the unit{_other_unit(self.value, self.unit)}"
            )
        return self

    @property
    def mass_kg(self) -> float:
        """Body mass in kg."""
        return self.value * KG_PER_UNIT[self.unit]


def _plain_value(data: Any, metric: str) -> Any:
    """Let the metric name stand for a value in the metric unit."""
    if not isinstance(data, dict) or metric not in data:
        return data
    if "value" in data or "unit" in data:
        raise ValueError(f"{metric} and value or unit are both given; keep one way")
    data = dict(data)
    data["value"] = data.pop(metric)
    return data


def _other_unit(value: float, unit: MassUnit) -> str:
    fits = [
        f"{value:g} {other} is {value * factor:.0f} kg"
        for other, factor in KG_PER_UNIT.items()
        if other != unit and 40 <= value * factor <= 150
    ]
    return f" ({'; '.join(fits)})" if fits else ""


class Girth(LogEntry):
    """
    One tape measure, kept in the unit it was read in.

    ``Girth(on=..., site="waist", length_cm=82)`` and ``Girth(..., value=32.3, unit="in")`` both
    work.
    """

    kind: Literal["girth"] = "girth"
    site: GirthSite
    side: Side | None = None
    """Which limb; None where there is only one, or where it was not said."""
    value: float
    unit: GirthUnit = "cm"
    written: str = Field(default="", max_length=200)

    @model_validator(mode="before")
    @classmethod
    def _in_centimetres(cls, data: Any) -> Any:
        return _plain_value(data, "length_cm")

    @model_validator(mode="after")
    def _possible(self) -> Self:
        if self.side is not None and self.site not in LIMBS:
            raise ValueError(f"there is no {self.side} {self.site}; leave the side out")
        if not 10 <= self.length_cm <= 250:
            raise ValueError(
                f"{self.site} {self.value:g} {self.unit} is {self.length_cm:.1f} cm, outside 10 to "
                "250 cm; check the number and the unit"
            )
        return self

    @property
    def length_cm(self) -> float:
        """Girth in cm."""
        return self.value * CM_PER_UNIT[self.unit]

    @property
    def place(self) -> str:
        """Where the tape lay, the side named first."""
        return f"{self.side} {self.site}" if self.side else self.site


class ScanRecord(LogEntry):
    """
    A body-composition scan as masses, given back in the unit of the report.

    ``lean_kg`` is fat-free mass: lean soft tissue plus bone mineral.
    ``ScanRecord(..., fat_kg=12, lean_kg=66)`` and ``ScanRecord(..., fat=26.5, lean=145.5,
    unit="lb")`` both work.
    """

    kind: Literal["scan"] = "scan"
    method: str = Field(default="dxa", min_length=1, max_length=60)
    unit: MassUnit = "kg"
    """Unit the report was in; the masses below are in kilograms whatever it says."""
    fat_kg: float = Field(gt=0, le=200)
    lean_kg: float = Field(gt=10, le=200)
    rms_sd_fat_kg: float = Field(default=0.44, gt=0, le=5)
    """Precision of the machine for fat, best from the laboratory's own repeats. [kg]"""
    rms_sd_lean_kg: float = Field(default=0.55, gt=0, le=5)
    """Likewise for lean. [kg]"""
    machine: str = Field(default="", max_length=80)

    @model_validator(mode="before")
    @classmethod
    def _in_kilograms(cls, data: Any) -> Any:
        if not isinstance(data, dict):
            return data
        data = dict(data)
        factor = KG_PER_UNIT.get(data.get("unit", "kg"), 1.0)
        for plain, metric in (("fat", "fat_kg"), ("lean", "lean_kg")):
            if plain not in data:
                continue
            if metric in data:
                raise ValueError(f"{plain} and {metric} are both given; keep one way")
            try:
                data[metric] = float(data[plain]) * factor
            except (TypeError, ValueError):
                raise ValueError(
                    f"the scan's {plain} {str(data.get(plain))[:40]!r} does not read as a number; "
                    "write the mass alone, such as 12.4"
                ) from None
            del data[plain]
        return data

    def in_unit(self, mass_kg: float) -> float:
        """
        Return one of the masses in the unit of the report, as it was read.

        Parameters
        ----------
        mass_kg : float
            Body mass. [kg]
        """
        return round(mass_kg / KG_PER_UNIT[self.unit], 6)


class RmrTest(LogEntry):
    """A measured resting metabolic rate, in kcal/day."""

    kind: Literal["rmr test"] = "rmr test"
    kcal: float = Field(ge=500, le=5000)
    fasted: bool | None = None
    device: str = Field(default="", max_length=80)


class IntakeRecord(LogEntry):
    """
    How one day's eating went.

    "as planned" and "roughly" take the plan's energy; "other" takes ``kcal`` when known.
    """

    kind: Literal["intake"] = "intake"
    adherence: Literal["as planned", "roughly", "other"]
    planned_kcal: float | None = Field(default=None, ge=0, le=15000)
    kcal: float | None = Field(default=None, ge=0, le=15000)
    """Energy as logged, when the client counted it."""
    sd_kcal: float = Field(default=0.0, ge=0, le=15000)
    """Doubt of meals said in words, one standard deviation; weighing's own is not in it."""
    what: str = Field(default="", max_length=2000)
    written: str = Field(default="", max_length=200)
    """The energy cell as it stood in an imported file."""


class TrainingDone(LogEntry):
    """One session, in the client's own words."""

    kind: Literal["training"] = "training"
    what: str = Field(default="", max_length=400)
    minutes: float | None = Field(default=None, ge=0, le=1440)
    net_kcal: float | None = Field(default=None, ge=0, le=10000)
    effort: Scale5 | None = None


class Steps(LogEntry):
    """Steps counted on one day."""

    kind: Literal["steps"] = "steps"
    count: int = Field(ge=0, le=120_000)


class Feeling(LogEntry):
    """
    How the client felt, each from 1 to 5.

    Hunger, illness and soreness: 1 none, 5 very much. Sleep, mood and digestion: 1 bad, 5 good.
    """

    kind: Literal["feeling"] = "feeling"
    hunger: Scale5 | None = None
    sleep: Scale5 | None = None
    mood: Scale5 | None = None
    illness: Scale5 | None = None
    soreness: Scale5 | None = None
    digestion: Scale5 | None = None


class CycleDay(LogEntry):
    """Day of the menstrual cycle, day 1 being the first day of bleeding; only if offered."""

    kind: Literal["cycle day"] = "cycle day"
    day: int = Field(ge=1, le=120)


class TestResult(LogEntry):
    """A strength or endurance test, entered freely."""

    __test__ = False  # not a test case

    kind: Literal["test"] = "test"
    name: str = Field(min_length=1, max_length=120)
    value: float
    unit: str = Field(default="", max_length=30)


class Event(LogEntry):
    """Something that moves water or breaks the routine, from ``on`` until ``until`` inclusive."""

    kind: Literal["event"] = "event"
    what: EventKind
    until: dt.date | None = None
    phase: str = Field(default="", max_length=60)
    """Name of the phase that begins, for a phase change."""
    kcal_per_day: float | None = Field(default=None, ge=-3000, le=3000)
    """How much more, or less, the training week costs from ``on`` on. [kcal/day]"""

    @model_validator(mode="after")
    def _ordered(self) -> Self:
        if self.kcal_per_day is not None and self.what != "training change":
            raise ValueError(
                f"{self.what!r} has no cost of its own; leave kcal_per_day out, or log a "
                "'training change'"
            )
        if self.until is not None and self.until < self.on:
            raise ValueError(f"until {self.until} is before {self.on}; swap the two dates")
        return self

    @property
    def last_day(self) -> dt.date:
        """Last day of the event."""
        return self.until or self.on


AnyEntry = Annotated[
    WeighIn
    | Girth
    | ScanRecord
    | RmrTest
    | IntakeRecord
    | TrainingDone
    | Steps
    | Feeling
    | CycleDay
    | TestResult
    | Event,
    Field(discriminator="kind"),
]
ENTRY: TypeAdapter[AnyEntry] = TypeAdapter(AnyEntry)
"""Reads one entry of any kind from plain data."""
KINDS: dict[str, type[LogEntry]] = {
    cls.model_fields["kind"].default: cls
    for cls in (
        WeighIn,
        Girth,
        ScanRecord,
        RmrTest,
        IntakeRecord,
        TrainingDone,
        Steps,
        Feeling,
        CycleDay,
        TestResult,
        Event,
    )
}
