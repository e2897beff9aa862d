"""The running plan of a client: days added, changed, taken back; what was said of single meals."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
from collections.abc import Callable, Collection, Sequence

from api.records.changes import MadeChange, Outlook, PlanStatus, said_of
from api.records.marks import LOGGED
from api.records.reading import running_of, targets_of
from api.records.roster_priority import placed
from api.records.set_aside import sheet_text
from api.records.view import NothingPlanned, Stale, View
from mealplan.errors import MealPlanError, NoPlanError
from mealplan.menu.running_plan import (
    NOTHING_PLANNED,
    Admitted,
    Moved,
    Revision,
    RunningPlan,
    Settled,
    admit,
    after,
    difference,
    settled_by,
    undo,
)
from mealplan.plan import Plan, PlanDay
from mealplan.store.base import NotThere, Reader, Writer
from mealplan.store.documents import PLAN
from mealplan.store.records import Client, IntakeVersion, Mark, SavedPlan, new_id

PLANS_KEPT = 20
"""Changes of a plan that stay; older ones are let go once none of their days stands."""


class Plans:
    """
    What a client is to eat.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view

    def running(self, client: Client, number: int | None = None) -> RunningPlan:
        """Return the plan as it stands, or stood after one of its changes."""
        with self.view.store.reading() as unit:
            return running_of(unit, client, number)

    def kept(
        self, client: Client, number: int | None = None, date: dt.date | None = None
    ) -> SavedPlan:
        """
        Return the days planned together around a date.

        Parameters
        ----------
        client : Client
        number : int, optional
            Change after which; the last when left out.
        date : date, optional
            The client's today when left out, or the first day of that change.

        Returns
        -------
        SavedPlan
            With the number of the change asked for, and the reason of the last that touched them.

        Raises
        ------
        NotThere
            When nothing is planned, or that change is not kept.
        """
        with self.view.store.reading() as unit:
            running = running_of(unit, client, number)
            last_change = running.revisions.get(running.number)
            touched = {day.date for day in last_change.plan.days} if last_change else set()
            if date is None and number:
                date = min(touched, default=None)
            dates = running.near(date or self.view.clock_of(unit, client).date())
            if not dates:
                self._refuse_unread(unit, client)
                raise NothingPlanned(client.id, client.role)
            last = running.last_of(dates).number
            if last_change and (not touched or touched & set(dates)):
                last = running.number
            row = unit.find(SavedPlan, client_id=client.id, number=last)[0]
        body = sheet_text(running, dates)
        return dataclasses.replace(
            row, number=running.number, first=dates[0], days=len(dates), body=body
        )

    def _refuse_unread(self, unit: Reader, client: Client) -> None:
        """Say so when there is a plan and none of it can be read."""
        for row in unit.find(SavedPlan, client_id=client.id, number=client.plan_number):
            PLAN.read(row.body)

    def clock(self, client: Client) -> dt.datetime:
        """Return the time where the client is."""
        with self.view.store.reading() as unit:
            return self.view.clock_of(unit, client)

    def today(self, client: Client) -> dt.date:
        """Return the date where the client is."""
        return self.clock(client).date()

    def changes(self, client: Client) -> tuple[SavedPlan, ...]:
        """Return every change that is kept, newest first."""
        with self.view.store.reading() as unit:
            found = unit.find(SavedPlan, client_id=client.id)
        return tuple(sorted(found, key=lambda row: -row.number))

    def as_shopped(self, client: Client, saved: SavedPlan) -> str:
        """
        Return days as they stood on their first day, when they were shopped for.

        Parameters
        ----------
        client : Client
        saved : SavedPlan
            As :meth:`kept` gives it.

        Returns
        -------
        str
            A plan as JSON text; empty when nothing has changed since.
        """
        dates = [saved.first + dt.timedelta(days=place) for place in range(saved.days)]
        rows = [row for row in self.changes(client) if row.number <= saved.number]
        in_time = [row for row in rows if row.made_at.date() <= saved.first]
        then = self.running(client, (in_time or rows[-1:])[0].number)
        there = [date for date in dates if date in then.days]
        now = self.running(client, saved.number)
        if not there or all(then.days[d].day == now.days[d].day for d in there if d in now.days):
            return ""
        return then.plan_of(there).model_dump_json()

    def settled(self, client: Client, day: PlanDay) -> frozenset[int]:
        """Return the meals of a day that have passed or were logged: they never move."""
        with self.view.store.reading() as unit:
            return self._settled(unit, client)(day)

    def first_open(self, client: Client, start: dt.date) -> dt.date:
        """Return the first day from one on that is not planned, or of which nothing is settled."""
        with self.view.store.reading() as unit:
            running, settled = running_of(unit, client), self._settled(unit, client)
        while start in running.days and settled(running.days[start].day):
            start += dt.timedelta(days=1)
        return start

    def _settled(self, unit: Reader, client: Client) -> Settled:
        logged = {
            (mark.date, mark.slot)
            for mark in unit.find(Mark, client_id=client.id)
            if mark.what in LOGGED
        }
        return settled_by(self.view.clock_of(unit, client), logged)

    def to_act_on(
        self, client: Client, number: int | None = None, date: dt.date | None = None
    ) -> SavedPlan:
        """
        Do as :meth:`kept`, unless the intake in force is refused or waits for a professional.

        Parameters
        ----------
        client : Client
        number : int, optional
        date : date, optional

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
        return self.kept(client, number, date)

    def to_read(
        self, client: Client, number: int | None = None, date: dt.date | None = None
    ) -> SavedPlan:
        """
        Do as :meth:`to_act_on` for a client, and as :meth:`kept` for the coach.

        Parameters
        ----------
        client : Client
        number : int, optional
        date : date, optional

        Returns
        -------
        SavedPlan
            A coach reads what was planned before a refusal too; nothing follows from it.
        """
        if self.view.principal.kind == "coach":
            return self.kept(client, number, date)
        return self.to_act_on(client, number, date)

    def status(self, client: Client, dates: Sequence[dt.date]) -> PlanStatus:
        """
        Say what whoever reads planned days must know of them.

        Parameters
        ----------
        client : Client
        dates : sequence of date
            Those that are shown.

        Returns
        -------
        PlanStatus
        """
        with self.view.store.reading() as unit:
            running = running_of(unit, client)
            today = self.view.clock_of(unit, client).date()
            found = unit.find(IntakeVersion, client_id=client.id, number=client.intake_number)
        held = [(date, running.days[date]) for date in dates if date in running.days]
        made_from = {date: running.revisions[day.revision].intake for date, day in held}
        refused = ""
        try:
            targets_of(found[0].body)
        except MealPlanError as error:
            refused = str(error)
        return PlanStatus(
            behind=tuple(
                date
                for date, intake in made_from.items()
                if date >= today and intake != client.intake_number
            ),
            refused=refused,
        )

    def keep(
        self,
        client_id: str,
        body: str,
        *,
        was: int,
        intake_number: int,
        reason: str,
        shown: dict[str, list[list[str]]],
        changes: dt.date | None = None,
        logged: Collection[int] = (),
        also: Callable[[Writer], None] | None = None,
    ) -> SavedPlan:
        """
        Let planned days enter the client's plan; meals that have passed or were logged stay.

        Parameters
        ----------
        client_id : str
        body : str
            The plan as JSON text: days planned anew, or a sheet with one day changed.
        was : int
            Number of the change it follows; 0 for the first.
        intake_number : int
            Intake it was made from.
        reason : str
            In words, for the history.
        shown : dict of str to list of lists of str
            ISO date to the days' dish keys turned down for it, oldest first.
        changes : date, optional
            The changed day; days planned anew when left out.
        logged : collection of int
            Meals of that day whose place the logged food takes.
        also : callable, optional
            What belongs to the same change: both are kept, or neither.

        Returns
        -------
        SavedPlan

        Raises
        ------
        Stale
            When another change was kept meanwhile, or a meal has passed since it was asked for.
        NoPlanError
            When every day asked for has begun.
        """
        change = MadeChange(
            body,
            was=was,
            intake_number=intake_number,
            reason=reason,
            shown=shown,
            changes=changes,
            logged=tuple(logged),
        )
        return self.keep_change(client_id, change, also=also)

    def keep_change(
        self, client_id: str, change: MadeChange, *, also: Callable[[Writer], None] | None = None
    ) -> SavedPlan:
        """
        Let a change enter the client's plan; raises as :meth:`keep` does.

        Parameters
        ----------
        client_id : str
        change : MadeChange
        also : callable, optional
            What belongs to the same change: both are kept, or neither.

        Returns
        -------
        SavedPlan
        """

        def work(unit: Writer) -> SavedPlan:
            client = self._unchanged(unit, client_id, change.was)
            running = running_of(unit, client)
            admitted = self._admitted(unit, client, change)
            saved = self._row(
                client,
                admitted.revision,
                said_of(change.reason, admitted),
                change.intake_number,
                change.shown,
            )
            self._put(unit, client, saved, after(running, admitted.revision))
            if also is not None:
                also(unit)
            return saved

        return self.view.write(work)

    def _admitted(self, unit: Reader, client: Client, change: MadeChange) -> Admitted:
        """Work out what of a change enters the plan as it stands."""
        running, settled = running_of(unit, client), self._settled(unit, client)
        made = Plan.model_validate_json(change.body)
        try:
            admitted = admit(running, made, settled, changes=change.changes, logged=change.logged)
        except Moved as error:
            raise Stale(f"{error} meanwhile; look at the day, then ask again") from None
        if change.changes is None and not admitted.revision.plan.days:
            raise NoPlanError(
                "every day asked for has begun or passed and stays as it is; plan from a "
                "later day on"
            )
        return admitted

    def look(self, client: Client, change: MadeChange) -> Outlook:
        """
        Say what a change would do to the plan as it stands; nothing is kept.

        Parameters
        ----------
        client : Client
        change : MadeChange

        Returns
        -------
        Outlook

        Raises
        ------
        Stale
            When another change was kept since it was made.
        """
        with self.view.store.reading() as unit:
            current = self._unchanged(unit, client.id, change.was)
            running = running_of(unit, current)
            admitted = self._admitted(unit, current, change)
        then = after(running, admitted.revision)
        dates = sorted(day.date for day in admitted.revision.plan.days)
        return Outlook(
            said=said_of(change.reason, admitted),
            days=tuple(
                (running.days[date].day if date in running.days else None, then.days[date].day)
                for date in dates
            ),
            explained=() if change.changes else Plan.model_validate_json(change.body).explanation,
        )

    def undo(self, client: Client, was: int) -> SavedPlan:
        """
        Take the last change back; every day is as it was before it.

        Parameters
        ----------
        client : Client
        was : int
            Number of the change to take back.

        Returns
        -------
        SavedPlan
            The change that does so; it can be taken back in turn.

        Raises
        ------
        Stale
            When another change was kept meanwhile, or a meal it touched has passed since.
        NotThere
            When what was before it is not kept.
        """

        def work(unit: Writer) -> SavedPlan:
            current = self._unchanged(unit, client.id, was)
            running = running_of(unit, current)
            if was not in running.revisions or (was > 1 and was - 1 not in running.revisions):
                raise NotThere("there is no change to take back")
            before = running_of(unit, current, was - 1) if was > 1 else NOTHING_PLANNED
            try:
                revision = undo(running, before, self._settled(unit, current))
            except Moved as error:
                raise Stale(f"{error} since: it stays, so the change does too") from None
            row = unit.find(SavedPlan, client_id=client.id, number=was)[0]
            old = unit.find(SavedPlan, client_id=client.id, number=was - 1)
            touched = {day.date for day in running.revisions[was].plan.days}
            now = {date: held.day for date, held in running.days.items() if date in touched}
            then = {date: held.day for date, held in before.days.items() if date in touched}
            reason = f"Taken back: {row.reason} {difference(now, then)}".strip()
            source = old[0] if old else row
            shown = json.loads(source.shown)
            saved = self._row(current, revision, reason, source.intake_number, shown)
            self._put(unit, current, saved, after(running, revision))
            self._unlog(unit, client.id, running, before)
            return saved

        return self.view.write(work)

    def _unchanged(self, unit: Reader, client_id: str, was: int) -> Client:
        client = self.view.seen(unit, client_id)
        if client.plan_number != was:
            raise Stale(
                f"plan {was} was changed meanwhile: number {client.plan_number} is the "
                "latest; look at it, then ask again"
            )
        return client

    def _row(
        self,
        client: Client,
        revision: Revision,
        reason: str,
        intake_number: int,
        shown: dict[str, list[list[str]]],
    ) -> SavedPlan:
        days = [day.date for day in revision.plan.days] + list(revision.removed)
        change = {
            "removed": [day.isoformat() for day in revision.removed],
            "sheets": {day.isoformat(): sheet for day, sheet in revision.sheets.items()},
            "undoes": revision.undoes,
        }
        return SavedPlan(
            id=new_id(),
            made_at=self.view.settings.now(),
            client_id=client.id,
            number=revision.number,
            intake_number=intake_number,
            first=min(days, default=revision.plan.start),
            days=len(days),
            body=PLAN.write(revision.plan),
            shown=json.dumps(shown, separators=(",", ":")),
            by=self.view.principal.name,
            reason=reason,
            change=json.dumps(change, separators=(",", ":")),
        )

    def _put(self, unit: Writer, client: Client, saved: SavedPlan, now: RunningPlan) -> None:
        until = now.dates[-1] if now.dates else None
        unit.change(
            placed(dataclasses.replace(client, plan_number=saved.number, planned_until=until))
        )
        unit.add(saved)
        standing = {held.revision for held in now.days.values()}
        for number in sorted(now.revisions):
            if number <= saved.number - PLANS_KEPT and number not in standing:
                unit.remove(SavedPlan, client_id=client.id, number=number)

    def _unlog(self, unit: Writer, client_id: str, now: RunningPlan, before: RunningPlan) -> None:
        """Let go of what was logged by the change that is taken back."""
        for day in now.revisions[now.number].plan.days:
            old = before.days.get(day.date)
            for slot, meal in enumerate(day.meals):
                was = old.day.meals[slot] if old and slot < len(old.day.meals) else None
                if not meal.method and (was is None or was.method):
                    unit.remove(
                        Mark, client_id=client_id, date=day.date, slot=slot, what="ate else"
                    )
