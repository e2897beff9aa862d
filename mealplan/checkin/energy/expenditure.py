"""
Energy spent, on the client's own logging scale, from what was eaten and what the scale did.

Somebody who logs a sixth too little spends, on that scale, a sixth too little as well; plans are
logged on the same scale, so the constant part of the error cancels. What does not cancel is
inconsistency, and it is in the uncertainty.

Two ways beside each other: the plain balance of a mean intake and a slope, and a filter whose
drive is the expenditure itself, so that changed intakes, gaps and days off explain themselves.

References
----------
.. [1] Hall et al., Lancet 378(9793), 2011, doi:10.1016/S0140-6736(11)60812-X.
.. [2] Racette et al., Obesity 20(7), 2012, doi:10.1038/oby.2011.178 (stores from home weights).
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from mealplan.checkin.log.entries import Log, ScanRecord, WeighIn
from mealplan.checkin.trend.noise import (
    DRIVE,
    READING_SD_KG,
    Candidates,
    Monthly,
    blend,
    build_bank,
    build_rows,
    usual_candidates,
    weigh_candidates,
    width,
)
from mealplan.checkin.trend.series import INTAKE_SD_KCAL, Days, daily, intake_by_day
from mealplan.checkin.trend.simple import DAYS_PER_WEEK, SLOPE_SE_FLOOR_KG_PER_WEEK
from mealplan.checkin.trend.state_space import Bank, Course, Floats, run
from mealplan.checkin.trend.trend import choose_monthly, disturbances, first_mass, weekdays_of
from mealplan.errors import CheckInError
from mealplan.physiology.weight_change.energy_balance import (
    FAT_KCAL_PER_KG,
    LEAN_KCAL_PER_KG,
    Baseline,
    ScanBalance,
    expenditure_from_scans,
    forbes_fat_fraction,
    linear_model,
    stored_kcal_per_kg,
    trained_fat_fraction,
)
from mealplan.quantity import Quantity

EXPENDITURE_DRIFT_KCAL = 5.0
"""How fast expenditure wanders by itself, per root day; about 26 in four weeks (assumption)."""
FORMULA_SD_FRACTION = 0.10
"""Spread of true about predicted expenditure (common practice)."""
LOGGING_SD_FRACTION = 0.10
"""Spread of people's constant logging bias, as a fraction of intake.

Diet records fell short of need by 18 % in feeding studies; a third of people by over 25 %.
"""
NO_PRIOR_SD_KCAL = 3000.0
"""So wide that the prior says nothing."""
USUAL_DAYS = 14
"""Days without a record are taken as the mean of this many recorded days before them."""


@dataclass(frozen=True)
class Energetics:
    """
    How this body turns an imbalance into mass, and how its spending answers.

    Attributes
    ----------
    density_kcal_per_kg, density_sd_kcal_per_kg : float
        Energy stored in one kilogram of small change. [kcal/kg]
    per_kg_kcal : float
        Extra spending a day for each kilogram carried. [kcal/(kg day)]
    thermic_fraction : float
        Share of extra intake spent at once.
    adaptation_fraction, adaptation_days : float
        Share of extra intake spent after adapting, and its time constant. [days]
    """

    density_kcal_per_kg: float
    density_sd_kcal_per_kg: float = 1500.0
    per_kg_kcal: float = 25.0
    thermic_fraction: float = 0.10
    adaptation_fraction: float = 0.14
    adaptation_days: float = 14.0

    @property
    def need_per_kg_kcal(self) -> float:
        """Drift of need for each kilogram gained once adapted, in kcal/(kg day)."""
        return self.per_kg_kcal / (1.0 - self.thermic_fraction - self.adaptation_fraction)


FAT_SHARE_SD = 0.08
"""Spread of people's fat share of a small change about Forbes's (assumption)."""
UNKNOWN_FAT_DENSITY = (6000.0, 1500.0)
"""Stored density and its spread for an athlete without a scan. [kcal/kg] (assumption)"""


def energetics_of(
    fat_kg: float | None, lean_kg: float, rmr_kcal: float, pal: float, *, trained: bool = False
) -> Energetics:
    """
    Work out how a body turns an imbalance into mass.

    Parameters
    ----------
    fat_kg : float or None
        None when never measured. [kg]
    lean_kg : float
        Everything else; the whole body mass when ``fat_kg`` is None. [kg]
    rmr_kcal : float
        [kcal/day]
    pal : float
        Total over resting energy.
    trained : bool
        True holds the fat share of change within 0.3 to 0.6.

    Returns
    -------
    Energetics
    """
    assumed = 0.17 * lean_kg if fat_kg is None else fat_kg
    rest = lean_kg - assumed if fat_kg is None else lean_kg
    share = trained_fat_fraction(assumed) if trained else forbes_fat_fraction(assumed)
    line = linear_model(Baseline(assumed, rest, rmr_kcal, pal), fat_fraction=share)
    plain = Energetics(stored_kcal_per_kg(share))
    per_kg = line.slope_kcal_per_kg * plain.per_kg_kcal / plain.need_per_kg_kcal
    if fat_kg is None:
        return Energetics(*UNKNOWN_FAT_DENSITY, per_kg_kcal=per_kg)
    spread = FAT_SHARE_SD * (FAT_KCAL_PER_KG - LEAN_KCAL_PER_KG)
    return Energetics(stored_kcal_per_kg(share), spread, per_kg_kcal=per_kg)


@dataclass(frozen=True)
class Prior:
    """Maintenance energy before any weigh-in, true scale, from the targets. [kcal/day]."""

    kcal: float
    sd_kcal: float

    def on_logging_scale(self) -> Prior:
        """Return it widened by not knowing how the client logs."""
        return Prior(self.kcal, math.hypot(self.sd_kcal, LOGGING_SD_FRACTION * self.kcal))


# ---- plain balance ----------------------------------------------------------------------------


def expenditure_from_trend(
    mean_intake_kcal: float, slope_kg_per_week: float, density_kcal_per_kg: float
) -> float:
    """
    Return intake less what was stored.

    Parameters
    ----------
    mean_intake_kcal : float
        Logged. [kcal/day]
    slope_kg_per_week : float
        Gain positive. [kg/week]
    density_kcal_per_kg : float
        Stored density, not the cost of a kilogram. [kcal/kg]

    Returns
    -------
    float
        Expenditure on the logging scale. [kcal/day]
    """
    return mean_intake_kcal - slope_kg_per_week / DAYS_PER_WEEK * density_kcal_per_kg


def expenditure_from_trend_sd(
    intake_sd_kcal: float,
    slope_kg_per_week: float,
    slope_sd_kg_per_week: float,
    density_kcal_per_kg: float,
    density_sd_kcal_per_kg: float,
) -> float:
    """
    Return the standard deviation of :func:`expenditure_from_trend`.

    Parameters
    ----------
    intake_sd_kcal : float
        Inconsistency of the mean logged intake, constant bias aside. [kcal/day]
    slope_kg_per_week, slope_sd_kg_per_week : float
        [kg/week]
    density_kcal_per_kg, density_sd_kcal_per_kg : float
        [kcal/kg]

    Returns
    -------
    float
        [kcal/day]
    """
    return math.sqrt(
        intake_sd_kcal**2
        + (density_kcal_per_kg * slope_sd_kg_per_week / DAYS_PER_WEEK) ** 2
        + (slope_kg_per_week / DAYS_PER_WEEK * density_sd_kcal_per_kg) ** 2
    )


def combine_estimates(
    first_kcal: float, first_sd_kcal: float, second_kcal: float, second_sd_kcal: float
) -> tuple[float, float]:
    """
    Average two independent estimates by precision.

    Returns
    -------
    kcal, sd_kcal : float
        [kcal/day]
    """
    one, two = first_sd_kcal**-2, second_sd_kcal**-2
    return (first_kcal * one + second_kcal * two) / (one + two), (one + two) ** -0.5


def scan_balance(log: Log, first: ScanRecord, second: ScanRecord) -> ScanBalance:
    """
    Tell expenditure from two scans and what was logged between them.

    Parameters
    ----------
    log : Log
    first, second : ScanRecord
        In order of time.

    Returns
    -------
    ScanBalance

    Raises
    ------
    CheckInError
        When fewer than half of the days between have their energy on record.
    """
    days = (second.on - first.on).days
    between = log.between(first.on, second.on - dt.timedelta(days=1))
    intake, _, logged = intake_by_day(between, first.on, max(days, 0))
    if days < 1 or logged.sum() < days / 2:
        raise CheckInError(
            f"{int(logged.sum())} of the {days} days between the scans of {first.on} and "
            f"{second.on} have their energy on record; the balance needs half at least: log more "
            "days, or judge by the weight trend"
        )
    return expenditure_from_scans(
        float(np.nanmean(intake)),
        second.fat_kg - first.fat_kg,
        second.lean_kg - first.lean_kg,
        days,
        fat_rms_sd_kg=second.rms_sd_fat_kg,
        lean_rms_sd_kg=second.rms_sd_lean_kg,
    )


def need_drift_kcal(mass_change_kg: float, cost_kcal_per_kg_day: float) -> float:
    """
    Return by how much daily need drifts as mass changes.

    Parameters
    ----------
    mass_change_kg : float
        [kg]
    cost_kcal_per_kg_day : float
        About 30 for a lean, active body in a gain. [kcal/(kg day)]

    Returns
    -------
    float
        [kcal/day]
    """
    return mass_change_kg * cost_kcal_per_kg_day


# ---- the filter -------------------------------------------------------------------------------


def expenditure_bank(
    mass_kg: ArrayLike,
    prior_kcal: ArrayLike,
    prior_sd_kcal: ArrayLike,
    density_kcal_per_kg: ArrayLike,
    per_kg_kcal: ArrayLike,
    candidates: Candidates,
    monthly: Monthly = "none",
) -> Bank:
    """
    Build the bank whose drive is expenditure at maintenance intake.

    Parameters
    ----------
    mass_kg, prior_kcal, prior_sd_kcal, density_kcal_per_kg, per_kg_kcal : float or (C,)
        One entry a client.
    candidates : Candidates
    monthly : {"none", "logged", "unlogged"}

    Returns
    -------
    Bank
    """
    density = np.asarray(density_kcal_per_kg, dtype=float)
    per_kg = np.asarray(per_kg_kcal, dtype=float)
    return build_bank(
        mass_kg,
        candidates,
        drive_mean=prior_kcal,
        drive_sd=prior_sd_kcal,
        drive_drift=EXPENDITURE_DRIFT_KCAL,
        drive_to_level=-1.0 / density,
        drive_keeps=1.0 - per_kg / density,
        monthly=monthly,
    )


def eaten(
    intake_kcal: ArrayLike,
    response_kcal: ArrayLike,
    density_kcal_per_kg: ArrayLike,
    per_kg_kcal: ArrayLike,
    states: int,
) -> Floats:
    """
    Return what one day's eating is known to add to the states, (C, k).

    Parameters
    ----------
    intake_kcal : (C,)
        The day's intake. [kcal]
    response_kcal : (C,)
        How far spending has already answered it. [kcal]
    density_kcal_per_kg, per_kg_kcal : float or (C,)
    states : int
    """
    net = np.atleast_1d(np.asarray(intake_kcal, dtype=float) - np.asarray(response_kcal))
    known = np.zeros((len(net), states))
    known[:, 0] = net / density_kcal_per_kg
    known[:, DRIVE] = np.asarray(per_kg_kcal) * known[:, 0]
    return known


def answer(
    adapted_kcal: Floats, intake_kcal: Floats, maintenance_kcal: Floats, body: Energetics
) -> tuple[Floats, Floats]:
    """
    Let spending answer one day's intake.

    Parameters
    ----------
    adapted_kcal : (C,)
        Adaptation so far. [kcal/day]
    intake_kcal, maintenance_kcal : (C,)
        [kcal/day]
    body : Energetics

    Returns
    -------
    response_kcal : (C,)
        Extra spending on this day. [kcal/day]
    adapted_kcal : (C,)
        Adaptation by the next day. [kcal/day]
    """
    extra = intake_kcal - maintenance_kcal
    response = body.thermic_fraction * extra + adapted_kcal
    grown = adapted_kcal + (body.adaptation_fraction * extra - adapted_kcal) / body.adaptation_days
    return response, grown


def usual_intake(intake_kcal: Floats, fallback_kcal: Floats) -> Floats:
    """
    Return the mean of each client's last recorded days.

    Parameters
    ----------
    intake_kcal : (C, T)
        Up to and including today, NaN where not recorded. [kcal]
    fallback_kcal : (C,)
        Where nothing was recorded. [kcal]

    Returns
    -------
    (C,)
        [kcal/day]
    """
    known = ~np.isnan(intake_kcal)
    after = np.cumsum(known[:, ::-1], axis=1)[:, ::-1]
    used = known & (after <= USUAL_DAYS)
    count = used.sum(axis=1)
    total = np.where(used, intake_kcal, 0.0).sum(axis=1)
    return np.asarray(np.where(count > 0, total / np.maximum(count, 1), fallback_kcal))


@dataclass(frozen=True)
class Expenditure:
    """
    Expenditure on the logging scale on one day, with what it rests on.

    Attributes
    ----------
    on : date
    kcal, sd_kcal : float
        Trend, intake and prior together. [kcal/day]
    density_part_kcal : float
        How far it moves with one standard deviation of stored density; signed. [kcal/day]
    data_kcal, data_sd_kcal : float
        Without the prior. [kcal/day]
    prior : Prior
        On the logging scale.
    slope_kg_per_week : float
        Implied by recent intake and ``kcal``. [kg/week]
    recent_intake_kcal : float
        Mean of the last recorded days. [kcal/day]
    noise_sd_kg, noise_correlation, wander_kg : float
        Learned noise.
    weigh_ins, logged_days : int
        In the last 28 days, outside sickness and travel.
    covariance : tuple
        Of level, expenditure and passing water, averaged over the candidates.
    course_kcal, course_sd_kcal : tuple of float
        Day by day, each from what was known then. [kcal/day]
    first : date
        Day of the first entry of the course.
    """

    on: dt.date
    kcal: float
    sd_kcal: float
    density_part_kcal: float
    data_kcal: float
    data_sd_kcal: float
    prior: Prior
    body: Energetics
    slope_kg_per_week: float
    recent_intake_kcal: float
    noise_sd_kg: float
    noise_correlation: float
    wander_kg: float
    weigh_ins: int
    logged_days: int
    covariance: tuple[tuple[float, ...], ...]
    course_kcal: tuple[float, ...]
    course_sd_kcal: tuple[float, ...]
    first: dt.date

    @property
    def total_sd_kcal(self) -> float:
        """Standard deviation with stored density's part, in kcal/day."""
        return math.hypot(self.sd_kcal, self.density_part_kcal)

    def quantity(self) -> Quantity:
        """Return it with its working."""
        prior = Quantity(
            key="expenditure_prior_kcal",
            label="expenditure from the targets, logging unknown",
            value=self.prior.kcal,
            unit="kcal/day",
            method="as the targets had it; spread widened by not knowing how the client logs",
            components={"error of the targets' expenditure": self.prior.sd_kcal},
        )
        data = Quantity(
            key="expenditure_data_kcal",
            label="expenditure from weigh-ins and intake alone",
            value=self.data_kcal,
            unit="kcal/day",
            method=(
                f"recent intake {self.recent_intake_kcal:,.0f} − slope × stored density "
                f"{self.body.density_kcal_per_kg:,.0f} kcal/kg ÷ 7, fitted day by day"
            ),
            provenance="measured",
            components={"weigh-ins and intake": self.data_sd_kcal},
        )
        return Quantity(
            key="expenditure_kcal",
            label="expenditure on your logging scale",
            value=self.kcal,
            unit="kcal/day",
            method=(
                "both estimates, each weighted by 1/SD²: "
                f"{self.prior.kcal:,.0f} ± {self.prior.sd_kcal:,.0f} and "
                f"{self.data_kcal:,.0f} ± {self.data_sd_kcal:,.0f} kcal/day (1 SD)"
            ),
            source="energy balance with learned noise",
            inputs=(prior, data),
            components={
                "weigh-ins and intake": self.sd_kcal,
                "stored energy density": self.density_part_kcal,
            },
            note="Holds for intake logged as before; a true figure may lie above it.",
        )


RECENT_DAYS = 28
CORE = 3
"""Level, drive and passing water are the first three states."""


def recent_counts(days: Days) -> tuple[int, int]:
    """Return weigh-ins and logged days of the last 28 days outside sickness and travel."""
    recent = np.arange(len(days)) >= len(days) - RECENT_DAYS
    return (
        int((days.usable & recent).sum()),
        int((days.logged & ~days.disturbed & recent).sum()),
    )


def learn_expenditure(
    log: Log,
    prior: Prior,
    body: Energetics,
    *,
    first: dt.date | None = None,
    last: dt.date | None = None,
    monthly: Monthly | None = None,
    with_data_alone: bool = True,
) -> Expenditure:
    """
    Learn expenditure on the logging scale from weigh-ins and intake.

    Parameters
    ----------
    log : Log
    prior : Prior
        From the targets, on the true scale; widened here.
    body : Energetics
    first, last : date, optional
        Span to use, by default from the first weigh-in to the last.
    monthly : {"none", "logged", "unlogged"}, optional
    with_data_alone : bool
        False saves the second run without a prior; ``data_kcal`` then repeats ``kcal``.

    Returns
    -------
    Expenditure

    Raises
    ------
    CheckInError
        When nothing was eaten on record.
    TooLittleDataError
        Without a weigh-in.
    """
    days = daily(log, first, last)
    if not days.logged.any():
        raise CheckInError(
            "no day has its energy on record, so nothing can be said about expenditure; log days "
            "as planned, roughly or with their kilocalories"
        )
    wide = prior.on_logging_scale()
    pattern = choose_monthly(days, monthly)
    candidates = usual_candidates()
    joint = _filter(days, wide, body, candidates, pattern)
    unprejudiced = Prior(wide.kcal, NO_PRIOR_SD_KCAL)
    alone = _filter(days, unprejudiced, body, candidates, pattern) if with_data_alone else joint
    recent = float(usual_intake(days.intake_kcal[None, :], np.array([wide.kcal]))[0])
    kcal, sd = joint.kcal[-1], joint.sd[-1]
    slope = DAYS_PER_WEEK * (recent - kcal) / body.density_kcal_per_kg
    weights = joint.weights
    weigh_ins, logged = recent_counts(days)
    return Expenditure(
        on=days.dates[-1],
        kcal=float(kcal),
        sd_kcal=float(floor_sd(sd, body)),
        density_part_kcal=-slope / DAYS_PER_WEEK * body.density_sd_kcal_per_kg,
        data_kcal=float(alone.kcal[-1]),
        data_sd_kcal=float(floor_sd(alone.sd[-1], body)),
        prior=wide,
        body=body,
        slope_kg_per_week=float(slope),
        recent_intake_kcal=recent,
        noise_sd_kg=float(weights @ candidates.noise_fraction) * first_mass(days),
        noise_correlation=float(weights @ candidates.correlation),
        wander_kg=float(weights @ candidates.wander_kg),
        weigh_ins=weigh_ins,
        logged_days=logged,
        covariance=_core_covariance(joint),
        course_kcal=tuple(float(v) for v in joint.kcal),
        course_sd_kcal=tuple(float(v) for v in joint.sd),
        first=days.first,
    )


def floor_sd(sd_kcal: ArrayLike, body: Energetics) -> Floats:
    """Return the spread, never below what slow wander of water allows, in kcal/day."""
    least = SLOPE_SE_FLOOR_KG_PER_WEEK / DAYS_PER_WEEK * body.density_kcal_per_kg
    return np.asarray(np.maximum(np.asarray(sd_kcal, dtype=float), least))


def _core_covariance(filtered: _Filtered) -> tuple[tuple[float, ...], ...]:
    last = filtered.course.covariance[-1][:, :CORE, :CORE]
    mean = np.einsum("b,bij->ij", filtered.weights, last)
    return tuple(tuple(float(v) for v in row) for row in mean)


@dataclass(frozen=True)
class _Filtered:
    kcal: Floats
    sd: Floats
    weights: Floats
    course: Course


def _filter(
    days: Days, prior: Prior, body: Energetics, candidates: Candidates, monthly: Monthly
) -> _Filtered:
    states = width(monthly)
    span = len(days)
    bank = expenditure_bank(
        first_mass(days),
        prior.kcal,
        prior.sd_kcal,
        body.density_kcal_per_kg,
        body.per_kg_kcal,
        candidates,
        monthly,
    )
    inputs = np.zeros((span, bank.size, states))
    extra = disturbances(days, states, 0.0)
    answered = np.zeros(span)
    maintenance = np.array([prior.kcal])
    adapted = np.zeros(1)
    for day in range(span):
        usual = usual_intake(days.intake_kcal[None, : day + 1], maintenance)
        today = days.intake_kcal[day]
        intake = usual if np.isnan(today) else np.array([today])
        response, grown = answer(adapted, intake, maintenance, body)
        answered[day] = answer(adapted, usual, maintenance, body)[0][0]
        adapted = grown
        if day + 1 < span:
            inputs[day + 1] = eaten(
                intake, response, body.density_kcal_per_kg, body.per_kg_kcal, states
            )
            extra[day + 1, 0] += (days.intake_sd_kcal[day] / body.density_kcal_per_kg) ** 2
    course = run(
        bank,
        days.mass_kg,
        build_rows(weekdays_of(days), days.cycle_day, monthly),
        inputs,
        extra,
    )
    weights = np.stack([weigh_candidates(row, candidates) for row in course.log_likelihood])
    kcal, sd = blend(weights, course.mean[:, :, DRIVE], course.covariance[:, :, DRIVE, DRIVE])
    return _Filtered(kcal[:, 0] + answered, sd[:, 0], weights[-1, 0], course)


def forget_last_weigh_in(log: Log) -> Log:
    """Return the log without its newest weigh-in day, to see whether a verdict hangs on it."""
    weigh_ins = log.of(WeighIn)
    if not weigh_ins:
        return log
    newest = weigh_ins[-1].on
    return Log(
        entries=tuple(e for e in log.entries if not (isinstance(e, WeighIn) and e.on == newest)),
        history=log.history,
    )


def weigh_ins_until(
    now: Expenditure,
    wanted_sd_kcal: float,
    weigh_ins_per_week: float,
    *,
    most_days: int = 112,
) -> int | None:
    """
    Tell how many more weigh-ins bring the spread down to what is wanted.

    The learned noise is carried forward with the client's own frequency of weighing.

    Parameters
    ----------
    now : Expenditure
    wanted_sd_kcal : float
        [kcal/day]
    weigh_ins_per_week : float
        Above 0, up to 7.
    most_days : int
        How far to look ahead. [days]

    Returns
    -------
    int or None
        None when it would take longer, or never gets there.
    """
    variance = np.array(now.covariance)
    density = now.body.density_kcal_per_kg
    forward = np.eye(3)
    forward[0, DRIVE] = -1.0 / density
    forward[2, 2] = now.noise_correlation
    row = np.array([1.0, 0.0, 1.0])
    noise = np.array(
        [
            now.wander_kg**2 + (INTAKE_SD_KCAL["counted"] / density) ** 2,
            EXPENDITURE_DRIFT_KCAL**2,
            now.noise_sd_kg**2 * (1 - now.noise_correlation**2),
        ]
    )
    due, taken = 0.0, 0
    for _ in range(most_days):
        variance = forward @ variance @ forward.T + np.diag(noise)
        due += min(weigh_ins_per_week, 7.0) / 7.0
        if due >= 1.0 - 1e-9:
            due -= 1.0
            taken += 1
            shared = variance @ row
            variance = variance - np.outer(shared, shared) / (row @ shared + READING_SD_KG**2)
        if math.sqrt(variance[DRIVE, DRIVE]) <= wanted_sd_kcal:
            return max(taken, 1)
    return None
