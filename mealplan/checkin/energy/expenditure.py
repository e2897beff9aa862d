"""
Energy spent, on the client's own logging scale, from what was eaten, done and weighed.

Somebody who logs a sixth too little spends, on that scale, a sixth too little as well; plans are
logged on the same scale, so the constant part of the error cancels. What does not cancel is
inconsistency, and it is in the uncertainty.

References
----------
.. [1] Hall et al., Lancet 378(9793), 2011, doi:10.1016/S0140-6736(11)60812-X.
.. [2] Racette et al., Obesity 20(7), 2012, doi:10.1038/oby.2011.178 (stores from home weights).
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

import numpy as np

from mealplan.checkin.energy import states as at
from mealplan.checkin.energy.bank import NEVER, Belief, Floats, predict, update
from mealplan.checkin.energy.bank_jumps import collapse
from mealplan.checkin.energy.log_reading import LogReading, night_of, row_of
from mealplan.checkin.energy.mixture import Mixture
from mealplan.checkin.energy.reading import JUMP_SLOTS
from mealplan.science.quantity import NINETY_PERCENT, Quantity

LOGGED_SHARE = 0.93
"""What people write down of what they eat from a plan, on average.

Free diet records fell 18 % short of need in feeding studies; food cooked and weighed from a plan
is taken to fall short by less than half of that (assumption).
"""
LOGGING_SD_FRACTION = 0.10
"""Spread of people's constant logging bias; a third fall short by over 25 %."""
SHIFT_CHANCE = 0.5
"""A change of expenditure is spoken of when it is more likely than not."""
SAME_SHIFT_DAYS = 15
"""Jumps this near to the likeliest one are the same change, dated unsurely. [days]"""
DAYS_PER_WEEK = 7


@dataclass(frozen=True)
class Prior:
    """Maintenance energy before any weigh-in, true scale, from the targets. [kcal/day]."""

    kcal: float
    sd_kcal: float

    def on_logging_scale(self) -> tuple[float, float]:
        """Give it as this client would log it, widened by not knowing how the client logs."""
        kcal = LOGGED_SHARE * self.kcal
        return kcal, math.hypot(LOGGED_SHARE * self.sd_kcal, LOGGING_SD_FRACTION * kcal)


def level(reading: LogReading) -> Mixture:
    """
    Give body mass without passing water.

    Parameters
    ----------
    reading : LogReading

    Returns
    -------
    Mixture
        [kg]
    """
    row = np.zeros(len(reading.setup.active))
    row[at.MASS] = 1.0
    return reading.believed(row)


def spent(reading: LogReading, intake_kcal: float | None = None) -> Mixture:
    """
    Give expenditure at an intake, on the logging scale.

    Parameters
    ----------
    reading : LogReading
    intake_kcal : float, optional
        What was usual of late when left out. [kcal/day]

    Returns
    -------
    Mixture
        [kcal/day]
    """
    intake = reading.usual_kcal() if intake_kcal is None else intake_kcal
    return reading.believed(reading.spending, reading.answered_kcal(intake))


def slope(reading: LogReading) -> Mixture:
    """
    Give the pace of tissue, water aside, over the last week.

    Parameters
    ----------
    reading : LogReading

    Returns
    -------
    Mixture
        [kg/week]
    """
    intake, intake_sd = reading.last_week_kcal()
    factor = DAYS_PER_WEEK / reading.density_kcal_per_kg
    net = intake - reading.answered_kcal(intake)
    center, _ = collapse(reading.belief)
    balance = net - center @ reading.spending
    row = -factor * (1.0 + center[at.STORE]) * reading.spending
    row[at.STORE] += factor * balance
    # Linear about the middle: (1 + e)(net - s) = net - s + e (net - s), both parts moving.
    constant = factor * (1.0 + center[at.STORE]) * net - factor * center[at.STORE] * balance
    return reading.believed(row, constant, sd=factor * intake_sd)


def gap(reading: LogReading, target_kcal: float, rate_kg_per_week: float) -> Mixture:
    """
    Give what the wanted rate needs to be eaten, less what is planned.

    Parameters
    ----------
    reading : LogReading
    target_kcal : float
        Planned. [kcal/day]
    rate_kg_per_week : float
        Wanted. [kg/week]

    Returns
    -------
    Mixture
        On the logging scale; positive when the plan is too low. [kcal/day]
    """
    row, stored = needed_row(reading, rate_kg_per_week)
    kept = 1.0 - reading.setup.body.thermic_fraction
    thermic = reading.answered_kcal(0.0)
    return reading.believed(row, (stored + thermic) / kept - target_kcal)


def needed_row(reading: LogReading, rate_kg_per_week: float) -> tuple[Floats, float]:
    """
    Say how the states add up to the intake a rate needs.

    Parameters
    ----------
    reading : LogReading
    rate_kg_per_week : float
        [kg/week]

    Returns
    -------
    row : (k,)
    stored_kcal : float
        Stored a day at the expected density. [kcal/day]
    """
    stored = rate_kg_per_week / DAYS_PER_WEEK * reading.density_kcal_per_kg
    row = reading.spending.copy()
    row[at.STORE] -= stored
    # A part of extra food is spent at once, so that more of it is needed.
    return row / (1.0 - reading.setup.body.thermic_fraction), stored


# ---- changes ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Shift:
    """
    A change of expenditure that the log speaks for.

    Attributes
    ----------
    on : date
        About when.
    chance : float
        That there was one in the weeks the filter keeps apart.
    kcal, low_kcal, high_kcal : float
        Its size and 90 % range. [kcal/day]
    """

    on: dt.date
    chance: float
    kcal: float
    low_kcal: float
    high_kcal: float

    @property
    def words(self) -> str:
        """The change in one clause."""
        return (
            f"expenditure seems to have changed around {self.on.day} {self.on:%B} by "
            f"{self.kcal:+.0f} ({self.low_kcal:+.0f} to {self.high_kcal:+.0f}) kcal a day"
        )


def shift(reading: LogReading) -> Shift | None:
    """
    Say whether, when and by how much expenditure has lately changed.

    Parameters
    ----------
    reading : LogReading

    Returns
    -------
    Shift or None
        None when the log does not speak for one.
    """
    belief = reading.belief
    weights = belief.weights
    slots = [slot for slot in JUMP_SLOTS if belief.born[slot] != NEVER]
    if not slots:
        return None
    by_slot = weights[slots].sum(axis=1)
    chance = float(by_slot.sum())
    if chance < SHIFT_CHANCE:
        return None
    # Slots far from the best one hold what little the log leaves open, not this change.
    best = belief.born[slots[int(by_slot.argmax())]]
    slots = [slot for slot in slots if abs(belief.born[slot] - best) <= SAME_SHIFT_DAYS]
    by_slot = weights[slots].sum(axis=1)
    apart = weights[slots] / by_slot.sum()
    size = Mixture(
        apart.ravel(),
        belief.mean[slots][..., at.JUMP].ravel(),
        np.sqrt(belief.covariance[slots][..., at.JUMP, at.JUMP].ravel()),
    )
    day = round(float(by_slot @ belief.born[slots] / by_slot.sum()))
    low, high = size.band
    if low < 0 < high:
        return None
    return Shift(reading.rows[day].on, chance, size.mean, low, high)


# ---- how much longer ----------------------------------------------------------------------------


def mornings_until(
    reading: LogReading, row: Floats, wanted_sd: float, weekly: float, *, most_days: int = 112
) -> int | None:
    """
    Tell how many more weigh-ins bring the spread of a sum of states down to what is wanted.

    The bank's learned noise is carried forward with the client's own frequency of weighing.

    Parameters
    ----------
    reading : LogReading
    row : (k,)
    wanted_sd : float
    weekly : float
        Weigh-ins a week, above 0, up to 7.
    most_days : int
        How far to look ahead. [days]

    Returns
    -------
    int or None
        None when it would take longer, or never gets there.
    """
    mean, covariance = collapse(reading.belief)
    shares = reading.belief.weights.sum(axis=0)
    known = reading.characters
    noise, slow, drift = (
        np.sqrt([shares @ values**2])
        for values in (known.noise_kg, known.slow_kg, known.drift_kcal)
    )
    character = at.Characters(noise, slow, drift, np.zeros(1), np.zeros(1))
    ahead = Belief(0, mean[None, None], covariance[None, None], np.zeros((1, 1)), np.array([NEVER]))
    day, due, taken = reading.rows[-1], 0.0, 0
    for _ in range(most_days):
        ahead = predict(ahead, night_of(reading.setup, day, reading.habits), character)
        day = type(day)(day.on + dt.timedelta(days=1), direction=day.direction)
        due += min(weekly, 7.0) / 7.0
        if due >= 1.0 - 1e-9:
            due, taken = due - 1.0, taken + 1
            seen = row_of(reading.setup, day, reading.habits, len(reading.rows) + taken)
            expected = float(ahead.mean[0, 0] @ seen)
            ahead, _ = update(ahead, seen, expected, at.READING_SD_KG**2)
        if math.sqrt(row @ ahead.covariance[0, 0] @ row) <= wanted_sd:
            return max(taken, 1)
    return None


# ---- the working --------------------------------------------------------------------------------


def equivalent_sd(believed: Mixture) -> float:
    """Give the spread of the normal distribution whose middle 90 % is as wide."""
    low, high = believed.band
    return (high - low) / (2.0 * NINETY_PERCENT)


def expenditure_quantity(reading: LogReading, intake_kcal: float | None = None) -> Quantity:
    """
    Give expenditure on the logging scale with its working.

    Parameters
    ----------
    reading : LogReading
    intake_kcal : float, optional
        [kcal/day]

    Returns
    -------
    Quantity
    """
    setup = reading.setup
    believed = spent(reading, intake_kcal)
    before = Quantity(
        key="expenditure_prior_kcal",
        label="expenditure from the targets, as this client would log it",
        value=setup.expenditure_kcal,
        unit="kcal/day",
        method=(
            f"{LOGGED_SHARE:.2f} of what the targets had; the spread is the targets' own and that "
            "of how people log"
        ),
        components={"error of the targets and of logging": setup.expenditure_sd_kcal},
    )
    usual = Quantity(
        key="usual_intake_kcal",
        label="usual intake of the last recorded days",
        value=reading.usual_kcal(),
        unit="kcal/day",
        method="mean of the last fourteen days on record",
        provenance="measured",
    )
    extra = reading.habits.extra_training_kcal(setup.training_kcal)
    notes = ["Holds for intake logged as before; a true figure may lie above it."]
    if abs(extra) >= 1.0:
        notes.append(f"Training costs {extra:+.0f} kcal a day against the first fortnight.")
    return Quantity(
        key="expenditure_kcal",
        label="expenditure on your logging scale",
        value=believed.mean,
        unit="kcal/day",
        method=(
            "day by day, mass moves by what was eaten less what was spent, over the energy a "
            f"kilogram holds ({reading.density_kcal_per_kg:,.0f} kcal); water, week and scale are "
            "set apart, and expenditure may drift or jump"
        ),
        source="energy balance with learned noise",
        inputs=(before, usual),
        components={"weigh-ins, eating and what came before": equivalent_sd(believed)},
        note=" ".join(notes),
    )
