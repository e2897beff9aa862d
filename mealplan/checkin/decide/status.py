"""
Where a client stands: the log read against the targets that are in force.

The only module here that knows an intake; it puts the questions of a check-in and computes nothing
of its own.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache

from mealplan.checkin.decide.proposal import Proposal, Terms, propose
from mealplan.checkin.decide.record import DecisionRecord
from mealplan.checkin.decide.waiting import next_look
from mealplan.checkin.decide.warnings import WatchedClient, find_warnings
from mealplan.checkin.energy.expenditure import Prior
from mealplan.checkin.energy.partition import Energetics, energetics_of
from mealplan.checkin.energy.reading import LogReading, read
from mealplan.checkin.energy.setup import Setup, set_up
from mealplan.checkin.energy.training_cost import planned_kcal, with_costs
from mealplan.checkin.log.days import DIRECTIONS, Day, Days, daily
from mealplan.checkin.log.entries import CycleDay, IntakeRecord, MassUnit, WeighIn
from mealplan.checkin.log.log import Log
from mealplan.checkin.review.phase_review import reading_unit
from mealplan.checkin.trend.trend import Trend, check_enough, trend_of
from mealplan.client.intake import Intake
from mealplan.client.read import parse_intake
from mealplan.errors import SafetyRefusal, TooLittleDataError
from mealplan.nutrition.protein import protein_target
from mealplan.physiology.guard.findings import Finding
from mealplan.targets.bloods import blood_course
from mealplan.targets.body import BodyQuantities, body_quantities
from mealplan.targets.energy_account import (
    expenditure,
    phase_energy,
    wanted_percent_per_week,
)
from mealplan.targets.make import make_targets
from mealplan.targets.resting import resting_energy
from mealplan.targets.safety import refusal_words

SHOWN_DAYS = 200
"""The trend of a check-in looks back this far; a warning needs half a year. [days]"""
EASE_FIRST = frozenset(
    {"several signs together", "low energy availability", "missed periods", "unplanned loss"}
)
"""Warnings by code that speak for more food or rest: no step down beside them (good practice)."""
LAST_CYCLE_AGE = 52
"""From about this age on a cycle is not allowed for unless it is logged. [years]"""


@dataclass(frozen=True)
class Standing:
    """What a check-in has to say."""

    trend: Trend | None
    """None while there are too few weigh-ins."""
    too_little: str
    """Why there is no trend; empty with one."""
    proposal: Proposal
    warnings: tuple[Finding, ...]
    refused: str = ""
    """Why the targets in force are not to be acted on; empty when they are."""
    bloods: tuple[str, ...] = ()
    """The course of each blood value tested more than once, in sentences."""


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


def standing(
    intake: Intake, log: Log, decisions: tuple[DecisionRecord, ...], today: dt.date
) -> Standing:
    """
    Say what a check-in has to say.

    Parameters
    ----------
    intake : Intake
        The one in force.
    log : Log
    decisions : tuple of DecisionRecord
        Earlier ones, whose last step starts the watch.
    today : date

    Returns
    -------
    Standing
    """
    return stand(intake, log, decisions, today)[0]


def stand(
    intake: Intake,
    log: Log,
    decisions: tuple[DecisionRecord, ...],
    today: dt.date,
    earlier: LogReading | None = None,
) -> tuple[Standing, LogReading | None]:
    """
    Say what a check-in has to say, reading on from an earlier reading of the same log.

    Parameters
    ----------
    intake : Intake
        The one in force.
    log : Log
    decisions : tuple of DecisionRecord
    today : date
    earlier : LogReading, optional

    Returns
    -------
    Standing
    LogReading or None
        To read on from; None while there is too little.
    """
    body = body_quantities(intake)
    rest = resting_energy(intake, body)
    spent = expenditure(intake, rest.quantity)
    phase = phase_energy(intake, body, rest.quantity, spent)
    moves = [decision.on for decision in decisions if decision.step_kcal]
    terms = Terms(
        target_kcal=phase.quantity.value,
        rate_kg_per_week=wanted_percent_per_week(intake.goal, phase) * intake.weight_kg / 100,
        last_move=max(moves) if moves else None,
        floor_kcal=rest.quantity.value,
        floor_reason="resting energy",
        unit=unit_of(intake, log),
    )
    trend: Trend | None = None
    reading: LogReading | None = None
    too_little = ""
    questions: tuple[str, ...] = ()
    try:
        days, reading = read_log(intake, log, today, earlier)
        trend = trend_of(reading, days, today - dt.timedelta(days=SHOWN_DAYS))
        questions = tuple(question.text for question in days.questions)
    except TooLittleDataError as error:
        too_little = str(error)
    client = _watched(intake, log, body, terms)
    costed = with_costs(log, intake, rest.quantity.value)
    warnings = find_warnings(costed, client, today, trend)
    proposal = _eased(propose(log, terms, reading, today, questions), warnings)
    refusal = _refusal(intake)
    found = Standing(
        trend=trend,
        too_little=too_little,
        proposal=_held(proposal, refusal) if refusal else proposal,
        warnings=warnings,
        refused=str(refusal or ""),
        bloods=blood_course(intake),
    )
    return found, reading


def _watched(intake: Intake, log: Log, body: BodyQuantities, terms: Terms) -> WatchedClient:
    """Say what the warnings need to know of a client."""
    return WatchedClient(
        sex=intake.sex,
        ffm_kg=body.ffm.value if composition_known(body) else None,
        gaining_planned=terms.rate_kg_per_week > 0,
        losing_planned=terms.rate_kg_per_week < 0,
        # Who logs cycle days wants them followed.
        periods_expected=intake.sex == "female" and bool(log.of(CycleDay)),
        bloods=intake.bloods,
    )


def _refusal(intake: Intake) -> SafetyRefusal | None:
    """Say why the targets in force are not to be acted on."""
    return _refusal_of(intake.model_dump_json())


@lru_cache(maxsize=64)
def _refusal_of(intake: str) -> SafetyRefusal | None:
    """Work the targets out once for an intake, however often its log is read."""
    try:
        make_targets(Intake.model_validate_json(intake))
    except SafetyRefusal as refusal:
        return refusal.with_traceback(None)
    return None


def _held(proposal: Proposal, refusal: SafetyRefusal) -> Proposal:
    """Hold a proposal: no step leads on from targets that are refused."""
    return proposal.model_copy(
        update={
            "verdict": "hold",
            "step_kcal": 0.0,
            "new_target_kcal": proposal.target_kcal,
            "more_weigh_ins": None,
            "summary": "No step is proposed: the targets in force are not to be acted on.",
            "reasons": tuple(refusal_words(one).rstrip(".") for one in refusal.findings),
            "working": (),
        }
    )


def _eased(proposal: Proposal, warnings: tuple[Finding, ...]) -> Proposal:
    """Hold a step down back while warnings speak for more food or rest."""
    if proposal.step_kcal >= 0 or not any(one.code in EASE_FIRST for one in warnings):
        return proposal
    return proposal.model_copy(
        update={
            "verdict": "wait",
            "step_kcal": 0.0,
            "new_target_kcal": proposal.target_kcal,
            "summary": "Wait: by the data the plan is too high, but a warning speaks for more food "
            "or rest; look into it before anything is taken away.",
            "reasons": (
                *proposal.reasons,
                f"the step of {proposal.step_kcal:+.0f} kcal is held back while the warning stands",
                next_look(proposal.on),
            ),
            "working": proposal.working[:-1],
        }
    )


def intake_after(intake: Intake, made: DecisionRecord) -> Intake:
    """
    Give the intake that a decision puts in force: the new energy, and the pace wanted as before.

    Parameters
    ----------
    intake : Intake
        In force before.
    made : DecisionRecord

    Returns
    -------
    Intake
        The same when the decision moves nothing.
    """
    if not made.step_kcal:
        return intake
    body = body_quantities(intake)
    rest = resting_energy(intake, body)
    spent = expenditure(intake, rest.quantity)
    phase = phase_energy(intake, body, rest.quantity, spent)
    data = intake.model_dump(mode="json")
    data["goal"] = {
        "phase": intake.goal.phase,
        "energy_kcal": made.new_target_kcal,
        "rate_percent_per_week": round(wanted_percent_per_week(intake.goal, phase), 4),
    }
    return parse_intake(data)
