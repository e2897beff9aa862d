"""
The client's log: what was weighed, measured, eaten, trained and felt, and what happened.

A :class:`Log` never changes: adding, correcting and withdrawing give a new one, and what was there
before is kept in its history. Everything else in the check-in is computed afresh from the log, so
the order of entry cannot matter and a corrected reading corrects all that rests on it.
"""

from __future__ import annotations

import bisect
import datetime as dt
from collections.abc import Iterable, Iterator
from typing import Annotated, Any, Literal, Self, TypeVar

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, model_validator

from mealplan.checkin.log.entry import LogEntry, named_entry, sort_key
from mealplan.errors import CheckInError
from mealplan.units import CM_PER_INCH, KG_PER_LB, LB_PER_STONE

MassUnit = Literal["kg", "lb", "st"]
GirthUnit = Literal["cm", "in"]
CM_PER_UNIT: dict[GirthUnit, float] = {"cm": 1.0, "in": CM_PER_INCH}
KG_PER_UNIT: dict[MassUnit, float] = {"kg": 1.0, "lb": KG_PER_LB, "st": LB_PER_STONE * KG_PER_LB}
"""One of the unit in kilograms."""

LOWEST_MASS_KG, HIGHEST_MASS_KG = 25.0, 350.0
"""Outside these a reading is refused, not questioned (common practice). [kg]"""

FEW = 50
"""Entries that are put into a log one by one; more are put in order together."""

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
E = TypeVar("E", bound=LogEntry)


class Superseded(BaseModel):
    """An entry as it was before it was corrected or withdrawn."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    entry: AnyEntry
    why: str


class Log(BaseModel):
    """
    Everything one client logged, in one canonical order whatever the order of entry.

    Entries without an id get one from their content; the same content entered twice is kept twice.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    entries: tuple[AnyEntry, ...] = ()
    history: tuple[Superseded, ...] = ()

    @model_validator(mode="after")
    def _canonical(self) -> Self:
        taken = {entry.id for entry in self.entries if entry.id}
        if len(taken) < sum(1 for entry in self.entries if entry.id):
            twice = sorted(
                {e.id for e in self.entries if e.id and sum(o.id == e.id for o in self.entries) > 1}
            )
            raise ValueError(f"ids used twice: {', '.join(twice)}; give each entry its own id")
        # Ids once used by an entry now in the history are not given to another.
        taken |= {old.entry.id for old in self.history}
        named: list[AnyEntry] = []
        for entry in sorted(self.entries, key=sort_key):
            named.append(named_entry(entry, taken))
            taken.add(named[-1].id)
        named.sort(key=sort_key)
        object.__setattr__(self, "entries", tuple(named))
        return self

    def __len__(self) -> int:
        """Return the number of entries that stand."""
        return len(self.entries)

    def add(self, *entries: AnyEntry) -> Log:
        """Return a log with these entries too; the rest is not put in order again."""
        standing = {entry.id for entry in self.entries}
        if any(entry.id in standing for entry in entries) or len(entries) > FEW:
            return Log(entries=(*self.entries, *entries), history=self.history)
        taken = standing | {old.entry.id for old in self.history}
        kept = list(self.entries)
        for entry in entries:
            named = named_entry(entry, taken)
            taken.add(named.id)
            bisect.insort(kept, named, key=sort_key)
        return self.with_each(kept)

    def get(self, entry_id: str) -> AnyEntry:
        """
        Return one entry by its id.

        Parameters
        ----------
        entry_id : str
            Identifier of the entry.
        """
        for entry in self.entries:
            if entry.id == entry_id:
                return entry
        raise CheckInError(
            f"there is no entry {entry_id!r} in this log; it may have been withdrawn or corrected: "
            "reload the page and pick it again"
        )

    def correct(self, entry_id: str, entry: AnyEntry, why: str = "corrected") -> Log:
        """
        Return a log in which ``entry`` stands instead; the old one moves to the history.

        Parameters
        ----------
        entry_id : str
            Identifier of the entry.
        entry : AnyEntry
            What stands in its place.
        why : str
            Reason, for the history.
        """
        old = self.get(entry_id)
        kept = tuple(e for e in self.entries if e.id != entry_id)
        # The corrected entry keeps its identity only if the caller says so.
        fresh = entry if entry.id != entry_id else entry.model_copy(update={"id": ""})
        return Log(entries=(*kept, fresh), history=(*self.history, Superseded(entry=old, why=why)))

    def withdraw(self, entry_id: str, why: str) -> Log:
        """
        Return a log without the entry, which moves to the history with the reason.

        Parameters
        ----------
        entry_id : str
            Identifier of the entry.
        why : str
            Reason, for the history.
        """
        if not why.strip():
            raise CheckInError(f"withdrawing {entry_id!r} needs a reason; say in a few words why")
        old = self.get(entry_id)
        kept = tuple(e for e in self.entries if e.id != entry_id)
        return Log(entries=kept, history=(*self.history, Superseded(entry=old, why=why)))

    def merge(self, other: Log) -> Log:
        """
        Return a log with the entries of both; an entry with the same id counts once.

        Parameters
        ----------
        other : Log
            The other log.
        """
        mine = {entry.id for entry in self.entries}
        gone = {old.entry.id for old in self.history}
        new = tuple(e for e in other.entries if e.id not in mine and e.id not in gone)
        past = {old.entry.id for old in other.history}
        kept = tuple(e for e in self.entries if e.id not in past)
        older = tuple(o for o in other.history if o.entry.id not in gone)
        return Log(entries=(*kept, *new), history=(*self.history, *older))

    def of(self, kind: type[E]) -> tuple[E, ...]:
        """
        Return the entries of one kind, oldest first.

        Parameters
        ----------
        kind : type[E]
            Class of the entries.
        """
        return tuple(entry for entry in self.entries if isinstance(entry, kind))

    def between(self, first: dt.date, last: dt.date) -> Log:
        """
        Return the entries of the days from ``first`` to ``last``, and events that reach in.

        Parameters
        ----------
        first : date
            First day.
        last : date
            Last day.
        """
        return self.with_each(e for e in self.entries if _reaches(e, first, last))

    def with_each(self, entries: Iterable[AnyEntry]) -> Log:
        """
        Return a log of some of these entries, for reading only.

        Parameters
        ----------
        entries : iterable of entry
            In this log's order and under its ids; what they say may have been filled in.

        Returns
        -------
        Log
            Not put in order or checked again, which takes most of the time of making one.
        """
        return Log.model_construct(entries=tuple(entries), history=self.history)

    def days_of(self, *kinds: EventKind) -> frozenset[dt.date]:
        """Return every day covered by an event of these kinds."""
        return frozenset(
            event.on + dt.timedelta(days=offset)
            for event in self.of(Event)
            if event.what in kinds
            for offset in range((event.last_day - event.on).days + 1)
        )

    def phase_starts(self) -> tuple[dt.date, ...]:
        """Return the days on which a phase began, oldest first."""
        return tuple(sorted(e.on for e in self.of(Event) if e.what == "phase change"))

    def __contains__(self, entry_id: object) -> bool:
        """Return whether an entry of this id stands."""
        return any(entry.id == entry_id for entry in self.entries)

    def each(self) -> Iterator[AnyEntry]:
        """Go through the entries, oldest first."""
        return iter(self.entries)


def _reaches(entry: LogEntry, first: dt.date, last: dt.date) -> bool:
    end = entry.last_day if isinstance(entry, Event) else entry.on
    return entry.on <= last and end >= first


def log_of(entries: Iterable[AnyEntry]) -> Log:
    """
    Return a log of these entries.

    Parameters
    ----------
    entries : Iterable[AnyEntry]
        Entries in any order.
    """
    return Log(entries=tuple(entries))
