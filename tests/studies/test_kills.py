"""
Service and workers killed in the middle of planning and writing, again and again.

Four programs write and two ask for plans all the while, as fast as they are answered. Kills do not
wait until everything stands again: a worker is killed while the service still starts, a service
while its workers plan. A tenth of them falls on a service that started its workers itself, the
rest on a service and workers that were started apart, as on several machines.
"""

import contextlib
import datetime as dt
import itertools
import os
import random
import signal
import subprocess
import sys
import threading
import time
from collections import Counter

import httpx
import pytest

from mealplan.demo.folders import demo_intake
from mealplan.jobs.durable import LATER, SOON
from mealplan.jobs.model import UNDER_WAY
from mealplan.store.documents import opened
from mealplan.store.records import Client, Job, Logged, SavedPlan
from mealplan.store.sql import SqlStore
from tests.mealplan.store.conftest import emptied
from tests.studies.service import FIRST, ROOT, command, free_port

pytestmark = pytest.mark.study

POSTGRES = os.environ.get("MEALPLAN_TEST_POSTGRES_URL", "")
KILLS = int(os.environ.get("MEALPLAN_KILLS", "60"))
TOGETHER = int(os.environ.get("MEALPLAN_TOGETHER", f"{KILLS // 10}"))
"""Kills that fall on a service with workers of its own; each start of it loads the program anew."""
WRITERS, PLANNERS, OPEN_JOBS = 4, 2, 8
LONGEST_PAUSE_S = 3.0
"""Kills fall up to so long after something worth killing was seen at work. [s]"""
IDLE_S = 60.0
"""Longest wait for something to be at work before a kill falls all the same. [s]"""
SETTLE_S = 900.0
"""Longest wait for what is left once nothing is killed any more. [s]"""


class Together:
    """A service that starts and replaces its own workers."""

    def __init__(self, url):
        self.url, self.port, self.service = url, free_port(), None
        self.begin()

    def begin(self):
        if self.service is None or self.service.poll() is not None:
            self.service = command(self.url, "serve", "--port", str(self.port))

    def service_pid(self):
        return self.service.pid

    def workers(self):
        found = subprocess.run(
            ["pgrep", "-P", str(self.service.pid)], capture_output=True, text=True, check=False
        )
        return [int(line) for line in found.stdout.split()]

    def close(self):
        self.service.terminate()
        self.service.wait(timeout=60)


class Apart:
    """A service and workers that know nothing of each other, as on several machines."""

    def __init__(self, url):
        self.url, self.port = url, free_port()
        self.nursery = subprocess.Popen(
            [sys.executable, "-m", "tests.studies.nursery"],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        self.running = {("serve", self.port): 0, ("work", SOON): 0, ("work", LATER): 0}
        self.begin()

    def begin(self):
        """Start whatever does not run."""
        for (what, which), pid in self.running.items():
            if not pid or not alive(pid):
                self.nursery.stdin.write(f"{what} {self.url} {which}\n")
                self.nursery.stdin.flush()
                self.running[what, which] = int(self.nursery.stdout.readline())

    def service_pid(self):
        return self.running["serve", self.port]

    def workers(self):
        return [pid for (what, _), pid in self.running.items() if what == "work"]

    def close(self):
        for pid in self.running.values():
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGTERM)
        self.nursery.stdin.close()
        self.nursery.wait(timeout=60)
        self.nursery.stdout.close()


def alive(pid):
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def kill(running, what, rng):
    """Kill the service, one worker, all workers, or everything; say how many processes."""
    workers = running.workers()
    doomed = {
        "service": [running.service_pid()],
        "a worker": rng.sample(workers, min(1, len(workers))),
        "workers": workers,
        "both": [*workers, running.service_pid()],
    }[what]
    for pid in doomed:
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
    until = time.monotonic() + 10
    while time.monotonic() < until and isinstance(running, Apart) and any(map(alive, doomed)):
        time.sleep(0.01)
    if isinstance(running, Together) and "worker" not in what:
        running.service.wait()
    running.begin()
    return len(doomed)


class Crowd:
    """Programs that write and ask for plans until told to end; remembers what was acknowledged."""

    def __init__(self, store):
        self.store, self.base = store, ""
        self.ending = threading.Event()
        self.notes, self.jobs, self.clients = [], [], []
        self.under_way = 0
        self.intake = demo_intake("club-lifter").model_dump(mode="json")
        self.numbers = itertools.count()
        ways = [self.write] * WRITERS + [self.plan] * PLANNERS
        self.threads = [threading.Thread(target=way, daemon=True) for way in ways]

    def start(self):
        for thread in self.threads:
            if thread.ident is None:
                thread.start()

    def stop(self):
        self.ending.set()
        for thread in self.threads:
            thread.join()

    def acknowledged(self, address, body):
        """Send a write until it is acknowledged; None when the study ends before that."""
        key = f"{random.random()}"
        self.under_way += 1
        try:
            while not self.ending.is_set():
                try:
                    answer = httpx.post(
                        f"{self.base}{address}", json=body, headers={"Idempotency-Key": key},
                        timeout=30,
                    )  # fmt: skip
                except httpx.TransportError:
                    time.sleep(0.1)
                    continue
                if answer.status_code in (201, 202):
                    return answer.json()
                assert answer.status_code in (409, 503), answer.text
                if answer.status_code == 409:
                    key = f"{random.random()}"  # its first request was killed
                time.sleep(0.1)
        finally:
            self.under_way -= 1
        return None

    def someone(self):
        made = self.acknowledged("/api/clients", {"intake": self.intake, "reason": "study"})
        if made is not None:
            self.clients.append(made["id"])
        return made and made["id"]

    def write(self):
        client = self.someone()
        while client and not self.ending.is_set():
            note = f"note {next(self.numbers)}"
            entry = {"kind": "weigh-in", "on": FIRST, "value": 80, "note": note}
            if self.acknowledged(f"/api/clients/{client}/log", {"entries": [entry]}) is not None:
                self.notes.append((client, note))
            time.sleep(0.15)

    def plan(self):
        for turn in itertools.count():
            while not self.ending.is_set() and self.open_jobs() >= OPEN_JOBS:
                time.sleep(0.3)
            client = self.someone()
            if client is None:
                return
            # Every fourth searches further: it takes longer and stands in the other queue.
            wish = {"days": 1, "first": FIRST, "polish": turn % 4 == 3}
            asked = self.acknowledged(f"/api/clients/{client}/plans?wait=0", wish)
            if asked is not None:
                self.jobs.append((client, asked["id"]))

    def open_jobs(self, *states):
        with self.store.reading() as unit:
            return sum(
                unit.count(Job, state=state, task=task)
                for state in states or UNDER_WAY
                for task in ("week", "further")
            )


def killed(running, crowd, kills, rng, seen):
    """Kill so many times at random moments, each time what is worth killing."""
    for number in range(kills):
        what = ("a worker", "service", "workers", "a worker", "both")[number % 5]
        acknowledged = len(crowd.notes)
        until = time.monotonic() + IDLE_S
        while time.monotonic() < until:  # a service that writes, workers that plan
            writes = len(crowd.notes) > acknowledged + 2
            plans = crowd.open_jobs("working") > 0
            if {"service": writes, "both": writes and plans}.get(what, plans):
                break
            running.begin()
            time.sleep(0.05)
        time.sleep(rng.uniform(0, LONGEST_PAUSE_S))
        seen["while a job was at work"] += crowd.open_jobs("working") > 0
        seen["while a write was on its way"] += crowd.under_way > 0
        seen["processes"] += kill(running, what, rng)
        seen[what] += 1


@pytest.mark.parametrize("kind", ["sqlite", "postgres"])
def test_nothing_acknowledged_is_lost_and_every_job_ends_once(kind, tmp_path, capsys):
    if kind == "postgres" and not POSTGRES:
        pytest.skip("MEALPLAN_TEST_POSTGRES_URL is not set")
    url = emptied(POSTGRES) if kind == "postgres" else f"sqlite:///{tmp_path / 'plans.sqlite'}"
    rng, seen, begun = random.Random(17), Counter(), time.monotonic()
    store = SqlStore(url)
    crowd = Crowd(store)
    for layout, kills in ((Together, TOGETHER), (Apart, KILLS - TOGETHER)):
        if not kills:
            continue
        running = layout(url)
        crowd.base = f"http://127.0.0.1:{running.port}"
        crowd.start()
        killed(running, crowd, kills, rng, seen)
        if layout is Together and kills < KILLS:
            running.close()
    crowd.stop()
    killing_s = time.monotonic() - begun
    until = time.monotonic() + SETTLE_S
    while crowd.open_jobs() and time.monotonic() < until:
        running.begin()
        time.sleep(0.5)
    running.close()
    with store.reading() as unit:
        kept = {job.id: job for job in unit.find(Job) if job.task in ("week", "further")}
        there = {(row.client_id, note_of(row)) for row in unit.find(Logged)}
        clients = {client.id for client in unit.find(Client)}
        plans = Counter(plan.client_id for plan in unit.find(SavedPlan))
    store.close()
    waits = sorted((job.ended_at - job.made_at) / dt.timedelta(seconds=1) for job in kept.values())
    lost = set(crowd.notes) - there
    with capsys.disabled():
        sys.stdout.write(
            f"\n{kind}: {KILLS} kills in {killing_s:.0f} s ({dict(seen)}); {len(crowd.notes)} "
            f"entries acknowledged, {len(lost)} lost; {len(crowd.clients)} clients acknowledged, "
            f"{len(set(crowd.clients) - clients)} lost; {len(crowd.jobs)} jobs acknowledged, "
            f"{len({id_ for _, id_ in crowd.jobs} - set(kept))} lost, states "
            f"{dict(Counter(job.state for job in kept.values()))}, "
            f"{sum(job.tries > 1 for job in kept.values())} taken over, most tries "
            f"{max(job.tries for job in kept.values())}; plans a client "
            f"{dict(Counter(plans.values()))}; waits median {waits[len(waits) // 2]:.1f} s, "
            f"longest {waits[-1]:.1f} s\n"
        )
    assert not lost
    assert set(crowd.clients) <= clients
    assert {id_ for _, id_ in crowd.jobs} <= set(kept)
    assert {job.state for job in kept.values()} == {"done"}
    assert plans == Counter(job.client_id for job in kept.values())


def note_of(row):
    return opened(row.body).get("note")
