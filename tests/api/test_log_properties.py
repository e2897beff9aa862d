"""
What must hold of every log however it came about, asked through the service.

Each example takes on clients of its own, so that one service serves them all.
"""

import datetime as dt
import os

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from api.app.app import create_app
from api.settings import Settings
from mealplan.checkin.log.entries import ENTRY
from mealplan.demo.folders import demo_intake
from mealplan.store.sql import SqlStore
from tests.api.conftest import AsgiTransport, Browser, Clock, records_for
from tests.mealplan.store.memory import MemoryStore

FIRST = dt.date(2026, 12, 1)
DAYS = st.integers(0, 27).map(lambda n: (FIRST + dt.timedelta(days=n)).isoformat())
FEW_DAYS = st.integers(0, 3).map(lambda n: (FIRST + dt.timedelta(days=n)).isoformat())
"""So few that several records fall on one day."""
IN_KG = st.decimals(78, 82, places=1).map(lambda v: (float(v), "kg"))
IN_LB = st.decimals(172, 181, places=1).map(lambda v: (float(v), "lb"))
WEIGH_INS = st.builds(
    lambda on, reading, at: {
        "kind": "weigh-in", "on": on, "value": reading[0], "unit": reading[1], "at": at,
    },
    DAYS, IN_KG | IN_LB, st.none() | st.just("06:40:00"),
)  # fmt: skip
EATEN = st.builds(
    lambda on, how, kcal: {
        "kind": "intake", "on": on, "adherence": how, "planned_kcal": 3260.0, "kcal": kcal,
    },
    FEW_DAYS, st.sampled_from(["as planned", "roughly", "other"]),
    st.none() | st.integers(2500, 4000).map(float),
)  # fmt: skip
GIRTHS = st.builds(
    lambda on, value, unit: {
        "kind": "girth", "on": on, "site": "waist", "value": value, "unit": unit,
    },
    DAYS, st.sampled_from([31.5, 33.25, 34.0]), st.just("in"),
)  # fmt: skip
OTHERS = st.sampled_from(
    [
        {"kind": "event", "on": "2026-12-10", "until": "2026-12-13", "what": "sick"},
        {"kind": "event", "on": "2026-12-18", "what": "travel"},
        {"kind": "feeling", "on": "2026-12-11", "illness": 4, "sleep": 2},
        {"kind": "training", "on": "2026-12-09", "what": "pulls", "minutes": 60, "net_kcal": 250},
        {"kind": "test", "on": "2026-12-08", "name": "back squat", "value": 110.0, "unit": "kg"},
        {"kind": "scan", "on": "2026-12-02", "fat_kg": 12.1, "lean_kg": 68.0},
    ]
)
LOGS = st.tuples(
    st.lists(WEIGH_INS, min_size=3, max_size=14),
    st.lists(EATEN | GIRTHS | OTHERS, max_size=8),
).map(lambda parts: [*parts[0], *parts[1]])
quick = settings(
    max_examples=8,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


class House:
    """A service for all examples."""

    def __init__(self, store, portal):
        clock = Clock()
        clock.at += dt.timedelta(days=28)
        self.app = create_app(
            Settings(hosts=frozenset({"testserver"}), now=clock.now, today=clock.today),
            store,
        )
        self.browser = Browser(
            transport=AsgiTransport(self.app, portal),
            base_url="http://testserver",
            follow_redirects=True,
        )
        self.intake = demo_intake("club-lifter")

    def client(self):
        return records_for(self.app).clients.take_on(self.intake).id

    def log(self, client, entries):
        answer = self.browser.post(f"/api/clients/{client}/log", json={"entries": entries})
        assert answer.status_code == 201, answer.text
        return answer.json()

    def withdraw(self, client, entry_id):
        path = f"/api/clients/{client}/log/{entry_id}/withdraw"
        answer = self.browser.post(path, json={"why": "the reading was wrong"})
        assert answer.status_code < 300, answer.text

    def logged(self, client):
        return self.browser.get(f"/api/clients/{client}/log").json()

    def said(self, client):
        answer = self.browser.get(f"/api/clients/{client}/checkin")
        assert answer.status_code == 200, answer.text
        return answer.json()


@pytest.fixture(params=["memory", "sqlite", "postgres"], scope="module")
def house(request, portal, tmp_path_factory):
    if request.param == "memory":
        store = MemoryStore()
    elif request.param == "sqlite":
        store = SqlStore(f"sqlite:///{tmp_path_factory.mktemp('log') / 'plans.sqlite'}")
    else:
        url = os.environ.get("MEALPLAN_TEST_POSTGRES_URL")
        if not url:
            pytest.skip("MEALPLAN_TEST_POSTGRES_URL is not set")
        from tests.mealplan.store.conftest import emptied

        store = SqlStore(emptied(url))
    opened = House(store, portal)
    yield opened
    opened.browser.close()
    opened.app.state.service.jobs.close()
    store.close()


def unnamed(entries):
    """Entries without the identifiers that the service gave them, in one order."""
    return sorted(
        (ENTRY.validate_python(entry | {"id": ""}) for entry in entries),
        key=lambda entry: entry.model_dump_json(),
    )


@quick
@given(entries=LOGS, data=st.data())
def test_the_order_of_entry_never_matters(house, entries, data):
    shuffled = data.draw(st.permutations(entries))
    at_once, one_by_one = house.client(), house.client()
    house.log(at_once, entries)
    for entry in shuffled:
        house.log(one_by_one, [entry])
    assert unnamed(house.logged(at_once)["entries"]) == unnamed(house.logged(one_by_one)["entries"])
    assert house.said(at_once) == house.said(one_by_one)


@quick
@given(entries=LOGS, wrong=IN_KG | IN_LB)
def test_an_old_reading_mended_is_as_if_it_had_been_right(house, entries, wrong):
    right, mended = house.client(), house.client()
    house.log(right, entries)
    first, *others = entries  # a weigh-in, often among the oldest
    house.log(mended, others)
    slip = first | {"value": wrong[0], "unit": wrong[1]}
    before = {entry["id"] for entry in house.logged(mended)["entries"]}
    house.log(mended, [slip])
    house.said(mended)  # read and kept with the slip in it
    (new,) = {entry["id"] for entry in house.logged(mended)["entries"]} - before
    house.withdraw(mended, new)
    house.said(mended)
    house.log(mended, [first])
    assert house.said(mended) == house.said(right)
    (old,) = house.logged(mended)["history"]
    assert (old["entry"]["value"], old["entry"]["unit"]) == wrong
    assert old["why"] == "the reading was wrong"


@quick
@given(entries=LOGS)
def test_what_goes_in_comes_out_in_its_own_unit(house, entries):
    client = house.client()
    house.log(client, entries)
    assert unnamed(house.logged(client)["entries"]) == unnamed(entries)
    exported = house.browser.get(f"/clients/{client}/export.json").json()["Logged"]
    assert unnamed(row["body"] for row in exported) == unnamed(entries)


@quick
@given(entries=LOGS, data=st.data())
def test_nothing_logged_is_ever_lost(house, entries, data):
    client = house.client()
    house.log(client, entries)
    ids = [entry["id"] for entry in house.logged(client)["entries"]]
    gone = data.draw(st.lists(st.sampled_from(ids), unique=True, max_size=4))
    for entry_id in gone:
        house.withdraw(client, entry_id)
    log = house.logged(client)
    kept = [*log["entries"], *(old["entry"] for old in log["history"])]
    assert {old["entry"]["id"] for old in log["history"]} == set(gone)
    assert unnamed(kept) == unnamed(entries)
    exported = house.browser.get(f"/clients/{client}/export.json").json()["Logged"]
    assert unnamed(row["body"] for row in exported) == unnamed(entries)
    assert sum(row["gone_at"] is not None for row in exported) == len(gone)


@quick
@given(entries=LOGS)
def test_a_pound_is_a_pound_whatever_the_rest_is_written_in(house, entries):
    from mealplan.science.units import KG_PER_LB

    mixed, metric = house.client(), house.client()
    house.log(mixed, entries)
    house.log(
        metric,
        [
            entry | {"value": entry["value"] * KG_PER_LB, "unit": "kg"}
            if entry.get("unit") == "lb"
            else entry
            for entry in entries
        ],
    )
    ends = [house.said(client)["trend"] for client in (mixed, metric)]
    assert [day["level_kg"] for day in ends[0]] == pytest.approx(
        [day["level_kg"] for day in ends[1]], abs=1e-6
    )


def test_of_two_records_of_a_day_the_same_one_stands_however_they_came_in(house):
    entries = [
        entry
        for place in range(10)
        for on in [(FIRST + dt.timedelta(days=place)).isoformat()]
        for entry in (
            {"kind": "weigh-in", "on": on, "value": 80.0 + place / 10},
            {"kind": "weigh-in", "on": on, "value": 80.4 - place / 10},
            {"kind": "intake", "on": on, "adherence": "other", "kcal": 2900.0 + place},
            {"kind": "intake", "on": on, "adherence": "other", "kcal": 3500.0 - place},
        )
    ]
    one, other = house.client(), house.client()
    house.log(one, entries)
    house.log(other, entries[::-1])
    assert house.said(one) == house.said(other)
