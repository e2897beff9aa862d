"""
Two measurements and what their difference is worth: least significant change, and lean share.

Below the least significant change the honest word is "no detectable change", which is not the same
as no change.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from mealplan.checkin.log.entries import ScanRecord
from mealplan.physiology.body.precision import least_significant_change
from mealplan.physiology.weight_change.stored_energy import forbes_fat_fraction
from mealplan.science.quantity import NINETY_PERCENT

TOO_WIDE = 1.0
"""A lean share whose range is wider than this could be anything. [fraction]"""

Word = Literal["more", "less", "no detectable change"]


@dataclass(frozen=True)
class Change:
    """
    A difference between two single measurements.

    Attributes
    ----------
    what : str
    first, last, change : float
        In ``unit``.
    least_significant : float
        Smallest change that is real at 95 %.
    low, high : float
        90 % range of the true change.
    word : {"more", "less", "no detectable change"}
    """

    what: str
    unit: str
    first: float
    last: float
    change: float
    least_significant: float
    low: float
    high: float
    word: Word


def change_between(what: str, unit: str, first: float, last: float, precision: float) -> Change:
    """
    Judge a change by the least significant change.

    Parameters
    ----------
    what, unit : str
    first, last : float
        Readings. [unit]
    precision : float
        Root mean square standard deviation of one reading. [unit]

    Returns
    -------
    Change
    """
    change = last - first
    least = least_significant_change(precision)
    half = NINETY_PERCENT * math.sqrt(2.0) * precision
    word = word_for(change, least)
    return Change(what, unit, first, last, change, least, change - half, change + half, word)


def word_for(change: float, least: float) -> Word:
    """
    Call a change by its name.

    Parameters
    ----------
    change : float
    least : float
        Smallest change that is real at 95 %, in the same unit.

    Returns
    -------
    {"more", "less", "no detectable change"}
    """
    if abs(change) <= least:
        return "no detectable change"
    return "more" if change > 0 else "less"


@dataclass(frozen=True)
class LeanShare:
    """
    How much of a change of mass was lean.

    Attributes
    ----------
    value : float
        Best estimate. [fraction]
    low, high : float or None
        90 % range; None when the change is too small for one, the share then being anything.
    expected : float
        What untrained people show at that fat mass. [fraction]
    words : str
    """

    value: float
    low: float | None
    high: float | None
    expected: float
    words: str


def lean_share(first: ScanRecord, last: ScanRecord) -> LeanShare:
    """
    Work out the lean share of a change between two scans, with an honest interval.

    The interval is Fieller's for a ratio: where the change of mass itself is not clear of zero at
    90 %, it is unbounded and none is given.

    Parameters
    ----------
    first, last : ScanRecord

    Returns
    -------
    LeanShare

    References
    ----------
    .. [1] Fieller, J R Stat Soc B 16(2), 1954.
    """
    lean = last.lean_kg - first.lean_kg
    fat = last.fat_kg - first.fat_kg
    total = lean + fat
    lean_variance = first.rms_sd_lean_kg**2 + last.rms_sd_lean_kg**2
    fat_variance = first.rms_sd_fat_kg**2 + last.rms_sd_fat_kg**2
    expected = 1.0 - forbes_fat_fraction(first.fat_kg)
    low, high = fieller(lean, total, lean_variance, lean_variance + fat_variance, lean_variance)
    value = lean / total if total else math.nan
    if low is None or high is None:
        words = (
            "the change of mass is too small against the scans' error to say what it was made of"
        )
    else:
        words = (
            f"{100 * value:.0f} % of the change was lean, 90 % range {100 * low:.0f} to "
            f"{100 * high:.0f} %; untrained people at this fat mass show about "
            f"{100 * expected:.0f} %"
        )
        if high - low > TOO_WIDE:
            words += "; so wide a range settles nothing"
        elif high > 1.0:
            words += ", and more than 100 % means that fat went the other way"
    return LeanShare(value, low, high, expected, words)


def fieller(
    top: float, bottom: float, top_variance: float, bottom_variance: float, covariance: float
) -> tuple[float | None, float | None]:
    """
    Return the 90 % interval of a ratio, or None twice where it is unbounded.

    Parameters
    ----------
    top, bottom : float
    top_variance, bottom_variance, covariance : float

    Returns
    -------
    low, high : float or None
    """
    z2 = NINETY_PERCENT**2
    a = bottom**2 - z2 * bottom_variance
    if a <= 0:
        return None, None
    b = top * bottom - z2 * covariance
    c = top**2 - z2 * top_variance
    root = math.sqrt(max(b * b - a * c, 0.0))
    return (b - root) / a, (b + root) / a
