"""
What a logged session cost when its client did not know: from the intake's week or the table.

A session that fits no single row of the table of exercise costs stays without a cost: unknown, not
nothing.
"""

from __future__ import annotations

from mealplan.checkin.log.entries import TrainingDone
from mealplan.checkin.log.log import Log
from mealplan.client.intake import ComponentActivity, Intake
from mealplan.errors import IntakeError
from mealplan.physiology.expenditure.daily import TrainingSession
from mealplan.targets.expenditure import find_session


def planned_sessions(intake: Intake) -> tuple[TrainingSession, ...]:
    """
    List the sessions of the intake's usual week under the names people read.

    Parameters
    ----------
    intake : Intake

    Returns
    -------
    tuple of TrainingSession
        Each name once; empty when training is not counted by sessions.
    """
    if not isinstance(intake.activity, ComponentActivity):
        return ()
    found: dict[str, TrainingSession] = {}
    for session in intake.activity.sessions:
        try:
            known = find_session(session.activity, session.met, session.minutes)
        except IntakeError:
            continue  # the targets say so where it matters
        found.setdefault(known.name, known)
    return tuple(found.values())


def planned_kcal(intake: Intake, rmr_kcal: float) -> float | None:
    """
    Give the net cost of the intake's usual week of training, averaged over its days.

    Parameters
    ----------
    intake : Intake
    rmr_kcal : float
        The client's resting energy. [kcal/day]

    Returns
    -------
    float or None
        None when training is not counted by sessions. [kcal/day]
    """
    if not isinstance(intake.activity, ComponentActivity):
        return None
    week = 0.0
    for session in intake.activity.sessions:
        try:
            known = find_session(session.activity, session.met, session.minutes)
        except IntakeError:
            continue  # the targets say so where it matters
        week += known.net_kcal(intake.weight_kg, rmr_kcal)
    return week / 7.0


def with_costs(log: Log, intake: Intake, rmr_kcal: float) -> Log:
    """
    Fill in what sessions cost above rest, where their words or the intake tell.

    Parameters
    ----------
    log : Log
    intake : Intake
    rmr_kcal : float
        The client's resting energy. [kcal/day]

    Returns
    -------
    Log
        For reading only: nothing of it is kept.
    """
    planned = {session.name.casefold(): session for session in planned_sessions(intake)}

    def costed(entry: TrainingDone) -> TrainingDone:
        if entry.net_kcal is not None or entry.minutes is None or not entry.what:
            return entry
        known = planned.get(entry.what.casefold())
        met = known.met if known is not None else None
        try:
            session = find_session(entry.what, met, entry.minutes)
        except IntakeError:
            return entry
        cost = session.net_kcal(intake.weight_kg, rmr_kcal)
        return entry.model_copy(update={"net_kcal": cost})

    return log.with_each(
        costed(entry) if isinstance(entry, TrainingDone) else entry for entry in log.entries
    )
