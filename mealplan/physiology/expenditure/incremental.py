"""
An incremental exercise test: what is burnt at each stage, where fat use peaks, where it gives way.

These are facts about one test on one day. They say nothing on how to train or what to eat, and the
peak moves with the last meal, so the pages show them without advice.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from mealplan.errors import IntakeError
from mealplan.physiology.resting.calorimetry import (
    Substrates,
    respiratory_exchange_ratio,
    substrates_frayn,
    substrates_peronnet_massicotte,
)
from mealplan.physiology.tables import constants

_C = {key: constant.value for key, constant in constants("calorimetry").items()}

SubstrateMethod = Callable[[float, float], Substrates]


@dataclass(frozen=True)
class Stage:
    """
    One step of the test, its last steady minute or two averaged.

    Attributes
    ----------
    intensity : float
        Power, speed or share of VO2max, in one unit over the test.
    vo2_l_min, vco2_l_min : float
        Gas volumes, STPD. [L/min]
    heart_rate_bpm : float or None
        Heart rate where recorded. [1/min]
    """

    intensity: float
    vo2_l_min: float
    vco2_l_min: float
    heart_rate_bpm: float | None = None


@dataclass(frozen=True)
class StageUse:
    """
    What a stage burns.

    Attributes
    ----------
    stage : Stage
        The stage.
    rer : float
        Respiratory exchange ratio. [ratio]
    carbohydrate_g_per_min, fat_g_per_min : float or None
        None above a ratio of 1.00, where buffering adds carbon dioxide. [g/min]
    carbohydrate_energy_fraction : float or None
        Share of energy from carbohydrate. [fraction]
    """

    stage: Stage
    rer: float
    carbohydrate_g_per_min: float | None
    fat_g_per_min: float | None
    carbohydrate_energy_fraction: float | None


@dataclass(frozen=True)
class SubstrateProfile:
    """
    The whole test.

    Attributes
    ----------
    stages : tuple of StageUse
        In order of intensity.
    peak : StageUse
        Stage with the greatest fat use.
    peak_at_edge : bool
        True when that is the first or last usable stage, so the true peak may lie outside.
    crossover_intensity : float or None
        Where carbohydrate comes to give half the energy, between two stages; None when the test
        shows no such point. [unit of intensity]
    method : str
        Whose coefficients.
    notes : tuple of str
        What to mind.
    """

    stages: tuple[StageUse, ...]
    peak: StageUse
    peak_at_edge: bool
    crossover_intensity: float | None
    method: str
    notes: tuple[str, ...]


def _use(stage: Stage, method: SubstrateMethod) -> StageUse:
    rer = respiratory_exchange_ratio(stage.vo2_l_min, stage.vco2_l_min)
    if rer > _C["physiological_rer_ceiling"]:
        raise IntakeError(
            f"at intensity {stage.intensity:g} the exchange ratio is {rer:.2f}, above 1.30: no "
            "steady metabolism gives that. Check whether the two gas columns are swapped."
        )
    if rer > _C["exercise_rer_ceiling"]:
        return StageUse(stage, rer, None, None, None)
    made = method(stage.vo2_l_min, stage.vco2_l_min)
    from_cho = _C["oxidised_cho_energy"] * made.carbohydrate_g_per_min
    from_fat = _C["oxidised_fat_energy"] * made.fat_g_per_min
    share = from_cho / (from_cho + from_fat)
    return StageUse(stage, rer, made.carbohydrate_g_per_min, made.fat_g_per_min, share)


def _crossover(usable: Sequence[StageUse]) -> float | None:
    for lower, upper in pairwise(usable):
        a, b = lower.carbohydrate_energy_fraction, upper.carbohydrate_energy_fraction
        if a is not None and b is not None and a < 0.5 <= b:
            step = (0.5 - a) / (b - a)
            return lower.stage.intensity + step * (upper.stage.intensity - lower.stage.intensity)
    return None


def substrate_profile(
    stages: Sequence[Stage], method: SubstrateMethod = substrates_peronnet_massicotte
) -> SubstrateProfile:
    """
    Work out fuel use over an incremental test.

    Parameters
    ----------
    stages : sequence of Stage
        At least three, with rising intensity.
    method : callable
        A substrate function of :mod:`mealplan.physiology.resting.calorimetry` that takes both
        gases. [L/min]

    Returns
    -------
    SubstrateProfile

    Raises
    ------
    IntakeError
        When there are too few stages or their order is wrong.
    """
    if len(stages) < 3:
        raise IntakeError(
            f"{len(stages)} stage(s) given: a peak needs at least three stages of rising intensity."
        )
    if any(b.intensity <= a.intensity for a, b in pairwise(stages)):
        raise IntakeError("stage intensities do not rise: put the stages in order.")
    used = tuple(_use(stage, method) for stage in stages)
    usable = [u for u in used if u.fat_g_per_min is not None]
    if not usable:
        raise IntakeError(
            "every stage has an exchange ratio above 1.00: fuel use cannot be told from this test. "
            "Start at a lower intensity."
        )
    peak = max(usable, key=lambda u: u.fat_g_per_min or 0.0)
    at_edge = peak in (usable[0], usable[-1])
    crossover = _crossover(usable)
    notes = ["facts of this test on this day; the last meal moves them"]
    if len(usable) < len(used):
        notes.append(f"{len(used) - len(usable)} stage(s) above a ratio of 1.00 left out")
    if at_edge:
        notes.append("fat use peaks at the end of the usable range; the true peak may lie outside")
    if crossover is None:
        shares = [u.carbohydrate_energy_fraction or 0.0 for u in usable]
        notes.append(
            "carbohydrate gave more than half the energy from the first stage"
            if min(shares) >= 0.5
            else "carbohydrate never came to give half the energy"
        )
    name = method(stages[0].vo2_l_min, stages[0].vco2_l_min).method
    return SubstrateProfile(used, peak, at_edge, crossover, name, tuple(notes))


def substrate_profile_frayn(stages: Sequence[Stage]) -> SubstrateProfile:
    """
    Work out fuel use over an incremental test by Frayn's coefficients, protein left out.

    Parameters
    ----------
    stages : sequence of Stage
        As in :func:`substrate_profile`.

    Returns
    -------
    SubstrateProfile
    """
    return substrate_profile(stages, lambda vo2, vco2: substrates_frayn(vo2, vco2))
