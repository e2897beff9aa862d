"""Likes and dislikes by page and program, and a day from what is at home."""

import re

import pytest

from api.forms.intake import to_typed
from mealplan.kitchen.preferences import STEPS
from mealplan.plan import Plan
from tests.api.conftest import alert, records_for
from tests.api.test_menus import DAY, day_of, dishes


def tastes(browser, client):
    return browser.get(f"/api/clients/{client.id}/intake").json()["intake"]["tastes"]


def say(browser, client, word, step):
    return browser.post_form(f"/clients/{client.id}/tastes", word=word, step=step)


@pytest.mark.parametrize("step", STEPS)
def test_a_word_goes_on_the_step_it_is_said_for_and_is_shown_there(browser, client, step):
    page = say(browser, client, "soupy", step)
    assert page.status_code == 200
    assert "soupy" in tastes(browser, client)[step]
    assert "soupy" in page.text


def test_a_word_said_again_leaves_the_step_it_stood_on(browser, client):
    say(browser, client, "Lentils", "likes")
    say(browser, client, "lentils", "seldom")
    kept = tastes(browser, client)
    assert [step for step in STEPS if "lentils" in [w.lower() for w in kept[step]]] == ["seldom"]
    say(browser, client, "lentils", "nothing")
    assert "lentils" not in tastes(browser, client)["seldom"]


def test_a_word_that_means_nothing_comes_back_with_near_ones_and_nothing_is_lost(browser, client):
    before = tastes(browser, client)
    page = say(browser, client, "mushroms", "never")
    assert page.status_code == 422
    assert "mushroom" in alert(page.text)
    assert 'value="mushroms"' in page.text
    assert tastes(browser, client) == before


@pytest.mark.parametrize(("word", "step"), [("", "never"), ("tofu", "sometimes"), ("tofu", "")])
def test_rubbish_is_refused_in_words(browser, client, word, step):
    page = say(browser, client, word, step)
    assert page.status_code == 422
    assert alert(page.text)


def test_what_must_be_absent_is_shown_and_cannot_be_taken_off_here(browser, client, app):
    say(browser, client, "soy", "nothing")
    assert (
        "changed by the coach" in browser.get(f"/clients/{client.id}/tastes").text
        or not tastes(browser, client)["allergies"]
    )


def test_a_program_moves_words_between_steps(browser, client):
    address = f"/api/clients/{client.id}/tastes"
    browser.post(address, json={"favourites": ["Thai"], "seldom": ["very hot"]})
    browser.post(address, json={"likes": ["Thai"], "nothing": ["very hot"]})
    kept = tastes(browser, client)
    assert "Thai" in kept["likes"]
    assert "Thai" not in kept["favourites"]
    assert "very hot" not in kept["seldom"]


def test_a_word_that_is_unwanted_names_the_meals_ahead_that_hold_it(browser, client, clock):
    clock.at = clock.at.replace(hour=5)
    page = say(browser, client, "bananas", "never").text
    assert "Meals ahead with bananas" in page
    assert "Another dish" in page
    assert "Meals ahead" not in say(browser, client, "bananas", "likes").text


def test_a_like_is_no_new_intake_and_makes_no_plan_old(app, browser, client):
    say(browser, client, "bananas", "likes")
    fresh = records_for(app).clients.one(client.id)
    assert fresh.intake_number == 1
    assert "older targets" not in browser.get(f"/clients/{client.id}/today").text


def test_a_form_that_was_open_meanwhile_keeps_what_was_said(app, browser, client):
    form = browser.get(f"/clients/{client.id}/amend").text
    shown = dict(re.findall(r'name="(shown.tastes.[a-z]+)" value="([^"]*)"', form))
    typed = to_typed(records_for(app).intakes.in_force(client))
    fields = {name: list(values) for name, values in typed.items()} | shown | {"was": "1"}
    assert len(shown) == len(STEPS)
    say(browser, client, "bananas", "likes")
    browser.post_form(f"/clients/{client.id}/amend", **fields | {"reason": "a new goal"})
    fresh = records_for(app).clients.one(client.id)
    assert fresh.intake_number == 2
    assert "bananas" in records_for(app).intakes.in_force(fresh).tastes.likes
    assert "older targets" in browser.get(f"/clients/{client.id}/list").text


def test_a_dish_is_put_on_a_step_from_its_meal(browser, client):
    dish = dishes(browser, client)[0]
    browser.post_form(f"/clients/{client.id}/days/{DAY}/meals/0", do="seldom", was="1")
    assert dish in tastes(browser, client)["seldom"]


def test_a_day_from_what_is_at_home_says_whether_that_does(browser, client, planned):
    page = browser.post_form(f"/clients/{client.id}/days/2026-12-03/from-home", was="1")
    assert "what is at home" in page.text
    cooked = day_of(browser, client, "2026-12-03")
    assert cooked["missed"] == [] if "missed" in cooked else True
    Plan.model_validate_json(planned)


def test_a_program_asks_for_a_day_from_home(browser, client):
    body = browser.post(
        f"/api/clients/{client.id}/days/2026-12-03?wait=20",
        json={"from_home": True},
        headers={"If-Match": '"1"'},
    ).json()
    assert "at home" in body["reason"]
