"""Plans that several tests look at, made once a run and shared among its workers."""

import hashlib
import os
import tempfile
import time
from functools import cache
from pathlib import Path

from mealplan.client.intake import Intake
from mealplan.menu.week import make_plan
from mealplan.plan import Plan
from mealplan.targets.make import make_targets

RUN = "PYTEST_XDIST_TESTRUNUID"
LONGEST_WAIT_S = 600


def shared_folder() -> Path:
    """Name the folder of this run; every worker of it sees the same."""
    return Path(tempfile.gettempdir()) / f"mealplan-plans-{os.environ[RUN]}"


@cache
def _planned(intake_text: str, days: int) -> Plan:
    key = hashlib.sha256(f"{days} {intake_text}".encode()).hexdigest()
    made = shared_folder() / f"{key}.json"
    made.parent.mkdir(exist_ok=True)
    try:
        (made.parent / f"{key}.begun").touch(exist_ok=False)
    except FileExistsError:  # another worker is at it
        until = time.monotonic() + LONGEST_WAIT_S
        while not made.exists() and time.monotonic() < until:
            time.sleep(0.05)
        if made.exists() and (text := made.read_text(encoding="utf-8")):
            return Plan.model_validate_json(text)
    text = ""
    try:
        intake = Intake.model_validate_json(intake_text)
        plan = make_plan(intake, make_targets(intake), days=days)
        text = plan.model_dump_json()
    finally:  # what cannot be planned cannot be planned by the others either
        part = made.with_suffix(f".{os.getpid()}")
        part.write_text(text, encoding="utf-8")
        part.replace(made)
    return plan


def planned(intake: Intake, days: int = 7) -> Plan:
    """Plan an intake's first days, as :func:`make_plan` does; each of them once a run."""
    return _planned(intake.model_dump_json(), days)
