"""What is logged without signal waits on the device and is carried out once."""

import datetime as dt
import re

import pytest

from mealplan.demo.folders import demo_intake
from tests.api.conftest import TODAY, add_planned, records_for
from tests.api.real_browser import PHONE, kept_by_the_device, patient, serve, usual_settings


def send(browser, client, key, **fields):
    browser.get("/offline")
    data = {"guard": browser.cookies["guard"], **fields}
    path = f"/clients/{client.id}/waiting"
    return browser.post(path, data=data, headers={"Idempotency-Key": key})


WEIGHED = {"what": "weigh-in", "on": "2026-12-01", "value": "80.4", "unit": "kg", "fasted": "yes"}


def test_an_entry_that_is_sent_twice_is_logged_once(app, browser, client):
    for _ in range(3):
        assert send(browser, client, "key-number-1", **WEIGHED).status_code == 200
    assert [entry.value for entry in records_for(app).log.read(client).entries] == [80.4]
    assert send(browser, client, "key-number-2", **WEIGHED | {"value": "80.6"}).status_code == 200
    assert len(records_for(app).log.read(client).entries) == 2


def test_an_entry_that_cannot_be_is_refused_with_why_and_nothing_is_logged(app, browser, client):
    answer = send(browser, client, "key-number-1", **WEIGHED | {"value": "8o"})
    assert answer.status_code == 422
    assert "8o" in answer.json()["why"]
    to_come = {"what": "ate", "date": "2026-12-03", "slot": "1"}
    assert "not come yet" in send(browser, client, "key-number-2", **to_come).json()["why"]
    assert records_for(app).log.read(client).entries == ()


def test_a_meal_eaten_without_signal_is_marked(app, browser, client):
    fields = {"what": "ate", "date": str(TODAY), "slot": "0"}
    assert send(browser, client, "key-number-1", **fields).status_code == 200
    assert [(m.slot, m.what) for m in records_for(app).marks.all(client)] == [(0, "ate")]


def test_a_sentence_said_without_signal_stands_on_today_until_it_is_read_back(app, browser, client):
    fields = {"what": "something else", "date": str(TODAY), "slot": "0", "foods": "1 banana"}
    assert send(browser, client, "key-number-1", **fields).status_code == 200
    page = browser.get(f"/clients/{client.id}/today").text
    assert "Said without signal" in page
    assert "1 banana" in page
    read = browser.post_form(
        f"/clients/{client.id}/days/{TODAY}/meals/0/eaten", was="1", foods="1 banana"
    )
    assert "Is this what was eaten?" in read.text
    browser.post_form(
        f"/clients/{client.id}/days/{TODAY}/meals/0/eaten",
        was="1", foods="1 banana", confirmed="1 banana",
    )  # fmt: skip
    assert "Said without signal" not in browser.get(f"/clients/{client.id}/today").text


ENTRIES = 20


@pytest.mark.browser
def test_twenty_entries_wait_through_closing_and_are_sent_once_in_order(
    planned, playwright, chromium_program, tmp_path
):
    """Logged without signal on two days of opening and closing, then sent by the device itself."""
    running = serve(usual_settings())
    address, app = next(running)
    client = add_planned(app, demo_intake("club-lifter"), planned)
    today = f"{address}/clients/{client.id}/today"
    weighed = [round(79.5 + 0.1 * place, 1) for place in range(ENTRIES - 2)]
    halves = (weighed[: len(weighed) // 2], weighed[len(weighed) // 2 :])

    def phone():
        context = playwright.chromium.launch_persistent_context(
            str(tmp_path), executable_path=chromium_program, args=["--no-sandbox"], **PHONE
        )
        return patient(context), context.pages[0]

    def wait_for_entries(page, count):
        page.wait_for_function(
            "count => document.querySelectorAll('#waiting li').length === count", arg=count
        )

    context, page = phone()
    page.goto(today)
    kept_by_the_device(page, today)
    logged = 0
    for half in halves:
        context.set_offline(True)
        page.goto(today)
        assert "as of" in page.locator("p.kept").inner_text()
        wait_for_entries(page, logged)
        for value in half:
            page.locator("#value").fill(str(value))
            page.get_by_role("button", name="Log it").click()
            logged += 1
            wait_for_entries(page, logged)
        context.close()
        context, page = phone()
    context.set_offline(True)
    page.goto(today)
    wait_for_entries(page, ENTRIES - 2)
    page.get_by_role("button", name="Ate it", exact=True).click()
    wait_for_entries(page, ENTRIES - 1)
    page.get_by_text("Something else").click()
    page.locator("#ate").fill("2 bananas")
    page.get_by_role("button", name="Read it back").click()
    wait_for_entries(page, ENTRIES)
    assert page.locator("#waiting p").inner_text().startswith(f"{ENTRIES} entries wait")
    page.goto("about:blank")  # no page is there that would begin to send when the signal is back
    context.set_offline(False)
    page.goto(today)
    page.get_by_text(f"{ENTRIES} entries sent.").wait_for()
    page.reload()
    page.locator("#waiting p").wait_for(state="attached")  # what waits has been looked up
    assert page.locator("#waiting").is_hidden()
    context.close()
    records = records_for(app)
    assert [entry.value for entry in records.log.read(client).entries] == weighed
    marks = [(mark.what, mark.text) for mark in records.marks.all(client)]
    assert marks == [("said", "2 bananas")]
    running.close()


def first_line(page):
    return re.findall(r'name="bought" value="([^"]+)"', page)[0]


def test_a_tick_is_seen_by_all_who_hold_the_list_and_taken_once(app, browser, client):
    page = browser.get(f"/clients/{client.id}/list").text
    food, start = first_line(page), re.findall(r'data-start="([^"]+)"', page)[0]
    fields = {"what": "tick", "date": start, "food": food, "state": "bought"}
    for _ in range(2):
        assert send(browser, client, "tick-number-1", **fields).status_code == 200
    assert records_for(app).ticks.of(client, dt.date.fromisoformat(start)) == {food: "bought"}
    assert f'value="{food}" checked' in browser.get(f"/clients/{client.id}/list").text
    assert send(browser, client, "tick-number-2", **fields | {"food": "gold"}).status_code == 422
    assert send(browser, client, "tick-number-3", **fields | {"state": "open"}).status_code == 200
    assert records_for(app).ticks.of(client, dt.date.fromisoformat(start)) == {}


def test_ticks_go_without_scripts_and_leave_those_of_others(app, browser, client):
    page = browser.get(f"/clients/{client.id}/list").text
    names = re.findall(r'name="bought" value="([^"]+)"', page)
    start = dt.date.fromisoformat(re.findall(r'data-start="([^"]+)"', page)[0])
    records_for(app).ticks.say(client, start, names[0], "bought")  # another's, meanwhile
    where = f"/clients/{client.id}/list?start={start}"
    browser.post_form(where, bought=names[1])
    browser.post_form(where, missing=names[2])
    said = records_for(app).ticks.of(client, start)
    assert said == {names[0]: "bought", names[1]: "bought", names[2]: "not found"}
    browser.post_form(where, was=names[1], found=names[2])
    assert records_for(app).ticks.of(client, start) == {names[0]: "bought"}
