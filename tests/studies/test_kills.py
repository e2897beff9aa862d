"""Service and workers killed in the middle of planning and writing, again and again."""

import datetime as dt
import os
import random
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import httpx
import pytest

from mealplan.demo.folders import demo_intake
from mealplan.store.records import Job, Logged, SavedPlan
from mealplan.store.sql import SqlStore
from tests.mealplan.store.conftest import emptied

pytestmark = pytest.mark.study

POSTGRES = os.environ.get("MEALPLAN_TEST_POSTGRES_URL", "")
KILLS = int(os.environ.get("MEALPLAN_KILLS", "60"))
ROOT = Path(__file__).parents[2]
FIRST = dt.date(2026, 11, 30)


class Running:
    """A service with its workers, started again whenever it was killed."""

    def __init__(self, url):
        self.url = url
        with socket.create_server(("127.0.0.1", 0)) as free:
            self.port = free.getsockname()[1]
        self.process = None
        self.start()

    def start(self):
        self.process = subprocess.Popen(
            [sys.executable, "-m", "mealplan", "serve", "--port", str(self.port)],
            cwd=ROOT,
            env=os.environ | {"MEALPLAN_DB": self.url, "PYTHONPATH": str(ROOT)},
            stderr=subprocess.DEVNULL,
        )

    def workers(self):
        found = subprocess.run(
            ["pgrep", "-P", str(self.process.pid)], capture_output=True, text=True, check=False
        )
        return [int(line) for line in found.stdout.split()]

    def kill(self, what):
        doomed = self.workers() if what != "service" else []
        if what != "workers":
            doomed.append(self.process.pid)
        for pid in doomed:
            try:
                os.kill(pid, signal.SIGKILL)
            except ProcessLookupError:
                continue
        if what != "workers":
            self.process.wait()
            self.start()

    def close(self):
        self.process.terminate()
        self.process.wait(timeout=30)


def acknowledged(client, address, body, tries=400):
    """Send a write until it is acknowledged, as a program with a key would."""
    key = {"Idempotency-Key": f"{random.random()}"}
    for _ in range(tries):
        try:
            answer = client.post(address, json=body, headers=key)
        except httpx.TransportError:
            time.sleep(0.1)
            continue
        if answer.status_code == 409:
            key = {"Idempotency-Key": f"{random.random()}"}  # its first request was killed
        elif answer.status_code in (201, 202):
            return answer
        time.sleep(0.1)
    raise AssertionError("nobody answered")


@pytest.mark.parametrize("kind", ["sqlite", "postgres"])
def test_nothing_acknowledged_is_lost_and_every_job_ends_once(kind, tmp_path, capsys):
    if kind == "postgres" and not POSTGRES:
        pytest.skip("MEALPLAN_TEST_POSTGRES_URL is not set")
    url = emptied(POSTGRES) if kind == "postgres" else f"sqlite:///{tmp_path / 'plans.sqlite'}"
    rng = random.Random(17)
    running = Running(url)
    client = httpx.Client(base_url=f"http://127.0.0.1:{running.port}", timeout=30)
    intake = demo_intake("club-lifter").model_dump(mode="json")
    logged, jobs = 0, set()
    for kill in range(KILLS):
        one = acknowledged(client, "/api/clients", {"intake": intake, "reason": "study"}).json()
        asked = acknowledged(
            client, f"/api/clients/{one['id']}/plans?wait=0", {"days": 1, "first": str(FIRST)}
        )
        if asked.status_code == 202:
            jobs.add(asked.json()["id"])
        entry = {"kind": "weigh-in", "on": str(FIRST), "value": 80, "note": f"kill {kill}"}
        acknowledged(client, f"/api/clients/{one['id']}/log", {"entries": [entry]})
        logged += 1
        time.sleep(rng.uniform(0, 1.5))
        running.kill(("service", "workers", "both")[kill % 3])
    begun = time.monotonic()
    store = SqlStore(url)
    waits = []
    while time.monotonic() - begun < 600:
        with store.reading() as unit:
            open_ = [
                job
                for state in ("waiting", "working")
                for job in unit.find(Job, state=state)
                if job.task == "week"
            ]
        if not open_:
            break
        time.sleep(1)
    with store.reading() as unit:
        kept = {job.id: job for job in unit.find(Job) if job.task == "week"}
        notes = {row.client_id for row in unit.find(Logged)}
        plans = unit.find(SavedPlan)
        waits = [(job.ended_at - job.made_at).total_seconds() for job in kept.values()]
    client.close()
    running.close()
    store.close()
    with capsys.disabled():
        sys.stdout.write(
            f"\n{kind}: {KILLS} kills, {logged} writes acknowledged and {len(notes)} there, "
            f"{len(jobs)} jobs acknowledged, {len(kept)} ended, longest {max(waits):.1f} s, "
            f"{sum(job.tries > 1 for job in kept.values())} taken over\n"
        )
    assert len(notes) == logged
    assert jobs <= set(kept)
    assert {job.state for job in kept.values()} == {"done"}
    by_client = [plan.client_id for plan in plans]
    assert len(by_client) == len(set(by_client))
