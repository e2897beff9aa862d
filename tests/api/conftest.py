"""A service in this process, asked over its own interface; plans are made once a session."""

import datetime as dt
import json
import os
import re
import shutil

import anyio.from_thread
import httpx
import pytest
from argon2 import PasswordHasher

from api.app.app import ROUTERS, create_app
from api.desk.deps import local_coach
from api.desk.service import Service
from api.records.book import Records
from api.records.view import Principal
from api.security import accounts
from api.settings import Settings
from mealplan.demo.folders import demo_intake
from mealplan.store.records import Job, new_id
from tests.mealplan.store.conftest import file_store, server_store
from tests.mealplan.store.memory import MemoryStore
from tests.planned import planned as plan_once

TODAY = dt.date(2026, 12, 1)
NOW = dt.datetime(2026, 12, 1, 9, 0, tzinfo=dt.UTC)
PASSWORD = "a short sentence"


def routes():
    """Give every route of the service, those of routers within routers included."""
    for router in ROUTERS:
        for route in router.routes:
            inner = getattr(route, "effective_route_contexts", None)
            yield from inner() if inner else (route,)


class AsgiTransport(httpx.BaseTransport):
    """Ask an application without a network, from ordinary functions."""

    def __init__(self, app, portal):
        self.inner = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        self.portal = portal

    def handle_request(self, request):
        async def ask():
            response = await self.inner.handle_async_request(request)
            return response.status_code, response.headers, await response.aread()

        status, headers, content = self.portal.call(ask)
        return httpx.Response(status, headers=headers, content=content)


class Browser(httpx.Client):
    """A browser: cookies, redirects, and the guard in every form it posts."""

    def post_form(self, path, **fields):
        if "guard" not in self.cookies:
            self.get("/sign-in")
            if "guard" not in self.cookies:
                self.get("/offline")
        return self.post(path, data={"guard": self.cookies["guard"], **fields})


@pytest.fixture(autouse=True, scope="session")
def quick_hashes():
    """Hash passwords at a cost that tests can pay; the scheme stays the same."""
    accounts._HASHER = PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
    accounts._nobody.cache_clear()


@pytest.fixture(scope="session")
def portal():
    with anyio.from_thread.start_blocking_portal() as opened:
        yield opened


class Clock:
    """A clock that tests move."""

    def __init__(self):
        self.at = NOW

    def now(self):
        self.at += dt.timedelta(microseconds=1)  # no two records of one moment
        return self.at

    def today(self):
        return self.at.date()


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture(params=["sqlite", "postgres"])
def store(request, tmp_path):
    """Every page and route over every database; what asks nothing of it takes ``memory``."""
    if request.param == "memory":
        opened = MemoryStore()
    elif request.param == "sqlite":
        opened = file_store(tmp_path / "plans.sqlite")
    else:
        url = os.environ.get("MEALPLAN_TEST_POSTGRES_URL")
        if not url:
            pytest.skip("MEALPLAN_TEST_POSTGRES_URL is not set")
        opened = server_store(url)
    yield opened
    opened.close()


@pytest.fixture
def settings(clock):
    return Settings(
        patience_s=30,
        longest_s=600,  # here plans are made within the request
        hosts=frozenset({"testserver"}),
        now=clock.now,
        today=clock.today,
    )


@pytest.fixture
def app(settings, store):
    made = create_app(settings, store)
    yield made
    made.state.service.jobs.close()


@pytest.fixture
def browse(portal):
    """Open a browser on an application."""
    opened = []

    def make(app):
        browser = Browser(
            transport=AsgiTransport(app, portal),
            base_url="http://testserver",
            follow_redirects=True,
        )
        opened.append(browser)
        return browser

    yield make
    for browser in opened:
        browser.close()


@pytest.fixture
def browser(app, browse):
    return browse(app)


@pytest.fixture(scope="session")
def lifter():
    return demo_intake("club-lifter")


@pytest.fixture(scope="session")
def planned(lifter):
    """A week for the lifter, as kept text."""
    return plan_once(lifter).model_dump_json()


def records_for(app, coach_id=None):
    service: Service = app.state.service
    coach_id = coach_id or local_coach(service).id
    return Records(service.store, service.settings, Principal("coach", coach_id, "coach"))


def add_planned(app, intake, planned, coach_id=None):
    """Take a client on with a week that was made before."""
    records = records_for(app, coach_id)
    client = records.clients.take_on(intake)
    records.plans.keep(client.id, planned, was=0, intake_number=1, reason="7 days", shown={})
    return records.clients.one(client.id)


@pytest.fixture
def client(app, lifter, planned):
    return add_planned(app, lifter, planned)


def a_job(app, client, **changes):
    """Put a job of a client on record, as a service would."""
    made = Job(
        **{
            "id": new_id(), "made_at": NOW, "coach_id": client.coach_id, "client_id": client.id,
            "asker": client.coach_id, "by_link": False, "by": "coach", "task": "week",
            "what": "a week", "back_to": f"/clients/{client.id}/week", "wish": "{}",
        } | changes
    )  # fmt: skip
    with app.state.service.store.writing() as unit:
        unit.add(made)
    return made


def alert(text):
    """What a page asks to be mended."""
    found = re.search(r'role="alert">(.*?)</p>', text, re.DOTALL)
    return re.sub(r"<[^>]+>|\s+", " ", found.group(1)) if found else ""


def intake_json(intake, **changes):
    return json.loads(intake.model_dump_json()) | changes


@pytest.fixture(scope="module")
def playwright():
    """What drives a real browser."""
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    with sync_api.sync_playwright() as opened:
        yield opened


@pytest.fixture(scope="session")
def chromium_program():
    program = shutil.which("chromium")
    if program is None:
        pytest.skip("chromium is not installed: apt-get install chromium")
    return program


@pytest.fixture(scope="module")
def chromium(playwright, chromium_program):
    browser = playwright.chromium.launch(executable_path=chromium_program, args=["--no-sandbox"])
    yield browser
    browser.close()
