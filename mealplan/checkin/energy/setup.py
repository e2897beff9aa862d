"""What is known of a client before the log, and which states the log has something to say about."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median

import numpy as np

from mealplan.checkin.energy import states as at
from mealplan.checkin.energy.bank import Floats
from mealplan.checkin.energy.partition import Energetics
from mealplan.checkin.log.days import Day


@dataclass(frozen=True)
class Setup:
    """
    What is known of a client before the log.

    Attributes
    ----------
    mass_kg : float
    expenditure_kcal, expenditure_sd_kcal : float
        On the logging scale. [kcal/day]
    body : Energetics
    direction : {-1, 0, 1}
        Which way mass is meant to go on days whose phase has no name in the log.
    training_kcal : float or None
        Net cost of the training planned at the start. [kcal/day]
    cycle : {"none", "logged", "unlogged"}
        Whether there is a monthly pattern, and whether the log says where in it a day is.
    active : tuple of int
        States in use.
    """

    mass_kg: float
    expenditure_kcal: float
    expenditure_sd_kcal: float
    body: Energetics
    direction: int = 0
    training_kcal: float | None = None
    cycle: str = "none"
    active: tuple[int, ...] = tuple(range(at.TRAINED))

    def prior(self) -> tuple[Floats, Floats]:
        """Give mean and spread of every state in use."""
        mean, sd = np.zeros(at.STATES), np.zeros(at.STATES)
        for state, (middle, spread) in at.USUAL.items():
            mean[state], sd[state] = middle, spread
        mean[at.MASS], sd[at.MASS] = self.mass_kg, at.MASS_SD_KG
        mean[at.BASE], sd[at.BASE] = self.expenditure_kcal, self.expenditure_sd_kcal
        density = self.body.density_kcal_per_kg(self.direction)
        sd[at.STORE] = self.body.density_sd_kcal_per_kg / density
        sd[[at.WEEK_COS, at.WEEK_SIN]] = at.WEEK_FRACTION * self.mass_kg
        sd[[at.MONTH_COS, at.MONTH_SIN]] = at.MONTH_SD_KG[self.cycle]
        keep = list(self.active)
        return mean[keep], sd[keep]


def set_up(
    rows: tuple[Day, ...],
    expenditure: tuple[float, float],
    body: Energetics,
    *,
    direction: int = 0,
    training_kcal: float | None = None,
    has_cycle: bool = False,
) -> Setup:
    """
    Choose the states that a log has something to say about.

    Parameters
    ----------
    rows : tuple of Day
        With one weighed day at least.
    expenditure : (float, float)
        Before the log, on the logging scale, and its spread. [kcal/day]
    body : Energetics
    direction : {-1, 0, 1}
    training_kcal : float, optional
        [kcal/day]
    has_cycle : bool
        True allows for a cycle that nobody logs.

    Returns
    -------
    Setup
    """
    weighed = [day.mass_kg for day in rows if day.mass_kg is not None]
    cycle = "unlogged" if has_cycle else "none"
    if any(day.cycle_day is not None for day in rows):
        cycle = "logged"
    wanted = {
        at.TRAINED: any(day.training_kcal is not None or day.training_change_kcal for day in rows),
        at.WALKED: any(day.steps is not None for day in rows),
        at.SCALE: any(day.other_scale for day in rows),
        at.CLOTHES: any(day.clothed for day in rows),
        at.MEAL: any(day.fed for day in rows),
        at.MONTH_COS: cycle != "none",
        at.MONTH_SIN: cycle != "none",
    }
    used = tuple(state for state in range(at.STATES) if wanted.get(state, True))
    return Setup(median(weighed[:5]), *expenditure, body, direction, training_kcal, cycle, used)
