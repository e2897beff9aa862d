"""Planning processes plan, tell how far they are, can be stopped, and are replaced when lost."""

import datetime as dt
import os
import signal
import time

import pytest

from api.jobs.pool import Busy, Solve, SolvePool
from api.jobs.worker import WeekTask
from mealplan.demo.folders import demo_intake
from mealplan.errors import StoreError
from mealplan.plan import Plan

START = dt.date(2026, 11, 30)


@pytest.fixture(scope="module")
def pool():
    made = SolvePool(1, 4)
    yield made
    made.close()


def week(days=2, role="club-lifter", kept=None):
    plans = kept if kept is not None else []
    task = WeekTask(demo_intake(role).model_dump_json(), START, days)
    return Solve("c1", "a week", "/", task, plans.append, total=days)


def until(true, seconds=30):
    end = time.monotonic() + seconds
    while not true() and time.monotonic() < end:
        time.sleep(0.01)
    assert true()


def test_a_process_makes_the_plan_the_domain_makes(pool):
    from mealplan.menu.week import make_plan
    from mealplan.targets.make import make_targets

    kept = []
    solve = pool.submit(week(kept=kept))
    assert solve.finished.wait(60)
    assert (solve.state, solve.done, solve.total) == ("done", 2, 2)
    intake = demo_intake("club-lifter")
    assert Plan.model_validate_json(kept[0].plan) == make_plan(intake, make_targets(intake), days=2)


def test_a_plan_that_searches_further_counts_steps_and_stops_within_a_second(pool):
    task = WeekTask(demo_intake("club-lifter").model_dump_json(), START, 7, polish=True)
    solve = pool.submit(Solve("c1", "a week", "/", task, lambda made: None, total=7))
    until(lambda: solve.done > 7)
    assert solve.total > 28
    pool.stop(solve)
    assert solve.finished.wait(2)
    assert solve.state == "stopped"


def test_a_refusal_comes_back_as_what_it_is(pool):
    from mealplan.errors import SafetyRefusal

    young = demo_intake("club-lifter").model_copy(update={"age_years": 15})
    task = WeekTask(young.model_dump_json(), START, 1)
    solve = pool.submit(Solve("c1", "a day", "/", task, lambda made: None))
    assert solve.finished.wait(60)
    assert solve.state == "failed"
    assert isinstance(solve.error, SafetyRefusal)


def test_a_running_plan_stops_within_a_second_and_the_next_one_is_made(pool):
    solve = pool.submit(week(days=28))
    until(lambda: solve.done >= 1)
    begun = time.monotonic()
    pool.stop(solve)
    assert solve.finished.wait(10)
    assert time.monotonic() - begun < 1
    assert solve.state == "stopped"
    following = pool.submit(week(days=1))
    assert following.finished.wait(60)
    assert following.state == "done"


def test_a_waiting_plan_stops_before_it_begins(pool):
    first, second = pool.submit(week(days=7)), pool.submit(week(days=7))
    pool.stop(second)
    assert second.finished.wait(60)
    assert (second.state, second.done) == ("stopped", 0)
    assert first.finished.wait(60)


def test_a_lost_process_is_said_and_replaced(pool):
    solve = pool.submit(week(days=28))
    until(lambda: solve.done >= 1)
    import multiprocessing

    for child in multiprocessing.active_children():
        os.kill(child.pid, signal.SIGKILL)
    assert solve.finished.wait(10)
    assert isinstance(solve.error, StoreError)
    following = pool.submit(week(days=1))
    assert following.finished.wait(60)
    assert following.state == "done"


def test_more_plans_than_may_wait_are_turned_away(pool):
    solves = [pool.submit(week(days=28))]
    until(lambda: solves[0].state == "working")
    solves += [pool.submit(week(days=28)) for _ in range(4)]
    with pytest.raises(Busy, match="wait half a minute"):
        pool.submit(week())
    for solve in solves:
        pool.stop(solve)
    assert all(solve.finished.wait(10) for solve in solves)
