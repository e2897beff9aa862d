"""Fixtures every part of the tests may use: intakes of the demo clients, to be changed at will."""

import copy
import json
import os
import shutil
import uuid
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from mealplan.demo.folders import demo_intake_text
from tests.planned import RUN, shared_folder

ROOT = Path(__file__).parent.parent
POSTGRES = "MEALPLAN_TEST_POSTGRES_URL"


def own_database():
    """Give each worker that tests in parallel a database of its own, since tests empty theirs."""
    worker, url = os.environ.get("PYTEST_XDIST_WORKER"), os.environ.get(POSTGRES)
    if not (worker and url):
        return
    engine = create_engine(url, isolation_level="AUTOCOMMIT")
    own = engine.url.set(database=f"{engine.url.database}_{worker}")
    with engine.connect() as connection:
        connection.execute(text(f'drop database if exists "{own.database}"'))
        connection.execute(text(f'create database "{own.database}"'))
    engine.dispose()
    os.environ[POSTGRES] = own.render_as_string(hide_password=False)


own_database()  # before any other conftest reads where the database is


def pytest_configure(config):
    """Name the run before its workers start, so that they find what they share."""
    if not hasattr(config, "workerinput"):
        config.option.testrunuid = os.environ[RUN] = uuid.uuid4().hex


def pytest_unconfigure(config):
    """Let go of what the workers of this run shared."""
    if not hasattr(config, "workerinput"):
        shutil.rmtree(shared_folder(), ignore_errors=True)


@pytest.fixture(scope="session")
def root() -> Path:
    """The repository's top folder."""
    return ROOT


@pytest.fixture(scope="session")
def intake_data() -> Callable[..., dict]:
    """
    Give a demo client's intake as decoded JSON, with changes.

    ``intake_data("club-runner", {"goal.phase": "cut", "scan": ...})``: a dotted path sets a field,
    and an Ellipsis takes it out.
    """

    def make(client: str = "club-lifter", changes: Mapping[str, object] | None = None) -> dict:
        data = json.loads(demo_intake_text(client))
        for path, value in (changes or {}).items():
            *parents, last = path.split(".")
            part = data
            for step in parents:
                part = part.setdefault(step, {})
            if value is ...:
                del part[last]
            else:
                part[last] = copy.deepcopy(value)
        return data

    return make


@pytest.fixture
def intake_file(tmp_path, intake_data) -> Callable[..., Path]:
    """Write a demo client's intake, with changes, to a file; see ``intake_data``."""

    def write(client: str = "club-lifter", changes: Mapping[str, object] | None = None) -> Path:
        path = tmp_path / f"{client}.json"
        path.write_text(json.dumps(intake_data(client, changes)), encoding="utf-8")
        return path

    return write
