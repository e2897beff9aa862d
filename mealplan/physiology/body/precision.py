"""What a measurement can tell: technical error, least significant change, scale noise."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist, fmean, variance

from mealplan.errors import IntakeError
from mealplan.physiology.checks import require_between, require_positive
from mealplan.physiology.tables import constants
from mealplan.science import equation

_C = {key: constant.value for key, constant in constants("body_composition").items()}


def technical_error(pairs: Sequence[tuple[float, float]]) -> float:
    """
    Work out the technical error of measurement from repeated pairs.

    Parameters
    ----------
    pairs : sequence of (float, float)
        First and second reading of each subject or site, in one unit. [unit]

    Returns
    -------
    float
        Root of the sum of squared differences over twice their number. [unit]

    Raises
    ------
    IntakeError
        When there is no pair.
    """
    if not pairs:
        raise IntakeError("a technical error needs at least one pair: measure a site twice.")
    squares = math.fsum((first - second) ** 2 for first, second in pairs)
    return math.sqrt(squares / (2 * len(pairs)))


def technical_error_percent(pairs: Sequence[tuple[float, float]]) -> float:
    """
    Express the technical error as a share of the mean reading.

    Parameters
    ----------
    pairs : sequence of (float, float)
        First and second readings. [unit]

    Returns
    -------
    float
        Relative technical error; 1 % is the aim for girths and 5 % for skinfolds. [%]
    """
    error = technical_error(pairs)
    mean = fmean([reading for pair in pairs for reading in pair])
    return 100.0 * error / require_positive("mean reading", mean, "", mend="Check the readings.")


def rms_sd(repeats: Sequence[Sequence[float]]) -> float:
    """
    Pool repeated measurements of several subjects into one precision.

    Parameters
    ----------
    repeats : sequence of sequence of float
        At least two readings of each subject, with repositioning. [unit]

    Returns
    -------
    float
        Root mean square standard deviation. [unit]

    Raises
    ------
    IntakeError
        When a subject has fewer than two readings, or there is none.
    """
    if not repeats or any(len(readings) < 2 for readings in repeats):
        raise IntakeError("precision needs two readings or more of each subject: repeat the scan.")
    freedom = sum(len(readings) - 1 for readings in repeats)
    pooled = math.fsum((len(readings) - 1) * variance(readings) for readings in repeats)
    return math.sqrt(pooled / freedom)


@equation("precision of measurements")
def least_significant_change(rms_sd_value: float) -> float:
    """
    Give the smallest change between two single measurements that is real at 95 %.

    Parameters
    ----------
    rms_sd_value : float
        Precision of one measurement. [unit]

    Returns
    -------
    float
        2.77 times the precision. [unit]

    References
    ----------
    .. [1] International Society for Clinical Densitometry, Official Positions, adult.
    """
    require_positive("precision", rms_sd_value, "", mend="Ask the laboratory for its RMS-SD.")
    return _C["lsc_factor"] * rms_sd_value


@equation("precision of measurements")
def weigh_in_sd(threshold_kg: float, share_at_least: float) -> float:
    """
    Tell the scatter of one weigh-in from how often two days differ by so much.

    Assumes independent, normally distributed readings.

    Parameters
    ----------
    threshold_kg : float
        Difference between successive days. [kg]
    share_at_least : float
        Share of day pairs that differ by it or more. [fraction]

    Returns
    -------
    float
        Standard deviation of one weigh-in. [kg]
    """
    require_positive("threshold_kg", threshold_kg, "kg", mend="Give the difference in kg.")
    require_between(
        "share_at_least",
        share_at_least,
        0.0001,
        0.9999,
        "(fraction)",
        reason="it is a share strictly between 0 and 1",
        mend="Six per cent is 0.06.",
    )
    z = NormalDist().inv_cdf(1.0 - share_at_least / 2.0)
    return threshold_kg / (math.sqrt(2.0) * z)
