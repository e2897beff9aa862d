"""From a wish to a queued plan and back into the records."""

from __future__ import annotations

import contextlib
import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass

from api.desk.service import Service
from api.jobs.kinds import DayOrder, WeekOrder, day_job, week_job
from api.jobs.tasks import EatenInstead
from api.records.book import Records
from api.records.reading import plan_of
from mealplan.client.intake import FIRST_YEAR, LAST_YEAR
from mealplan.errors import IntakeError, NoPlanError
from mealplan.jobs import Busy
from mealplan.jobs.model import UNDER_WAY
from mealplan.menu.week import refuse_unsafe
from mealplan.plan import PlanDay
from mealplan.store.base import NotThere
from mealplan.store.records import Client, Job, new_id


def start_week(
    service: Service,
    records: Records,
    client: Client,
    first: dt.date | None = None,
    days: int = 7,
    *,
    polish: bool = False,
    compare: bool = False,
    look: bool = False,
) -> Job:
    """
    Queue a plan of whole days.

    Parameters
    ----------
    service : Service
    records : Records
    client : Client
    first : date, optional
        The intake's start when left out.
    days : int
        1 to 28. [days]
    polish : bool
        True to take longer and search further.
    compare : bool
        True to plan from fewer and from more things as well.
    look : bool
        True waits with the days until they were looked at.

    Returns
    -------
    Job

    Raises
    ------
    SafetyRefusal
        When a guard rail forbids planning; found out before anything is queued.
    """
    check_days(first or client.start, days)
    start = records.plans.first_open(client, first or client.start)
    refuse_unsafe(records.intakes.targets(client))
    wish = WeekOrder(start, days, polish, client.intake_number, client.plan_number, look, compare)
    return service.jobs.submit(week_job(records.principal, client, wish, records.settings.now()))


def check_days(first: dt.date, days: int) -> None:
    """
    Refuse days that cannot be meant.

    Parameters
    ----------
    first : date
    days : int
        1 to 28. [days]

    Raises
    ------
    NoPlanError
        When there are too few or too many.
    IntakeError
        When the first one's year cannot be meant.
    """
    if not 1 <= days <= 28:
        raise NoPlanError(f"days={days} is outside 1 to 28; plan four weeks at most at a time")
    if not FIRST_YEAR <= first.year <= LAST_YEAR:
        raise IntakeError(
            f"first day {first} lies outside the years {FIRST_YEAR} to {LAST_YEAR}; check the year"
        )


def start_day(
    service: Service,
    records: Records,
    client: Client,
    date: dt.date,
    *,
    another: Sequence[int] | None = None,
    keep: Sequence[int] = (),
    settled: Sequence[int] = (),
    eaten: Sequence[EatenInstead] = (),
    from_home: bool = False,
    look: bool = False,
    was: int | None = None,
) -> Job:
    """
    Queue one day of the latest plan to be planned again.

    Parameters
    ----------
    service : Service
    records : Records
    client : Client
    date : date
    another : sequence of int, optional
        Meals that get another dish; every one that nothing else fixes when left out.
    keep, settled : sequence of int
        Meals whose dish stays; meals already eaten.
    eaten : sequence of EatenInstead
    from_home : bool
        True makes the day from what is at home.
    look : bool
        True waits with the changed day until it was looked at.
    was : int, optional
        Number of the plan the asker saw; the latest when left out.

    Returns
    -------
    Job
    """
    saved = records.plans.kept(client, was, date)
    plan = plan_of(saved.body)
    day = next((item for item in plan.days if item.date == date), None)
    if day is None:
        raise NoPlanError(
            f"{date} is not in this plan, which runs from {plan.start} for {len(plan.days)} days"
        )
    refuse_unsafe(records.intakes.targets(client))
    settled, keep = _around(records, client, day, another, keep, settled, eaten)
    wish = DayOrder(
        date=date,
        was=saved.number,
        intake_number=client.intake_number,
        another=None if another is None else tuple(another),
        keep=tuple(keep),
        settled=tuple(settled),
        eaten=tuple(eaten),
        from_home=from_home,
        look=look,
    )
    return service.jobs.submit(day_job(records.principal, client, wish, records.settings.now()))


def _around(
    records: Records,
    client: Client,
    day: PlanDay,
    another: Sequence[int] | None,
    keep: Sequence[int],
    settled: Sequence[int],
    eaten: Sequence[EatenInstead],
) -> tuple[list[int], list[int]]:
    """Say which meals of a day never move, and which of the others keep their dish."""
    over = records.plans.settled(client, day)
    logged = {item.slot for item in eaten}
    for slot in another or ():
        if slot in over:
            raise IntakeError(
                f"{day.meals[slot].label.lower()} on {day.date:%A %d %B} has passed or was logged "
                "and does not move; say what was eaten instead, or change a later meal"
            )
    fixed = sorted({*settled, *over} - logged)
    if another is None and not eaten and len(fixed) == len(day.meals):
        raise IntakeError(
            f"every meal of {day.date:%A %d %B} has passed or was logged; change a later day"
        )
    return fixed, [slot for slot in keep if slot not in fixed and slot not in logged]


def start_roster(service: Service, records: Records, first: dt.date, days: int = 7) -> Job:
    """
    Queue the days of every client of a coach.

    Parameters
    ----------
    service : Service
    records : Records
        The coach's.
    first : date
    days : int
        1 to 28. [days]

    Returns
    -------
    Job
        Its parts are one a client.

    Raises
    ------
    Busy
        When a roster is being planned already.
    """
    check_days(first, days)
    with service.store.reading() as unit:
        if any(
            unit.count(Job, coach_id=records.principal.coach_id, task="roster", state=state)
            for state in UNDER_WAY
        ):
            raise Busy("the roster is being planned already; look at how far it is")
    return _hand_in_roster(service, records, first, days)


def _hand_in_roster(
    service: Service, records: Records, first: dt.date, days: int, roster: str = ""
) -> Job:
    wish = {"first": first.isoformat(), "days": days, "roster": roster}
    return service.jobs.submit(
        Job(
            id=new_id(),
            made_at=records.settings.now(),
            coach_id=records.principal.coach_id,
            client_id="",
            asker=records.principal.coach_id,
            by_link=False,
            by=records.principal.name,
            task="roster",
            what=f"{days} days for everyone from {first:%A %d %B}",
            back_to="/",
            wish=json.dumps(wish),
        )
    )


ROSTER_REFUSALS = 200
"""Clients without a plan that one page names."""


@dataclass(frozen=True)
class RosterRun:
    """How far the planning of a whole roster is."""

    job: Job
    parts: int
    done: int
    under_way: int
    stopped: int
    failed: int
    refused: tuple[Job, ...]
    """Those without a plan, the first of them, each with why."""

    @property
    def ended(self) -> bool:
        """True once nothing of it is waiting or at work."""
        return self.job.state not in UNDER_WAY and not self.under_way


def roster_run(service: Service, records: Records, id_: str) -> RosterRun:
    """
    Say how far the planning of a roster is.

    Parameters
    ----------
    service : Service
    records : Records
        The coach's.
    id_ : str

    Returns
    -------
    RosterRun

    Raises
    ------
    NotThere
        When this coach has none of this identifier.
    """
    with service.store.reading() as unit:
        found = unit.find(Job, id=id_, coach_id=records.principal.coach_id, task="roster")
        if not found:
            raise NotThere(f"there is no planning {id_[:40]!r} of a roster here")
        count = {
            state: unit.count(Job, part_of=id_, state=state)
            for state in ("done", "failed", "stopped", *UNDER_WAY)
        }
        refused = unit.find(Job, part_of=id_, state="failed", limit=ROSTER_REFUSALS)
    return RosterRun(
        job=found[0],
        parts=sum(count.values()),
        done=count["done"],
        under_way=sum(count[state] for state in UNDER_WAY),
        stopped=count["stopped"],
        failed=count["failed"],
        refused=refused,
    )


def resume_roster(service: Service, records: Records, run: RosterRun) -> Job:
    """
    Queue the clients of a roster again who were stopped or never handed in.

    Parameters
    ----------
    service : Service
    records : Records
        The coach's.
    run : RosterRun

    Returns
    -------
    Job
        Hands the rest in; they count as parts of the same roster.
    """
    with service.store.writing() as unit:
        unit.remove(Job, part_of=run.job.id, state="stopped")
    wish = json.loads(run.job.wish)
    return _hand_in_roster(
        service, records, dt.date.fromisoformat(wish["first"]), wish["days"], run.job.id
    )


def wake_log_refresh(service: Service, records: Records) -> None:
    """
    See that a coach's unread logs get read behind the pages.

    Parameters
    ----------
    service : Service
    records : Records
        The coach's.
    """
    coach_id = records.principal.coach_id
    with service.store.reading() as unit:
        if any(unit.count(Job, coach_id=coach_id, task="logs", state=state) for state in UNDER_WAY):
            return
    with contextlib.suppress(Busy):
        service.jobs.submit(
            Job(
                id=new_id(),
                made_at=records.settings.now(),
                coach_id=coach_id,
                client_id="",
                asker="",
                by_link=False,
                by=records.principal.name,
                task="logs",
                what="logs read again",
                back_to="/",
                wish="",
            )
        )
