"""
What a coach, athlete or client does to the records, as one small class over the store.

Every reading starts from :meth:`Desk.client`, which hands out a client only to those who may see
it; nothing else in the service looks a client up.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import json
import logging
import random
import secrets
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, TypeVar

from pydantic import ValidationError

from api.records.roster_priority import last_place, placed, to_be_read
from api.records.snapshots import gravest_warning, maker, open_move, pack, unpack
from api.settings import Settings
from mealplan.checkin.decide.proposal import Action, DecisionRecord, record_decision
from mealplan.checkin.decide.status import Standing, intake_after, standing
from mealplan.checkin.log.entries import (
    ENTRY,
    AnyEntry,
    Log,
    RmrTest,
    ScanRecord,
    Superseded,
    WeighIn,
)
from mealplan.client.intake import Intake
from mealplan.errors import CheckInError, IntakeError, MealPlanError, SafetyRefusal, StoreError
from mealplan.plan import Plan
from mealplan.store.backup import bury, note_beside_all
from mealplan.store.base import Clash, NotThere, Reader, Store, Writer
from mealplan.store.ownership import erase_client, gather_client
from mealplan.store.records import (
    Client,
    Decision,
    Entry,
    IntakeVersion,
    Link,
    Logged,
    Mark,
    MarkKind,
    SavedPlan,
    Snapshot,
    new_id,
)
from mealplan.targets.make import make_targets
from mealplan.targets.ranges import Targets
from mealplan.targets.safety import worst

PLANS_KEPT = 40
"""Versions of a client's plan that stay; older ones are let go."""
ROSTER_LINES = 30
"""Clients on one page of the roster."""
TRIES = 12
"""How often a change is tried when others come in between."""
PAUSE_S = 0.01
"""Longest wait before the second try; it grows with each. [s]"""

T = TypeVar("T")
_log = logging.getLogger("api.records.desk")


class Stale(StoreError):  # noqa: N818  (reads as what happened)
    """The record changed since the sender last saw it."""


class Outdated(StoreError):  # noqa: N818  (reads as what happened)
    """A plan kept by another release that this one cannot read."""


@dataclass(frozen=True)
class RosterSlice:
    """One page of the roster."""

    clients: tuple[Client, ...]
    found: int
    """Clients in all, or those the words find."""
    everyone: int
    needing: int
    """Clients of everyone who need attention today."""
    page: int
    """Counted from 1."""
    pages: int
    unread: int
    """Logs that changed, or were last read on another day."""


@dataclass(frozen=True)
class Principal:
    """Who is asking."""

    kind: Literal["coach", "client"]
    coach_id: str
    name: str
    """How the audit trail calls them."""
    client_id: str = ""
    """The one client a link shows; empty for a coach."""
    sign_in_id: str = ""
    link_id: str = ""
    ends_at: dt.datetime | None = None
    """When the link or the sign-in ends; None on a machine without accounts."""
    hide: bool = False
    """True for a client who is not shown weights or calories."""


@lru_cache(maxsize=512)
def hides_numbers(body: str) -> bool:
    """
    Say whether an intake kept as JSON text keeps weights and calories from its client.

    Parameters
    ----------
    body : str

    Returns
    -------
    bool
    """
    return Intake.model_validate_json(body).numbers_hidden


@lru_cache(maxsize=128)
def targets_of(body: str) -> Targets:
    """
    Work targets out of an intake kept as JSON text.

    Parameters
    ----------
    body : str

    Returns
    -------
    Targets
    """
    return make_targets(Intake.model_validate_json(body))


@lru_cache(maxsize=64)
def plan_of(body: str) -> Plan:
    """
    Read a plan kept as JSON text.

    Parameters
    ----------
    body : str

    Returns
    -------
    Plan
    """
    try:
        return Plan.model_validate_json(body)
    except ValidationError:
        raise Outdated(
            "this plan was made by another release and does not read any more; plan the week again"
        ) from None


def forget_read() -> None:
    """Let go of everything this process has read out of kept text."""
    for read in (hides_numbers, targets_of, plan_of):
        read.cache_clear()


def hashed(token: str) -> str:
    """
    Turn a secret into what is kept of it.

    Parameters
    ----------
    token : str
        Random enough that a plain hash cannot be turned round.

    Returns
    -------
    str
    """
    return hashlib.sha256(token.encode()).hexdigest()


class Desk:
    """
    One person's view of the records.

    Parameters
    ----------
    store : Store
    settings : Settings
    principal : Principal
    """

    def __init__(self, store: Store, settings: Settings, principal: Principal) -> None:
        self.store = store
        self.settings = settings
        self.principal = principal

    def clients(self) -> tuple[Client, ...]:
        """Return the clients this person may see."""
        with self.store.reading() as unit:
            if self.principal.kind == "client":
                return (self._client(unit, self.principal.client_id),)
            return unit.find(Client, coach_id=self.principal.coach_id)

    def roster(self, words: str = "", page: int = 1) -> RosterSlice:
        """
        Bring a page of the roster up to date, those who need attention first.

        Logs of clients on the page that have not been read today are read now, as many as a moment
        allows.

        Parameters
        ----------
        words : str
            Each must occur in the client's role or phase; empty for everyone.
        page : int
            Counted from 1; one past the last shows the last.

        Returns
        -------
        RosterSlice
        """
        self._place_everyone()
        found = self._slice(words, page)
        today = self.settings.today()
        until = time.perf_counter() + self.settings.reading_s
        read = 0
        for client in found.clients:
            if to_be_read(client, today) and (not read or time.perf_counter() < until):
                self.read(client)
                read += 1
        return self._slice(words, page) if read else found

    def _slice(self, words: str, page: int) -> RosterSlice:
        today = self.settings.today()
        coach_id = self.principal.coach_id
        with self.store.reading() as unit:
            everyone = unit.count(Client, coach_id=coach_id)
            found = unit.count(Client, coach_id=coach_id, words=words) if words else everyone
            pages = max(1, -(-found // ROSTER_LINES))
            page = min(max(page, 1), pages)
            return RosterSlice(
                clients=unit.find(
                    Client,
                    by=("place",),
                    words=words,
                    offset=(page - 1) * ROSTER_LINES,
                    limit=ROSTER_LINES,
                    coach_id=coach_id,
                ),
                found=found,
                everyone=everyone,
                needing=unit.count(Client, coach_id=coach_id, up_to=("place", last_place(today))),
                page=page,
                pages=pages,
                unread=everyone
                - unit.count(Client, coach_id=coach_id, read_on=today)
                - unit.count(Client, coach_id=coach_id, logged_on=None),
            )

    def _place_everyone(self) -> None:
        """Give clients a place who have none yet: those of an older release or backup."""
        with self.store.reading() as unit:
            if not unit.count(Client, coach_id=self.principal.coach_id, place=""):
                return

        def work(unit: Writer) -> None:
            for client in unit.find(Client, coach_id=self.principal.coach_id, place=""):
                unit.change(placed(client))

        self._write(work)

    def read(self, client: Client) -> None:
        """
        Read a client's log for the roster; one that cannot be read is put there as such.

        Parameters
        ----------
        client : Client
        """
        try:
            self.standing(client)
        except (NotThere, StoreError):
            return  # erased meanwhile, or the next look tries again
        except MealPlanError as error:
            _log.info("the log of a client cannot be read: %s", error)
            today = self.settings.today()

            def work(unit: Writer) -> None:
                marked = dataclasses.replace(
                    self._client(unit, client.id),
                    read_on=today,
                    warning="log cannot be read",
                    warning_severity="warn",
                    warned_on=today,
                    move_kcal=0.0,
                )
                unit.change(placed(marked))

            self._write(work)

    def unread(self) -> tuple[Client, ...]:
        """Return the coach's clients whose log has to be read again."""
        today = self.settings.today()
        return tuple(client for client in self.clients() if to_be_read(client, today))

    def of_role(self, role: str) -> Client | None:
        """Return the coach's oldest client of exactly this role, or None."""
        with self.store.reading() as unit:
            found = unit.find(Client, limit=1, coach_id=self.principal.coach_id, role=role)
        return found[0] if found else None

    def _write(self, work: Callable[[Writer], T]) -> T:
        """Do a change whole, again from the start when another one came in between."""
        for done in range(1, TRIES):
            try:
                with self.store.writing() as unit:
                    return work(unit)
            except Clash:
                time.sleep(random.uniform(0, done * PAUSE_S))  # so that two do not keep step
        with self.store.writing() as unit:
            return work(unit)

    def client(self, client_id: str) -> Client:
        """
        Look a client up.

        Parameters
        ----------
        client_id : str

        Returns
        -------
        Client

        Raises
        ------
        NotThere
            When there is none, or it is not this person's to see: both read the same.
        """
        with self.store.reading() as unit:
            return self._client(unit, client_id)

    def _client(self, unit: Reader, client_id: str) -> Client:
        found = unit.find(Client, id=client_id, coach_id=self.principal.coach_id)
        if not found or (self.principal.kind == "client" and client_id != self.principal.client_id):
            raise NotThere(
                f"there is no client {client_id!r} here; look on the roster for its address"
            )
        return found[0]

    def intake_version(self, client: Client, number: int | None = None) -> IntakeVersion:
        """Return the intake in force, or one by its number."""
        wanted = number if number is not None else client.intake_number
        with self.store.reading() as unit:
            found = unit.find(IntakeVersion, client_id=client.id, number=wanted)
        if not found:
            raise NotThere(f"the {client.role} has no intake number {wanted}; the file lists them")
        return found[0]

    def intake(self, client: Client) -> Intake:
        """Return the intake in force."""
        return Intake.model_validate_json(self.intake_version(client).body)

    def hides(self, client: Client) -> bool:
        """Return whether weights and calories are kept from this client."""
        return hides_numbers(self.intake_version(client).body)

    def targets(self, client: Client) -> Targets:
        """Return the targets of the intake in force; raises as :func:`make_targets` does."""
        return targets_of(self.intake_version(client).body)

    def saved_plan(self, client: Client, number: int | None = None) -> SavedPlan:
        """Return the latest plan, or one by its number."""
        wanted = number if number is not None else client.plan_number
        with self.store.reading() as unit:
            found = unit.find(SavedPlan, client_id=client.id, number=wanted)
        if not found:
            raise NotThere(f"the {client.role} has no plan {wanted or 'yet'}; plan a week first")
        return found[0]

    def history(self, client: Client) -> tuple[IntakeVersion, ...]:
        """Return every intake, newest first."""
        with self.store.reading() as unit:
            found = unit.find(IntakeVersion, client_id=client.id)
        return tuple(sorted(found, key=lambda version: -version.number))

    def trail(self, client: Client) -> tuple[Entry, ...]:
        """Return the audit trail, newest first."""
        with self.store.reading() as unit:
            return unit.find(Entry, client_id=client.id, newest_first=True)

    def add_client(self, intake: Intake, reason: str = "first intake") -> Client:
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
        now = self.settings.now()
        body = intake.model_dump_json()
        client = Client(
            id=new_id(),
            made_at=now,
            coach_id=self.principal.coach_id,
            role=intake.role,
            phase=intake.goal.phase,
            start=intake.start,
            intake_number=1,
            plan_number=0,
            planned_until=None,
            gravest=_gravest(body),
            measured_on=_measured_on(intake),
        )
        client = placed(client)
        with self.store.writing() as unit:
            unit.add(client)
            unit.add(self._version(client.id, 1, body, reason))
            self._note(unit, client.id, "client taken on", reason)
        return client

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
        return self._write(lambda unit: self._amended(unit, client_id, intake, reason, was))

    def _amended(
        self, unit: Writer, client_id: str, intake: Intake, reason: str, was: int
    ) -> Client:
        body = intake.model_dump_json()
        client = self._client(unit, client_id)
        if client.intake_number != was:
            raise Stale(
                f"intake {was} was amended meanwhile: number {client.intake_number} is in force; "
                "look at it, then make the change again"
            )
        old = unit.find(IntakeVersion, client_id=client_id, number=was)[0]
        changed = _touched(
            client,
            role=intake.role,
            phase=intake.goal.phase,
            start=intake.start,
            intake_number=was + 1,
            gravest=_gravest(body),
            measured_on=_later(_measured_on(intake), *_measures(_log_of(unit, client_id).entries)),
        )
        unit.change(changed)
        unit.add(self._version(client_id, was + 1, body, reason.strip()))
        self._note(
            unit,
            client_id,
            "intake amended",
            f"{was + 1}: {reason.strip()}; {_difference(old.body, body)}",
        )
        return changed

    def keep_plan(
        self,
        client_id: str,
        body: str,
        *,
        was: int,
        intake_number: int,
        reason: str,
        shown: dict[str, list[list[str]]],
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

        Returns
        -------
        SavedPlan

        Raises
        ------
        Stale
            When another plan was kept meanwhile.
        """
        plan = plan_of(body)
        number = was + 1
        saved = SavedPlan(
            id=new_id(),
            made_at=self.settings.now(),
            client_id=client_id,
            number=number,
            intake_number=intake_number,
            first=plan.start,
            days=len(plan.days),
            body=body,
            shown=json.dumps(shown, separators=(",", ":")),
            by=self.principal.name,
            reason=reason,
        )

        def work(unit: Writer) -> None:
            client = self._client(unit, client_id)
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

        self._write(work)
        return saved

    def marks(self, client: Client) -> tuple[Mark, ...]:
        """Return what was said about meals."""
        with self.store.reading() as unit:
            return unit.find(Mark, client_id=client.id)

    def mark(
        self, client: Client, date: dt.date, slot: int, kind: MarkKind, text: str = ""
    ) -> None:
        """Note that a meal stays, or what was eaten; a later note replaces an earlier one."""
        with self.store.writing() as unit:
            unit.remove(Mark, client_id=client.id, date=date, slot=slot, what=kind)
            unit.add(
                Mark(
                    id=new_id(),
                    made_at=self.settings.now(),
                    client_id=client.id,
                    date=date,
                    slot=slot,
                    what=kind,
                    text=text,
                    by=self.principal.name,
                )
            )

    def unmark(self, client: Client, date: dt.date, slot: int, kind: MarkKind) -> None:
        """Take a note on a meal back."""
        with self.store.writing() as unit:
            unit.remove(Mark, client_id=client.id, date=date, slot=slot, what=kind)

    def log(self, client: Client) -> Log:
        """Return what the client logged, withdrawn entries in its history."""
        with self.store.reading() as unit:
            return _log_of(unit, client.id)

    def add_to_log(self, client: Client, entries: Sequence[AnyEntry]) -> int:
        """
        Log entries.

        Parameters
        ----------
        client : Client
        entries : sequence of entries
            Each gets an identifier of its own.

        Returns
        -------
        int
            How many.
        """
        now = self.settings.now()
        latest = self.settings.today() + dt.timedelta(days=1)
        for entry in entries:
            if not dt.date(2000, 1, 1) <= entry.on <= latest:
                raise CheckInError(
                    f"{entry.on} is not a day that can be logged: it lies in the future or before "
                    "2000; check the date"
                )

        def work(unit: Writer) -> None:
            current = self._client(unit, client.id)
            for place, entry in enumerate(entries):
                id_ = new_id()
                body = entry.model_copy(update={"id": id_}).model_dump_json()
                unit.add(
                    Logged(
                        id=id_,
                        made_at=now + dt.timedelta(microseconds=place),
                        client_id=client.id,
                        day=entry.on,
                        body=body,
                        by=self.principal.name,
                    )
                )
            unit.change(
                _touched(
                    current,
                    logged_on=_later(current.logged_on, *(entry.on for entry in entries)),
                    measured_on=_later(current.measured_on, *_measures(entries)),
                )
            )

        if entries:
            self._write(work)
        return len(entries)

    def withdraw(self, client: Client, entry_id: str, why: str) -> None:
        """Take an entry out of the log; it stays in its history with the reason."""
        if not why.strip():
            raise CheckInError("the reason is empty; say in a few words why the entry is withdrawn")

        def work(unit: Writer) -> None:
            current = self._client(unit, client.id)
            found = unit.find(Logged, id=entry_id, client_id=client.id)
            if not found or found[0].gone_at is not None:
                raise NotThere(f"there is no entry {entry_id[:40]!r} in this log; load it again")
            now = self.settings.now()
            unit.change(dataclasses.replace(found[0], gone_at=now, why=why.strip()))
            left = _log_of(unit, client.id).entries
            number = current.intake_number
            intake = unit.find(IntakeVersion, client_id=client.id, number=number)[0]
            measured = _measured_on(Intake.model_validate_json(intake.body))
            unit.change(
                _touched(
                    current,
                    logged_on=_later(*(entry.on for entry in left)),
                    measured_on=_later(measured, *_measures(left)),
                )
            )

        self._write(work)

    def confirm(self, client: Client, entry_id: str) -> None:
        """Let an odd weigh-in stand as right; the entry as it was goes into the history."""

        def work(unit: Writer) -> None:
            current = self._client(unit, client.id)
            found = unit.find(Logged, id=entry_id, client_id=client.id)
            entry = ENTRY.validate_json(found[0].body) if found else None
            if not isinstance(entry, WeighIn) or found[0].gone_at is not None:
                raise NotThere(f"there is no weigh-in {entry_id[:40]!r} in this log; load it again")
            now = self.settings.now()
            unit.change(dataclasses.replace(found[0], gone_at=now, why="confirmed as right"))
            id_ = new_id()
            sure = entry.model_copy(update={"confirmed": True, "id": id_})
            body = sure.model_dump_json()
            unit.add(dataclasses.replace(found[0], id=id_, made_at=now, body=body))
            unit.change(_touched(current))

        self._write(work)

    def decisions(self, client: Client) -> tuple[DecisionRecord, ...]:
        """Return what was decided on proposals, oldest first."""
        with self.store.reading() as unit:
            return _decisions_of(unit, client.id)

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
        today = self.settings.today()
        with self.store.reading() as unit:
            current = self._client(unit, client.id)
            for kept in unit.find(Snapshot, client_id=client.id):
                if (kept.revision, kept.day, kept.maker) == (current.revision, today, maker()):
                    known = unpack(kept.body)
                    if known is not None:
                        return known
            number = current.intake_number
            intake = unit.find(IntakeVersion, client_id=client.id, number=number)[0]
            log = _log_of(unit, client.id)
            decisions = _decisions_of(unit, client.id)
        found = standing(Intake.model_validate_json(intake.body), log, decisions, today)
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
            current = self._client(unit, read.id)
            if current.revision != read.revision:
                return
            unit.remove(Snapshot, client_id=read.id)
            unit.add(
                Snapshot(
                    id=new_id(),
                    made_at=self.settings.now(),
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
            self._write(work)
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
        Stale
            When the log or the day has led to another proposal since it was seen.
        """
        proposal = self.standing(client).proposal
        if seen_kcal is not None and abs(proposal.new_target_kcal - seen_kcal) >= 0.5:
            raise Stale(
                f"the proposal of {seen_kcal:,.0f} kcal is out of date: {proposal.summary} "
                "Look at it, then decide"
            )
        made = record_decision(
            proposal,
            action,
            by=self.principal.name,
            on=self.settings.today(),
            reason=reason,
            step_kcal=step_kcal,
        )
        self._put_on_record(client, made, proposal.summary, was)
        return made

    def add_history(
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
        self.add_to_log(client, entries)
        for made in decisions:
            number = self.client(client.id).intake_number
            self._put_on_record(client, made, f"taken over, made on {made.on}.", number)

    def _put_on_record(self, client: Client, made: DecisionRecord, proposed: str, was: int) -> None:
        said = f"check-in of {made.on}: {made.step_kcal:+.0f} kcal a day. {made.reason}".strip()

        def work(unit: Writer) -> None:
            current = self._client(unit, client.id)
            if made.step_kcal:
                number = current.intake_number
                version = unit.find(IntakeVersion, client_id=client.id, number=number)[0]
                changed = intake_after(Intake.model_validate_json(version.body), made)
                self._amended(unit, client.id, changed, said, was)
            else:
                unit.change(_touched(current))
            unit.add(
                Decision(
                    id=new_id(),
                    made_at=self.settings.now(),
                    client_id=client.id,
                    day=made.on,
                    body=made.model_dump_json(),
                    by=self.principal.name,
                )
            )
            detail = f"{proposed} {made.reason}".strip()
            self._note(unit, client.id, f"proposal: {made.action}", detail)

        self._write(work)

    def links(self, client: Client) -> tuple[Link, ...]:
        """Return every link handed out, newest first."""
        with self.store.reading() as unit:
            return unit.find(Link, client_id=client.id, newest_first=True)

    def hand_out_link(self, client: Client, days: int) -> tuple[str, Link]:
        """
        Make an address that shows this client's pages alone.

        Parameters
        ----------
        client : Client
        days : int
            How long it lasts, 1 to 366. [days]

        Returns
        -------
        token : str
            The secret part; kept nowhere, so it is shown once.
        link : Link
        """
        if not 1 <= days <= 366:
            raise IntakeError(f"days={days} is outside 1 to 366; a link should end some day")
        token = secrets.token_urlsafe(24)
        now = self.settings.now()
        link = Link(
            id=new_id(),
            made_at=now,
            client_id=client.id,
            token_hash=hashed(token),
            ends_at=now + dt.timedelta(days=days),
            revoked_at=None,
            made_by=self.principal.name,
        )
        with self.store.writing() as unit:
            unit.add(link)
            self._note(unit, client.id, "link handed out", f"until {link.ends_at:%Y-%m-%d}")
        return token, link

    def revoke_link(self, client: Client, link_id: str) -> None:
        """Take a link back; it stops working at once."""
        with self.store.writing() as unit:
            found = unit.find(Link, id=link_id, client_id=client.id)
            if not found:
                raise NotThere(f"there is no link {link_id!r} of this client")
            if found[0].revoked_at is None:
                unit.change(dataclasses.replace(found[0], revoked_at=self.settings.now()))
                self._note(unit, client.id, "link taken back", "")

    def export(self, client: Client) -> dict[str, object]:
        """
        Gather everything kept about a client.

        Parameters
        ----------
        client : Client

        Returns
        -------
        dict
            Ready for JSON; secrets' hashes left out.
        """
        with self.store.reading() as unit:
            return gather_client(unit, client)

    def erase(self, client: Client) -> None:
        """Remove a client and everything kept about them; only that it happened stays on record."""
        with self.store.writing() as unit:
            erase_client(unit, client.id)
            bury(unit, client.id, self.settings.now())
            self._note(unit, "", "client erased", "")
        self.store.settle()
        forget_read()
        missed = note_beside_all(self.store)
        if missed:
            _log.warning("%d folders of backups could not be told of an erasure", len(missed))

    def _version(self, client_id: str, number: int, body: str, reason: str) -> IntakeVersion:
        return IntakeVersion(
            id=new_id(),
            made_at=self.settings.now(),
            client_id=client_id,
            number=number,
            body=body,
            by=self.principal.name,
            reason=reason,
        )

    def _note(self, unit: Writer, client_id: str, what: str, detail: str) -> None:
        unit.add(
            Entry(
                id=new_id(),
                made_at=self.settings.now(),
                coach_id=self.principal.coach_id,
                client_id=client_id,
                by=self.principal.name,
                what=what,
                detail=detail,
            )
        )


def _touched(client: Client, **changes: object) -> Client:
    """Change a client so that the log is read again before anything it says is shown."""
    fresh = {"revision": client.revision + 1, "read_on": None, "move_kcal": 0.0}
    return placed(dataclasses.replace(client, **(fresh | changes)))  # type: ignore[arg-type]


def _log_of(unit: Reader, client_id: str) -> Log:
    rows = unit.find(Logged, client_id=client_id)
    return Log(
        entries=tuple(ENTRY.validate_json(row.body) for row in rows if row.gone_at is None),
        history=tuple(
            Superseded(entry=ENTRY.validate_json(row.body), why=row.why)
            for row in rows
            if row.gone_at is not None
        ),
    )


def _decisions_of(unit: Reader, client_id: str) -> tuple[DecisionRecord, ...]:
    rows = unit.find(Decision, client_id=client_id)
    return tuple(DecisionRecord.model_validate_json(row.body) for row in rows)


def _later(*days: dt.date | None) -> dt.date | None:
    return max((day for day in days if day is not None), default=None)


def _measures(entries: Sequence[AnyEntry]) -> list[dt.date]:
    """Days of scans and laboratory tests in a log."""
    return [entry.on for entry in entries if isinstance(entry, ScanRecord | RmrTest)]


def _measured_on(intake: Intake) -> dt.date | None:
    """Day of the latest scan or laboratory test."""
    days = [part.date for part in (intake.scan, intake.resting_test) if part is not None]
    return max(days) if days else None


def _gravest(body: str) -> str:
    """Severity of the gravest notice; targets that cannot be shown at all count as a refusal."""
    try:
        return worst(targets_of(body).notices)
    except SafetyRefusal as refusal:
        return refusal.severity


def _difference(old: str, new: str) -> str:
    """Say which fields changed and how, in one line."""
    before, after = _flat(json.loads(old)), _flat(json.loads(new))
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
