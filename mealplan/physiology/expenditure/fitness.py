"""Heart rate: predicted maximum, and zones of heart-rate reserve."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from mealplan.errors import IntakeError
from mealplan.physiology.checks import require_between
from mealplan.physiology.tables import constants
from mealplan.science.equations import equation

_C = {key: constant.value for key, constant in constants("exercise_constants").items()}


@equation("heart rate")
def heart_rate_max(age_years: float) -> float:
    """
    Predict maximal heart rate from age.

    Parameters
    ----------
    age_years : float
        Age. [years]

    Returns
    -------
    float
        Maximal heart rate, within about 10 a minute for most people. [1/min]

    References
    ----------
    .. [1] Tanaka, Monahan and Seals, J Am Coll Cardiol 37(1), 2001, pages 153-156.
    """
    require_between(
        "age_years", age_years, 10, 100, "years", reason="fitted on adults", mend="Check the age."
    )
    return _C["hrmax_intercept"] + _C["hrmax_age"] * age_years


@dataclass(frozen=True)
class HeartRateZone:
    """
    One zone.

    Attributes
    ----------
    name : str
        Its name.
    low_bpm, high_bpm : float
        Its ends; the upper is outside except in the highest zone. [1/min]
    """

    name: str
    low_bpm: float
    high_bpm: float


@equation("heart rate")
def heart_rate_zones(resting_bpm: float, maximal_bpm: float) -> tuple[HeartRateZone, ...]:
    """
    Lay out zones by heart-rate reserve.

    Parameters
    ----------
    resting_bpm : float
        Resting heart rate. [1/min]
    maximal_bpm : float
        Maximal heart rate, measured or predicted. [1/min]

    Returns
    -------
    tuple of HeartRateZone
        Light, moderate, vigorous and near-maximal.

    Raises
    ------
    IntakeError
        When the two are the wrong way round or implausible.
    """
    require_between(
        "resting_bpm",
        resting_bpm,
        25,
        120,
        "1/min",
        reason="rest in adults",
        mend="Count it lying.",
    )
    require_between(
        "maximal_bpm", maximal_bpm, 100, 230, "1/min", reason="maximum in adults", mend="Test it."
    )
    if maximal_bpm <= resting_bpm:
        raise IntakeError(
            f"maximal_bpm={maximal_bpm:g} is not above resting_bpm={resting_bpm:g}: swap them?"
        )
    reserve = maximal_bpm - resting_bpm
    edges = [
        ("light", _C["hrr_light"]),
        ("moderate", _C["hrr_moderate"]),
        ("vigorous", _C["hrr_vigorous"]),
        ("near-maximal", _C["hrr_near_maximal"]),
        ("", 1.0),
    ]
    return tuple(
        HeartRateZone(name, resting_bpm + low * reserve, resting_bpm + high * reserve)
        for (name, low), (_, high) in pairwise(edges)
    )
