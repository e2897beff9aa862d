"""The closed loop: clients live, a policy looks every week, every verdict is followed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from tests.studies.second_world.client import Client, make_client
from tests.studies.second_world.protocol import Phase, Plan, Policy, PublicLog, Verdict

LEAST_PLAN_KCAL = 800.0
LEVEL_DAYS = 14
"""Water is averaged over so many days before and after for the true level."""


@dataclass(frozen=True)
class Truth:
    """What held on the morning of a look; energies on the logging scale."""

    gap: float
    level: float
    slope: float
    expenditure: float


@dataclass(frozen=True)
class Look:
    """One weekly look: the plan in force, what was so, what was said, and the move made."""

    day: int
    plan_kcal: float
    truth: Truth
    verdict: Verdict
    move_kcal: float


@dataclass
class Course:
    """
    One client's weeks under one policy.

    ``seen`` has, by day of look, the share of a training change that the policy's expenditure
    shows: its difference from that of a twin under the same plans with the same luck, but without
    the change.
    """

    phase: Phase
    looks: list[Look] = field(default_factory=list)
    step_day: int | None = None
    step_kcal: float = 0.0
    step_logged: bool = False
    step_told: bool = False
    seen: dict[int, float] = field(default_factory=dict)


def run_client(policy: Policy, client: Client, weeks: int = 16) -> Course:
    """Run one client under a policy, all verdicts followed."""
    calendar, person = client.calendar, client.person
    course = Course(person.phase, step_day=calendar.step_day, step_kcal=calendar.step_kcal)
    course.step_logged = calendar.step_logged
    course.step_told = any(event.what == "training change" for event in calendar.told)
    kcal, log = client.first_plan_kcal, PublicLog()
    log.plans.append((0, kcal))
    policy.start(client.facts)
    tissue, mass, pending = [], [], []
    for day in range(7 * weeks + LEVEL_DAYS):
        if day % 7 == 0 and 0 < day <= 7 * weeks:
            kcal = _look(policy, client, log, kcal, tissue, pending)
        tissue.append(client.body.tissue_kg)
        add_day(log, client, day, kcal)
        mass.append(client.morning_kg)
    water = np.array(mass) - np.array(tissue)
    for look, slope, tissue_kg in pending:
        near = water[max(0, look.day - LEVEL_DAYS) : look.day + LEVEL_DAYS + 1]
        truth = Truth(look.truth.gap, tissue_kg + near.mean(), slope, look.truth.expenditure)
        course.looks.append(Look(look.day, look.plan_kcal, truth, look.verdict, look.move_kcal))
    return course


def _look(policy, client, log, kcal, tissue, pending) -> float:  # type: ignore[no-untyped-def]
    """Let the policy look, note what was so and what it said, and return the plan from now on."""
    plan = Plan(client.person.phase, client.person.rate_kg_per_week, kcal, client.day)
    verdict = policy.look(log, plan)
    after = max(LEAST_PLAN_KCAL, kcal + verdict.move_kcal)
    now = client.body.tissue_kg
    truth = Truth(client.gap_kcal(plan), np.nan, np.nan, client.logged_expenditure_kcal)
    look = Look(client.day, kcal, truth, verdict, after - kcal)
    pending.append((look, now - tissue[client.day - 7], now))
    if after != kcal:
        log.plans.append((client.day, after))
    return after


def add_day(log: PublicLog, client: Client, day: int, kcal: float) -> None:
    """Let the client live a day and put its records into the log."""
    records = client.live(day, kcal)
    for name in ("weigh_ins", "eaten", "sessions", "steps", "events", "cycle_starts", "scans"):
        getattr(log, name).extend(getattr(records, name))


def trace_step(
    policy: Policy,
    course: Course,
    client: Client,
    twin: Client,
    meet: Callable[[Client], None] | None = None,
) -> None:
    """
    Note how much of the client's training change shows at each look after it.

    Both live again under the plans of the course, the twin without the change.
    """
    twin.forget_step()
    plans = {look.day: look.plan_kcal + look.move_kcal for look in course.looks}
    said: list[dict[int, float]] = []
    scale: dict[int, float] = {}
    for one in (client, twin):
        kcal, log = one.first_plan_kcal, PublicLog()
        log.plans.append((0, kcal))
        if meet is not None:
            meet(one)
        policy.start(one.facts)
        values: dict[int, float] = {}
        for day in range(course.looks[-1].day + 1):
            if day in plans:
                plan = Plan(one.person.phase, one.person.rate_kg_per_week, kcal, day)
                verdict = policy.look(log, plan)
                if verdict.expenditure is not None:
                    values[day] = verdict.expenditure.value
                if plans[day] != kcal:
                    kcal = plans[day]
                    log.plans.append((day, kcal))
            scale.setdefault(day, one.logging_scale(day))
            add_day(log, one, day, kcal)
        said.append(values)
    for day, value in said[0].items():
        if course.step_day is not None and day > course.step_day and day in said[1]:
            course.seen[day] = (value - said[1][day]) / (course.step_kcal * scale[day])


def run_study(
    policy: Policy,
    world: str,
    clients: int,
    weeks: int = 16,
    seed: int = 1,
    trace: bool = False,
    meet: Callable[[Client], None] | None = None,
) -> list[Course]:
    """
    Run many clients of a world under a policy.

    Parameters
    ----------
    policy : Policy
        Looks every week.
    world : str
        Name of the world.
    clients, weeks, seed : int
        The same seed gives the same clients, with the same luck, to every policy.
    trace : bool
        Also follow how training changes are seen; costs two more runs of each client with one.
    meet : callable, optional
        Shown each client before its weeks; for ideal observers only, which know the hidden.
    """
    courses = []
    for number in range(clients):
        client = make_client(world, seed * 100_003 + number)
        if meet is not None:
            meet(client)
        course = run_client(policy, client, weeks)
        if trace and course.step_day is not None:
            same, twin = (make_client(world, seed * 100_003 + number) for _ in range(2))
            trace_step(policy, course, same, twin, meet)
        courses.append(course)
    return courses
