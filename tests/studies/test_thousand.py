"""
A thousand clients' next day by one worker and by two, in turns, so that a busy moment hits both.

Each turn is one coach's whole roster. One of the two workers is held still while the other works
alone. Beside seconds on the wall, which say little on a shared machine, the workers' own processor
time is counted: two workers that cost no more of it a plan than one are twice as quick wherever
two processors are free. What planning alone costs is measured in the study's own process; the rest
of a worker's time is the engine's: queue, records, progress.
"""

import datetime as dt
import os
import signal
import statistics
import sys
import time
from pathlib import Path

import pytest

from api.desk.planning import roster_run, start_roster
from api.desk.service import Service
from api.jobs.tasks import WeekTask, plan_for, warm
from api.records.book import Records
from api.records.view import Principal
from api.settings import Settings
from mealplan.demo.folders import demo_intake
from mealplan.jobs.durable import LATER, Durable
from mealplan.store.documents import INTAKE
from mealplan.store.records import Client, Coach, IntakeVersion, WorkerSeen, new_id
from mealplan.store.sql import SqlStore
from tests.mealplan.store.conftest import emptied
from tests.studies.service import command

pytestmark = pytest.mark.study

POSTGRES = os.environ.get("MEALPLAN_TEST_POSTGRES_URL", "")
CLIENTS = int(os.environ.get("MEALPLAN_CLIENTS", "1000"))
TURNS = int(os.environ.get("MEALPLAN_TURNS", "10"))
DAYS = int(os.environ.get("MEALPLAN_DAYS", "1"))
PLANS_ALONE = 12
IDLE_S = 20.0
TICKS = os.sysconf("SC_CLK_TCK")


def small_intake():
    """Give an intake that is quick to plan for: three meals a day."""
    lifter = demo_intake("club-lifter")
    return lifter.model_copy(update={"kitchen": lifter.kitchen.model_copy(update={"meals": 3})})


def fill(store, intake, size):
    """Make a coach with so many clients."""
    now = dt.datetime.now(dt.UTC)
    coach = Coach(id=new_id(), made_at=now, login=new_id(), password_hash="x")
    body = INTAKE.write(intake)
    with store.writing() as unit:
        unit.add(coach)
        for number in range(size):
            client = Client(
                id=new_id(), made_at=now, coach_id=coach.id, role=f"club lifter {number}",
                phase="gain", start=intake.start, intake_number=1, plan_number=0,
                planned_until=None, gravest="",
            )  # fmt: skip
            unit.add(client)
            unit.add(IntakeVersion(new_id(), now, client.id, 1, body, "coach", "study"))
    return coach


def cpu_s(pid):
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICKS


def planned(service, coach, first):
    """Have a roster planned; give seconds on the wall and how many have a plan."""
    records = Records(service.store, service.settings, Principal("coach", coach.id, "coach"))
    begun = time.monotonic()
    job = start_roster(service, records, first, DAYS)
    while not (run := roster_run(service, records, job.id)).ended:
        time.sleep(0.5)
    return time.monotonic() - begun, run.done


def alone(intake):
    """Give the processor time of planning for one client and nothing else. [s]"""
    warm()
    body, times = intake.model_dump_json(), []
    for _ in range(PLANS_ALONE):
        begun = time.process_time()
        plan_for(WeekTask(body, intake.start, DAYS), lambda done, total: None)
        times.append(time.process_time() - begun)
    return statistics.median(times)


def ready(store, workers):
    until = time.monotonic() + 300
    while time.monotonic() < until:
        with store.reading() as unit:
            if {one.process for one in unit.find(WorkerSeen)} >= {one.pid for one in workers}:
                return
        time.sleep(0.2)
    raise AssertionError("the workers did not come up")


@pytest.mark.parametrize("kind", ["sqlite", "postgres"])
def test_two_workers_plan_twice_as_much_as_one(kind, tmp_path, capsys):
    if kind == "postgres" and not POSTGRES:
        pytest.skip("MEALPLAN_TEST_POSTGRES_URL is not set")
    url = emptied(POSTGRES) if kind == "postgres" else f"sqlite:///{tmp_path / 'plans.sqlite'}"
    store, settings, intake = SqlStore(url), Settings(accounts=True), small_intake()
    queue = Durable(store, settings.now)
    service = Service(store, settings, queue)
    coaches = [fill(store, intake, CLIENTS // TURNS) for _ in range(TURNS)]
    # Two groups that know nothing of each other, as on two machines.
    workers = [command(url, "work", "--only", LATER) for _ in range(2)]
    ready(store, workers)
    planned(service, fill(store, intake, 6), intake.start)  # both have worked once
    seen = {1: [], 2: []}
    plan_s = [alone(intake)]
    for turn, coach in enumerate(coaches):
        size = turn % 2 + 1
        held = workers[1] if size == 1 else None
        if held:
            held.send_signal(signal.SIGSTOP)
        before = [cpu_s(one.pid) for one in workers]
        wall, done = planned(service, coach, intake.start)
        spent = sum(cpu_s(one.pid) - was for one, was in zip(workers, before, strict=True))
        if held:
            held.send_signal(signal.SIGCONT)
            ready(store, workers)
        assert done == CLIENTS // TURNS
        seen[size].append((wall / done, spent / done))
    plan_s.append(alone(intake))
    before = [cpu_s(one.pid) for one in workers]
    time.sleep(IDLE_S)
    idle = sum(cpu_s(one.pid) - was for one, was in zip(workers, before, strict=True))
    for one in workers:
        one.terminate()
        one.wait(timeout=60)
    queue.close()
    store.close()
    wall = {size: statistics.median(w for w, _ in rows) for size, rows in seen.items()}
    cpu = {size: statistics.median(c for _, c in rows) for size, rows in seen.items()}
    plan = statistics.mean(plan_s)
    with capsys.disabled():
        sys.stdout.write(
            f"\n{kind}: {CLIENTS} clients x {DAYS} days in {TURNS} turns, load "
            f"{os.getloadavg()[1]:.1f}; wall a plan {wall[1]:.3f} s by one, {wall[2]:.3f} s by "
            f"two: {wall[1] / wall[2]:.2f} x; processor time a plan {cpu[1]:.3f} s, "
            f"{cpu[2]:.3f} s: {2 * cpu[1] / cpu[2]:.2f} x where two processors are free; planning "
            f"alone {plan_s[0]:.3f} and {plan_s[1]:.3f} s, engine "
            f"{(statistics.mean(cpu.values()) - plan) * 1e3:.0f} ms a plan; a worker with "
            f"nothing to do {idle / 2 / IDLE_S * 1e3:.0f} ms a second\n"
        )
    assert 2 * cpu[1] / cpu[2] >= 1.85
