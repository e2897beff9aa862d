"""One coach, or one client's link, fills the queue; another coach's plan must not wait for it."""

import os
import statistics
import sys
from contextlib import closing

import httpx
import pytest

from mealplan.demo.folders import demo_intake
from tests.studies.service import FIRST, add_coach, serve, signed_in, took

pytestmark = pytest.mark.study

HEAVY = int(os.environ.get("MEALPLAN_HEAVY", "60"))
TIMES = 3


def by_coach(_, coach, client):
    """Ask for sixty plans, every sixth of two weeks; give how many were taken."""
    taken = 0
    for turn in range(HEAVY):
        wish = {"days": 1 if turn % 6 else 14, "first": FIRST}
        taken += coach.post(f"/api/clients/{client}/plans?wait=0", json=wish).status_code == 202
    return taken


def by_link(base, coach, client):
    """Ask for sixty changes of a day by a link; give how many were taken or put off."""
    took(coach, client, days=7)
    address = coach.post(f"/api/clients/{client}/links", json={"days": 7}).json()["address"]
    answered = []
    with httpx.Client(base_url=base, headers={"origin": base}, timeout=120) as phone:
        phone.get(address.removeprefix(base), follow_redirects=True).raise_for_status()
        for turn in range(HEAVY):
            day = f"/api/clients/{client}/days/2026-12-0{turn % 6 + 1}"
            answer = phone.post(f"{day}?wait=0", json={"another": [turn % 3 + 1]})
            answered.append(answer.status_code)
    assert set(answered) <= {202, 503}, answered
    return len(answered)


@pytest.mark.parametrize("fill", [by_coach, by_link])
def test_another_coach_waits_no_more_than_twice_as_long(fill, tmp_path, capsys):
    url = f"sqlite:///{tmp_path / 'plans.sqlite'}"
    for login in ("north", "south"):
        add_coach(url, login)
    service, port = serve(url)
    base = f"http://localhost:{port}"
    intake = demo_intake("club-lifter").model_dump(mode="json")
    with closing(signed_in(base, "north")) as busy, closing(signed_in(base, "south")) as other:
        ids = {
            program: program.post("/api/clients", json={"intake": intake, "reason": "study"}).json()
            for program in (busy, other)
        }
        took(other, ids[other]["id"], days=7)  # workers are warm
        idle = [took(other, ids[other]["id"], days=7) for _ in range(TIMES)]
        taken = fill(base, busy, ids[busy]["id"])
        shared = [took(other, ids[other]["id"], days=7) for _ in range(TIMES)]
    service.terminate()
    service.wait(timeout=30)
    ratio = statistics.median(shared) / statistics.median(idle)
    with capsys.disabled():
        sys.stdout.write(
            f"\n{taken} of {HEAVY} wishes {fill.__name__} answered; another's week {idle} s idle, "
            f"{shared} s shared, ratio of medians {ratio:.2f}\n"
        )
    assert taken == HEAVY
    assert ratio <= 2.0
