"""How a client eats, logs and weighs, and the luck of every day; hidden."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from tests.studies.second_world.calendar import Calendar
from tests.studies.second_world.person import Person
from tests.studies.second_world.worlds import World

LAST_DAY = 150
"""Luck is drawn for so many days."""


@dataclass(frozen=True)
class Habits:
    """How a client eats, logs and weighs, hidden."""

    adherence: float
    bias: float
    drift: float
    log_missing: float
    reading_missing: float
    training_days: tuple[int, ...]
    logs_sessions: bool
    watch: float
    """What the watch or table says over the gross cost."""
    logs_steps: bool
    logs_cycle: bool
    scanned: bool
    clothes_kg: float
    other_scale_kg: float
    evening_kg_per_hour: float
    weekend_kcal: float
    fibre: float


class Luck:
    """Chance of every day, drawn once: standard normal and uniform numbers by name."""

    NORMAL = ("eat", "sodium", "move", "drift", "water", "scale", "log", "train", "bowel", "steps")
    UNIFORM = ("bad", "log_bad", "log", "skip", "odd", "odd_kind", "told", "session", "hour")

    def __init__(self, rng: np.random.Generator) -> None:
        self.normal = {name: rng.standard_normal(LAST_DAY).tolist() for name in self.NORMAL}
        self.uniform = {name: rng.random(LAST_DAY).tolist() for name in self.UNIFORM}


def draw_habits(
    world: World, person: Person, calendar: Calendar, rng: np.random.Generator
) -> Habits:
    """Draw how a person eats, logs and weighs."""
    low, mode, high = world.adherence
    days = rng.permutation(7)[: person.sessions_a_week]
    logs_sessions = bool(rng.random() < 0.6)
    return Habits(
        adherence=float(rng.triangular(low, mode, high)),
        bias=world.bias[0] * math.exp(rng.normal(0, world.bias[1])),
        drift=rng.normal(0, world.bias_drift) if world.bias_drift else 0.0,
        log_missing=rng.uniform(*world.log_missing),
        reading_missing=rng.uniform(*world.reading_missing),
        training_days=tuple(int(day) for day in days),
        logs_sessions=calendar.step_logged or logs_sessions,
        # Watches were 27 % and more off, mostly above: Shcherbina 2017 (from memory).
        watch=rng.lognormal(math.log(1.1), 0.2),
        logs_steps=bool(rng.random() < 0.5),
        logs_cycle=bool(rng.random() < 0.6),
        scanned=bool(rng.random() < world.scans),
        # Whigham 2013, doi:10.1038/ijo.2012.20: 1.2 (men), 0.8 kg (women), SD 0.3: published.
        clothes_kg=max(0.2, rng.normal(0.8 if person.female else 1.2, 0.3)),
        other_scale_kg=rng.normal(0, 0.7),  # common practice
        # 0.7 kg more in the evening than in the morning of one adult over 15 days (one diary);
        # 1 to 1.5 kg in others: from memory.
        evening_kg_per_hour=max(0.0, rng.normal(0.1, 0.03)),
        weekend_kcal=max(0.0, rng.normal(world.weekend_kcal, world.weekend_kcal / 2)),
        fibre=1 + max(0.0, rng.normal(0.25, 0.15)),  # a plant-based plan after a mixed diet
    )
