"""What is planned, looked up for a page: days, meals, the order of cooking and the list."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache

from api.desk.deps import missing
from api.records.book import Records
from api.records.custom_foods import whole_intake
from api.records.reading import plan_of
from mealplan.client.intake import Intake
from mealplan.cooking.sheet import BatchPlan, batch_plan
from mealplan.plan import Meal, Plan, PlanDay
from mealplan.shopping.door import ShoppingList, shopping_list
from mealplan.store.records import Client, SavedPlan


def plan_and_list(
    records: Records, client: Client, start: dt.date | None = None
) -> tuple[Plan, ShoppingList]:
    """
    Return days of a client planned together and what to buy for them.

    Parameters
    ----------
    records : Records
    client : Client
    start : date, optional
        One of the days; the client's today when left out.

    Returns
    -------
    plan : Plan
    shopping : ShoppingList
    """
    saved = records.plans.to_read(client, date=start)
    intake = intake_of_plan(records, client, saved)
    return plan_of(saved.body), _list_of(saved.body, intake)


def intake_of_plan(records: Records, client: Client, saved: SavedPlan) -> str:
    """
    Return the intake a plan was made from, with the coach's own foods and dishes beside it.

    Parameters
    ----------
    records : Records
    client : Client
    saved : SavedPlan

    Returns
    -------
    str
        JSON.
    """
    body = records.intakes.version(client, saved.intake_number).body
    return whole_intake(records, body).model_dump_json()


@lru_cache(maxsize=64)
def batch_of(plan: str, intake: str) -> BatchPlan:
    """
    Work the order of cooking out of a plan and an intake kept as JSON text.

    Parameters
    ----------
    plan, intake : str

    Returns
    -------
    BatchPlan
    """
    return batch_plan(plan_of(plan), Intake.model_validate_json(intake))


@lru_cache(maxsize=64)
def _list_of(plan: str, intake: str) -> ShoppingList:
    """Work the list out of a plan and an intake kept as JSON text."""
    return shopping_list(plan_of(plan), Intake.model_validate_json(intake))


def day_of(plan: Plan, date: dt.date) -> PlanDay:
    """
    Find a planned day.

    Parameters
    ----------
    plan : Plan
    date : date

    Returns
    -------
    PlanDay

    Raises
    ------
    NotThere
        When the plan does not hold it.
    """
    found = next((item for item in plan.days if item.date == date), None)
    if found is None:
        raise missing(f"day {date} in this plan")
    return found


def meal_of(found: PlanDay, slot: int) -> Meal:
    """
    Find a meal of a day.

    Parameters
    ----------
    found : PlanDay
    slot : int
        Its place in the day.

    Returns
    -------
    Meal

    Raises
    ------
    NotThere
        When the day has no such meal.
    """
    if not 0 <= slot < len(found.meals):
        raise missing(f"meal {slot} on this day")
    return found.meals[slot]


def days_of(saved: SavedPlan) -> tuple[dt.date, ...]:
    """
    Give the dates of days planned together.

    Parameters
    ----------
    saved : SavedPlan

    Returns
    -------
    tuple of date
    """
    return tuple(saved.first + dt.timedelta(days=place) for place in range(saved.days))
