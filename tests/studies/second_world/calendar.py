"""What happens to a client and when: travel, illness, creatine, refeeds, scales, training."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from tests.studies.second_world.person import Person
from tests.studies.second_world.protocol import Event, EventKind
from tests.studies.second_world.worlds import World

STEP_KCAL = (150.0, 400.0)
FIRST_STEP_DAY, LAST_STEP_DAY = 14, 70
"""An untold change comes from the third week on, early enough for six weeks after it."""


@dataclass
class Calendar:
    """Days of one client, hidden; sizes are real ones."""

    told: list[Event] = field(default_factory=list)
    travel: set[int] = field(default_factory=set)
    sick: set[int] = field(default_factory=set)
    refeeds: set[int] = field(default_factory=set)
    creatine_day: int | None = None
    creatine_kg: float = 0.0
    creatine_days: float = 3.0
    """Time constant of the filling. [days]"""
    new_scale_day: int | None = None
    new_scale_kg: float = 0.0
    step_day: int | None = None
    step_kcal: float = 0.0
    """Real effect on expenditure, compensation taken off. [kcal/day]"""
    step_logged: bool = False


def draw_calendar(world: World, person: Person, days: int, rng: np.random.Generator) -> Calendar:
    """Draw what happens to a person over so many days."""
    out = Calendar()

    def tell(what: EventKind, day: int, until: int) -> None:
        if rng.random() < world.event_told:
            out.told.append(Event(day, until, what))

    if rng.random() < world.travel:
        start, length = int(rng.integers(5, days - 10)), int(rng.integers(3, 11))
        out.travel.update(range(start, start + length))
        tell("travel", start, start + length - 1)
    if rng.random() < world.sick:
        start, length = int(rng.integers(5, days - 8)), int(rng.integers(3, 8))
        out.sick.update(range(start, start + length))
        tell("sick", start, start + length - 1)
    if rng.random() < world.creatine:
        out.creatine_day = int(rng.integers(5, days - 20))
        # 0.75 kg after 7 days of 25 g (Powers 2003, J Athl Train 38:44: published); 1 to 2 kg in
        # others, and a slow way over four weeks (Hultman 1996: from memory).
        out.creatine_kg = float(np.clip(rng.normal(0.9, 0.35), 0.2, 2.0))
        out.creatine_days = 2.5 if rng.random() < 0.6 else 12.0
        tell("creatine start", out.creatine_day, out.creatine_day)
    if person.phase == "cut" and rng.random() < world.refeeds:
        every, told = int(rng.integers(7, 15)), rng.random() < world.event_told
        for day in range(int(rng.integers(7, 14)), days, every):
            out.refeeds.update((day, day + 1) if every > 10 else (day,))
            if told:
                out.told.append(Event(day, day + (1 if every > 10 else 0), "refeed"))
    if rng.random() < world.new_scale:
        out.new_scale_day = int(rng.integers(14, days - 14))
        out.new_scale_kg = float(rng.normal(0, 0.7))
    _draw_step(world, person, out, rng)
    return out


def _draw_step(world: World, person: Person, out: Calendar, rng: np.random.Generator) -> None:
    chance = {"none": 0.0, "some": 0.45, "untold": 1.0, "logged": 1.0}[world.step]
    happens, logged = rng.random() < chance, rng.random() < 0.5
    day, size = int(rng.integers(FIRST_STEP_DAY, LAST_STEP_DAY + 1)), rng.uniform(*STEP_KCAL)
    down, told, error = rng.random() < 0.5, rng.random() < 0.5, rng.normal(1.0, 0.15)
    if not happens:
        return
    usual = person.training_gross_kcal * (1 - person.compensation)
    sign = -1.0 if down and usual > size else 1.0
    out.step_day, out.step_kcal = day, sign * size
    out.step_logged = world.step == "logged" or (world.step == "some" and logged)
    if out.step_logged and told:
        gross = out.step_kcal / (1 - person.compensation) * error
        out.told.append(Event(day, day, "training change", kcal_per_day=float(gross)))
