"""
From a wish about body mass to an intake, and the course to expect with its band.

Every kind of goal is converted through the same two numbers: the energy stored in the tissue and
the intake the dynamic model takes. The change the model asks for is the one to start from;
check-ins then correct it. The plain 7,700 kcal a kilogram rule is computed beside them, to show
where it would mislead.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from mealplan.errors import TargetError
from mealplan.physiology.checks import require_between, require_positive
from mealplan.physiology.tables import constants
from mealplan.physiology.weight_change.energy_balance import (
    NEGLIGIBLE_KCAL,
    Baseline,
    State,
    effective_kcal_per_kg,
    linear_model,
    simulate,
)
from mealplan.physiology.weight_change.stored_energy import (
    forbes_fat_fraction,
    rule_7700_change_kg,
    stored_kcal_per_kg,
)

_C = {key: constant.value for key, constant in constants("energy_balance").items()}

DEFAULT_HORIZON_DAYS = 28
"""Span over which a rate is meant to hold before the trend corrects it. [day]"""
RULE_MISLEADS_AT = 0.15
"""Departure of the 7,700 rule from the model that is worth saying. [fraction]"""
LARGEST_CHANGE_KCAL = 5000.0
"""Bracket of the search for an intake change. [kcal/day]"""
YEAR_DAYS = 365
"""Longer span over which the 7,700 rule is compared. [day]"""
BISECTIONS = 44
"""Halvings of that bracket; enough for a billionth of a kilocalorie."""


@dataclass(frozen=True)
class RateGoal:
    """
    Change of body mass as a rate.

    Attributes
    ----------
    percent_per_week : float
        Positive for gain. [%/week]
    horizon_days : int
        Span over which the rate is meant to hold. [day]
    """

    percent_per_week: float
    horizon_days: int = DEFAULT_HORIZON_DAYS


@dataclass(frozen=True)
class ChangeGoal:
    """
    A change of body mass by a date.

    Attributes
    ----------
    change_kg : float
        Positive for gain. [kg]
    days : int
        Time until the date. [day]
    """

    change_kg: float
    days: int


@dataclass(frozen=True)
class EnergyGoal:
    """
    A surplus, or with a minus sign a deficit, in kilocalories.

    Attributes
    ----------
    change_kcal : float
        Change of intake. [kcal/day]
    """

    change_kcal: float


@dataclass(frozen=True)
class PercentGoal:
    """
    A surplus, or with a minus sign a deficit, as a share of maintenance.

    Attributes
    ----------
    percent : float
        Change of intake. [%]
    """

    percent: float


Goal = RateGoal | ChangeGoal | EnergyGoal | PercentGoal


@dataclass(frozen=True)
class GoalEnergy:
    """
    What a goal takes.

    Attributes
    ----------
    change_kcal : float
        Change of intake to start from, by the dynamic model. [kcal/day]
    intake_kcal : float
        Maintenance plus that change. [kcal/day]
    horizon_days : int
        Span the conversion was made over. [day]
    mass_change_kg : float
        Change of body mass the model gives over the span. [kg]
    percent_per_week : float
        The same as a mean rate. [%/week]
    fat_fraction : float
        Fat share of the change at the start. [fraction]
    stored_kcal : float
        Energy going into or out of tissue, a day. [kcal/day]
    stored_kcal_per_kg : float
        Stored energy of a kilogram. [kcal/kg]
    effective_kcal_per_kg : float
        Intake a kilogram takes over the span. [kcal/kg]
    rule_change_kcal : float
        What the 7,700 rule would ask for the same change of mass. [kcal/day]
    rule_note : str
        Where the rule would mislead; empty when it would not over this span.
    """

    change_kcal: float
    intake_kcal: float
    horizon_days: int
    mass_change_kg: float
    percent_per_week: float
    fat_fraction: float
    stored_kcal: float
    stored_kcal_per_kg: float
    effective_kcal_per_kg: float
    rule_change_kcal: float
    rule_note: str


def change_for_mass(
    baseline: Baseline, mass_change_kg: float, days: int, *, fat_fraction: float | None = None
) -> float:
    """
    Find the lasting change of intake that brings a change of body mass by a day.

    Parameters
    ----------
    baseline : Baseline
        The body in balance.
    mass_change_kg : float
        Wanted change. [kg]
    days : int
        Time. [day]
    fat_fraction : float, optional
        Fat share of the change; Forbes's when not given. [fraction]

    Returns
    -------
    float
        Change of intake, by bisection on the dynamic model. [kcal/day]

    Raises
    ------
    TargetError
        When no change within 5,000 kcal a day does it.
    """
    require_between("days", days, 1, 3653, "days", reason="a goal needs time", mend="Give weeks.")
    if mass_change_kg == 0.0:
        return 0.0

    def reached(delta: float) -> float:
        try:
            end = simulate(baseline, delta, days, fat_fraction=fat_fraction)[-1]
        except TargetError:
            return -math.inf
        return end.weight_kg - baseline.weight_kg

    low, high = (0.0, LARGEST_CHANGE_KCAL) if mass_change_kg > 0 else (-LARGEST_CHANGE_KCAL, 0.0)
    if not reached(low) <= mass_change_kg <= reached(high):
        raise TargetError(
            f"{mass_change_kg:+.1f} kg in {days} days would take more than 5,000 kcal a day: "
            "no diet does that. Give it more time or less mass."
        )
    for _ in range(BISECTIONS):
        middle = (low + high) / 2
        if reached(middle) < mass_change_kg:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def energy_for_goal(
    goal: Goal, baseline: Baseline, *, fat_fraction: float | None = None
) -> GoalEnergy:
    """
    Convert any goal to an intake, with the stored and the effective energy beside it.

    Parameters
    ----------
    goal : RateGoal, ChangeGoal, EnergyGoal or PercentGoal
        The wish.
    baseline : Baseline
        The body in balance.
    fat_fraction : float, optional
        Fat share of the change, for a trained client; Forbes's when not given. [fraction]

    Returns
    -------
    GoalEnergy
    """
    if isinstance(goal, RateGoal):
        days = goal.horizon_days
        wanted = baseline.weight_kg * goal.percent_per_week / 100.0 * days / 7.0
        change = change_for_mass(baseline, wanted, days, fat_fraction=fat_fraction)
    elif isinstance(goal, ChangeGoal):
        days = goal.days
        change = change_for_mass(baseline, goal.change_kg, days, fat_fraction=fat_fraction)
    else:
        days = DEFAULT_HORIZON_DAYS
        change = (
            goal.change_kcal
            if isinstance(goal, EnergyGoal)
            else baseline.intake_kcal * goal.percent / 100.0
        )
    end = simulate(baseline, change, days, fat_fraction=fat_fraction)[-1]
    mass = end.weight_kg - baseline.weight_kg
    alpha = forbes_fat_fraction(baseline.fat_kg) if fat_fraction is None else fat_fraction
    stored_density = stored_kcal_per_kg(alpha)
    effective = (
        effective_kcal_per_kg(baseline, change, days, fat_fraction=fat_fraction)
        if abs(change) >= NEGLIGIBLE_KCAL
        else linear_model(baseline, fat_fraction=fat_fraction).effective_kcal_per_kg
    )
    return GoalEnergy(
        change_kcal=change,
        intake_kcal=baseline.intake_kcal + change,
        horizon_days=days,
        mass_change_kg=mass,
        percent_per_week=100.0 * mass / baseline.weight_kg * 7.0 / days,
        fat_fraction=alpha,
        stored_kcal=mass * stored_density / days,
        stored_kcal_per_kg=stored_density,
        effective_kcal_per_kg=effective,
        rule_change_kcal=mass * _C["rule_kcal_per_kg"] / days,
        rule_note=rule_note(baseline, change, days, fat_fraction=fat_fraction),
    )


def rule_note(
    baseline: Baseline, change_kcal: float, days: int, *, fat_fraction: float | None = None
) -> str:
    """
    Say where the 7,700 rule would mislead for this change.

    Parameters
    ----------
    baseline : Baseline
        The body in balance.
    change_kcal : float
        Change of intake. [kcal/day]
    days : int
        Span. [day]
    fat_fraction : float, optional
        Fat share of the change; Forbes's when not given. [fraction]

    Returns
    -------
    str
        Empty when rule and model agree within 15 % over the span and, where the model can be
        carried so far, over a year.
    """
    if abs(change_kcal) < NEGLIGIBLE_KCAL:
        return ""
    spans = sorted({days, YEAR_DAYS})
    try:
        run = simulate(baseline, change_kcal, spans[-1], fat_fraction=fat_fraction)
    except TargetError:
        # The change cannot be kept up for a year, so only its own span can be compared.
        spans = [days]
        run = simulate(baseline, change_kcal, days, fat_fraction=fat_fraction)
    parts = []
    for span in spans:
        model = run[span].weight_kg - baseline.weight_kg
        rule = rule_7700_change_kg(change_kcal, span)
        if abs(rule / model - 1.0) > RULE_MISLEADS_AT:
            parts.append(
                f"{rule:+.1f} kg by the rule and {model:+.1f} kg by the model in {span} days"
            )
    if not parts:
        return ""
    return "7,700 kcal a kilogram would mislead: " + "; ".join(parts)


@dataclass(frozen=True)
class ExpectedMass:
    """
    Body mass to expect on a day.

    Attributes
    ----------
    day : int
        Days since the start. [day]
    weight_kg, low_kg, high_kg : float
        Expected value and ends of the band. [kg]
    fat_kg, lean_kg : float
        Expected parts. [kg]
    """

    day: int
    weight_kg: float
    low_kg: float
    high_kg: float
    fat_kg: float
    lean_kg: float


@dataclass(frozen=True)
class Course:
    """
    The expected course with its band.

    Attributes
    ----------
    points : tuple of ExpectedMass
        At the days asked for.
    half_widths_kg : tuple of (str, float)
        What each uncertain thing adds to the band on the last day, largest first. [kg]
    method : str
        How the band was made.
    """

    points: tuple[ExpectedMass, ...]
    half_widths_kg: tuple[tuple[str, float], ...]
    method: str


def expected_course(
    baseline: Baseline,
    change_kcal: float,
    days: Sequence[int],
    *,
    fat_fraction: float | None = None,
    maintenance_sd: float = _C["maintenance_sd"],
    intake_sd: float = _C["logging_sd"],
    fat_fraction_sd: float = _C["partition_sd"],
    z: float = 1.645,
) -> Course:
    """
    Run the model forward with a band about it.

    The band is made by running the model at the extremes of one uncertain thing at a time
    (maintenance, intake actually eaten, fat share), ``z`` standard deviations either way, and
    adding the departures in quadrature. No random numbers are used.

    Parameters
    ----------
    baseline : Baseline
        The body in balance.
    change_kcal : float
        Planned change of intake. [kcal/day]
    days : sequence of int
        Days to report, rising, from 0. [day]
    fat_fraction : float, optional
        Fat share of the change; Forbes's when not given. [fraction]
    maintenance_sd : float
        Standard deviation of estimated maintenance. [fraction]
    intake_sd : float
        Standard deviation of intake about the plan. [fraction]
    fat_fraction_sd : float
        Standard deviation of the fat share. [fraction]
    z : float
        Standard deviations either side; 1.645 holds 90 %. [1]

    Returns
    -------
    Course
    """
    require_positive("z", z, "(standard deviations)", mend="Use 1.645 for a 90 % band.")
    last = max(days)
    centre = simulate(baseline, change_kcal, last, fat_fraction=fat_fraction)
    alpha = forbes_fat_fraction(baseline.fat_kg) if fat_fraction is None else fat_fraction

    def with_maintenance(sign: float) -> list[float]:
        # True maintenance differs from the estimate while the food on the plate stays as planned.
        factor = 1.0 + sign * z * maintenance_sd
        truth = Baseline(
            baseline.fat_kg, baseline.lean_kg, baseline.rmr_kcal * factor, baseline.pal
        )
        eaten = baseline.intake_kcal + change_kcal - truth.intake_kcal
        run = simulate(truth, eaten, last, fat_fraction=fat_fraction)
        return [s.weight_kg for s in run]

    def with_intake(sign: float) -> list[float]:
        extra = sign * z * intake_sd * (baseline.intake_kcal + change_kcal)
        run = simulate(baseline, change_kcal + extra, last, fat_fraction=fat_fraction)
        return [s.weight_kg for s in run]

    def with_partition(sign: float) -> list[float]:
        share = min(max(alpha + sign * z * fat_fraction_sd, 0.05), 0.95)
        return [s.weight_kg for s in simulate(baseline, change_kcal, last, fat_fraction=share)]

    runs = (
        ("maintenance energy", with_maintenance),
        ("intake actually eaten", with_intake),
        ("lean and fat split", with_partition),
    )
    departures = {
        name: [
            sorted((low - c.weight_kg, high - c.weight_kg))
            for low, high, c in zip(run(-1.0), run(1.0), centre, strict=True)
        ]
        for name, run in runs
    }
    widths = sorted(
        ((name, (d[last][1] - d[last][0]) / 2) for name, d in departures.items()),
        key=lambda item: (-item[1], item[0]),
    )
    return Course(
        _banded(centre, days, departures),
        tuple(widths),
        "model run at the extremes of one uncertain thing at a time, added in quadrature",
    )


def _banded(
    centre: Sequence[State],
    days: Sequence[int],
    departures: Mapping[str, Sequence[Sequence[float]]],
) -> tuple[ExpectedMass, ...]:
    """Put the departures of a course together to a band about it, on the days asked for."""
    points = []
    for day in days:
        down = math.hypot(*(min(0.0, d[day][0]) for d in departures.values()))
        up = math.hypot(*(max(0.0, d[day][1]) for d in departures.values()))
        state = centre[day]
        points.append(
            ExpectedMass(
                day=day,
                weight_kg=state.weight_kg,
                low_kg=state.weight_kg - down,
                high_kg=state.weight_kg + up,
                fat_kg=state.fat_kg,
                lean_kg=state.lean_kg,
            )
        )
    return tuple(points)
