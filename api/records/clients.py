"""Clients of a coach: looked up, taken on, kept in step with what their documents say."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Sequence

from api.records.reading import targets_of
from api.records.roster_priority import placed
from api.records.view import View
from mealplan.checkin.log.entries import AnyEntry, RmrTest, ScanRecord
from mealplan.client.intake import Intake
from mealplan.errors import SafetyRefusal
from mealplan.store.documents import INTAKE
from mealplan.store.records import Client, IntakeVersion, new_id
from mealplan.targets.safety import worst


class Clients:
    """
    The clients one person may see.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view

    def one(self, client_id: str) -> Client:
        """
        Look a client up; raises as :meth:`View.seen` does.

        Parameters
        ----------
        client_id : str
            Identifier of the client.
        """
        with self.view.store.reading() as unit:
            return self.view.seen(unit, client_id)

    def all(self) -> tuple[Client, ...]:
        """Return the clients this person may see."""
        who = self.view.principal
        with self.view.store.reading() as unit:
            if who.kind == "client":
                return (self.view.seen(unit, who.client_id),)
            return unit.find(Client, coach_id=who.coach_id)

    def of_role(self, role: str) -> Client | None:
        """
        Return the coach's oldest client of exactly this role, or None.

        Parameters
        ----------
        role : str
            What the client does.
        """
        with self.view.store.reading() as unit:
            found = unit.find(Client, limit=1, coach_id=self.view.principal.coach_id, role=role)
        return found[0] if found else None

    def take_on(self, intake: Intake, reason: str = "first intake") -> Client:
        """
        Take a client on.

        Parameters
        ----------
        intake : Intake
        reason : str
            For the history.

        Returns
        -------
        Client
        """
        now = self.view.settings.now()
        body = INTAKE.write(intake)
        client = Client(
            id=new_id(),
            made_at=now,
            coach_id=self.view.principal.coach_id,
            role=intake.role,
            phase=intake.goal.phase,
            start=intake.start,
            intake_number=1,
            plan_number=0,
            planned_until=None,
            gravest=gravest(body),
            measured_on=measured_on(intake),
        )
        client = placed(client)
        with self.view.store.writing() as unit:
            unit.add(client)
            unit.add(version_of(self.view, client.id, 1, body, reason))
            self.view.note(unit, client.id, "client taken on", reason)
        return client


def version_of(view: View, client_id: str, number: int, body: str, reason: str) -> IntakeVersion:
    """
    Make the record of an intake.

    Parameters
    ----------
    view : View
    client_id : str
    number : int
    body : str
        The intake as kept text.
    reason : str

    Returns
    -------
    IntakeVersion
    """
    return IntakeVersion(
        id=new_id(),
        made_at=view.settings.now(),
        client_id=client_id,
        number=number,
        body=body,
        by=view.principal.name,
        reason=reason,
    )


def touched(client: Client, **changes: object) -> Client:
    """
    Change a client so that the log is read again before anything it says is shown.

    Parameters
    ----------
    client : Client
    **changes
        Fields and their new values.

    Returns
    -------
    Client
    """
    fresh = {"revision": client.revision + 1, "read_on": None, "move_kcal": 0.0}
    return placed(dataclasses.replace(client, **(fresh | changes)))  # type: ignore[arg-type]


def later(*days: dt.date | None) -> dt.date | None:
    """Return the latest of some days, None without any."""
    return max((day for day in days if day is not None), default=None)


def measures(entries: Sequence[AnyEntry]) -> list[dt.date]:
    """
    Return the days of scans and laboratory tests in a log.

    Parameters
    ----------
    entries : Sequence[AnyEntry]
        What is kept of the log.
    """
    return [entry.on for entry in entries if isinstance(entry, ScanRecord | RmrTest)]


def measured_on(intake: Intake) -> dt.date | None:
    """
    Return the day of an intake's latest scan or laboratory test.

    Parameters
    ----------
    intake : Intake
        The intake in force.
    """
    return later(*(part.date for part in (intake.scan, intake.resting_test) if part is not None))


def gravest(body: str) -> str:
    """
    Give the severity of the gravest notice of an intake kept as text.

    Parameters
    ----------
    body : str

    Returns
    -------
    str
        Targets that cannot be shown at all count as a refusal; empty without a notice.
    """
    try:
        return worst(targets_of(body).notices)
    except SafetyRefusal as refusal:
        return refusal.severity
