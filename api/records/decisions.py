"""What a client's log says, and what the coach decided on it."""

from __future__ import annotations

import dataclasses
import datetime as dt
import logging
from collections.abc import Sequence

from api.records.clients import Clients, touched
from api.records.intakes import amended
from api.records.log import LogBook
from api.records.reading import decisions_of, intake_of, log_of, version_in_force
from api.records.readings import keep, kept_for
from api.records.roster_priority import placed
from api.records.snapshots import gravest_warning, maker, open_move, pack, unpack
from api.records.view import Stale, View
from mealplan.checkin.decide.record import Action, DecisionRecord, record_decision
from mealplan.checkin.decide.status import Standing, intake_after, stand
from mealplan.checkin.log.entries import AnyEntry
from mealplan.errors import SafetyRefusal, StoreError
from mealplan.store.base import Writer
from mealplan.store.documents import DECISION
from mealplan.store.records import Client, Decision, Snapshot, new_id

_log = logging.getLogger("api.records.decisions")


class Decisions:
    """
    A client's check-ins: the log read against the targets in force, and the coach's word on it.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view

    def made(self, client: Client) -> tuple[DecisionRecord, ...]:
        """
        Return what was decided on proposals, oldest first.

        Parameters
        ----------
        client : Client
            Whose file it is.
        """
        with self.view.store.reading() as unit:
            return decisions_of(unit, client.id)

    def standing(self, client: Client) -> Standing:
        """
        Read the log against the targets in force, or return what it said when nothing changed.

        Parameters
        ----------
        client : Client

        Returns
        -------
        Standing
            Of the log, the intake and the decisions as they are now, for today.
        """
        today = self.view.settings.today()
        with self.view.store.reading() as unit:
            current = self.view.seen(unit, client.id)
            for kept in unit.find(Snapshot, client_id=client.id):
                if (kept.revision, kept.day, kept.maker) == (current.revision, today, maker()):
                    known = unpack(kept.body)
                    if known is not None:
                        return known
            intake = intake_of(version_in_force(unit, current).body)
            log = log_of(unit, client.id)
            decisions = decisions_of(unit, client.id)
        found, reading = stand(intake, log, decisions, today, kept_for(client.id))
        keep(client.id, reading)
        if current.logged_on is not None:
            self._keep_snapshot(current, found, decisions, today)
        return found

    def _keep_snapshot(
        self,
        read: Client,
        found: Standing,
        decisions: Sequence[DecisionRecord],
        today: dt.date,
    ) -> None:
        """Keep what a log said, unless the file changed while it was read."""
        warning = gravest_warning(found)

        def work(unit: Writer) -> None:
            current = self.view.seen(unit, read.id)
            if current.revision != read.revision:
                return
            unit.remove(Snapshot, client_id=read.id)
            unit.add(
                Snapshot(
                    id=new_id(),
                    made_at=self.view.settings.now(),
                    client_id=read.id,
                    revision=read.revision,
                    day=today,
                    maker=maker(),
                    body=pack(found),
                )
            )
            seen = dataclasses.replace(
                current,
                read_on=today,
                warning=warning.code[:80] if warning else "",
                warning_severity=warning.severity if warning else "",
                warned_on=today if warning else None,
                move_kcal=open_move(found, decisions, today),
            )
            unit.change(placed(seen))

        try:
            self.view.write(work)
        except StoreError as error:
            _log.warning("what a log said could not be kept, it is read again next time: %s", error)

    def decide(
        self,
        client: Client,
        action: Action,
        *,
        reason: str,
        step_kcal: float | None,
        was: int,
        seen_kcal: float | None = None,
    ) -> DecisionRecord:
        """
        Put the coach's decision on a proposal on record, and the new energy in force.

        Parameters
        ----------
        client : Client
        action : {"accept", "amend", "decline"}
        reason : str
            Needed to amend or decline.
        step_kcal : float or None
            The coach's own step, to amend. [kcal/day]
        was : int
            Number of the intake the proposal was made on.
        seen_kcal : float, optional
            Target that the coach saw proposed. [kcal/day]

        Returns
        -------
        DecisionRecord

        Raises
        ------
        SafetyRefusal
            When the targets in force are not to be acted on: the intake is mended first.
        Stale
            When the log or the day has led to another proposal since it was seen.
        """
        found = self.standing(client)
        if found.refused and action != "decline":
            raise SafetyRefusal(found.refused)
        proposal = found.proposal
        if seen_kcal is not None and abs(proposal.new_target_kcal - seen_kcal) >= 0.5:
            raise Stale(
                f"the proposal of {seen_kcal:,.0f} kcal is out of date: {proposal.summary} "
                "Look at it, then decide"
            )
        made = record_decision(
            proposal,
            action,
            by=self.view.principal.name,
            on=self.view.settings.today(),
            reason=reason,
            step_kcal=step_kcal,
        )
        self._put_on_record(client, made, proposal.summary, was)
        return made

    def take_over(
        self, client: Client, entries: Sequence[AnyEntry], decisions: Sequence[DecisionRecord]
    ) -> None:
        """
        Take over what was logged and decided elsewhere.

        Parameters
        ----------
        client : Client
            Just taken on, with the intake that the first decision was made on.
        entries : sequence of entries
        decisions : sequence of DecisionRecord
            Oldest first; each step enters the intake.
        """
        LogBook(self.view).add(client, entries)
        for made in decisions:
            number = Clients(self.view).one(client.id).intake_number
            self._put_on_record(client, made, f"taken over, made on {made.on}.", number)

    def _put_on_record(self, client: Client, made: DecisionRecord, proposed: str, was: int) -> None:
        said = f"check-in of {made.on}: {made.step_kcal:+.0f} kcal a day. {made.reason}".strip()

        def work(unit: Writer) -> None:
            current = self.view.seen(unit, client.id)
            if made.step_kcal:
                before = intake_of(version_in_force(unit, current).body)
                changed = intake_after(before, made)
                amended(self.view, unit, client.id, changed, said, was)
            else:
                unit.change(touched(current))
            unit.add(
                Decision(
                    id=new_id(),
                    made_at=self.view.settings.now(),
                    client_id=client.id,
                    day=made.on,
                    body=DECISION.write(made),
                    by=self.view.principal.name,
                )
            )
            detail = f"{proposed} {made.reason}".strip()
            self.view.note(unit, client.id, f"proposal: {made.action}", detail)

        self.view.write(work)
