"""
A day's and a week's total energy, by exactly one of two methods.

The multiplier method takes one factor that already holds training, digestion and everything else;
it has no place to put a session. The component method adds each session's net cost to everyday
movement; it has no place to put a factor chosen because the client trains. Counting training twice
therefore cannot be written down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from mealplan.errors import IntakeError, TargetError
from mealplan.physiology.checks import (
    require_between,
    require_not_negative,
    require_positive,
)
from mealplan.physiology.expenditure.activity import PAL_SYSTEMS, PalSystem
from mealplan.physiology.expenditure.exercise import met_energy_net
from mealplan.physiology.tables import constants
from mealplan.science.equations import equation

_C = {key: constant.value for key, constant in constants("exercise_constants").items()}
DAYS = 7
"""Days in a training week."""


@dataclass(frozen=True)
class TrainingSession:
    """
    One session.

    Attributes
    ----------
    name : str
        What it is, for the worksheet.
    met : float
        Gross metabolic equivalents over the whole of ``minutes``. [MET]
    minutes : float
        Length, rests included. [min]
    """

    name: str
    met: float
    minutes: float

    def net_kcal(self, weight_kg: float, rmr_kcal: float | None = None) -> float:
        """
        Cost the session beyond the rest it replaces.

        Parameters
        ----------
        weight_kg : float
            Body mass. [kg]
        rmr_kcal : float, optional
            The client's own resting energy. [kcal/day]

        Returns
        -------
        float
            Net energy. [kcal]
        """
        return met_energy_net(self.met, weight_kg, self.minutes, rmr_kcal)


@dataclass(frozen=True)
class TrainingWeek:
    """
    Seven days, each with its sessions; a rest day is an empty one.

    Attributes
    ----------
    days : tuple of tuple of TrainingSession
        Monday first.
    """

    days: tuple[tuple[TrainingSession, ...], ...]

    def __post_init__(self) -> None:
        """Refuse a week that has not seven days."""
        if len(self.days) != DAYS:
            raise IntakeError(
                f"a training week has {len(self.days)} day(s) instead of 7: "
                "give an empty day for each day of rest."
            )

    def net_kcal(self, weight_kg: float, rmr_kcal: float | None = None) -> tuple[float, ...]:
        """
        Cost each day's training.

        Parameters
        ----------
        weight_kg : float
            Body mass. [kg]
        rmr_kcal : float, optional
            The client's own resting energy. [kcal/day]

        Returns
        -------
        tuple of float
            Net energy of the seven days. [kcal/day]
        """
        return tuple(sum(s.net_kcal(weight_kg, rmr_kcal) for s in day) for day in self.days)


REST_WEEK = TrainingWeek(((),) * DAYS)
"""A week without training."""


@dataclass(frozen=True)
class MultiplierMethod:
    """
    One factor over resting energy that already holds training.

    Attributes
    ----------
    pal : float
        Total over resting energy. [ratio]
    system : str
        Whose factor it is, since the same words differ between systems.
    label : str
        The system's word for it.
    """

    pal: float
    system: PalSystem
    label: str = ""

    def __post_init__(self) -> None:
        """Refuse a factor no one lives at, or an unknown system."""
        require_between(
            "pal",
            self.pal,
            1.0,
            5.0,
            "(total over resting energy)",
            reason="1.0 is lying still, 5.0 the most anyone keeps up for weeks",
            mend="Athletes in training lie between 1.5 and 2.5.",
        )
        if self.system not in PAL_SYSTEMS:
            raise IntakeError(
                f"activity system {self.system!r} is not known: "
                f"choose one of {', '.join(PAL_SYSTEMS)}."
            )


@dataclass(frozen=True)
class ComponentMethod:
    """
    Everyday movement over resting energy, plus each session's net cost, plus digestion.

    Attributes
    ----------
    everyday_factor : float
        Movement without training and without digestion: 1.15 at a desk, 1.25 to 1.35 mixed, 1.45
        and more on the feet. [ratio]
    week : TrainingWeek
        The sessions.
    tef_fraction : float
        Thermic effect of food as a share of total energy. [fraction]
    """

    everyday_factor: float
    week: TrainingWeek = field(default=REST_WEEK)
    tef_fraction: float = _C["tef_fraction"]

    def __post_init__(self) -> None:
        """Refuse factors that must have training or digestion in them already."""
        require_between(
            "everyday_factor",
            self.everyday_factor,
            1.0,
            2.0,
            "(without training or digestion)",
            reason="a desk day is 1.15 and a day on the feet about 1.45 before training is added",
            mend="If the factor already holds training, use the multiplier method.",
        )
        require_between(
            "tef_fraction",
            self.tef_fraction,
            0.0,
            0.2,
            "(fraction)",
            reason="mixed diets cost about a tenth of their energy to digest",
            mend="Leave it out to use 0.10.",
        )


@dataclass(frozen=True)
class TotalEnergy:
    """
    Total energy with its parts.

    Attributes
    ----------
    mean_kcal : float
        Mean of the week. [kcal/day]
    daily_kcal : tuple of float
        The seven days; all equal with the multiplier method. [kcal/day]
    exercise_kcal : tuple of float or None
        Net cost of training each day; None when the method does not tell. [kcal/day]
    implied_pal : float
        Mean over resting energy. [ratio]
    method : str
        The method in words.
    warnings : tuple of str
        What to look at twice.
    """

    mean_kcal: float
    daily_kcal: tuple[float, ...]
    exercise_kcal: tuple[float, ...] | None
    implied_pal: float
    method: str
    warnings: tuple[str, ...]


def pal_warnings(pal: float) -> tuple[str, ...]:
    """
    Say what is odd about a ratio of total to resting energy.

    Parameters
    ----------
    pal : float
        Total over resting energy. [ratio]

    Returns
    -------
    tuple of str
        Empty when nothing is.
    """
    if pal < _C["pal_warn_low"]:
        return (
            f"total energy is only {pal:.2f} times resting energy, below any free-living adult; "
            "check the everyday factor",
        )
    if pal < _C["fao_floor"]:
        return (f"total energy is {pal:.2f} times resting energy, below 1.40 (FAO/WHO/UNU 2004)",)
    if pal > _C["pal_warn_high"]:
        return (
            f"total energy is {pal:.2f} times resting energy, above the 2.5 that can be kept up "
            "for months; confirm the training week",
        )
    if pal > _C["fao_ceiling"]:
        return (f"total energy is {pal:.2f} times resting energy, hard to keep up (above 2.40)",)
    return ()


def total_energy(
    rmr_kcal: float,
    method: MultiplierMethod | ComponentMethod,
    weight_kg: float,
    *,
    individual_rest: bool = True,
) -> TotalEnergy:
    """
    Work out total energy by one method.

    Parameters
    ----------
    rmr_kcal : float
        Resting energy. [kcal/day]
    method : MultiplierMethod or ComponentMethod
        Which of the two, with what it needs.
    weight_kg : float
        Body mass; costs the sessions. [kg]
    individual_rest : bool
        Take the client's own resting energy off each session rather than 1 MET.

    Returns
    -------
    TotalEnergy
    """
    require_positive("rmr_kcal", rmr_kcal, "kcal/day", mend="Measure or predict it first.")
    require_positive("weight_kg", weight_kg, "kg", mend="Weigh the client.")
    if isinstance(method, MultiplierMethod):
        mean = rmr_kcal * method.pal
        words = f"{rmr_kcal:.0f} × {method.pal:.3g} ({method.system} {method.label})".replace(
            " )", ")"
        )
        warnings = list(pal_warnings(method.pal))
        if method.system == "legacy":
            warnings.append("this factor comes from no resting-energy paper; prefer another system")
        return TotalEnergy(mean, (mean,) * DAYS, None, method.pal, words, tuple(warnings))
    costs = method.week.net_kcal(weight_kg, rmr_kcal if individual_rest else None)
    daily = tuple(
        component_energy(rmr_kcal, method.everyday_factor, cost, method.tef_fraction)
        for cost in costs
    )
    mean = math.fsum(daily) / DAYS
    words = (
        f"({rmr_kcal:.0f} × {method.everyday_factor:.3g} + {math.fsum(costs) / DAYS:.0f} training)"
        f" / (1 - {method.tef_fraction:.2g})"
    )
    return TotalEnergy(mean, daily, costs, mean / rmr_kcal, words, pal_warnings(mean / rmr_kcal))


@equation("energy requirement")
def component_energy(
    rmr_kcal: float,
    everyday_factor: float,
    exercise_net_kcal: float,
    tef_fraction: float = _C["tef_fraction"],
) -> float:
    """
    Add up one day by components.

    Parameters
    ----------
    rmr_kcal : float
        Resting energy. [kcal/day]
    everyday_factor : float
        Movement without training and digestion. [ratio]
    exercise_net_kcal : float
        Training beyond rest. [kcal/day]
    tef_fraction : float
        Thermic effect of food as a share of the total. [fraction]

    Returns
    -------
    float
        Total energy. [kcal/day]
    """
    require_not_negative("exercise_net_kcal", exercise_net_kcal, "kcal/day", mend="Use net cost.")
    return (rmr_kcal * everyday_factor + exercise_net_kcal) / (1.0 - tef_fraction)


@equation("energy requirement")
def multiplier_energy(rmr_kcal: float, pal: float) -> float:
    """
    Multiply resting energy by a factor.

    Parameters
    ----------
    rmr_kcal : float
        Resting energy. [kcal/day]
    pal : float
        Total over resting energy. [ratio]

    Returns
    -------
    float
        Total energy. [kcal/day]
    """
    return rmr_kcal * pal


def day_targets(
    mean_kcal: float,
    exercise_kcal: Sequence[float],
    *,
    follow: float = 1.0,
    tef_fraction: float = _C["tef_fraction"],
    floor_kcal: float = 0.0,
) -> tuple[float, ...]:
    """
    Spread a mean daily target over a week so that harder days get more.

    The seven days always sum to seven times the mean.

    Parameters
    ----------
    mean_kcal : float
        Mean target. [kcal/day]
    exercise_kcal : sequence of float
        Net training cost of the seven days. [kcal/day]
    follow : float
        How closely targets follow training: 0 the same every day, 1 fully. [fraction]
    tef_fraction : float
        Thermic effect of food, which the extra food costs too. [fraction]
    floor_kcal : float
        No day below this; other days give what it takes. [kcal/day]

    Returns
    -------
    tuple of float
        Targets of the seven days. [kcal/day]

    Raises
    ------
    IntakeError
        When there are not seven days.
    TargetError
        When the mean itself lies below the floor.
    """
    if len(exercise_kcal) != DAYS:
        raise IntakeError(f"{len(exercise_kcal)} day(s) of training given instead of 7.")
    require_positive("mean_kcal", mean_kcal, "kcal/day", mend="Work out the mean target first.")
    require_between(
        "follow", follow, 0.0, 1.0, "(fraction)", reason="0 is flat, 1 follows fully", mend="Use 1."
    )
    for cost in exercise_kcal:
        require_not_negative("exercise_kcal", cost, "kcal/day", mend="Use net cost.")
    if mean_kcal < floor_kcal:
        raise TargetError(
            f"the mean target of {mean_kcal:.0f} kcal lies below the floor of {floor_kcal:.0f} kcal"
            " a day: no spread over the week can mend that. Raise the mean."
        )
    mean_cost = math.fsum(exercise_kcal) / DAYS
    wanted = [
        mean_kcal + follow * (cost - mean_cost) / (1.0 - tef_fraction) for cost in exercise_kcal
    ]
    lowest = min(wanted)
    if lowest < floor_kcal:
        # Shrink all departures from the mean alike; the sum is kept and the lowest meets the floor.
        shrink = (mean_kcal - floor_kcal) / (mean_kcal - lowest)
        wanted = [mean_kcal + shrink * (target - mean_kcal) for target in wanted]
    return tuple(wanted)
