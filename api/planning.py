"""From a wish to a queued plan and back into the records."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence

from api.jobs.pool import Solve
from api.jobs.worker import DayTask, EatenInstead, Made, WeekTask
from api.records.book import Records
from api.records.custom_foods import whole_intake
from api.records.reading import plan_of
from api.service import Service
from mealplan.client.intake import FIRST_YEAR, LAST_YEAR
from mealplan.errors import IntakeError, NoPlanError
from mealplan.menu.week import refuse_unsafe
from mealplan.store.records import Client, SavedPlan

SEARCHING_FURTHER = ", searching further"
"""Ends what is being planned when it goes in steps and not in days."""

TURNED_DOWN_KEPT = 12
"""Days turned down that are remembered for one date."""


def start_week(
    service: Service,
    records: Records,
    client: Client,
    first: dt.date | None = None,
    days: int = 7,
    *,
    polish: bool = False,
) -> Solve:
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

    Returns
    -------
    Solve

    Raises
    ------
    SafetyRefusal
        When a guard rail forbids planning; found out before anything is queued.
    """
    if not 1 <= days <= 28:
        raise NoPlanError(f"days={days} is outside 1 to 28; plan four weeks at most at a time")
    start = first or client.start
    if not FIRST_YEAR <= start.year <= LAST_YEAR:
        raise IntakeError(
            f"first day {start} lies outside the years {FIRST_YEAR} to {LAST_YEAR}; check the year"
        )
    version = records.intakes.version(client)
    refuse_unsafe(records.intakes.targets(client))

    def keep(made: Made) -> None:
        records.plans.keep(
            client.id,
            made.plan,
            was=client.plan_number,
            intake_number=version.number,
            reason=f"{days} days from {start}",
            shown={},
        )

    return service.solves.submit(
        Solve(
            client_id=client.id,
            what=f"{days} days for the {client.role} from {start:%A %d %B}"
            + (SEARCHING_FURTHER if polish else ""),
            back_to=f"/clients/{client.id}/week",
            task=WeekTask(
                whole_intake(records, version.body).model_dump_json(), start, days, polish
            ),
            keep=keep,
            total=days,
        )
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
    was: int | None = None,
) -> Solve:
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
    was : int, optional
        Number of the plan the asker saw; the latest when left out.

    Returns
    -------
    Solve
    """
    saved = records.plans.kept(client, was)
    plan = plan_of(saved.body)
    day = next((item for item in plan.days if item.date == date), None)
    if day is None:
        raise NoPlanError(
            f"{date} is not in this plan, which runs from {plan.start} for {len(plan.days)} days"
        )
    refuse_unsafe(records.intakes.targets(client))
    version = records.intakes.version(client)
    shown: dict[str, list[list[str]]] = json.loads(saved.shown)
    before = shown.get(date.isoformat(), [])
    if not eaten and not from_home:
        shown[date.isoformat()] = [*before, [meal.dish for meal in day.meals]][-TURNED_DOWN_KEPT:]

    def keep_it(made: Made) -> None:
        records.plans.keep(
            client.id,
            made.plan,
            was=saved.number,
            intake_number=version.number,
            reason=" ".join(made.sentences),
            shown=shown,
        )

    return service.solves.submit(
        Solve(
            client_id=client.id,
            what=f"{date:%A %d %B} for the {client.role}",
            back_to=f"/clients/{client.id}/days/{date}?changed=yes",
            task=DayTask(
                whole_intake(records, version.body).model_dump_json(),
                plan.model_dump_json(),
                date,
                another=None if another is None else tuple(another),
                keep=tuple(keep),
                settled=tuple(settled),
                eaten=tuple(eaten),
                shown=tuple(tuple(dishes) for dishes in before),
                from_home=from_home,
                shopped=_shopped_for(records, client, saved) if from_home else "",
            ),
            keep=keep_it,
        )
    )


def _shopped_for(records: Records, client: Client, saved: SavedPlan) -> str:
    """Return the week as it stood on its first day, when it was shopped for; the oldest else."""
    with records.store.reading() as unit:
        found = unit.find(SavedPlan, client_id=client.id, first=saved.first)
    in_time = [plan for plan in found if plan.made_at.date() <= saved.first]
    chosen = max(in_time, key=lambda plan: plan.number) if in_time else found[0]
    return plan_of(chosen.body).model_dump_json() if chosen.number != saved.number else ""
