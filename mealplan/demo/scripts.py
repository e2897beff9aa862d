"""Whom the demo histories are of, week by week."""

from __future__ import annotations

from dataclasses import dataclass, field

from mealplan.checkin.decide.record import Action
from mealplan.checkin.log.entries import (
    GirthSite,
)

WEEKS = 12
DAYS = 7 * WEEKS
FIRST_CHECK_IN_WEEK = 3


@dataclass(frozen=True)
class Script:
    """What happens to one client; days are counted from the start of the phase."""

    client: str
    seed: int
    true_over_predicted: float
    """True expenditure over what the targets took it for."""
    fat_fraction: float
    """Fat share of every change (trained, fed on protein). [fraction]"""
    settling_kg: float
    """Water and gut content that come or go with the new way of eating. [kg]"""
    sick: range
    away: range
    travels: bool
    """True when the days away are travel, written down afterwards; else nothing is written."""
    slip: int
    """Day on which the reading is written in the wrong unit."""
    pounds: bool
    girths: tuple[tuple[GirthSite, float, float, float], ...]
    """(site, length at the start [cm], change per kg of fat, per kg of lean tissue [cm/kg])."""
    sessions: tuple[tuple[int, str, int, float], ...]
    """(weekday, what, minutes, net energy [kcal])."""
    tests: tuple[tuple[int, str, float, str], ...]
    """(day, test, result, unit)."""
    answers: tuple[tuple[Action, str, float | None], ...]
    """The coach's answers to proposals to move, in order; the last one repeats."""
    hunger: int
    """How hungry at the start, 1 to 5."""
    eaten: tuple[tuple[int, str, float], ...] = field(default=())
    """(day, what was eaten otherwise, energy [kcal])."""


LIFTER = Script(
    client="club-lifter",
    seed=21,
    true_over_predicted=1.045,
    fat_fraction=0.5,
    settling_kg=0.6,
    sick=range(30, 37),
    away=range(51, 65),
    travels=False,
    slip=18,
    pounds=False,
    girths=(
        ("waist", 84.0, 0.9, 0.1),
        ("chest", 101.0, 0.3, 0.6),
        ("upper arm", 35.5, 0.1, 0.35),
        ("thigh", 58.0, 0.3, 0.5),
    ),
    sessions=(
        (0, "squats and presses", 75, 330.0),
        (1, "pulls and rows", 75, 330.0),
        (3, "deadlifts and dips", 75, 330.0),
        (4, "circuit with the club", 60, 380.0),
    ),
    tests=(
        (0, "back squat, five repetitions", 110.0, "kg"),
        (0, "bench press, five repetitions", 82.5, "kg"),
        (2, "2 km on the rowing machine", 7.6, "min"),
        (42, "back squat, five repetitions", 115.0, "kg"),
        (77, "back squat, five repetitions", 120.0, "kg"),
        (77, "bench press, five repetitions", 87.5, "kg"),
        (79, "2 km on the rowing machine", 7.5, "min"),
    ),
    answers=(
        ("amend", "in smaller steps, there is little appetite for more", 80.0),
        ("accept", "", None),
    ),
    hunger=2,
    eaten=((12, "club dinner", 4100.0), (40, "wedding of a friend", 3900.0)),
)
CLIMBER = Script(
    client="club-climber",
    seed=2,
    true_over_predicted=0.96,
    fat_fraction=0.75,
    settling_kg=-0.7,
    sick=range(24, 31),
    away=range(44, 58),
    travels=True,
    slip=65,
    pounds=True,
    girths=(("waist", 88.0, 0.9, 0.1), ("hip", 99.0, 0.7, 0.2), ("upper arm", 33.0, 0.15, 0.35)),
    sessions=(
        (1, "bouldering", 90, 520.0),
        (3, "finger board and pull-ups", 60, 260.0),
        (5, "climbing on rope", 120, 640.0),
        (6, "easy run", 40, 420.0),
    ),
    tests=(
        (1, "hang on a 20 mm edge, added weight, 10 s", 22.5, "kg"),
        (1, "pull-ups without a pause", 11.0, "repetitions"),
        (6, "5 km run", 25.4, "min"),
        (36, "pull-ups without a pause", 13.0, "repetitions"),
        (78, "hang on a 20 mm edge, added weight, 10 s", 27.5, "kg"),
        (78, "pull-ups without a pause", 14.0, "repetitions"),
        (76, "5 km run", 24.6, "min"),
    ),
    answers=(
        ("accept", "", None),
        ("decline", "hungry and sleeping badly; keep it and look again", None),
    ),
    hunger=3,
    eaten=((20, "birthday of the rope partner", 3700.0), (61, "buffet at a hut", 3500.0)),
)
SCRIPTS = (LIFTER, CLIMBER)
