"""One coach fills the queue; another's plan must not wait for it."""

import os
import statistics
import sys
from contextlib import closing

import pytest

from mealplan.demo.folders import demo_intake
from tests.studies.service import FIRST, add_coach, serve, signed_in, took

pytestmark = pytest.mark.study

HEAVY = int(os.environ.get("MEALPLAN_HEAVY", "60"))
TIMES = 3


def test_another_coach_waits_no_more_than_twice_as_long(tmp_path, capsys):
    url = f"sqlite:///{tmp_path / 'plans.sqlite'}"
    for login in ("north", "south"):
        add_coach(url, login)
    service, port = serve(url)
    base = f"http://127.0.0.1:{port}"
    intake = demo_intake("club-lifter").model_dump(mode="json")
    with closing(signed_in(base, "north")) as busy, closing(signed_in(base, "south")) as other:
        ids = {
            program: program.post("/api/clients", json={"intake": intake, "reason": "study"}).json()
            for program in (busy, other)
        }
        took(other, ids[other]["id"])  # workers are warm
        idle = [took(other, ids[other]["id"]) for _ in range(TIMES)]
        taken = 0
        for turn in range(HEAVY):
            wish = {"days": 1, "first": FIRST} if turn % 6 else {"days": 14, "first": FIRST}
            answer = busy.post(f"/api/clients/{ids[busy]['id']}/plans?wait=0", json=wish)
            taken += answer.status_code == 202
        shared = [took(other, ids[other]["id"]) for _ in range(TIMES)]
    service.terminate()
    service.wait(timeout=30)
    ratio = statistics.median(shared) / statistics.median(idle)
    with capsys.disabled():
        sys.stdout.write(
            f"\n{taken} of {HEAVY} jobs of one coach taken; another's day {idle} s idle, "
            f"{shared} s shared, ratio of medians {ratio:.2f}\n"
        )
    assert taken == HEAVY
    assert ratio <= 2.0
