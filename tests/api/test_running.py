"""The plan runs on: planning ahead adds days, changes are taken back, logged meals stay."""

import datetime as dt
import functools

import pytest

from api.records.plans import PLANS_KEPT
from mealplan.plan import Plan
from mealplan.store.records import SavedPlan
from tests.api.conftest import records_for
from tests.api.test_menus import DAY, day_of, dishes

AHEAD = dt.timedelta(days=7)


def later(planned, days):
    """The same plan some days later."""
    plan = Plan.model_validate_json(planned)
    moved = tuple(
        day.model_copy(
            update={
                "date": day.date + days,
                "meals": tuple(
                    meal.model_copy(
                        update={"leftover_from": meal.leftover_from and meal.leftover_from + days}
                    )
                    for meal in day.meals
                ),
            }
        )
        for day in plan.days
    )
    return plan.model_copy(update={"start": plan.start + days, "days": moved})


@pytest.fixture
def ahead(app, client, planned):
    """A client with this week and, planned early, the next two."""
    records = records_for(app, client.coach_id)
    for was, weeks in ((1, 1), (2, 2)):
        body = later(planned, weeks * AHEAD).model_dump_json()
        records.plans.keep(
            client.id, body, was=was, intake_number=1, reason=f"week {weeks}", shown={}
        )
    return records.clients.one(client.id)


def test_planning_ahead_leaves_today_and_every_earlier_address(browser, ahead, planned):
    plan = Plan.model_validate_json(planned)
    assert "Today: " in browser.get(f"/clients/{ahead.id}/today").text
    for weeks in range(3):
        for day in plan.days:
            date = day.date + weeks * AHEAD
            assert browser.get(f"/clients/{ahead.id}/days/{date}").status_code == 200
            assert day_of(browser, ahead, date)["meals"][0]["dish"] == day.meals[0].dish
    assert ahead.planned_until == plan.days[-1].date + 2 * AHEAD
    first = plan.start + AHEAD
    assert f"{first:%A %d %B %Y}" in browser.get(f"/clients/{ahead.id}/week?start={first}").text
    side = browser.get(f"/clients/{ahead.id}/weeks").text
    for weeks in range(3):
        assert f"/days/{plan.days[-1].date + weeks * AHEAD}" in side
    bought = browser.get(f"/clients/{ahead.id}/list?start={first}")
    assert bought.status_code == 200


def test_the_last_change_is_taken_back_by_one_press_and_earlier_ones_are_listed(browser, ahead):
    before = dishes(browser, ahead)
    browser.post_form(f"/clients/{ahead.id}/days/{DAY}/meals/4", do="another", was="3")
    changed = dishes(browser, ahead)
    assert changed != before
    page = browser.get(f"/clients/{ahead.id}/changes").text
    for reason in ("7 days", "week 1", "week 2"):
        assert reason in page
    assert browser.post_form(f"/clients/{ahead.id}/undo", was="4").status_code == 200
    assert dishes(browser, ahead) == before
    assert browser.post_form(f"/clients/{ahead.id}/undo", was="4").status_code == 412
    earlier = browser.get(f"/clients/{ahead.id}/week?number=4").text
    assert "As it stood after change 4" in earlier
    again = browser.post(f"/api/clients/{ahead.id}/plan/undo", headers={"If-Match": '"5"'})
    assert again.status_code == 200
    assert dishes(browser, ahead) == changed
    listed = browser.get(f"/api/clients/{ahead.id}/plan/changes").json()["changes"]
    assert [line["number"] for line in listed] == [6, 5, 4, 3, 2, 1]


def test_old_changes_are_let_go_but_those_of_which_a_day_stands(app, store, client, planned):
    records = records_for(app, client.coach_id)
    far = later(planned, 4 * AHEAD).model_dump_json()
    keep = functools.partial(records.plans.keep, client.id, intake_number=1, shown={})
    keep(far, was=1, reason="a week far ahead")
    for was in range(2, PLANS_KEPT + 5):
        keep(planned, was=was, reason="the same days again")
    with store.reading() as unit:
        numbers = sorted(row.number for row in unit.find(SavedPlan, client_id=client.id))
    # source: worked by hand (the last twenty; change 1, whose Monday has passed; and change 2,
    # whose days nothing replaced)
    last = PLANS_KEPT + 5
    assert numbers == [1, 2, *range(last - PLANS_KEPT + 1, last + 1)]


def test_a_meal_whose_hour_has_passed_does_not_move(browser, ahead, clock):
    clock.at = clock.at.replace(hour=12)
    before = day_of(browser, ahead)["meals"]
    refused = browser.post_form(f"/clients/{ahead.id}/days/{DAY}/meals/0", do="another", was="3")
    assert refused.status_code == 422
    assert "has passed or was logged" in refused.text
    browser.post_form(f"/clients/{ahead.id}/days/{DAY}/another", was="3")
    after = day_of(browser, ahead)["meals"]
    passed = [slot for slot, meal in enumerate(before) if meal["time"] <= "12:00"]
    assert passed
    assert [after[slot] for slot in passed] == [before[slot] for slot in passed]
    assert after != before


def test_a_meal_eaten_as_planned_stays_whatever_is_planned_again(browser, ahead):
    before = day_of(browser, ahead)["meals"]
    browser.post_form(f"/clients/{ahead.id}/days/{DAY}/meals/3/ate", do="ate")
    assert "Eaten as planned." in browser.get(f"/clients/{ahead.id}/days/{DAY}").text
    browser.post_form(f"/clients/{ahead.id}/days/{DAY}/another", was="3")
    after = day_of(browser, ahead)["meals"]
    assert after[3] == before[3]
    assert after != before


def test_the_day_turns_where_the_client_lives(app, browser, ahead, clock, lifter):
    clock.at = dt.datetime(2026, 12, 1, 20, 0, tzinfo=dt.UTC)
    records = records_for(app, ahead.coach_id)
    assert records.plans.today(ahead) == dt.date(2026, 12, 1)
    there = lifter.model_copy(update={"time_zone": "Pacific/Auckland"})
    now = records.intakes.amend(ahead.id, there, "moved", 1)
    assert records.plans.today(now) == dt.date(2026, 12, 2)
    assert "Wednesday 02 December" in browser.get(f"/clients/{ahead.id}/today").text
