"""
A measured resting value: steady state, conditions, verdict in words, and how it ages.

A value is worth more than a prediction only when the test was sound; the verdict says which
conditions were met, missed or not recorded, and the standard deviation follows from it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, stdev
from typing import Literal

from mealplan.errors import IntakeError
from mealplan.physiology.checks import require_not_negative, require_positive
from mealplan.physiology.resting.calorimetry import (
    energy_weir_full,
    energy_weir_protein_built_in,
    respiratory_exchange_ratio,
)
from mealplan.physiology.resting.gas_series import GasSample, minute_means
from mealplan.physiology.tables import constants

_C = {key: constant.value for key, constant in constants("calorimetry").items()}

Verdict = Literal["good", "use with care", "repeat the test"]


@dataclass(frozen=True)
class RestingConditions:
    """
    How the test was done; None means not recorded, which is not the same as met.

    Attributes
    ----------
    fasted_hours : float or None
        Time since any food or caloric drink. [h]
    rested_minutes : float or None
        Quiet lying before the test. [min]
    hours_since_exercise : float or None
        Since the last training. [h]
    exercise_was_hard : bool
        The last training was hard or eccentric.
    hours_since_caffeine : float or None
        Since caffeine or another stimulant. [h]
    hours_since_nicotine : float or None
        Since nicotine. [h]
    """

    fasted_hours: float | None = None
    rested_minutes: float | None = None
    hours_since_exercise: float | None = None
    exercise_was_hard: bool = False
    hours_since_caffeine: float | None = None
    hours_since_nicotine: float | None = None


@dataclass(frozen=True)
class SteadyState:
    """
    The steadiest run of consecutive minutes.

    Attributes
    ----------
    start_minute, end_minute : float
        Where it lies; the end is outside. [min]
    vo2_ml_min, vco2_ml_min : float
        Means over it. [mL/min]
    cv_vo2, cv_vco2 : float
        Coefficients of variation over it. [fraction]
    reached : bool
        True when both lie within the limit.
    heart_rate_bpm : float or None
        Mean heart rate where recorded. [1/min]
    """

    start_minute: float
    end_minute: float
    vo2_ml_min: float
    vco2_ml_min: float
    cv_vo2: float
    cv_vco2: float
    reached: bool
    heart_rate_bpm: float | None


@dataclass(frozen=True)
class RestingMeasurement:
    """
    A resting test judged.

    Attributes
    ----------
    energy_kcal : float
        Resting energy. [kcal/day]
    equation : str
        Which form of the energy equation was used.
    rer : float or None
        Respiratory exchange ratio; None when the gas volumes are not known. [ratio]
    sd_fraction : float
        Standard deviation to give the value in planning. [fraction]
    verdict : str
        ``"good"``, ``"use with care"`` or ``"repeat the test"``.
    reasons : tuple of str
        What spoke against it, and what was not recorded.
    steady : SteadyState or None
        None when only mean volumes were known.
    impossible : bool
        True when no body at rest has that energy for its fat-free mass.
    """

    energy_kcal: float
    equation: str
    rer: float | None
    sd_fraction: float
    verdict: Verdict
    reasons: tuple[str, ...]
    steady: SteadyState | None
    impossible: bool = False


def _cv(values: Sequence[float]) -> float:
    return stdev(values) / fmean(values)


def find_steady_state(
    samples: Sequence[GasSample],
    *,
    minutes: int = int(_C["steady_minutes"]),
    discard_minutes: float = _C["discard_minutes"],
    cv_limit: float = _C["steady_cv"],
) -> SteadyState:
    """
    Find the steadiest run of consecutive minutes after the settling time.

    Runs are compared by the larger of their two coefficients of variation; the least wins, the
    earlier on a tie. A missing minute ends a run.

    Parameters
    ----------
    samples : sequence of GasSample
        Any spacing; averaged over whole minutes first.
    minutes : int
        Length of the run. [min]
    discard_minutes : float
        Settling time left out at the start. [min]
    cv_limit : float
        Largest coefficient of variation of either gas. [fraction]

    Returns
    -------
    SteadyState
        ``reached`` is False when even the steadiest run varies more.

    Raises
    ------
    IntakeError
        When no run of that length exists.
    """
    if not samples:
        raise IntakeError("the test has no samples: nothing to look for a steady state in.")
    first = samples[0].minute
    means = [m for m in minute_means(samples) if m.minute >= first + discard_minutes]
    best: SteadyState | None = None
    for i in range(len(means) - minutes + 1):
        run = means[i : i + minutes]
        if any(later.minute - earlier.minute != 1.0 for earlier, later in pairwise(run)):
            continue
        vo2 = [m.vo2_ml_min for m in run]
        vco2 = [m.vco2_ml_min for m in run]
        cv_vo2, cv_vco2 = _cv(vo2), _cv(vco2)
        if best is not None and max(cv_vo2, cv_vco2) >= max(best.cv_vo2, best.cv_vco2):
            continue
        pulses = [m.heart_rate_bpm for m in run if m.heart_rate_bpm is not None]
        best = SteadyState(
            start_minute=run[0].minute,
            end_minute=run[-1].minute + 1.0,
            vo2_ml_min=fmean(vo2),
            vco2_ml_min=fmean(vco2),
            cv_vo2=cv_vo2,
            cv_vco2=cv_vco2,
            reached=cv_vo2 <= cv_limit and cv_vco2 <= cv_limit,
            heart_rate_bpm=fmean(pulses) if pulses else None,
        )
    if best is None:
        raise IntakeError(
            f"no {minutes} consecutive minutes after the first {discard_minutes:g}: a resting test "
            "needs at least 10 minutes without gaps. Repeat it or export all its minutes."
        )
    return best


def _condition_findings(conditions: RestingConditions) -> tuple[list[str], list[str], list[str]]:
    """Sort what is known of the conditions into grave, slight and unknown."""
    grave: list[str] = []
    slight: list[str] = []
    unknown: list[str] = []
    fast = conditions.fasted_hours
    if fast is None:
        unknown.append("hours of fasting")
    elif fast < _C["fast_hours_reject"]:
        grave.append(f"fasted {fast:g} h, not even {_C['fast_hours_reject']:g} h")
    elif fast < _C["fast_hours"]:
        slight.append(f"fasted {fast:g} h instead of {_C['fast_hours']:g} h, which reads high")
    exercise = "hard_exercise_hours" if conditions.exercise_was_hard else "exercise_hours"
    for name, value, key in (
        ("minutes of rest before the test", conditions.rested_minutes, "rest_minutes"),
        ("hours since training", conditions.hours_since_exercise, exercise),
        ("hours since caffeine", conditions.hours_since_caffeine, "stimulant_hours"),
        ("hours since nicotine", conditions.hours_since_nicotine, "nicotine_hours"),
    ):
        if value is None:
            unknown.append(name)
        elif value < _C[key]:
            slight.append(f"{name}: {value:g}, wanted {_C[key]:.3g}")
    return grave, slight, unknown


def _gas_findings(
    vo2_ml_min: float, rer: float, mass_kg: float | None
) -> tuple[list[str], list[str]]:
    """Sort what the gas values themselves say into grave and slight."""
    grave: list[str] = []
    slight: list[str] = []
    if not _C["rest_rer_reject_low"] <= rer <= _C["rest_rer_reject_high"]:
        grave.append(f"respiratory exchange ratio {rer:.2f} is not that of fasted rest")
    elif not _C["rest_rer_usual_low"] <= rer <= _C["rest_rer_usual_high"]:
        slight.append(f"respiratory exchange ratio {rer:.2f} is unusual when fasted")
    if not _C["rest_vo2_low"] <= vo2_ml_min <= _C["rest_vo2_high"]:
        grave.append(f"VO2 of {vo2_ml_min:.0f} mL/min is not that of a resting adult")
    elif mass_kg is not None:
        per_kg = vo2_ml_min / mass_kg
        if not _C["rest_vo2_per_kg_low"] <= per_kg <= _C["rest_vo2_per_kg_high"]:
            grave.append(f"VO2 of {per_kg:.1f} mL/kg/min is not that of rest")
    return grave, slight


def judge_resting(
    vo2_ml_min: float | None = None,
    vco2_ml_min: float | None = None,
    *,
    reported_kcal: float | None = None,
    nitrogen_g_per_day: float | None = None,
    conditions: RestingConditions | None = None,
    steady: SteadyState | None = None,
    cv_fraction: float | None = None,
    mass_kg: float | None = None,
    ffm_kg: float | None = None,
) -> RestingMeasurement:
    """
    Turn a resting test, as gas volumes or as printed kilocalories, into a value with a verdict.

    Parameters
    ----------
    vo2_ml_min, vco2_ml_min : float, optional
        Means over the steady part; energy is worked out from them when both are there. [mL/min]
    reported_kcal : float, optional
        Energy as the report prints it; needed without gas volumes. [kcal/day]
    nitrogen_g_per_day : float, optional
        Urinary nitrogen; without it protein is taken as 12.5 % of energy. [g/day]
    conditions : Conditions, optional
        How the test was done; they count the same for both kinds of result.
    steady : SteadyState, optional
        Where the means come from.
    cv_fraction : float, optional
        Coefficient of variation printed on the report, when there is no series. [fraction]
    mass_kg, ffm_kg : float, optional
        Body mass and fat-free mass at the test, to see whether the values can be a body's at rest.
        [kg]

    Returns
    -------
    RestingMeasurement

    Raises
    ------
    IntakeError
        When neither both gas volumes nor the printed energy are given.
    """
    grave, slight, unknown = _condition_findings(conditions or RestingConditions())
    rer = None
    if vo2_ml_min is not None and vco2_ml_min is not None:
        rer = respiratory_exchange_ratio(vo2_ml_min, vco2_ml_min)
        gas_grave, gas_slight = _gas_findings(vo2_ml_min, rer, mass_kg)
        grave += gas_grave
        slight += gas_slight
        if nitrogen_g_per_day is None:
            energy = energy_weir_protein_built_in(vo2_ml_min, vco2_ml_min)
            equation = "Weir 1949, protein built in"
        else:
            energy = energy_weir_full(vo2_ml_min, vco2_ml_min, nitrogen_g_per_day)
            equation = "Weir 1949, with urinary nitrogen"
    elif reported_kcal is not None:
        energy, equation = reported_kcal, "as the laboratory reports it"
    else:
        raise IntakeError("a resting test needs both gas volumes, or its kilocalories.")
    impossible = False
    if ffm_kg is not None:
        per_kg = energy / ffm_kg
        if not _C["rest_per_ffm_low"] <= per_kg <= _C["rest_per_ffm_high"]:
            impossible = True
            grave.append(f"{per_kg:.0f} kcal per kg of fat-free mass cannot be a body at rest")
    worst = max(steady.cv_vo2, steady.cv_vco2) if steady is not None else cv_fraction
    if worst is None:
        unknown.append("steadiness")
    elif worst > _C["steady_cv"]:
        grave.append(f"never steady: varies by {100 * worst:.0f} %, at most 10 % wanted")
    verdict: Verdict = "good"
    if grave:
        verdict = "repeat the test"
    elif slight or "hours of fasting" in unknown:
        verdict = "use with care"
    reasons = [*grave, *slight]
    if unknown:
        reasons.append("not recorded: " + ", ".join(unknown))
    sd = {
        "good": _C["measured_sd"],
        "use with care": _C["careful_sd"],
        "repeat the test": _C["predicted_sd"],
    }[verdict]
    return RestingMeasurement(
        energy, equation, rer, sd, verdict, tuple(reasons), steady, impossible
    )


def judge_series(
    samples: Sequence[GasSample],
    *,
    nitrogen_g_per_day: float | None = None,
    conditions: RestingConditions | None = None,
) -> RestingMeasurement:
    """
    Find the steady part of a test and judge it.

    Parameters
    ----------
    samples : sequence of GasSample
        The whole test.
    nitrogen_g_per_day : float, optional
        Urinary nitrogen. [g/day]
    conditions : Conditions, optional
        How the test was done.

    Returns
    -------
    RestingMeasurement
    """
    steady = find_steady_state(samples)
    return judge_resting(
        steady.vo2_ml_min,
        steady.vco2_ml_min,
        nitrogen_g_per_day=nitrogen_g_per_day,
        conditions=conditions,
        steady=steady,
    )


@dataclass(frozen=True)
class Discounted:
    """
    A measured value as it stands today.

    Attributes
    ----------
    sd_fraction : float
        Standard deviation to use now; never less than on the day. [fraction]
    stale : bool
        True when a new test is due.
    reasons : tuple of str
        Why it was discounted.
    """

    sd_fraction: float
    stale: bool
    reasons: tuple[str, ...]


def discount(
    sd_fraction: float, months_old: float, mass_then_kg: float, mass_now_kg: float
) -> Discounted:
    """
    Widen a measured value's spread for its age and for the change of body mass since.

    Nothing happens within 6 months and 5 % of mass; beyond, one point of spread a month and one
    point a per cent of mass are added in quadrature, so that there is no jump at either limit.

    Parameters
    ----------
    sd_fraction : float
        Spread on the day of the test. [fraction]
    months_old : float
        Age of the test. [month]
    mass_then_kg, mass_now_kg : float
        Body mass then and now. [kg]

    Returns
    -------
    Discounted
    """
    require_positive("sd_fraction", sd_fraction, "(fraction)", mend="Use the test's own spread.")
    require_not_negative("months_old", months_old, "months", mend="The test lies in the future.")
    require_positive("mass_then_kg", mass_then_kg, "kg", mend="Weigh at the test.")
    require_positive("mass_now_kg", mass_now_kg, "kg", mend="Weigh now.")
    change = abs(mass_now_kg - mass_then_kg) / mass_then_kg
    late = max(0.0, months_old - _C["stale_months"])
    moved = max(0.0, change - _C["stale_mass_fraction"])
    by_age = _C["stale_sd_per_month"] * late
    by_mass = _C["stale_sd_per_mass_fraction"] * moved
    reasons = []
    if late > 0:
        reasons.append(f"{months_old:.0f} months old; test again after {_C['stale_months']:.0f}")
    if moved > 0:
        reasons.append(f"body mass has changed by {100 * change:.0f} % since")
    return Discounted(
        sd_fraction=(sd_fraction**2 + by_age**2 + by_mass**2) ** 0.5,
        stale=bool(reasons),
        reasons=tuple(reasons),
    )
