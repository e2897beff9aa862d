"""
Where a client stands: the log read against the targets that are in force.

The only module here that knows an intake; it puts the questions of a check-in and computes nothing
of its own.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache

from mealplan.checkin.decide.log_setup import composition_known, read_log, unit_of
from mealplan.checkin.decide.proposal import propose
from mealplan.checkin.decide.proposed import Proposal, Terms
from mealplan.checkin.decide.record import DecisionRecord
from mealplan.checkin.decide.waiting import next_look
from mealplan.checkin.decide.warnings import find_warnings
from mealplan.checkin.decide.watched import WatchedClient
from mealplan.checkin.energy.log_reading import LogReading
from mealplan.checkin.energy.training_cost import with_costs
from mealplan.checkin.log.entries import CycleDay
from mealplan.checkin.log.log import Log
from mealplan.checkin.trend.trend import Trend, trend_of
from mealplan.client.intake import Intake
from mealplan.client.read import parse_intake
from mealplan.errors import SafetyRefusal, TooLittleDataError
from mealplan.physiology.guard.findings import Finding
from mealplan.targets.bloods import blood_course
from mealplan.targets.body import BodyQuantities, body_quantities
from mealplan.targets.energy_account import phase_energy, wanted_percent_per_week
from mealplan.targets.expenditure import expenditure
from mealplan.targets.make import make_targets
from mealplan.targets.resting import resting_energy
from mealplan.targets.safety import refusal_words

SHOWN_DAYS = 200
"""The trend of a check-in looks back this far; a warning needs half a year. [days]"""
EASE_FIRST = frozenset(
    {"several signs together", "low energy availability", "missed periods", "unplanned loss"}
)
"""Warnings by code that speak for more food or rest: no step down beside them (good practice)."""


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
