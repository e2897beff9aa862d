"""What can be planned beside the pages: days from an intake, or one day of a plan again."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass

from foods.dishes.load import load_dishes
from mealplan.client.intake import Intake
from mealplan.demo.folders import DEMO_CLIENTS, demo_intake
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.menu.change import DayRequest, Eaten, change_day
from mealplan.menu.trade_off import with_alternatives
from mealplan.menu.week import make_plan
from mealplan.plan import Plan
from mealplan.targets.make import make_targets

Tell = Callable[[int, int], None]


@dataclass(frozen=True)
class WeekTask:
    """Plan days from an intake. Bodies are JSON text."""

    intake: str
    first: dt.date
    days: int
    polish: bool = False
    """Take longer and search further."""
    before: str = ""
    """The plan whose last day is the eve of the first; empty when there is none."""
    compare: bool = False
    """Plan from fewer and from more things as well."""


@dataclass(frozen=True)
class EatenInstead:
    """What was eaten instead of a planned meal."""

    slot: int
    name: str
    foods: tuple[tuple[str, float], ...] = ()
    """Kitchen names or keys with their grams. [g]"""
    other_kcal: float = 0.0
    nothing: bool = False
    """True when the meal was left out."""
    sd_kcal: float = 0.0
    """How far its energy may lie from what it is read as, one standard deviation. [kcal]"""


@dataclass(frozen=True)
class DayTask:
    """Plan one day of a plan again. Bodies are JSON text."""

    intake: str
    plan: str
    date: dt.date
    another: tuple[int, ...] | None = None
    """Meals that get another dish; None is every one that nothing else fixes."""
    keep: tuple[int, ...] = ()
    settled: tuple[int, ...] = ()
    eaten: tuple[EatenInstead, ...] = ()
    shown: tuple[tuple[str, ...], ...] = ()
    """Dish keys of the days turned down before, oldest first."""
    from_home: bool = False
    """True makes the day from what is at home."""
    shopped: str = ""
    """The week as it was shopped for; empty when it has not changed since."""


Task = WeekTask | DayTask


@dataclass(frozen=True)
class PlanMade:
    """A plan as JSON text, and what to say about it."""

    plan: str
    sentences: tuple[str, ...] = ()


def plan_for(task: Task, tell: Tell) -> PlanMade:
    """
    Carry a task out.

    Parameters
    ----------
    task : WeekTask or DayTask
    tell : callable
        Called with (days done, days in all).

    Returns
    -------
    PlanMade
    """
    intake = Intake.model_validate_json(task.intake)
    targets = make_targets(intake)
    if isinstance(task, WeekTask):
        before = Plan.model_validate_json(task.before) if task.before else None
        plan = make_plan(
            intake,
            targets,
            days=task.days,
            first=task.first,
            polish=task.polish,
            progress=tell,
            before=before,
        )
        if task.compare:
            plan = with_alternatives(plan, intake, targets, before, tell)
        return PlanMade(plan.model_dump_json())
    changed = change_day(
        intake,
        targets,
        Plan.model_validate_json(task.plan),
        DayRequest(
            task.date,
            another=task.another,
            keep=task.keep,
            settled=task.settled,
            eaten={
                item.slot: Eaten(
                    item.name, dict(item.foods), item.other_kcal, item.nothing, item.sd_kcal
                )
                for item in task.eaten
            },
            shown=task.shown,
            from_home=task.from_home,
            shopped=Plan.model_validate_json(task.shopped) if task.shopped else None,
        ),
    )
    tell(1, 1)
    return PlanMade(changed.plan.model_dump_json(), changed.sentences)


def warm() -> None:
    """Load foods and dishes before the first task asks for them."""
    load_dishes()
    FoodSpace.load()


def rehearse() -> None:
    """Plan a day for nobody, so that whoever comes first does not wait for what is kept of it."""
    intake = demo_intake(DEMO_CLIENTS[0])
    make_plan(intake, make_targets(intake), days=1)
