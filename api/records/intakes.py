"""Intakes of a client, every version of them, and the targets of the one in force."""

from __future__ import annotations

from api.records.clients import gravest, later, measured_on, measures, touched, version_of
from api.records.reading import hides_numbers, intake_of, log_of, targets_of, version_in_force
from api.records.view import Stale, View
from mealplan.client.intake import Intake
from mealplan.errors import IntakeError
from mealplan.store.base import Writer
from mealplan.store.documents import INTAKE, opened
from mealplan.store.records import Client, IntakeVersion
from mealplan.targets.ranges import Targets


class Intakes:
    """
    What plans and targets of a client rest on.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view

    def version(self, client: Client, number: int | None = None) -> IntakeVersion:
        """
        Return the record of the intake in force, or of one by its number.

        Parameters
        ----------
        client : Client
            Whose file it is.
        number : int or None
            Its number; the latest when left out.
        """
        with self.view.store.reading() as unit:
            return version_in_force(unit, client, number)

    def in_force(self, client: Client) -> Intake:
        """
        Return the intake in force.

        Parameters
        ----------
        client : Client
            Whose file it is.
        """
        return intake_of(self.version(client).body)

    def hides(self, client: Client) -> bool:
        """
        Return whether weights and calories are kept from this client.

        Parameters
        ----------
        client : Client
            Whose file it is.
        """
        return hides_numbers(self.version(client).body)

    def targets(self, client: Client) -> Targets:
        """
        Return the targets of the intake in force; raises as :func:`make_targets` does.

        Parameters
        ----------
        client : Client
            Whose file it is.
        """
        return targets_of(self.version(client).body)

    def history(self, client: Client) -> tuple[IntakeVersion, ...]:
        """
        Return every intake, newest first.

        Parameters
        ----------
        client : Client
            Whose file it is.
        """
        with self.view.store.reading() as unit:
            found = unit.find(IntakeVersion, client_id=client.id)
        return tuple(sorted(found, key=lambda version: -version.number))

    def amend(self, client_id: str, intake: Intake, reason: str, was: int) -> Client:
        """
        Put a new intake in force; the old one stays in the history.

        Parameters
        ----------
        client_id : str
        intake : Intake
        reason : str
            Why, for the history; may not be empty.
        was : int
            Number of the intake the change was made to.

        Returns
        -------
        Client

        Raises
        ------
        Stale
            When someone else amended it meanwhile.
        IntakeError
            When no reason is given.
        """
        if not reason.strip():
            raise IntakeError(
                "reason is empty; say in a few words why the targets change, for the history"
            )
        return self.view.write(
            lambda unit: amended(self.view, unit, client_id, intake, reason, was)
        )


def amended(
    view: View, unit: Writer, client_id: str, intake: Intake, reason: str, was: int
) -> Client:
    """
    Put a new intake in force within a change; see :meth:`Intakes.amend`.

    Parameters
    ----------
    view : View
    unit : Writer
    client_id : str
    intake : Intake
    reason : str
    was : int

    Returns
    -------
    Client
    """
    body = INTAKE.write(intake)
    client = view.seen(unit, client_id)
    if client.intake_number != was:
        raise Stale(
            f"intake {was} was amended meanwhile: number {client.intake_number} is in force; "
            "look at it, then make the change again"
        )
    old = version_in_force(unit, client)
    changed = touched(
        client,
        role=intake.role,
        phase=intake.goal.phase,
        start=intake.start,
        intake_number=was + 1,
        gravest=gravest(body),
        measured_on=later(measured_on(intake), *measures(log_of(unit, client_id).entries)),
    )
    unit.change(changed)
    unit.add(version_of(view, client_id, was + 1, body, reason.strip()))
    said = f"{was + 1}: {reason.strip()}; {difference(old.body, body)}"
    view.note(unit, client_id, "intake amended", said)
    return changed


def difference(old: str, new: str) -> str:
    """
    Say which fields of a document changed and how, in one line.

    Parameters
    ----------
    old, new : str
        As kept.

    Returns
    -------
    str
    """
    before, after = _flat(opened(old)), _flat(opened(new))
    changed = [
        f"{key} {before.get(key, 'nothing')} → {after.get(key, 'nothing')}"
        for key in sorted(before.keys() | after.keys())
        if before.get(key) != after.get(key)
    ]
    return "; ".join(changed) or "nothing changed"


def _flat(value: object, prefix: str = "") -> dict[str, str]:
    if isinstance(value, dict):
        parts = [(f"{prefix}.{key}" if prefix else str(key), part) for key, part in value.items()]
    elif isinstance(value, list):
        parts = [(f"{prefix}.{place}", part) for place, part in enumerate(value)]
    else:
        return {prefix: "nothing" if value is None else str(value)}
    flat: dict[str, str] = {}
    for key, part in parts:
        flat |= _flat(part, key)
    return flat
