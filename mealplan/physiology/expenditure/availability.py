"""
Energy availability: what food leaves for the body after training, per kilogram of fat-free mass.

One number is never a diagnosis. In women the evidence is a gradient with 30 as the usual research
cut-off; men have no agreed one. It is a seven-day mean with an uncertainty of about five units, and
is not computed without fat-free mass.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from mealplan.errors import IntakeError
from mealplan.physiology.checks import require_not_negative, require_positive
from mealplan.physiology.tables import constants
from mealplan.references.tables import Sex
from mealplan.science.equations import equation

_C = {key: constant.value for key, constant in constants("energy_availability").items()}

Level = Literal["low", "reduced", "adequate"]


@dataclass(frozen=True)
class EnergyAvailability:
    """
    Energy availability with its uncertainty.

    Attributes
    ----------
    value : float
        Intake less training, per kilogram fat-free mass. [kcal/kg/day]
    sd : float
        Standard deviation. [kcal/kg/day]
    low, high : float
        Ends of the 90 % range. [kcal/kg/day]
    intake_part, exercise_part, ffm_part : float
        What one standard deviation of each adds; the largest is worth measuring better.
        [kcal/kg/day]
    days : int
        Days the mean rests on.
    """

    value: float
    sd: float
    low: float
    high: float
    intake_part: float
    exercise_part: float
    ffm_part: float
    days: int


@equation("energy availability")
def availability(
    intake_kcal: float,
    exercise_net_kcal: float,
    ffm_kg: float,
    *,
    intake_sd: float = _C["intake_sd"],
    exercise_sd: float = _C["exercise_sd"],
    ffm_sd: float = _C["ffm_sd"],
    days: int = 1,
) -> EnergyAvailability:
    """
    Work out energy availability and its uncertainty.

    Parameters
    ----------
    intake_kcal : float
        Energy eaten. [kcal/day]
    exercise_net_kcal : float
        Cost of training beyond rest; gross cost gives a lower value. [kcal/day]
    ffm_kg : float
        Fat-free mass, bone included. [kg]
    intake_sd, exercise_sd, ffm_sd : float
        Relative standard deviations. [fraction]
    days : int
        Days the inputs are means of.

    Returns
    -------
    EnergyAvailability
    """
    require_not_negative("intake_kcal", intake_kcal, "kcal/day", mend="Log intake for the week.")
    require_not_negative("exercise_net_kcal", exercise_net_kcal, "kcal/day", mend="Use net cost.")
    require_positive(
        "ffm_kg", ffm_kg, "kg", mend="Without fat-free mass it cannot be worked out; scan first."
    )
    value = (intake_kcal - exercise_net_kcal) / ffm_kg
    by_intake = intake_sd * intake_kcal / ffm_kg
    by_exercise = exercise_sd * exercise_net_kcal / ffm_kg
    by_ffm = ffm_sd * abs(value)
    sd = math.hypot(by_intake, by_exercise, by_ffm)
    return EnergyAvailability(
        value=value,
        sd=sd,
        low=value - 1.645 * sd,
        high=value + 1.645 * sd,
        intake_part=by_intake,
        exercise_part=by_exercise,
        ffm_part=by_ffm,
        days=days,
    )


def weekly_availability(
    intake_kcal: Sequence[float | None],
    exercise_net_kcal: Sequence[float | None],
    ffm_kg: float,
) -> EnergyAvailability:
    """
    Work out the mean over a week, leaving out days that were not recorded.

    Parameters
    ----------
    intake_kcal, exercise_net_kcal : sequence of float or None
        Seven days each; None is not recorded, which is not the same as 0. [kcal/day]
    ffm_kg : float
        Fat-free mass. [kg]

    Returns
    -------
    EnergyAvailability
        ``days`` says how many days it rests on.

    Raises
    ------
    IntakeError
        When there are not seven days, or fewer than five are complete.
    """
    if len(intake_kcal) != 7 or len(exercise_net_kcal) != 7:
        raise IntakeError(
            "a weekly mean needs seven days of intake and of training, None if unknown."
        )
    complete = [
        (eaten, trained)
        for eaten, trained in zip(intake_kcal, exercise_net_kcal, strict=True)
        if eaten is not None and trained is not None
    ]
    if len(complete) < _C["least_days"]:
        raise IntakeError(
            f"only {len(complete)} of 7 days have both intake and training: "
            f"a weekly mean needs {_C['least_days']:.0f}. Log the missing days."
        )
    count = len(complete)
    return availability(
        math.fsum(e for e, _ in complete) / count,
        math.fsum(t for _, t in complete) / count,
        ffm_kg,
        days=count,
    )


@equation("energy availability")
def intake_for_availability(target: float, exercise_net_kcal: float, ffm_kg: float) -> float:
    """
    Give the intake that leaves a wanted energy availability.

    Parameters
    ----------
    target : float
        Wanted value. [kcal/kg/day]
    exercise_net_kcal : float
        Cost of training beyond rest. [kcal/day]
    ffm_kg : float
        Fat-free mass. [kg]

    Returns
    -------
    float
        Intake. [kcal/day]
    """
    require_positive("target", target, "kcal/kg/day", mend="Use 30 for the usual lower limit.")
    require_not_negative("exercise_net_kcal", exercise_net_kcal, "kcal/day", mend="Use net cost.")
    require_positive("ffm_kg", ffm_kg, "kg", mend="Scan first.")
    return target * ffm_kg + exercise_net_kcal


@dataclass(frozen=True)
class AvailabilityReading:
    """
    What a value means for this person.

    Attributes
    ----------
    level : str
        ``"low"``, ``"reduced"`` or ``"adequate"``.
    sure : bool
        True when the whole 90 % range lies in that level.
    words : str
        One sentence for the worksheet.
    """

    level: Level
    sure: bool
    words: str


def _level(value: float, sex: Sex) -> Level:
    low = _C["low"] if sex == "female" else _C["men_low"]
    enough = _C["adequate"] if sex == "female" else _C["men_adequate"]
    return "low" if value < low else "reduced" if value < enough else "adequate"


def read_availability(found: EnergyAvailability, sex: Sex) -> AvailabilityReading:
    """
    Read a value for a woman or a man.

    Parameters
    ----------
    found : EnergyAvailability
        The value.
    sex : str
        ``"male"`` or ``"female"``.

    Returns
    -------
    AvailabilityReading
    """
    level = _level(found.value, sex)
    sure = _level(found.low, sex) == level == _level(found.high, sex)
    if sex == "female":
        words = {
            "low": "below 30, the usual research cut-off for women",
            "reduced": "between 30 and 45: tolerable for a short, planned and watched loss",
            "adequate": "45 or more, about balance in the women studied",
        }[level]
    else:
        words = {
            "low": "below 25; there is no agreed cut-off for men, but this is low in any study",
            "reduced": "between 25 and 40; there is no agreed cut-off for men",
            "adequate": "40 or more; an active man in balance can sit just above 40",
        }[level]
    range_words = f"{found.value:.0f} ({found.low:.0f} to {found.high:.0f}): {words}"
    if not sure:
        range_words += "; the range reaches into another level, so the data cannot tell for certain"
    return AvailabilityReading(level, sure, range_words)
