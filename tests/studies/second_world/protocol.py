"""What a policy sees and says: plain records, no physiology, no product code."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Literal, Protocol

Phase = Literal["cut", "hold", "gain"]
EventKind = Literal["travel", "sick", "new diet", "creatine start", "refeed", "training change"]


@dataclass(frozen=True)
class Facts:
    """
    What an intake form gives of a client.

    Attributes
    ----------
    first_day : date
        Date of day 0; weekdays matter, for weekends differ.
    sex, age_years, height_cm, mass_kg
        Mass is one reading at the intake, on the usual scale, fasted. [years, cm, kg]
    body_fat_fraction
        As judged at the intake: wrong by about 0.04. [0 to 1]
    trained
        Resistance training for a year or more.
    lifts
        Resistance training two times a week or more through the phase.
    protein_g_per_kg
        As planned, per kg of body mass. [g/kg/day]
    predicted_kcal
        Expenditure as an equation would have it for this client with the training planned at the
        start; true expenditure lies about it by about 11 % (one SD). [kcal/day]
    training_kcal
        Net cost of the training planned at the start, averaged over the week; a part of
        ``predicted_kcal``. [kcal/day]
    steps
        Steps on a usual day, as the client says. [1/day]
    menstruates
        Whether there is a cycle, which may or may not be logged.
    """

    first_day: dt.date
    sex: Literal["female", "male"]
    age_years: float
    height_cm: float
    mass_kg: float
    body_fat_fraction: float
    trained: bool
    lifts: bool
    protein_g_per_kg: float
    predicted_kcal: float
    training_kcal: float
    steps: float
    menstruates: bool


@dataclass(frozen=True)
class WeighIn:
    """One reading of a scale, with its conditions as the client told them; None is not told."""

    day: int
    kg: float
    hour: float | None = None
    usual_scale: bool | None = None
    clothed: bool | None = None
    fasted: bool | None = None


@dataclass(frozen=True)
class Eaten:
    """Energy logged for one day. [kcal]"""

    day: int
    kcal: float


@dataclass(frozen=True)
class Session:
    """One logged training session: net energy as watch or table gave it. [kcal, minutes]"""

    day: int
    net_kcal: float
    minutes: float


@dataclass(frozen=True)
class Steps:
    """Steps counted on one day. [1/day]"""

    day: int
    count: float


@dataclass(frozen=True)
class Event:
    """
    Something told, from ``day`` to ``until`` inclusive.

    A "training change" has in ``kcal_per_day`` how much more (or less) net energy the training
    week costs by the coach's own reckoning from ``day`` on; ``until`` is then ``day``.
    """

    day: int
    until: int
    what: EventKind
    kcal_per_day: float | None = None


@dataclass(frozen=True)
class CycleStart:
    """First day of bleeding."""

    day: int


@dataclass(frozen=True)
class Scan:
    """A body scan; precision of a repeat is 0.44 kg for fat, 0.55 kg for the rest. [kg]"""

    day: int
    fat_kg: float
    lean_kg: float


@dataclass(frozen=True)
class Plan:
    """
    The plan in force.

    Attributes
    ----------
    phase, rate_kg_per_week
        What is wanted; the rate is negative in a cut and 0 in a hold. [kg/week]
    kcal
        Planned energy. [kcal/day]
    day
        Today: the days 0 to ``day`` − 1 are in the log.
    """

    phase: Phase
    rate_kg_per_week: float
    kcal: float
    day: int


@dataclass
class PublicLog:
    """
    Everything logged and told so far, oldest first within each list.

    ``plans`` has (day, kcal) for every change of plan, the first being (0, kcal): from that day on.
    """

    weigh_ins: list[WeighIn] = field(default_factory=list)
    eaten: list[Eaten] = field(default_factory=list)
    sessions: list[Session] = field(default_factory=list)
    steps: list[Steps] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    cycle_starts: list[CycleStart] = field(default_factory=list)
    scans: list[Scan] = field(default_factory=list)
    plans: list[tuple[int, float]] = field(default_factory=list)

    def planned_on(self, day: int) -> float:
        """Return the energy planned for a day, in kcal."""
        return next(kcal for since, kcal in reversed(self.plans) if since <= day)


@dataclass(frozen=True)
class Band:
    """A best value with the ends of its 90 % band."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Verdict:
    """What a policy says at one weekly look."""

    move_kcal: float = 0.0
    gap: Band | None = None
    level: Band | None = None
    slope: Band | None = None
    expenditure: Band | None = None
    why: str = ""


class Policy(Protocol):
    """Looks at a client once a week, says what it believes, and moves the plan or holds it."""

    name: str

    def start(self, facts: Facts) -> None:
        """Begin with a new client, forgetting the one before."""

    def look(self, log: PublicLog, plan: Plan) -> Verdict:
        """Say what is believed on ``plan.day`` and what to do."""
