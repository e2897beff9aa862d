"""
What a change of body mass is made of, what it holds, and how it runs on over time.

Two different numbers answer two different questions. The energy *stored* in a kilogram gained or
lost tells expenditure from a weight trend. The *effective* energy of a kilogram, which also pays
for laying tissue down and for a body that burns more or less as it changes, tells what intake a
wanted change takes.

The dynamic model has three states: fat, lean tissue and adaptive thermogenesis. It is stepped by
explicit Euler with a step of one day. Glycogen, water and salt are left out, so the first week of
a real change looks larger. It holds no effect of training; a trained client's split of lean and fat
is given as a parameter instead.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from mealplan.errors import IntakeError, TargetError
from mealplan.physiology.checks import require_between, require_positive
from mealplan.physiology.weight_change.stored_energy import (
    _C,
    FAT_KCAL_PER_KG,
    FORBES_KG,
    LEAN_KCAL_PER_KG,
    forbes_fat_fraction,
    stored_kcal_per_kg,
)

NEGLIGIBLE_KCAL = 0.01
"""A change of intake below this is none. [kcal/day]"""


@dataclass(frozen=True)
class Baseline:
    """
    A body in balance before a change.

    Attributes
    ----------
    fat_kg, lean_kg : float
        Fat mass and everything else. [kg]
    rmr_kcal : float
        Resting energy. [kcal/day]
    pal : float
        Total over resting energy. [ratio]
    """

    fat_kg: float
    lean_kg: float
    rmr_kcal: float
    pal: float

    def __post_init__(self) -> None:
        """Refuse what no living adult has."""
        require_positive("fat_kg", self.fat_kg, "kg", mend="Give fat mass from a scan.")
        require_positive("lean_kg", self.lean_kg, "kg", mend="Give fat-free mass from a scan.")
        require_positive("rmr_kcal", self.rmr_kcal, "kcal/day", mend="Measure or predict it first.")
        require_between(
            "pal",
            self.pal,
            1.12,
            5.0,
            "(total over resting energy)",
            reason="below 1.12 the model has no room for digestion",
            mend="Check the activity method.",
        )

    @property
    def weight_kg(self) -> float:
        """Body mass [kg]."""
        return self.fat_kg + self.lean_kg

    @property
    def intake_kcal(self) -> float:
        """Intake in balance [kcal/day]."""
        return self.rmr_kcal * self.pal

    @property
    def activity_kcal_per_kg(self) -> float:
        """Cost of movement per kilogram moved [kcal/kg/day]."""
        moved = (1.0 - _C["beta_tef"]) * self.pal - 1.0
        return moved * self.rmr_kcal / self.weight_kg

    @property
    def offset_kcal(self) -> float:
        """Constant that puts the model in balance at the start [kcal/day]."""
        return (
            self.intake_kcal
            - _C["gamma_fat"] * self.fat_kg
            - _C["gamma_lean"] * self.lean_kg
            - self.activity_kcal_per_kg * self.weight_kg
        )


@dataclass(frozen=True)
class State:
    """
    The model on one day.

    Attributes
    ----------
    day : int
        Days since the change began. [day]
    fat_kg, lean_kg : float
        Fat mass and everything else. [kg]
    adaptive_kcal : float
        Adaptive thermogenesis. [kcal/day]
    intake_kcal, expenditure_kcal : float
        On this day. [kcal/day]
    """

    day: int
    fat_kg: float
    lean_kg: float
    adaptive_kcal: float
    intake_kcal: float
    expenditure_kcal: float

    @property
    def weight_kg(self) -> float:
        """Body mass [kg]."""
        return self.fat_kg + self.lean_kg


def _lean_energy_share(fat_kg: float, fat_fraction: float | None) -> float:
    """Share of an energy imbalance that goes to or comes from lean tissue."""
    if fat_fraction is None:
        fat_fraction = fat_kg / (fat_kg + FORBES_KG)
    lean = (1.0 - fat_fraction) * LEAN_KCAL_PER_KG
    return lean / (lean + fat_fraction * FAT_KCAL_PER_KG)


def simulate(
    baseline: Baseline,
    intake_change_kcal: float | Callable[[int], float],
    days: int,
    *,
    fat_fraction: float | None = None,
) -> tuple[State, ...]:
    """
    Run the dynamic model.

    Parameters
    ----------
    baseline : Baseline
        The body in balance.
    intake_change_kcal : float or callable
        Change of intake from balance, one number or a function of the day. [kcal/day]
    days : int
        How long, up to 3,653. [day]
    fat_fraction : float, optional
        Fat share of every change, for a trained client; Forbes's curve when not given. [fraction]

    Returns
    -------
    tuple of State
        ``days + 1`` states, the first being day 0.

    Raises
    ------
    IntakeError
        When the length or the share makes no sense.
    TargetError
        When the model runs out of fat or lean tissue: the plan cannot be carried so far.

    References
    ----------
    .. [1] Hall et al., Lancet 378, 2011, pages 826-837.
    .. [2] Chow and Hall, PLoS Comput Biol 4(3), 2008.
    """
    require_between(
        "days", days, 0, 3653, "days", reason="ten years is the longest run", mend="Shorten it."
    )
    if fat_fraction is not None:
        stored_kcal_per_kg(fat_fraction)
    change = intake_change_kcal if callable(intake_change_kcal) else None
    constant = 0.0 if callable(intake_change_kcal) else intake_change_kcal
    fat, lean, adaptive = baseline.fat_kg, baseline.lean_kg, 0.0
    offset, moved = baseline.offset_kcal, baseline.activity_kcal_per_kg
    fat_cost = _C["gamma_fat"] + moved
    lean_cost = _C["gamma_lean"] + moved
    fat_laying = _C["eta_fat"] / FAT_KCAL_PER_KG
    lean_laying = _C["eta_lean"] / LEAN_KCAL_PER_KG
    balance, beta_tef = baseline.intake_kcal, _C["beta_tef"]
    beta_at, tau_at = _C["beta_at"], _C["tau_at"]
    states = []
    for day in range(days + 1):
        delta = change(day) if change is not None else constant
        intake = balance + delta
        p = _lean_energy_share(fat, fat_fraction)
        q = fat_laying * (1.0 - p) + lean_laying * p
        kept_up = offset + fat_cost * fat + lean_cost * lean
        spent = (kept_up + beta_tef * delta + adaptive + q * intake) / (1.0 + q)
        states.append(State(day, fat, lean, adaptive, intake, spent))
        imbalance = intake - spent
        fat += (1.0 - p) * imbalance / FAT_KCAL_PER_KG
        lean += p * imbalance / LEAN_KCAL_PER_KG
        adaptive += (beta_at * delta - adaptive) / tau_at
        if day < days and (fat <= 0.0 or lean <= 0.0):
            raise TargetError(
                f"a change of {delta:+.0f} kcal a day cannot be kept up for {days} days: by day "
                f"{day + 1} the model has no fat left. Make the change smaller or shorter."
            )
    return tuple(states)


@dataclass(frozen=True)
class LinearModel:
    """
    The dynamic model about its starting point.

    Attributes
    ----------
    slope_kcal_per_kg : float
        Change of expenditure per kilogram at the new balance. [kcal/kg/day]
    effective_kcal_per_kg : float
        Intake a kilogram takes early on. [kcal/kg]
    time_constant_days : float
        Time to 63 % of the final change. [day]
    half_time_days : float
        Time to half of it. [day]
    """

    slope_kcal_per_kg: float
    effective_kcal_per_kg: float
    time_constant_days: float
    half_time_days: float

    def final_change_kg(self, intake_change_kcal: float) -> float:
        """
        Give the change of body mass at the new balance.

        Parameters
        ----------
        intake_change_kcal : float
            Lasting change of intake. [kcal/day]

        Returns
        -------
        float
            Change of body mass. [kg]
        """
        return intake_change_kcal / self.slope_kcal_per_kg

    def change_kg(self, intake_change_kcal: float, days: float) -> float:
        """
        Give the change of body mass after a time.

        Parameters
        ----------
        intake_change_kcal : float
            Lasting change of intake. [kcal/day]
        days : float
            Time. [day]

        Returns
        -------
        float
            Change of body mass. [kg]
        """
        grown = -math.expm1(-days / self.time_constant_days)
        return self.final_change_kg(intake_change_kcal) * grown


def linear_model(baseline: Baseline, *, fat_fraction: float | None = None) -> LinearModel:
    """
    Linearise the dynamic model about its starting point.

    Parameters
    ----------
    baseline : Baseline
        The body in balance.
    fat_fraction : float, optional
        Fat share of the change; Forbes's when not given. [fraction]

    Returns
    -------
    LinearModel

    References
    ----------
    .. [1] Hall et al., Lancet 378, 2011, pages 826-837; linearised by hand.
    """
    alpha = forbes_fat_fraction(baseline.fat_kg) if fat_fraction is None else fat_fraction
    keep = 1.0 - (_C["beta_tef"] + _C["beta_at"])
    slope = (
        _C["gamma_fat"] * alpha + _C["gamma_lean"] * (1.0 - alpha) + baseline.activity_kcal_per_kg
    ) / keep
    density = (
        (FAT_KCAL_PER_KG + _C["eta_fat"]) * alpha
        + (LEAN_KCAL_PER_KG + _C["eta_lean"]) * (1.0 - alpha)
    ) / keep
    tau = density / slope
    return LinearModel(slope, density, tau, tau * math.log(2.0))


def effective_kcal_per_kg(
    baseline: Baseline,
    intake_change_kcal: float,
    days: int,
    *,
    fat_fraction: float | None = None,
) -> float:
    """
    Give the intake change the model takes per kilogram changed by a day.

    It grows with time, because expenditure follows the body: a surplus that gives a kilogram a
    month at first gives less and less.

    Parameters
    ----------
    baseline : Baseline
        The body in balance.
    intake_change_kcal : float
        Lasting change of intake, not negligible. [kcal/day]
    days : int
        Time, at least a day. [day]
    fat_fraction : float, optional
        Fat share of the change; Forbes's when not given. [fraction]

    Returns
    -------
    float
        Intake change over mass change. [kcal/kg]

    Raises
    ------
    IntakeError
        When there is no change or no time to divide by.
    """
    if abs(intake_change_kcal) < NEGLIGIBLE_KCAL or days < 1:
        raise IntakeError(
            "an effective energy per kilogram needs a change of intake and at least one day."
        )
    end = simulate(baseline, intake_change_kcal, days, fat_fraction=fat_fraction)[-1]
    return intake_change_kcal * days / (end.weight_kg - baseline.weight_kg)
