"""A shared table's days handed in, and what everyone at it may see of them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from api.desk.planning import check_days
from api.desk.service import Service
from api.jobs.shared_table import at_table, own_records, table_job
from api.records.book import Records
from api.records.custom_foods import whole_intake
from api.records.tables import Sitting
from mealplan.client.intake import Intake
from mealplan.cooking.sheet import BatchPlan, batch_plan
from mealplan.errors import IntakeError
from mealplan.plan import Plan, PlanDay
from mealplan.shopping.door import ShoppingList, shopping_list
from mealplan.store.base import NotThere
from mealplan.store.documents import Unreadable
from mealplan.store.records import Client, Job
from mealplan.table.model import TableDecided
from mealplan.table.together import kitchen_of, side_by_side


@dataclass(frozen=True)
class SharedPots:
    """What is cooked and bought for everyone at a table, plates named by role."""

    batch: BatchPlan
    shopping: ShoppingList


def start_table(
    service: Service, records: Records, client: Client, first: dt.date | None, days: int
) -> Job:
    """
    Queue the days of everyone at a client's table.

    Parameters
    ----------
    service : Service
    records : Records
        The coach's.
    client : Client
        Who sits at it.
    first : date, optional
        The client's start when left out; days that have begun stay.
    days : int
        1 to 28. [days]

    Returns
    -------
    Job

    Raises
    ------
    SafetyRefusal, NoPlanError
        When someone at it must not be planned for; found out before anything is queued.
    """
    check_days(first or client.start, days)
    sitting = records.tables.of(client)
    if sitting is None or len(sitting.clients) + len(sitting.guests) < 2:
        raise IntakeError("nobody else sits at this table yet; add a client, an offer or a guest")
    at_table(records, sitting)
    start = max(
        own_records(records, one).plans.first_open(one, first or client.start)
        for one in sitting.clients
    )
    return service.jobs.submit(table_job(records, client, start, days, records.settings.now()))


def shared_pots(records: Records, client: Client, sitting: Sitting) -> SharedPots | None:
    """
    Put the shared pots of a table together as its eaters' plans now stand.

    Parameters
    ----------
    records : Records
        Of whoever looks: a coach or a client by their link.
    client : Client
        Whose table it is looked at from.
    sitting : Sitting

    Returns
    -------
    SharedPots or None
        None while nothing shared is planned. It says nothing of anyone beyond their plate.

    Raises
    ------
    SafetyRefusal
        When the client who looks must not act on a plan.
    """
    dates = {meal.date for meal in sitting.meals}
    if not dates or not client.plan_number:
        return None
    records.plans.to_read(client)
    today = records.plans.today(client)
    near = min((date for date in dates if date >= today), default=max(dates))
    sheet = records.plans.running(client).sheet_of(near)
    ahead = sorted(dates & set(sheet))
    if not ahead:
        return None
    plans, intakes = [], []
    for one in sitting.clients:
        theirs = own_records(records, one)
        try:
            days = theirs.plans.running(one).days
            version = theirs.intakes.version(one)
            intake = whole_intake(theirs, version.body)
        except (NotThere, Unreadable):
            continue
        if all(date in days for date in ahead):
            plans.append(_plan(one.role, [days[date].day for date in ahead], intake))
            intakes.append(intake)
    if not plans:
        return None
    decided = TableDecided(
        shared=sitting.shared,
        eaters=tuple(plan.role for plan in plans),
        guests=sitting.guests,
        meals=tuple(meal for meal in sitting.meals if meal.date in set(ahead)),
    )
    kitchen = kitchen_of(decided, intakes)
    alone = kitchen.kitchen.model_copy(
        update={"people": 1, "shop": kitchen.kitchen.shop.model_copy(update={"eaters": ()})}
    )
    kitchen = kitchen.model_copy(update={"kitchen": alone})
    joined = side_by_side(decided, plans, kitchen, whole=False)
    shopping = shopping_list(joined, kitchen)
    heads = len(plans) + len(sitting.guests)
    return SharedPots(batch_plan(joined, kitchen), shopping.model_copy(update={"people": heads}))


def _plan(role: str, days: list[PlanDay], intake: Intake) -> Plan:
    return Plan(
        role=role,
        start=days[0].date,
        seed=0,
        days=tuple(days),
        supplements=(),
        notices=(),
        own_foods=intake.own_foods,
        own_dishes=intake.own_dishes,
    )
