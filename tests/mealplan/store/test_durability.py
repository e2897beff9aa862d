"""Kill a writing process again and again: what it acknowledged must be there afterwards."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from mealplan.store.records import Client, IntakeVersion
from mealplan.store.sql import SqlStore

ROOT = Path(__file__).parents[3]
WRITER = """
import sys
from tests.mealplan.store.conftest import a_client, a_coach, an_intake
from mealplan.store.sql import SqlStore
store = SqlStore(sys.argv[1])
coach = a_coach(sys.argv[2])
with store.writing() as unit:
    unit.add(coach)
while True:
    client = a_client(coach)
    with store.writing() as unit:
        unit.add(client)
        for number in range(1, 4):
            unit.add(an_intake(client, number))
    print(client.id, flush=True)
"""


def run_and_kill(url, login, after):
    """Let a writer acknowledge some records, kill it in the middle, return what it acknowledged."""
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER, url, login], stdout=subprocess.PIPE, text=True, cwd=ROOT
    )
    acknowledged = [writer.stdout.readline().strip() for _ in range(after)]
    writer.send_signal(signal.SIGKILL)
    rest, _ = writer.communicate()
    # A line cut short by the kill was not acknowledged.
    acknowledged += [line for line in rest.split("\n")[:-1] if line]
    return acknowledged


def check(url, acknowledged):
    store = SqlStore(url)
    with store.reading() as unit:
        clients = {client.id for client in unit.find(Client)}
        versions = unit.find(IntakeVersion)
    store.close()
    numbers = {}
    for version in versions:
        numbers.setdefault(version.client_id, []).append(version.number)
    lost = set(acknowledged) - clients
    torn = [client for client in clients if sorted(numbers.get(client, [])) != [1, 2, 3]]
    return lost, torn


def databases(tmp_path):
    yield f"sqlite:///{tmp_path / 'killed.sqlite'}"
    if url := os.environ.get("MEALPLAN_TEST_POSTGRES_URL"):
        from tests.mealplan.store.conftest import emptied

        yield emptied(url)


def test_killing_a_writer_loses_nothing_acknowledged(tmp_path):
    for url in databases(tmp_path):
        acknowledged = []
        for turn in range(3):
            acknowledged += run_and_kill(url, f"coach-{turn}", 2 + turn)
        assert check(url, acknowledged) == (set(), [])


@pytest.mark.study
def test_two_hundred_kills_lose_nothing_acknowledged(tmp_path, capsys):
    for url in databases(tmp_path):
        acknowledged = []
        for turn in range(200):
            acknowledged += run_and_kill(url, f"coach-{turn}", 1 + turn % 17)
        lost, torn = check(url, acknowledged)
        with capsys.disabled():
            sys.stdout.write(
                f"\n{url.partition(':')[0]}: 200 kills, {len(acknowledged)} writes, "
                f"{len(lost)} lost, {len(torn)} torn\n"
            )
        assert (lost, torn) == (set(), [])
