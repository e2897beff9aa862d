"""What a planning process does: read a task, plan, tell how far it is, hand the plan back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from mealplan.errors import IntakeError, MealPlanError, NoPlanError, SafetyRefusal, TargetError

Tell = Callable[[int, int], None]


@dataclass(frozen=True)
class WeekTask:
    """Plan days from an intake. Bodies are JSON text."""

    intake: str
    first: dt.date
    days: int
    polish: bool = False
    """Take longer and search further."""


@dataclass(frozen=True)
class EatenInstead:
    """What was eaten instead of a planned meal."""

    slot: int
    name: str
    foods: tuple[tuple[str, float], ...] = ()
    """Kitchen names or keys with their grams. [g]"""
    other_kcal: float = 0.0


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
class Made:
    """A plan as JSON text, and what to say about it."""

    plan: str
    sentences: tuple[str, ...] = ()


class Channel(Protocol):
    """Either end of a pipe."""

    def recv(self) -> object:
        """Wait for a message."""
        ...

    def send(self, message: object) -> None:
        """Send a message."""
        ...


_ERRORS: dict[str, type[MealPlanError]] = {
    error.__name__: error
    for error in (IntakeError, MealPlanError, NoPlanError, SafetyRefusal, TargetError)
}


def plan_for(task: Task, tell: Tell) -> Made:
    """
    Carry a task out.

    Parameters
    ----------
    task : WeekTask or DayTask
    tell : callable
        Called with (days done, days in all).

    Returns
    -------
    Made
    """
    from mealplan.client.intake import Intake
    from mealplan.menu.change import DayRequest, Eaten, change_day
    from mealplan.menu.week import make_plan
    from mealplan.plan import Plan
    from mealplan.targets.make import make_targets

    intake = Intake.model_validate_json(task.intake)
    targets = make_targets(intake)
    if isinstance(task, WeekTask):
        plan = make_plan(
            intake,
            targets,
            days=task.days,
            first=task.first,
            polish=task.polish,
            progress=tell,
        )
        return Made(plan.model_dump_json())
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
                item.slot: Eaten(item.name, dict(item.foods), item.other_kcal)
                for item in task.eaten
            },
            shown=task.shown,
            from_home=task.from_home,
            shopped=Plan.model_validate_json(task.shopped) if task.shopped else None,
        ),
    )
    tell(1, 1)
    return Made(changed.plan.model_dump_json(), changed.sentences)


def serve(channel: Channel) -> None:
    """
    Plan whatever comes down a pipe until it closes; runs in a process of its own.

    Parameters
    ----------
    channel : Channel
        Tasks in; out come ``("progress", done, total)``, a :class:`Made`, or
        ``("error", name, message)``.
    """
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the service stops its processes itself
    warm()
    while True:
        try:
            task = channel.recv()
        except (EOFError, OSError):
            return
        assert isinstance(task, WeekTask | DayTask)
        try:
            channel.send(
                plan_for(task, lambda done, total: channel.send(("progress", done, total)))
            )
        except MealPlanError as error:
            channel.send(("error", type(error).__name__, str(error)))
        except Exception as error:  # a fault of ours must not take the process down unsaid
            channel.send(
                ("error", "MealPlanError", f"planning failed: {type(error).__name__}: {error}")
            )


def warm() -> None:
    """Load foods and dishes before the first task asks for them."""
    from foods.dishes.load import load_dishes
    from mealplan.kitchen.food_arrays import FoodSpace
    from mealplan.menu import change, week

    del change, week
    load_dishes()
    FoodSpace.load()


def error_named(name: str, message: str) -> MealPlanError:
    """
    Make the error a planning process reported.

    Parameters
    ----------
    name, message : str

    Returns
    -------
    MealPlanError
    """
    return _ERRORS.get(name, MealPlanError)(message)
