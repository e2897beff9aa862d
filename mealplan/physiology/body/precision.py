"""What a measurement can tell: technical error, least significant change, scale noise."""

from __future__ import annotations

import math
from statistics import NormalDist

from mealplan.physiology.checks import require_between, require_positive
from mealplan.physiology.tables import constants
from mealplan.science.equations import equation

_C = {key: constant.value for key, constant in constants("body_composition").items()}


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
