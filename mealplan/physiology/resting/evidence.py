"""
A resting test as evidence beside a prediction: pooling that one faulty test cannot steer.

A sound test scatters about the true value as tests do; a faulty one (a leaking mask, a wrong unit,
a meal before) can lie anywhere. Which of the two a test is, is itself judged from how far it lies
from the prediction: a contaminated normal model, in place of a fixed weight.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from mealplan.errors import IntakeError
from mealplan.physiology.checks import require_between, require_positive
from mealplan.physiology.resting.measurement import Verdict
from mealplan.physiology.tables import constants

_C = {key: constant.value for key, constant in constants("calorimetry").items()}

FAULTY_SHARE: dict[Verdict, float] = {
    "good": _C["faulty_share_good"],
    "use with care": _C["faulty_share_careful"],
    "repeat the test": _C["faulty_share_repeat"],
}
"""Share of tests with that verdict that are wrong altogether, before it is seen. [fraction]"""


@dataclass(frozen=True)
class Pooled:
    """
    Resting energy after weighing a test that may be faulty against a prediction.

    Attributes
    ----------
    energy_kcal : float
        Mean. [kcal/day]
    sd_kcal : float
        Standard deviation, the doubt about the test included. [kcal/day]
    test_weight : float
        Weight of the test in the mean; the prediction has the rest. [fraction]
    sound : float
        Chance that the test was sound. [fraction]
    ratio : float
        Test over prediction. [ratio]
    """

    energy_kcal: float
    sd_kcal: float
    test_weight: float
    sound: float
    ratio: float


def _normal(gap: float, sd: float) -> float:
    return math.exp(-0.5 * (gap / sd) ** 2) / sd


def pool(
    test_kcal: float,
    test_sd_kcal: float,
    predicted_kcal: float,
    predicted_sd_kcal: float,
    faulty_share: float = FAULTY_SHARE["good"],
) -> Pooled:
    """
    Pool a resting test with a prediction by a contaminated normal model.

    With chance ``1 - faulty_share`` the test scatters by its own standard deviation, otherwise by
    ``faulty_spread`` of the prediction. Each case gives the usual mean weighted by precision; the
    two are averaged by how likely each made the test that was seen.

    Parameters
    ----------
    test_kcal, test_sd_kcal : float
        The test and its spread when sound. [kcal/day]
    predicted_kcal, predicted_sd_kcal : float
        The prediction and its spread between people. [kcal/day]
    faulty_share : float
        Share of such tests that are faulty, 0 to below 1. [fraction]

    Returns
    -------
    Pooled

    Raises
    ------
    IntakeError
        When a value or spread is not above zero, or the share is not one.

    References
    ----------
    .. [1] Box and Tiao, Biometrika 55(1), 1968, pages 119-129, doi:10.1093/biomet/55.1.119.
    """
    for name, value in (
        ("test_kcal", test_kcal),
        ("test_sd_kcal", test_sd_kcal),
        ("predicted_kcal", predicted_kcal),
        ("predicted_sd_kcal", predicted_sd_kcal),
    ):
        require_positive(name, value, "kcal/day", mend="Both need a value and a spread.")
    require_between(
        "faulty_share", faulty_share, 0.0, 0.99, "(fraction)",
        reason="it is a share of tests", mend="One in twenty is 0.05.",
    )  # fmt: skip
    gap = test_kcal - predicted_kcal
    wide = math.hypot(test_sd_kcal, _C["faulty_spread"] * predicted_kcal)
    cases = []
    for share, sd in ((1.0 - faulty_share, test_sd_kcal), (faulty_share, wide)):
        weight = predicted_sd_kcal**2 / (predicted_sd_kcal**2 + sd**2)
        likely = share * _normal(gap, math.hypot(sd, predicted_sd_kcal))
        cases.append((likely, weight, weight * sd**2))
    total = sum(likely for likely, _, _ in cases)
    # So far off that both are nil in floating point: then it was not a sound test.
    sound = cases[0][0] / total if total > 0 else 0.0
    shares = (sound, 1.0 - sound)
    test_weight = sum(s * weight for s, (_, weight, _) in zip(shares, cases, strict=True))
    variance = sum(
        s * (spread + (weight - test_weight) ** 2 * gap**2)
        for s, (_, weight, spread) in zip(shares, cases, strict=True)
    )
    return Pooled(
        energy_kcal=predicted_kcal + test_weight * gap,
        sd_kcal=math.sqrt(variance),
        test_weight=test_weight,
        sound=sound,
        ratio=test_kcal / predicted_kcal,
    )


def compare_reported(reported_kcal: float, from_gas_kcal: float) -> str:
    """
    Compare the kilocalories a report prints with what its gas volumes come to.

    Parameters
    ----------
    reported_kcal, from_gas_kcal : float
        Both ways. [kcal/day]

    Returns
    -------
    str
        Empty when they agree within ``reported_gap``; else a sentence on what to check.

    Raises
    ------
    IntakeError
        When either is not above zero.
    """
    if min(reported_kcal, from_gas_kcal) <= 0:
        raise IntakeError("reported and recomputed energy must both be above 0 kcal/day")
    gap = reported_kcal / from_gas_kcal - 1
    if abs(gap) <= _C["reported_gap"]:
        return ""
    return (
        f"the report prints {reported_kcal:,.0f} kcal but its gas volumes come to "
        f"{from_gas_kcal:,.0f} ({gap:+.0%}); one of the three was copied or measured wrong"
    )
