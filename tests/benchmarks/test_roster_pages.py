"""
Pages of a thousand clients with a hundred thousand logged readings, beside those of ten clients.

Every client has weighed in on each of a hundred days and recorded four weeks of eating. Both sizes
are measured in one run and their ratio is the result. A second run has five thousand clients with
twenty readings each, at the same lines a page as ten.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import itertools
import os
import random
import statistics

import anyio.from_thread
import pytest
from sqlalchemy import create_engine, insert, text
from sqlalchemy.engine import make_url

from api.app.app import create_app
from api.desk.deps import local_coach
from api.records.roster_priority import placed
from api.settings import Settings
from mealplan.checkin.log.entries import ENTRY
from mealplan.demo.folders import demo_intake
from mealplan.store.records import Client, IntakeVersion, Logged, Snapshot, new_id
from mealplan.store.sql import SqlStore
from mealplan.store.tables import TABLES
from tests.api.conftest import AsgiTransport, Browser, records_for
from tests.mealplan.store.conftest import emptied
from tests.mealplan.store.memory import MemoryStore

pytestmark = pytest.mark.benchmark

FIRST = dt.date(2026, 12, 2)
DAYS = 100
EATEN = 28
TODAY = FIRST + dt.timedelta(days=DAYS - 1)
SIZES = (10, 1000)
LOGS = 20
"""Different logs; clients take turns, so that a thousand need not be read before measuring."""
REPEATS = 15
STORES = ["memory", "sqlite", "postgres"]
MANY = (10, 5000)
MANY_DAYS = 20
MANY_LINES = 10
MANY_REPEATS = 60


def store_of(name, folder, size):
    if name == "memory":
        return MemoryStore()
    if name == "sqlite":
        return SqlStore(f"sqlite:///{folder / f'{size}.sqlite'}")
    url = os.environ.get("MEALPLAN_TEST_POSTGRES_URL")
    if not url:
        pytest.skip("MEALPLAN_TEST_POSTGRES_URL is not set")
    return SqlStore(emptied(own_database(url, size)))


def own_database(url, size):
    """Make a database beside the one for tests, so that both sizes stand at once."""
    name = f"{make_url(url).database}_{size}"
    engine = create_engine(url, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(f"drop database if exists {name}"))
        connection.execute(text(f"create database {name}"))
    engine.dispose()
    return make_url(url).set(database=name).render_as_string(hide_password=False)


class Unserved:
    """Jobs that nobody carries out: nothing reads in the background while pages are measured."""

    def submit(self, job):
        return job

    def stop(self, job):
        raise AssertionError(job)

    def close(self):
        pass


class House:
    """A service with so many clients, asked as a browser would."""

    def __init__(self, store, size, portal, days=DAYS, eaten=EATEN):
        self.day = TODAY
        self.moment = dt.datetime(2027, 3, 11, 9, 0, tzinfo=dt.UTC)
        settings = Settings(
            hosts=frozenset({"testserver"}),
            now=lambda: self.moment,
            today=lambda: self.day,
        )
        self.store = store
        self.app = create_app(settings, store, Unserved())
        self.fill(size, days, eaten)
        self.records = records_for(self.app)
        self.clients = [client.id for client in self.records.clients.all()]
        self.share_readings()
        self.browser = Browser(
            transport=AsgiTransport(self.app, portal),
            base_url="http://testserver",
            follow_redirects=True,
        )
        self.get("/offline")

    def fill(self, size, days, eaten):
        coach = local_coach(self.app.state.service)
        intake = demo_intake("club-lifter")
        body = intake.model_dump_json()
        records = []
        for number in range(size):
            client = Client(
                id=new_id(),
                made_at=self.moment - dt.timedelta(days=DAYS, microseconds=-number),
                coach_id=coach.id,
                role=f"club rower {number}",
                phase=intake.goal.phase,
                start=FIRST,
                intake_number=1,
                plan_number=1 if number % 3 else 0,
                planned_until=TODAY + dt.timedelta(days=number % 9 - 2) if number % 3 else None,
                gravest="",
                measured_on=FIRST + dt.timedelta(days=number % 40),
                logged_on=TODAY,
                revision=1,
            )
            records.append(placed(client))
            records.append(
                IntakeVersion(
                    id=new_id(),
                    made_at=self.moment,
                    client_id=client.id,
                    number=1,
                    body=body,
                    by="coach",
                    reason="first",
                )
            )
            records += [
                Logged(
                    id=entry.id,
                    made_at=self.moment,
                    client_id=client.id,
                    day=entry.on,
                    body=entry.model_dump_json(),
                    by="coach",
                )
                for entry in entries(number, days, eaten)
            ]
        self.add(records)

    def add(self, records):
        by_kind = itertools.groupby(
            sorted(records, key=lambda r: list(TABLES).index(type(r))), key=type
        )
        with self.store.writing() as unit:
            for kind, group in by_kind:
                if isinstance(self.store, MemoryStore):
                    for record in group:
                        unit.add(record)
                else:
                    rows = [
                        {f.name: getattr(r, f.name) for f in dataclasses.fields(r)} for r in group
                    ]
                    unit.connection.execute(insert(TABLES[kind]), rows)

    def share_readings(self):
        """Read one client of each log and give what it said to the others of the same log."""
        facts = ("read_on", "warning", "warning_severity", "warned_on", "move_kcal")
        for client in self.records.clients.all()[:LOGS]:
            self.records.decisions.standing(client)
        everyone = self.records.clients.all()
        with self.store.writing() as unit:
            kept = {s.client_id: s for s in unit.find(Snapshot)}
            for number, client in enumerate(everyone[LOGS:], LOGS):
                model = everyone[number % LOGS]
                unit.change(
                    placed(dataclasses.replace(client, **{f: getattr(model, f) for f in facts}))
                )
                unit.add(dataclasses.replace(kept[model.id], id=new_id(), client_id=client.id))
        assert self.records.roster.page().unread == 0

    def get(self, address):
        answer = self.browser.get(address)
        assert answer.status_code == 200
        return answer

    def close(self):
        self.browser.close()
        self.app.state.service.jobs.close()
        self.store.close()

    def log_one(self, client_id):
        entry = {"kind": "weigh-in", "on": str(self.day), "value": 82.1}
        answer = self.browser.post(f"/api/clients/{client_id}/log", json={"entries": [entry]})
        assert answer.status_code < 300


def entries(number, days, eaten):
    chance = random.Random(number % LOGS)
    for place in range(DAYS - days, DAYS):
        yield ENTRY.validate_python(
            {
                "kind": "weigh-in",
                "on": FIRST + dt.timedelta(days=place),
                "value": round(80 + 0.02 * place * (number % 3 - 1) + chance.gauss(0, 0.5), 1),
                "id": f"{number}-w{place}",
            }
        )
    for place in range(DAYS - eaten, DAYS):
        yield ENTRY.validate_python(
            {
                "kind": "intake",
                "on": FIRST + dt.timedelta(days=place),
                "adherence": "as planned",
                "planned_kcal": 2900,
                "id": f"{number}-e{place}",
            }
        )


def pages_of(house):
    """Give what is measured, each a call that asks for one page."""
    turn = itertools.cycle(house.clients[:10])

    def logged_then_seen():
        client = next(turn)
        house.log_one(client)
        house.get(f"/clients/{client}/checkin")

    def first_look():
        house.day += dt.timedelta(days=1)
        house.get("/")

    return {
        "roster": lambda: house.get("/"),
        "roster, a search": lambda: house.get("/?find=rower+7"),
        "check-in, log as it was": lambda: house.get(f"/clients/{next(turn)}/checkin"),
        "log a reading, then check-in": logged_then_seen,
        "roster, first look of a day": first_look,
    }


@pytest.mark.parametrize("name", STORES)
def test_a_thousand_clients_are_as_quick_as_ten(name, tmp_path, bench):
    with anyio.from_thread.start_blocking_portal() as portal:
        houses = {size: House(store_of(name, tmp_path, size), size, portal) for size in SIZES}
        calls = {size: pages_of(house) for size, house in houses.items()}
        few, many = SIZES
        for page in calls[few]:
            # In turns, so that a busy moment of the machine falls on both sizes alike.
            times = {size: [] for size in SIZES}
            for size in SIZES * (5 if "first" in page else REPEATS):
                times[size] += bench.seconds(calls[size][page], 1)[1]
            middle = {size: statistics.median(times[size]) * 1e3 for size in SIZES}
            bench.row(
                "pages of a roster",
                store=name,
                page=page,
                **{f"{size:,} clients ms": middle[size] for size in SIZES},
                ratio=middle[many] / middle[few],
            )
        for house in houses.values():
            house.close()


@pytest.mark.parametrize("name", STORES[1:])
def test_five_thousand_clients_are_as_quick_as_ten_at_the_same_lines(
    name, tmp_path, bench, monkeypatch
):
    monkeypatch.setattr("api.records.roster.ROSTER_LINES", MANY_LINES)
    with anyio.from_thread.start_blocking_portal() as portal:
        houses = {
            size: House(store_of(name, tmp_path, size), size, portal, MANY_DAYS, 0) for size in MANY
        }
        calls = {size: pages_of(house)["roster"] for size, house in houses.items()}
        clocks = {"on the wall": bench.seconds, "processor": bench.cpu_seconds}
        for clock, measure in clocks.items():
            times = {size: [] for size in MANY}
            for size in MANY * MANY_REPEATS:
                times[size] += measure(calls[size], 1)[1]
            middle = {size: statistics.median(times[size]) * 1e3 for size in MANY}
            bench.row(
                "roster of five thousand, ten lines a page",
                store=name,
                clock=clock,
                **{f"{size:,} clients ms": middle[size] for size in MANY},
                ratio=middle[MANY[1]] / middle[MANY[0]],
            )
        for house in houses.values():
            house.close()
