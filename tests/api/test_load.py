"""Fifty readers at once: how long pages and plans take, and whether planning starves the pages."""

import concurrent.futures
import contextlib
import os
import socket
import statistics
import subprocess
import sys
import time
from pathlib import Path

import httpx
import pytest

pytestmark = pytest.mark.benchmark

ROOT = Path(__file__).parents[2]
USERS = 50
READS = 6
TURNS = 3
PLANNERS = 10


def free_port():
    with contextlib.closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture
def address(tmp_path):
    """A service in processes of its own, as `mealplan serve` starts it."""
    port = free_port()
    program = (
        "from mealplan.cli.main import main\n"
        "if __name__ == '__main__':\n"
        f"    main(['serve', '--port', '{port}', '--db', {str(tmp_path / 'load.sqlite')!r}])\n"
    )
    script = tmp_path / "serve.py"
    script.write_text(program)
    command = [sys.executable, str(script)]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    service = subprocess.Popen(command, env=environment, stderr=subprocess.DEVNULL)
    found = f"http://127.0.0.1:{port}"
    for _ in range(300):
        with contextlib.suppress(httpx.TransportError):
            httpx.get(f"{found}/health")
            break
        time.sleep(0.1)
    yield found
    service.terminate()
    service.wait(timeout=15)


def person(address):
    return httpx.Client(base_url=address, follow_redirects=True, timeout=120)


def planned_clients(address):
    with person(address) as coach:
        coach.get("/")
        guard = coach.cookies["guard"]
        coach.post("/demo", data={"guard": guard})
        ids = [client["id"] for client in coach.get("/api/clients").json()["clients"]]
    for id_ in ids:
        plan_week(address, id_)
    return ids


def read_pages(address, client_id, rounds):
    times = []
    with person(address) as reader:
        day = reader.get(f"/api/clients/{client_id}").json()["start"]
        paths = ("week", "today", f"days/{day}", "list", "worksheet", f"days/{day}/meals/0")
        for turn in range(rounds):
            begun = time.perf_counter()
            reader.get(f"/clients/{client_id}/{paths[turn % len(paths)]}").raise_for_status()
            times.append(time.perf_counter() - begun)
    return times


def plan_week(address, client_id):
    with person(address) as asker:
        begun = time.perf_counter()
        answer = asker.post(f"/api/clients/{client_id}/plans?wait=25", json={"days": 7})
        while answer.status_code == 202:
            time.sleep(0.2)
            solve = asker.get(answer.headers["location"]).json()
            if solve["state"] not in ("waiting", "working"):
                break
        return time.perf_counter() - begun


def percentiles(times):
    cut = statistics.quantiles(times, n=20)
    return statistics.median(times) * 1000, cut[18] * 1000


def test_pages_answer_while_ten_people_ask_for_plans(address, capsys):
    ids = planned_clients(address)
    with concurrent.futures.ThreadPoolExecutor(USERS + PLANNERS) as crowd:

        def reads():
            jobs = [crowd.submit(read_pages, address, ids[n % 3], READS) for n in range(USERS)]
            return [t for job in jobs for t in job.result()]

        reads()  # what is worked out once is there
        times = {"quiet": [], "busy": [], "plans": []}
        for _ in range(TURNS):  # in turns, so that a busy moment of the machine falls on both
            times["quiet"] += reads()
            asked = [crowd.submit(plan_week, address, ids[n % 3]) for n in range(PLANNERS)]
            times["busy"] += reads()
            times["plans"] += [job.result() for job in asked]
        quiet, busy, plans = (percentiles(one) for one in times.values())
    with person(address) as reader:
        sizes = {
            name: len(reader.get(f"/clients/{ids[0]}/{name}").content)
            for name in ("week", "today", "list", "worksheet")
        }
    with capsys.disabled():
        rows = (
            (f"pages, {USERS} readers", quiet),
            ("pages while 10 plan", busy),
            ("weeks, 10 asking", plans),
        )
        sys.stdout.write(
            "\n" + "".join(f"{n:<22} p50 {a:7.0f} ms   p95 {b:7.0f} ms\n" for n, (a, b) in rows)
        )
        sys.stdout.write(f"p95 while weeks are planned {busy[1] / quiet[1]:.2f} times idle\n")
        sys.stdout.write(f"page bytes {sizes}\n")
    assert busy[1] < max(10 * quiet[1], 1000)
