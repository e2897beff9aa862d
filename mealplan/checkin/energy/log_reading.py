"""What a log told: each morning's belief, and the questions it answers."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from mealplan.checkin.energy import states as at
from mealplan.checkin.energy.bank import (
    Belief,
    Floats,
    Innovation,
    Night,
)
from mealplan.checkin.energy.habits import Habits, kcal_per_step
from mealplan.checkin.energy.mixture import SMALLEST_WEIGHT, Mixture
from mealplan.checkin.energy.setup import Setup
from mealplan.checkin.log.days import Day

UNREST_SD_KG = 0.3
"""Extra daily spread of slow water while sick or travelling (assumption). [kg]"""
REFEED_SD_KCAL = 300.0
"""Spread of a refeed's intake about what was logged (assumption). [kcal]"""


@dataclass(frozen=True)
class Morning:
    """
    One morning as the whole bank saw it, for looking back.

    Attributes
    ----------
    day : Day
    mean, covariance : (k,), (k, k)
        After the morning's reading.
    before, before_covariance : (k,), (k, k)
        Ahead of it.
    transition : (k, k)
        To the next morning.
    taken : Innovation or None
    spent_kcal, spent_sd_kcal : float
        Expenditure as believed that day. [kcal/day]
    """

    day: Day
    mean: Floats
    covariance: Floats
    before: Floats
    before_covariance: Floats
    transition: Floats
    taken: Innovation | None
    spent_kcal: float
    spent_sd_kcal: float


@dataclass(frozen=True)
class Scanned:
    """A scan with the filter's mass on its day."""

    fat_kg: float
    lean_kg: float
    error_kg: float
    mass_kg: float
    mass_sd_kg: float


@dataclass(frozen=True)
class Place:
    """Where the filter stands ahead of a day's reading."""

    belief: Belief
    habits: Habits
    scanned: Scanned | None = None


@dataclass(frozen=True)
class LogReading:
    """
    A log as read.

    Attributes
    ----------
    setup : Setup
    rows : tuple of Day
    mornings : tuple of Morning
        The last ones, up to a year.
    belief : Belief
        After the last day's reading.
    habits : Habits
        Of this morning.
    kept : tuple
        Mornings to read on from.
    """

    setup: Setup
    rows: tuple[Day, ...]
    mornings: tuple[Morning, ...]
    belief: Belief
    habits: Habits
    kept: tuple[tuple[int, Place], ...] = field(repr=False, default=())

    @property
    def characters(self) -> at.Characters:
        """Candidate characters of this client's noise."""
        return at.characters_of(self.setup.mass_kg)

    @property
    def direction(self) -> int:
        """Which way mass is meant to go now: -1, 0 or 1."""
        said = self.rows[-1].direction
        return self.setup.direction if said is None else said

    @property
    def density_kcal_per_kg(self) -> float:
        """Energy expected in a kilogram of change now, in kcal/kg."""
        return self.setup.body.density_kcal_per_kg(self.direction)

    @property
    def spending(self) -> Floats:
        """How the states add up to expenditure now, thermic answer aside."""
        return _spending(self.setup, self.habits)

    def usual_kcal(self) -> float:
        """Give the mean of the last recorded days, in kcal/day."""
        return self.habits.usual_kcal(self.setup.expenditure_kcal)

    def last_week_kcal(self) -> tuple[float, float]:
        """Give the mean intake of the last seven days, and its spread, in kcal/day."""
        week, usual = self.rows[-8:-1] or self.rows, self.usual_kcal()
        eaten = [usual if day.intake_kcal is None else day.intake_kcal for day in week]
        spread = math.hypot(*(day.intake_sd_kcal for day in week)) / len(week)
        return sum(eaten) / len(week), spread

    def answered_kcal(self, intake_kcal: float) -> float:
        """
        Give what is spent at once on eating this much, in kcal/day.

        Parameters
        ----------
        intake_kcal : float
            Intake to answer. [kcal/day]
        """
        extra = intake_kcal - self.setup.expenditure_kcal
        return self.setup.body.thermic_fraction * extra

    def believed(
        self, row: Floats, constant: float = 0.0, belief: Belief | None = None, sd: float = 0.0
    ) -> Mixture:
        """
        Give a sum of states as the bank believes it.

        Parameters
        ----------
        row : (k,) or (H, G, k)
            How the states add up.
        constant : float
            Added.
        belief : Belief, optional
            The last one when left out.
        sd : float
            Spread of what the states do not hold.

        Returns
        -------
        Mixture
        """
        held = belief or self.belief
        weights = held.weights
        used = weights > SMALLEST_WEIGHT
        rows = np.broadcast_to(row, held.mean.shape)[used]
        means = np.einsum("nk,nk->n", rows, held.mean[used]) + constant
        spread = np.einsum("ni,nij,nj->n", rows, held.covariance[used], rows) + sd**2
        share = weights[used] / weights[used].sum()
        return Mixture(share, means, np.sqrt(np.maximum(spread, 1e-12)))


def _spending(setup: Setup, habits: Habits) -> Floats:
    row = np.zeros(at.STATES)
    row[at.BASE] = row[at.JUMP] = 1.0
    row[at.ADAPT] = habits.adapting_kcal
    row[at.TRAINED] = habits.extra_training_kcal(setup.training_kcal)
    row[at.WALKED] = habits.extra_steps() * kcal_per_step(setup.mass_kg)
    return row[list(setup.active)]


def row_of(setup: Setup, day: Day, habits: Habits, number: int) -> Floats:
    """
    Say how the states add up to a day's reading.

    Parameters
    ----------
    setup : Setup
    day : Day
    habits : Habits
        Of the morning.
    number : int
        Days since the first.

    Returns
    -------
    (k,)
    """
    row = np.zeros(at.STATES)
    row[[at.MASS, at.SLOW, at.FAST]] = 1.0
    row[at.FOOD] = habits.food_mcal
    week = 2.0 * math.pi * day.on.weekday() / 7.0
    row[at.WEEK_COS], row[at.WEEK_SIN] = math.cos(week), math.sin(week)
    row[at.SCALE], row[at.CLOTHES], row[at.MEAL] = day.other_scale, day.clothed, day.fed
    place = number if setup.cycle == "unlogged" else day.cycle_day
    if place is not None:
        month = 2.0 * math.pi * place / 28.0
        row[at.MONTH_COS], row[at.MONTH_SIN] = math.cos(month), math.sin(month)
    return row[list(setup.active)]


def night_of(setup: Setup, day: Day, habits: Habits) -> Night:
    """
    Put together what is known of a day and its night.

    Parameters
    ----------
    setup : Setup
    day : Day
    habits : Habits
        That day's included.

    Returns
    -------
    Night
    """
    usual = habits.usual_kcal(
        setup.expenditure_kcal if day.planned_kcal is None else day.planned_kcal
    )
    intake = usual if day.intake_kcal is None else day.intake_kcal
    spread = day.intake_sd_kcal
    if day.refeed:
        spread = math.hypot(spread, REFEED_SD_KCAL)
    direction = setup.direction if day.direction is None else day.direction
    return Night(
        intake_kcal=intake,
        intake_sd_kcal=spread,
        answered_kcal=setup.body.thermic_fraction * (intake - setup.expenditure_kcal),
        spending=_spending(setup, habits),
        store_kg_per_kcal=1.0 / setup.body.density_kcal_per_kg(direction),
        per_kg_kcal=setup.body.per_kg_kcal,
        water_kg=day.water_kg,
        water_sd_kg=day.water_sd_kg,
        unrest_sd_kg=UNREST_SD_KG if day.disturbed else 0.0,
    )
