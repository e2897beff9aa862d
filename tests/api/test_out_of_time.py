"""A request that takes too long is answered without its result, and its thread is free again."""

import dataclasses
import threading
import time

import pytest

from api.app.app import create_app
from mealplan.store.deadline import OutOfTime, answer_within, go_on, left_s
from mealplan.store.records import Client, Coach
from tests.mealplan.store.memory import MemoryStore

ENDLESS = "/endless"


@pytest.fixture
def hurried(settings, store):
    """Give a service whose requests get half a second, and a page of it that never ends."""
    app = create_app(dataclasses.replace(settings, longest_s=0.5), store)
    ended = threading.Event()

    @app.get(ENDLESS)
    def endless():
        try:
            while True:
                with store.reading() as unit:
                    unit.find(Client)
        except OutOfTime:
            ended.set()
            raise

    return app, ended


def test_a_request_over_its_time_is_answered_and_its_thread_ends(hurried, browse):
    app, ended = hurried
    browser = browse(app)
    answer = browser.get(ENDLESS, headers={"accept": "application/json"})
    assert answer.status_code == 503
    assert answer.headers["retry-after"]
    assert ended.wait(2.0)
    assert browser.get("/health").status_code == 200


def test_one_long_question_to_the_database_is_broken_off(store):
    if isinstance(store, MemoryStore):
        return  # answers at once
    # A question that the database alone works on: nobody comes back to look meanwhile.
    slow = (
        "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 300000000) "
        "SELECT count(*) FROM n"
    )

    def ask():
        answer_within(0.3)
        begun = time.monotonic()
        with pytest.raises(OutOfTime), store.reading() as unit:
            unit.connection.exec_driver_sql(slow)
        took.append(time.monotonic() - begun)

    took = []
    thread = threading.Thread(target=ask)  # its own context: others go on without a limit
    thread.start()
    thread.join(60)
    assert took
    assert left_s() is None
    with store.reading() as unit:
        assert unit.count(Coach) == 0


def test_nobody_waits_unless_someone_said_so():
    go_on()
    assert left_s() is None
