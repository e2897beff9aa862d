"""How an intake sets up the reading of its log."""

from __future__ import annotations

import datetime as dt

from mealplan.checkin.energy.expenditure import Prior
from mealplan.checkin.energy.log_reading import LogReading
from mealplan.checkin.energy.partition import Energetics, energetics_of
from mealplan.checkin.energy.reading import read
from mealplan.checkin.energy.setup import Setup, set_up
from mealplan.checkin.energy.training_cost import planned_kcal, with_costs
from mealplan.checkin.log.days import DIRECTIONS, Day, Days, daily
from mealplan.checkin.log.entries import IntakeRecord, MassUnit, WeighIn
from mealplan.checkin.log.log import Log
from mealplan.checkin.review.reviewed import reading_unit
from mealplan.checkin.trend.trend import check_enough
from mealplan.client.intake import Intake
from mealplan.nutrition.protein import protein_target
from mealplan.targets.body import BodyQuantities, body_quantities
from mealplan.targets.expenditure import expenditure
from mealplan.targets.resting import resting_energy

LAST_CYCLE_AGE = 52
"""From about this age on a cycle is not allowed for unless it is logged. [years]"""


def composition_known(body: BodyQuantities) -> bool:
    """
    Say whether fat and fat-free mass were measured well enough to reckon with.

    Parameters
    ----------
    body : BodyQuantities

    Returns
    -------
    bool
        False for bioimpedance, and where nothing was measured.
    """
    return body.method is not None and body.method != "bioimpedance"


def energetics_for(
    intake: Intake, body: BodyQuantities, resting_kcal: float, pal: float
) -> Energetics:
    """
    Say how this client's body answers to a change of intake.

    Parameters
    ----------
    intake : Intake
    body : BodyQuantities
    resting_kcal : float
        [kcal/day]
    pal : float
        Total over resting energy. [1]

    Returns
    -------
    Energetics
    """
    known = composition_known(body)
    trained = intake.training_status != "novice"
    protein = protein_target(
        intake.weight_kg,
        intake.goal.phase,
        "mixed" if trained else "none",
        ffm_kg=body.ffm.value if known else None,
        age_years=intake.age_years,
    )
    return energetics_of(
        body.fat.value if known else None,
        body.ffm.value if known else intake.weight_kg,
        resting_kcal,
        pal,
        trained=trained,
        lifts=trained,
        protein_g_per_kg=protein.aim_g / intake.weight_kg,
    )


def unit_of(intake: Intake, log: Log) -> MassUnit:
    """
    Say in which unit a client reads masses: as last weighed, else as the kitchen measures.

    Parameters
    ----------
    intake : Intake
    log : Log

    Returns
    -------
    {"kg", "lb"}
    """
    return reading_unit(log, "lb" if intake.kitchen.units == "us" else "kg")


def setup_for(intake: Intake, rows: tuple[Day, ...]) -> Setup:
    """
    Say what is known of a client before the log.

    Parameters
    ----------
    intake : Intake
    rows : tuple of Day
        What the log holds, with one weighed day at least.

    Returns
    -------
    Setup
    """
    body = body_quantities(intake)
    rest = resting_energy(intake, body)
    spent = expenditure(intake, rest.quantity)
    return set_up(
        rows,
        Prior(spent.quantity.value, spent.quantity.sd).on_logging_scale(),
        energetics_for(intake, body, rest.quantity.value, spent.total.implied_pal),
        direction=DIRECTIONS[intake.goal.phase],
        training_kcal=planned_kcal(intake, rest.quantity.value),
        # Who logs cycle days has them read; who does not may have a cycle all the same.
        has_cycle=intake.sex == "female" and intake.age_years < LAST_CYCLE_AGE,
    )


def read_log(
    intake: Intake, log: Log, today: dt.date, earlier: LogReading | None = None
) -> tuple[Days, LogReading]:
    """
    Read a log up to a day against the targets in force.

    Parameters
    ----------
    intake : Intake
    log : Log
    today : date
    earlier : LogReading, optional
        Of the same client: what has not changed since is not read again.

    Returns
    -------
    Days
    LogReading

    Raises
    ------
    TooLittleDataError
        With fewer than three days weighed.
    """
    rest = resting_energy(intake, body_quantities(intake)).quantity.value
    costed = with_costs(log, intake, rest)
    known = [
        e.on for e in costed.entries if isinstance(e, WeighIn | IntakeRecord) and e.on <= today
    ]
    days = daily(costed, min(known, default=None), today)
    check_enough(days)
    return days, read(days.rows, setup_for(intake, days.rows), earlier)
