"""Plans of a client, and what was said about single meals of them."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
from collections.abc import Callable

from api.records.reading import targets_of
from api.records.roster_priority import placed
from api.records.view import Stale, View
from mealplan.plan import Plan
from mealplan.store.base import NotThere, Writer
from mealplan.store.documents import PLAN
from mealplan.store.records import Client, IntakeVersion, Mark, MarkKind, SavedPlan, new_id

PLANS_KEPT = 40
"""Versions of a client's plan that stay; older ones are let go."""


class Plans:
    """
    What a client is to eat.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view

    def kept(self, client: Client, number: int | None = None) -> SavedPlan:
        """Return the latest plan, or one by its number."""
        wanted = number if number is not None else client.plan_number
        with self.view.store.reading() as unit:
            found = unit.find(SavedPlan, client_id=client.id, number=wanted)
        if not found:
            raise NotThere(f"the {client.role} has no plan {wanted or 'yet'}; plan a week first")
        return found[0]

    def to_act_on(self, client: Client) -> SavedPlan:
        """
        Return the latest plan, unless the intake in force is refused or waits for a professional.

        Parameters
        ----------
        client : Client

        Returns
        -------
        SavedPlan

        Raises
        ------
        SafetyRefusal
            With its reasons: an older week is nothing to act on then either.
        """
        with self.view.store.reading() as unit:
            found = unit.find(IntakeVersion, client_id=client.id, number=client.intake_number)
        if found:
            targets_of(found[0].body)
        return self.kept(client)

    def keep(
        self,
        client_id: str,
        body: str,
        *,
        was: int,
        intake_number: int,
        reason: str,
        shown: dict[str, list[list[str]]],
        also: Callable[[Writer], None] | None = None,
    ) -> SavedPlan:
        """
        Keep a plan as the client's latest.

        Parameters
        ----------
        client_id : str
        body : str
            The plan as JSON text.
        was : int
            Number of the plan it follows; 0 for the first.
        intake_number : int
            Intake it was made from.
        reason : str
            In words, for the history.
        shown : dict of str to list of lists of str
            ISO date to the days' dish keys turned down for it, oldest first.
        also : callable, optional
            What belongs to the same change: both are kept, or neither.

        Returns
        -------
        SavedPlan

        Raises
        ------
        Stale
            When another plan was kept meanwhile.
        """
        plan = Plan.model_validate_json(body)
        number = was + 1
        saved = SavedPlan(
            id=new_id(),
            made_at=self.view.settings.now(),
            client_id=client_id,
            number=number,
            intake_number=intake_number,
            first=plan.start,
            days=len(plan.days),
            body=PLAN.write(plan),
            shown=json.dumps(shown, separators=(",", ":")),
            by=self.view.principal.name,
            reason=reason,
        )

        def work(unit: Writer) -> None:
            client = self.view.seen(unit, client_id)
            if client.plan_number != was:
                raise Stale(
                    f"plan {was} was changed meanwhile: number {client.plan_number} is the "
                    "latest; look at it, then ask again"
                )
            until = plan.days[-1].date
            unit.change(
                placed(dataclasses.replace(client, plan_number=number, planned_until=until))
            )
            unit.add(saved)
            unit.remove(SavedPlan, client_id=client_id, number=number - PLANS_KEPT)
            if also is not None:
                also(unit)

        self.view.write(work)
        return saved

    def marks(self, client: Client) -> tuple[Mark, ...]:
        """Return what was said about meals."""
        with self.view.store.reading() as unit:
            return unit.find(Mark, client_id=client.id)

    def mark(
        self, client: Client, date: dt.date, slot: int, kind: MarkKind, text: str = ""
    ) -> None:
        """Note that a meal stays, or what was eaten; a later note replaces an earlier one."""
        with self.view.store.writing() as unit:
            unit.remove(Mark, client_id=client.id, date=date, slot=slot, what=kind)
            unit.add(
                Mark(
                    id=new_id(),
                    made_at=self.view.settings.now(),
                    client_id=client.id,
                    date=date,
                    slot=slot,
                    what=kind,
                    text=text,
                    by=self.view.principal.name,
                )
            )

    def unmark(self, client: Client, date: dt.date, slot: int, kind: MarkKind) -> None:
        """Take a note on a meal back."""
        with self.view.store.writing() as unit:
            unit.remove(Mark, client_id=client.id, date=date, slot=slot, what=kind)
