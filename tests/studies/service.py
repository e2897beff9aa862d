"""A service with its workers in processes of its own, for studies that ask it from outside."""

import os
import socket
import subprocess
import sys
import time
from pathlib import Path

import httpx

ROOT = Path(__file__).parents[2]
PASSWORD = "quiet harbour in november"
FIRST = "2026-11-30"


def free_port():
    with socket.create_server(("127.0.0.1", 0)) as free:
        return free.getsockname()[1]


def command(url, *words, stdin=subprocess.DEVNULL, **environment):
    """Start `mealplan` over a database."""
    return subprocess.Popen(
        [sys.executable, "-m", "mealplan", *words],
        cwd=ROOT,
        env=os.environ | {"MEALPLAN_DB": url, "PYTHONPATH": str(ROOT)} | environment,
        stdin=stdin,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


def add_coach(url, login):
    process = command(url, "coach", "add", login, stdin=subprocess.PIPE)
    process.communicate(f"{PASSWORD}\n".encode(), timeout=120)
    assert process.returncode == 0


def serve(url, *words, **environment):
    """Start a service and wait until it answers; give its process and port."""
    port = free_port()
    process = command(url, "serve", "--port", str(port), *words, **environment)
    until = time.monotonic() + 120
    while time.monotonic() < until:
        try:
            httpx.get(f"http://127.0.0.1:{port}/health", headers={"host": "localhost"})
        except httpx.TransportError:
            time.sleep(0.1)
        else:
            return process, port
    raise AssertionError("the service did not come up")


def signed_in(base, login, **options):
    """Give a program signed in as a coach."""
    program = httpx.Client(base_url=base, timeout=120, **options)
    answer = program.post("/api/sign-in", json={"login": login, "password": PASSWORD})
    answer.raise_for_status()
    program.headers["authorization"] = f"Bearer {answer.json()['token']}"
    return program


def took(program, client, days=1):
    """Ask for days and wait until they are kept; give the seconds between."""
    begun = time.monotonic()
    answer = program.post(
        f"/api/clients/{client}/plans?wait=0", json={"days": days, "first": FIRST}
    )
    while answer.status_code == 202 or answer.json().get("state") in ("waiting", "working"):
        time.sleep(0.05)
        answer = program.get(f"/api/solves/{answer.json()['id']}")
    assert answer.json().get("state") in ("done", None), answer.text
    return time.monotonic() - begun
