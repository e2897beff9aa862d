"""The job of planning a shared table: each one's days into each one's own plan."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Sequence

from api.records.book import Records
from api.records.changes import MadeChange
from api.records.custom_foods import whole_intake
from api.records.tables import Sitting
from api.records.view import Principal
from api.settings import Settings
from mealplan.errors import IntakeError, NoPlanError, SafetyRefusal
from mealplan.jobs import Work
from mealplan.menu.table import AtTable, plan_table
from mealplan.menu.week import refuse_unsafe
from mealplan.store.base import NotThere, Writer
from mealplan.store.records import Client, Job, new_id
from mealplan.targets.make import make_targets


def table_job(records: Records, client: Client, first: dt.date, days: int, now: dt.datetime) -> Job:
    """
    Make the job of planning everyone's days at a table.

    Parameters
    ----------
    records : Records
        Of the coach who asks.
    client : Client
        One who sits at it.
    first : date
    days : int
        1 to 28. [days]
    now : datetime

    Returns
    -------
    Job
    """
    who = records.principal
    return Job(
        id=new_id(),
        made_at=now,
        coach_id=client.coach_id,
        client_id=client.id,
        asker=who.coach_id,
        by_link=False,
        by=who.name,
        task="table",
        what=f"{days} days for the shared table from {first:%A %d %B}",
        back_to=f"/clients/{client.id}/table",
        wish=json.dumps({"first": first.isoformat(), "days": days}),
        total=days,
    )


def own_records(records: Records, client: Client) -> Records:
    """
    Give the records a client's own coach has, to keep what a shared table planned for them.

    Parameters
    ----------
    records : Records
        Of a coach who sits at the table by another client.
    client : Client
        Who sits at it.

    Returns
    -------
    Records
    """
    principal = Principal("coach", client.coach_id, records.principal.name)
    return Records(records.store, records.settings, principal)


def at_table(records: Records, sitting: Sitting) -> tuple[tuple[AtTable, int, Records], ...]:
    """
    Read everyone's intake and targets; whoever asks learns nothing of another coach's client.

    Parameters
    ----------
    records : Records
        Of the coach who asks.
    sitting : Sitting

    Returns
    -------
    tuple of (AtTable, int, Records)
        With the number of the intake, and the records of their own coach.

    Raises
    ------
    SafetyRefusal
        When one of the coach's own clients must not be planned for.
    NoPlanError
        When another coach's must not; the reasons are that coach's to read.
    """
    found = []
    for client in sitting.clients:
        theirs = own_records(records, client)
        try:
            version = theirs.intakes.version(client)
            intake = whole_intake(theirs, version.body)
            targets = make_targets(intake)
            refuse_unsafe(targets)
        except (SafetyRefusal, IntakeError, NotThere):
            if client.coach_id == records.principal.coach_id:
                raise
            raise NoPlanError(
                f"nothing can be planned for the {client.role} for now; their own coach sees why"
            ) from None
        found.append((AtTable(intake, targets), version.number, theirs))
    return tuple(found)


def plan_shared(work: Work, settings: Settings) -> None:
    """
    Plan everyone's days at a table and keep each one's as a change of their own plan.

    Parameters
    ----------
    work : Work
    settings : Settings
    """
    records = Records(work.store, settings, Principal("coach", work.job.coach_id, work.job.by))
    wish = json.loads(work.job.wish)
    sitting = records.tables.of(records.clients.one(work.job.client_id))
    if sitting is None:
        raise NotThere("the table was left meanwhile; say again which meals are shared")
    first = dt.date.fromisoformat(wish["first"])
    everyone = at_table(records, sitting)
    try:
        planned = plan_table(
            [eater for eater, _, _ in everyone],
            sitting.shared,
            guests=sitting.guests,
            days=wish["days"],
            first=first,
            progress=work.tell,
        )
    except NoPlanError:
        # Which words clash is each one's own.
        raise NoPlanError(
            "no dish is left for a meal of someone at the table; look at each one's own week"
        ) from None
    reason = f"{wish['days']} days from {first}, some meals shared"

    def ended(unit: Writer) -> None:
        records.tables.planned(unit, sitting.table, planned.decided.meals)
        work.finish(unit)

    _keep(sitting, everyone, [plan.model_dump_json() for plan in planned.plans], reason, ended)


def _keep(
    sitting: Sitting,
    everyone: Sequence[tuple[AtTable, int, Records]],
    bodies: Sequence[str],
    reason: str,
    ended: Callable[[Writer], None],
) -> None:
    """Let each one's days enter their plan; what was planned is said with the last."""
    last = len(bodies) - 1
    for place, (client, (_, number, theirs), body) in enumerate(
        zip(sitting.clients, everyone, bodies, strict=True)
    ):
        change = MadeChange(body, was=client.plan_number, intake_number=number, reason=reason)
        theirs.plans.keep_change(client.id, change, also=ended if place == last else None)
