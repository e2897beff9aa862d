"""Today on a phone: eaten in one press, three other dishes with what each changes."""

import re

import pytest

from mealplan.checkin.log.entries import IntakeRecord
from tests.api.conftest import records_for


def post(browser, client, path, **fields):
    return browser.post_form(f"/clients/{client.id}/days/{path}", **fields)


def marked(app, client):
    return sorted((mark.slot, mark.what) for mark in records_for(app).marks.all(client))


def days_logged(app, client):
    return records_for(app).log.read(client).of(IntakeRecord)


def test_the_page_opens_on_the_next_meal_the_scale_and_tonight(browser, client):
    page = browser.get(f"/clients/{client.id}/today").text
    # The clock of the tests stands at 09:00: breakfast at 07:00 is past, the small meal is next.
    assert re.search(r"Next, 10:00", page)
    assert page.index("On the scale") < page.index("Next, 10:00") < page.index("The whole day")


def test_a_meal_is_eaten_with_one_press_and_can_be_taken_back(app, browser, client):
    page = post(browser, client, "2026-12-01/meals/1/ate", do="ate").text
    assert marked(app, client) == [(1, "ate")]
    assert "eaten as planned" in page
    assert "Next, 12:30" in page
    assert days_logged(app, client) == ()
    post(browser, client, "2026-12-01/meals/1/ate", do="undo")
    assert marked(app, client) == []


def test_a_day_eaten_as_planned_is_logged_once_and_unsaid_again(app, browser, client):
    for _ in range(2):
        post(browser, client, "2026-12-01/meals/1/ate", do="rest")
    (logged,) = days_logged(app, client)
    assert (logged.on.isoformat(), logged.adherence) == ("2026-12-01", "as planned")
    assert logged.planned_kcal > 1000
    post(browser, client, "2026-12-01/meals/2/ate", do="undo")
    assert days_logged(app, client) == ()


def test_late_in_the_evening_the_day_is_still_said_in_one_press(browser, client, clock):
    clock.at = clock.at.replace(hour=23, minute=30)
    page = browser.get(f"/clients/{client.id}/today").text
    assert "Nothing more to eat by the plan today. Say below what was eaten." in page
    assert "All of today as planned" in page
    page = post(browser, client, "2026-12-01/meals/0/ate", do="rest").text
    assert "All of today as planned" not in page
    assert "Say below" not in page


def test_a_meal_to_come_is_not_eaten_yet(browser, client):
    answer = post(browser, client, "2026-12-02/meals/0/ate", do="ate")
    assert answer.status_code == 422
    assert "has not come yet" in answer.text


def test_a_reading_from_today_leads_back_to_today(browser, client):
    fields = {"on": "2026-12-01", "value": "80.2", "unit": "kg", "fasted": "yes", "back": "today"}
    page = browser.post_form(f"/clients/{client.id}/checkin/weigh-in", **fields)
    assert page.url.path.endswith("/today")
    assert "On the scale" not in page.text
    assert "80.2 kg" in page.text


@pytest.fixture
def offered(browser, client):
    return browser.get(f"/clients/{client.id}/days/2026-12-01/meals/2/others").text


def test_three_other_dishes_say_what_they_change_and_nothing_is_changed(app, client, offered):
    assert offered.count("Take this") == 3
    assert offered.count("<dt>At the stove</dt>") == offered.count("<dt>Buy</dt>") == 3
    assert records_for(app).clients.one(client.id).plan_number == 1


def test_the_dish_that_is_taken_stands_on_the_day_and_the_others_stay(
    app, browser, client, offered
):
    from api.records.reading import plan_of

    before = plan_of(records_for(app).plans.kept(client).body).days[1].meals
    dish = re.findall(r'name="dish" value="([^"]+)"', offered)[1]
    post(browser, client, "2026-12-01/meals/2/others", was="1", dish=dish)
    fresh = records_for(app).clients.one(client.id)
    after = plan_of(records_for(app).plans.kept(fresh).body).days[1].meals
    assert after[2].dish == dish
    assert [m.dish for m in after if m.slot != 2] == [m.dish for m in before if m.slot != 2]


def test_a_dish_that_was_not_offered_is_refused(browser, client):
    answer = post(browser, client, "2026-12-01/meals/2/others", was="1", dish="cake")
    assert answer.status_code == 422
    assert "not one of those offered" in answer.text
