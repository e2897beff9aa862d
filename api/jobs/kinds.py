"""
What each kind of job does to the records; any worker carries any of them out.

A job's wish names what it starts from by number: intake and plan are read when it begins, so that
nothing of them is kept a second time, and its result is kept in the change that ends it.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
from collections.abc import Callable
from dataclasses import dataclass

from api.jobs.shared_table import plan_shared
from api.jobs.tasks import DayTask, EatenInstead, PlanMade, WeekTask, plan_for
from api.records.book import Records
from api.records.changes import MadeChange
from api.records.custom_foods import whole_intake
from api.records.reading import plan_of
from api.records.view import Principal, Stale
from api.settings import Settings
from mealplan.jobs import Jobs, Run, Work, know
from mealplan.store.base import NotThere
from mealplan.store.documents import Unreadable
from mealplan.store.records import Client, Job, new_id

know(Stale, Unreadable)

TURNED_DOWN_KEPT = 12
"""Days turned down that are remembered for one date."""
SEARCHING_FURTHER = ", searching further"
"""Ends what is being planned when it goes in steps and not in days."""


@dataclass(frozen=True)
class WeekOrder:
    """Whole days from an intake."""

    first: dt.date
    days: int
    polish: bool
    intake_number: int
    was: int | None
    """Plan that was the latest; None takes whichever is when the job begins."""
    look: bool = False
    """True waits with what was made until it was looked at."""
    compare: bool = False
    """True plans from fewer and from more things as well."""


@dataclass(frozen=True)
class DayOrder:
    """One day of a plan again."""

    date: dt.date
    was: int
    intake_number: int
    another: tuple[int, ...] | None
    keep: tuple[int, ...]
    settled: tuple[int, ...]
    eaten: tuple[EatenInstead, ...]
    from_home: bool
    look: bool = False
    """True waits with what was made until it was looked at."""


def packed(wish: WeekOrder | DayOrder) -> str:
    """
    Write a wish as text.

    Parameters
    ----------
    wish : WeekOrder or DayOrder

    Returns
    -------
    str
        JSON.
    """
    return json.dumps(dataclasses.asdict(wish), default=str)


def _asked_for(
    principal: Principal, client: Client, wish: WeekOrder | DayOrder, now: dt.datetime
) -> Job:
    """Make a job as far as every kind of them says the same: who asks, for whom, what is wished."""
    return Job(
        id=new_id(),
        made_at=now,
        coach_id=client.coach_id,
        client_id=client.id,
        asker=principal.link_id or principal.coach_id,
        by_link=bool(principal.link_id),
        by=principal.name,
        task="",
        what="",
        back_to="",
        wish=packed(wish),
    )


def week_job(
    principal: Principal, client: Client, wish: WeekOrder, now: dt.datetime, part_of: str = ""
) -> Job:
    """
    Make the job of planning whole days.

    Parameters
    ----------
    principal : Principal
        Who asks.
    client : Client
    wish : WeekOrder
    now : datetime
    part_of : str
        The roster's job that this is a part of.

    Returns
    -------
    Job
    """
    return dataclasses.replace(
        _asked_for(principal, client, wish, now),
        task="further" if wish.polish or wish.compare or wish.days > 7 else "week",
        what=f"{wish.days} days for the {client.role} from {wish.first:%A %d %B}"
        + (SEARCHING_FURTHER if wish.polish else ""),
        back_to=f"/clients/{client.id}/week?start={wish.first}",
        part_of=part_of,
        total=wish.days,
    )


def day_job(principal: Principal, client: Client, wish: DayOrder, now: dt.datetime) -> Job:
    """
    Make the job of planning one day again.

    Parameters
    ----------
    principal : Principal
        Who asks.
    client : Client
    wish : DayOrder
    now : datetime

    Returns
    -------
    Job
    """
    return dataclasses.replace(
        _asked_for(principal, client, wish, now),
        task="day",
        what=f"{wish.date:%A %d %B} for the {client.role}",
        back_to=f"/clients/{client.id}/days/{wish.date}?changed=yes",
    )


def run_of(settings: Settings, jobs: Callable[[], Jobs]) -> Run:
    """
    Say what carries each kind of job out.

    Parameters
    ----------
    settings : Settings
    jobs : callable
        Gives where a roster's parts are handed in.

    Returns
    -------
    mapping
    """
    return {
        "week": lambda work: _week(work, settings),
        "further": lambda work: _week(work, settings),
        "day": lambda work: _day(work, settings),
        "logs": lambda work: _logs(work, settings),
        "roster": lambda work: _roster(work, settings, jobs()),
        "table": lambda work: plan_shared(work, settings),
    }


def _records(work: Work, settings: Settings) -> Records:
    return Records(work.store, settings, Principal("coach", work.job.coach_id, work.job.by))


def _week(work: Work, settings: Settings) -> None:
    records = _records(work, settings)
    data = json.loads(work.job.wish)
    wish = WeekOrder(**data | {"first": dt.date.fromisoformat(data["first"])})
    client = records.clients.one(work.job.client_id)
    version = records.intakes.version(client, wish.intake_number)
    intake = whole_intake(records, version.body).model_dump_json()
    first = records.plans.first_open(client, wish.first)
    before = _week_before(records, client, first)
    made = plan_for(
        WeekTask(intake, first, wish.days, wish.polish, before, wish.compare), work.tell
    )
    change = MadeChange(
        made.plan,
        was=client.plan_number if wish.was is None else wish.was,
        intake_number=version.number,
        reason=f"{wish.days} days from {first}",
    )
    _end(work, records, change, look=wish.look)


def _end(work: Work, records: Records, change: MadeChange, *, look: bool) -> None:
    """Keep what was made, or let it wait with its job until somebody looked at it."""
    if not look:
        records.plans.keep_change(work.job.client_id, change, also=work.finish)
        return
    with work.store.writing() as unit:
        work.finish(unit, change.written())


def _week_before(records: Records, client: Client, first: dt.date) -> str:
    """Give the days that end on the eve of some others as JSON text; empty when there are none."""
    eve = first - dt.timedelta(days=1)
    try:
        plan = plan_of(records.plans.kept(client, date=eve).body)
    except (NotThere, Unreadable):  # set aside days do not keep the next ones from being made
        return ""
    days = tuple(day for day in plan.days if day.date <= eve)[-7:]
    if not days or days[-1].date != eve:
        return ""
    return plan.model_copy(update={"days": days, "start": days[0].date}).model_dump_json()


def _day(work: Work, settings: Settings) -> None:
    records = _records(work, settings)
    wish = _day_wish(work.job.wish)
    client = records.clients.one(work.job.client_id)
    saved = records.plans.kept(client, wish.was, wish.date)
    version = records.intakes.version(client, wish.intake_number)
    shown: dict[str, list[list[str]]] = json.loads(saved.shown)
    before = shown.get(wish.date.isoformat(), [])
    made: PlanMade = plan_for(
        DayTask(
            whole_intake(records, version.body).model_dump_json(),
            plan_of(saved.body).model_dump_json(),
            wish.date,
            another=wish.another,
            keep=wish.keep,
            settled=wish.settled,
            eaten=wish.eaten,
            shown=tuple(tuple(dishes) for dishes in before),
            from_home=wish.from_home,
            shopped=records.plans.as_shopped(client, saved) if wish.from_home else "",
        ),
        work.tell,
    )
    if not wish.eaten and not wish.from_home:
        day = next(day for day in plan_of(saved.body).days if day.date == wish.date)
        turned_down = [*before, [meal.dish for meal in day.meals]][-TURNED_DOWN_KEPT:]
        shown[wish.date.isoformat()] = turned_down
    change = MadeChange(
        made.plan,
        was=saved.number,
        intake_number=version.number,
        reason=" ".join(made.sentences),
        shown=shown,
        changes=wish.date,
        logged=tuple(item.slot for item in wish.eaten),
    )
    _end(work, records, change, look=wish.look)
    if wish.eaten:
        now = records.plans.running(records.clients.one(client.id))
        records.log.say_day(client, now.days[wish.date].day)


def _day_wish(text: str) -> DayOrder:
    data = json.loads(text)
    eaten = tuple(
        EatenInstead(
            item["slot"],
            item["name"],
            tuple((food, grams) for food, grams in item["foods"]),
            item["other_kcal"],
            item.get("nothing", False),
            item.get("sd_kcal", 0.0),
        )
        for item in data["eaten"]
    )
    return DayOrder(
        date=dt.date.fromisoformat(data["date"]),
        was=data["was"],
        intake_number=data["intake_number"],
        another=None if data["another"] is None else tuple(data["another"]),
        keep=tuple(data["keep"]),
        settled=tuple(data["settled"]),
        eaten=eaten,
        from_home=data["from_home"],
        look=data.get("look", False),
    )


def _logs(work: Work, settings: Settings) -> None:
    """Read the logs of a coach's roster that changed, so that the roster knows every warning."""
    records = _records(work, settings)
    unread = records.roster.unread()
    for done, client in enumerate(unread):
        work.tell(done, max(1, len(unread)))
        records.roster.read(client)
    with work.store.writing() as unit:
        work.finish(unit)


def _roster(work: Work, settings: Settings, jobs: Jobs) -> None:
    """Hand a week in for every client who has none from that day on; those handed in stay."""
    records = _records(work, settings)
    data = json.loads(work.job.wish)
    first, days = dt.date.fromisoformat(data["first"]), int(data["days"])
    roster = data.get("roster") or work.job.id
    with work.store.reading() as unit:
        there = {part.client_id for part in unit.find(Job, part_of=roster)}
    clients = [client for client in records.clients.all() if client.id not in there]
    for done, client in enumerate(clients):
        work.tell(done, max(1, len(clients)))
        wish = WeekOrder(first, days, False, client.intake_number, None)
        jobs.submit(week_job(records.principal, client, wish, settings.now(), roster))
    with work.store.writing() as unit:
        work.finish(unit)
