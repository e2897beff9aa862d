"""The log of a client: added to, corrected and withdrawn from, never overwritten."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot
from zoneinfo import ZoneInfo

from api.records.clients import later, measured_on, measures, touched
from api.records.reading import intake_of, log_of, version_in_force
from api.records.view import View
from mealplan.checkin.log.activity_files import log_entries, read_activity
from mealplan.checkin.log.csv_import import without_repeats
from mealplan.checkin.log.entries import AnyEntry, IntakeRecord, WeighIn
from mealplan.checkin.log.log import Log
from mealplan.errors import CheckInError
from mealplan.plan import PlanDay
from mealplan.store.base import NotThere, Writer
from mealplan.store.documents import LOG_ENTRY, Unreadable
from mealplan.store.records import Client, Logged, new_id

MOST_ENTRIES = 20_000
"""Entries of one client's log: five a day for ten years."""
BY_MEALS = "eaten instead: "
"""Begins what a day of eating is called that was logged by its meals."""


@dataclass(frozen=True)
class Import:
    """What came into a log as one table."""

    batch: str
    made_at: dt.datetime
    by: str
    entries: int
    """Those that were not withdrawn since."""


class LogBook:
    """
    What a client weighed, measured, ate, trained and felt.

    Parameters
    ----------
    view : View
    """

    def __init__(self, view: View) -> None:
        self.view = view

    def read(self, client: Client) -> Log:
        """
        Return what the client logged, withdrawn entries in its history.

        Parameters
        ----------
        client : Client
            Whose file it is.
        """
        with self.view.store.reading() as unit:
            return log_of(unit, client.id)

    def add(self, client: Client, entries: Sequence[AnyEntry], *, together: bool = False) -> int:
        """
        Log entries.

        Parameters
        ----------
        client : Client
        entries : sequence of entries
            Each gets an identifier of its own.
        together : bool
            True when they came as one table: they can be taken back as one, see :meth:`imports`.

        Returns
        -------
        int
            How many.
        """
        now = self.view.settings.now()
        latest = self.view.settings.today() + dt.timedelta(days=1)
        for entry in entries:
            if not dt.date(2000, 1, 1) <= entry.on <= latest:
                raise CheckInError(
                    f"{entry.on} is not a day that can be logged: it lies in the future or before "
                    "2000; check the date"
                )

        batch = new_id() if together else ""

        def work(unit: Writer) -> None:
            current = self.view.seen(unit, client.id)
            there = unit.count(Logged, client_id=client.id)
            if there + len(entries) > MOST_ENTRIES:
                raise CheckInError(
                    f"the log holds {there:,} entries; {len(entries):,} more would pass the "
                    f"{MOST_ENTRIES:,} it takes: withdrawn ones count too, ask whoever runs this"
                )
            self.view.note(unit, client.id, "logged", f"{len(entries)} entries")
            for place, entry in enumerate(entries):
                id_ = new_id()
                unit.add(
                    Logged(
                        id=id_,
                        made_at=now + dt.timedelta(microseconds=place),
                        client_id=client.id,
                        day=entry.on,
                        body=LOG_ENTRY.write(entry.model_copy(update={"id": id_})),
                        by=self.view.principal.name,
                        batch=batch,
                    )
                )
            unit.change(
                touched(
                    current,
                    logged_on=later(current.logged_on, *(entry.on for entry in entries)),
                    measured_on=later(current.measured_on, *measures(entries)),
                )
            )

        if entries:
            self.view.write(work)
        return len(entries)

    def add_recorded(self, client: Client, content: bytes) -> int:
        """
        Log the sessions of a watch's file; those that are logged already are left out.

        Parameters
        ----------
        client : Client
        content : bytes
            FIT, GPX or TCX. Nothing but day, length, kind and energy of it is kept.

        Returns
        -------
        int
            How many.

        Raises
        ------
        CheckInError
            When it is no recording, or all of it is in the log already.
        """
        with self.view.store.reading() as unit:
            body = version_in_force(unit, self.view.seen(unit, client.id)).body
        intake = intake_of(body)
        zone = ZoneInfo(intake.time_zone) if intake.time_zone else None
        entries = log_entries(read_activity(content), zone, intake.weight_kg)
        new, repeated = without_repeats(entries, self.read(client).entries)
        if not new:
            raise CheckInError(
                f"the file's {'session is' if repeated == 1 else 'sessions are'} in the log "
                "already; nothing was added"
            )
        return self.add(client, new, together=True)

    def say_day(self, client: Client, day: PlanDay) -> None:
        """
        Log a day by its meals, something else among them; the day counts at the check-in.

        What was logged for the day by its meals before is withdrawn; a day logged by hand stays.

        Parameters
        ----------
        client : Client
        day : PlanDay
            As it stands, what was eaten instead in its place.
        """
        if self.unsay_day(client, day.date):
            instead = [meal.name for meal in day.meals if not meal.method]
            entry = IntakeRecord(
                on=day.date,
                adherence="other",
                kcal=round(day.energy_kcal, 1),
                planned_kcal=round(day.energy_target_kcal, 1),
                sd_kcal=round(hypot(*(meal.eaten_sd_kcal for meal in day.meals)), 1),
                what=f"{BY_MEALS}{'; '.join(instead)}"[:2000],
            )
            self.add(client, [entry])

    def unsay_day(self, client: Client, date: dt.date) -> bool:
        """
        Withdraw what was logged of a day by its meals.

        Parameters
        ----------
        client : Client
        date : date

        Returns
        -------
        bool
            False when the day is logged by hand.
        """
        for entry in self.read(client).of(IntakeRecord):
            if entry.on == date and not entry.what.startswith(BY_MEALS):
                return False
            if entry.on == date:
                self.withdraw(client, entry.id, "the meals of the day changed")
        return True

    def imports(self, client: Client) -> tuple[Import, ...]:
        """
        Return what came in as tables and still stands in part, newest first.

        Parameters
        ----------
        client : Client
            Whose file it is.
        """
        with self.view.store.reading() as unit:
            rows = unit.find(Logged, client_id=client.id)
        found: dict[str, Import] = {}
        for row in rows:
            if row.batch and row.gone_at is None:
                before = found.get(row.batch)
                count = before.entries + 1 if before else 1
                at = before.made_at if before else row.made_at
                found[row.batch] = Import(row.batch, at, row.by, count)
        return tuple(sorted(found.values(), key=lambda one: one.made_at, reverse=True))

    def undo_import(self, client: Client, batch: str) -> int:
        """
        Take what came in as one table out of the log; it stays in the history.

        Parameters
        ----------
        client : Client
        batch : str
            Identifier of the :class:`Import`.

        Returns
        -------
        int
            How many entries went.

        Raises
        ------
        NotThere
            When nothing of it stands.
        """

        def work(unit: Writer) -> int:
            current = self.view.seen(unit, client.id)
            found = unit.find(Logged, client_id=client.id, batch=batch) if batch else ()
            standing = [row for row in found if row.gone_at is None]
            if not standing:
                raise NotThere(f"nothing of table {batch[:40]!r} is in this log; load it again")
            self._let_go(unit, current, standing, "its table was taken back")
            self.view.note(unit, client.id, "table taken back", f"{len(standing)} entries")
            return len(standing)

        return self.view.write(work)

    def withdraw(self, client: Client, entry_id: str, why: str) -> None:
        """
        Take an entry out of the log; it stays in its history with the reason.

        Parameters
        ----------
        client : Client
            Whose file it is.
        entry_id : str
            Identifier of the log entry.
        why : str
            Reason, for the history.
        """
        if not why.strip():
            raise CheckInError("the reason is empty; say in a few words why the entry is withdrawn")

        def work(unit: Writer) -> None:
            current = self.view.seen(unit, client.id)
            found = unit.find(Logged, id=entry_id, client_id=client.id)
            if not found or found[0].gone_at is not None:
                raise NotThere(f"there is no entry {entry_id[:40]!r} in this log; load it again")
            self._let_go(unit, current, found, why.strip())

        self.view.write(work)

    def _let_go(self, unit: Writer, current: Client, rows: Sequence[Logged], why: str) -> None:
        """Move entries into the history and look the client's facts up again."""
        now = self.view.settings.now()
        for row in rows:
            unit.change(dataclasses.replace(row, gone_at=now, why=why))
        left = log_of(unit, current.id).entries
        measured = measured_on(intake_of(version_in_force(unit, current).body))
        unit.change(
            touched(
                current,
                logged_on=later(*(entry.on for entry in left)),
                measured_on=later(measured, *measures(left)),
            )
        )

    def confirm(self, client: Client, entry_id: str) -> None:
        """
        Let an odd weigh-in stand as right; the entry as it was goes into the history.

        Parameters
        ----------
        client : Client
            Whose file it is.
        entry_id : str
            Identifier of the log entry.
        """

        def work(unit: Writer) -> None:
            current = self.view.seen(unit, client.id)
            found = unit.find(Logged, id=entry_id, client_id=client.id)
            entry = _readable(found[0].body) if found else None
            if not isinstance(entry, WeighIn) or found[0].gone_at is not None:
                raise NotThere(f"there is no weigh-in {entry_id[:40]!r} in this log; load it again")
            now = self.view.settings.now()
            unit.change(dataclasses.replace(found[0], gone_at=now, why="confirmed as right"))
            id_ = new_id()
            sure = entry.model_copy(update={"confirmed": True, "id": id_})
            body = LOG_ENTRY.write(sure)
            unit.add(dataclasses.replace(found[0], id=id_, made_at=now, body=body))
            unit.change(touched(current))

        self.view.write(work)


def _readable(body: str) -> AnyEntry | None:
    try:
        return LOG_ENTRY.read(body)
    except Unreadable:
        return None
