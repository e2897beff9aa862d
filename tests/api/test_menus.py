import csv
import datetime as dt
import io
import json
import re

import pytest

from api.desk.deps import principal_of
from api.records.view import Principal
from mealplan.plan import Plan
from tests.api.conftest import a_job, alert

DAY = "2026-12-01"


@pytest.fixture(autouse=True)
def before_breakfast(clock):
    """No meal of the day has passed yet."""
    clock.at = clock.at.replace(hour=5)


@pytest.fixture
def plan(planned):
    return Plan.model_validate_json(planned)


def number(browser, client):
    return browser.get(f"/api/clients/{client.id}").json()["plan_number"]


def day_of(browser, client, date=DAY):
    return browser.get(f"/api/clients/{client.id}/days/{date}").json()["day"]


def dishes(browser, client, date=DAY):
    return [meal["dish"] for meal in day_of(browser, client, date)["meals"]]


def test_the_week_shows_every_meal_of_every_day(browser, client, plan):
    page = browser.get(f"/clients/{client.id}/week").text
    for day in plan.days:
        for meal in day.meals:
            assert f"/days/{day.date}/meals/{meal.slot}" in page


def test_a_day_reads_as_a_cooking_sheet(browser, client, plan):
    page = browser.get(f"/clients/{client.id}/days/{DAY}").text
    for meal in plan.days[1].meals:
        assert meal.time in page
        assert all(serving.phrase in page for serving in meal.servings)
        if meal.leftover_from is None:
            assert all(step in page for step in meal.method)


def test_today_is_the_day_of_the_clock(browser, client, clock):
    assert "Today:" in browser.get(f"/clients/{client.id}/today").text
    clock.at += dt.timedelta(days=1)
    assert "Wednesday 02 December" in browser.get(f"/clients/{client.id}/today").text


def test_what_to_soak_for_tomorrow_is_said_the_evening_before(browser, client, plan):
    for today, tomorrow in zip(plan.days, plan.days[1:], strict=False):
        page = browser.get(f"/clients/{client.id}/days/{today.date}").text
        for meal in tomorrow.meals:
            assert (f"soak for tomorrow: {meal.name}" in page) == meal.soak_night_before


def test_another_day_serves_other_dishes_and_says_what_changed(browser, client):
    before = dishes(browser, client)
    page = browser.post_form(f"/clients/{client.id}/days/{DAY}/another", was="1")
    assert "Changed on Tuesday" in page.text
    assert set(before) & set(dishes(browser, client)) == set()


def test_days_turned_down_do_not_come_back(browser, client):
    seen = {tuple(dishes(browser, client))}
    for was in ("1", "2", "3"):
        browser.post_form(f"/clients/{client.id}/days/{DAY}/another", was=was)
        now = tuple(dishes(browser, client))
        assert now not in seen
        seen.add(now)


def test_another_dish_changes_one_meal_alone(browser, client):
    before = dishes(browser, client)
    browser.post_form(f"/clients/{client.id}/days/{DAY}/meals/0", do="another", was="1")
    after = dishes(browser, client)
    assert after[0] != before[0]
    assert after[1:] == before[1:]


def test_a_kept_meal_stays_when_another_day_is_asked_for(browser, client):
    kept = dishes(browser, client)[0]
    page = browser.post_form(f"/clients/{client.id}/days/{DAY}/meals/0", do="keep", was="1")
    assert "(stays)" in page.text
    browser.post_form(f"/clients/{client.id}/days/{DAY}/another", was="1")
    assert dishes(browser, client)[0] == kept


def test_a_dish_never_wanted_leaves_the_day_and_enters_the_history(browser, client):
    dish = dishes(browser, client)[0]
    browser.post_form(f"/clients/{client.id}/days/{DAY}/meals/0", do="never", was="1")
    assert dish not in dishes(browser, client)
    trail = browser.get(f"/api/clients/{client.id}/trail").json()["entries"]
    assert f"never: {dish}" in [entry["detail"] for entry in trail]
    intake = browser.get(f"/api/clients/{client.id}/intake").json()
    assert intake["number"] == 1
    assert dish in intake["intake"]["tastes"]["never"]


def test_liking_a_dish_is_kept_and_changes_nothing_today(browser, client):
    before = dishes(browser, client)
    browser.post_form(f"/clients/{client.id}/days/{DAY}/meals/0", do="likes", was="1")
    assert dishes(browser, client) == before
    assert (
        before[0]
        in browser.get(f"/api/clients/{client.id}/intake").json()["intake"]["tastes"]["likes"]
    )


def test_the_rest_of_the_day_is_set_again_after_something_else_was_eaten(browser, client):
    said = "banana 120, peanut butter 30"
    address = f"/clients/{client.id}/days/{DAY}/meals/0/eaten"
    before = dishes(browser, client)
    asked = browser.post_form(address, foods=said, was="1")
    assert "120 g banana and 30 g peanut butter" in asked.text
    assert dishes(browser, client) == before
    page = browser.post_form(address, foods=said, confirmed=said, was="1")
    day = day_of(browser, client)
    assert day["meals"][0]["name"] == "banana 120, peanut butter 30"
    assert {s["grams"] for s in day["meals"][0]["servings"]} == {120.0, 30.0}
    assert day["energy_kcal"] == pytest.approx(day["energy_target_kcal"], rel=0.02)
    assert page.status_code == 200


def test_something_else_counts_at_the_check_in_until_it_is_taken_back(browser, client):
    address = f"/clients/{client.id}/days/{DAY}/meals/0/eaten"
    browser.post_form(address, foods="pizza 550 kcal", confirmed="pizza 550 kcal", was="1")

    def eating():
        entries = browser.get(f"/api/clients/{client.id}/log").json()["entries"]
        return [entry for entry in entries if entry["kind"] == "intake"]

    day = day_of(browser, client)
    assert [(e["on"], e["adherence"], e["kcal"]) for e in eating()] == [
        (DAY, "other", pytest.approx(day["energy_kcal"], abs=0.1))
    ]
    protein = next(line for line in day["adequacy"] if line["key"] == "protein_g")
    assert protein["met"]
    browser.post_form(f"/clients/{client.id}/undo", was="2")
    assert eating() == []


def test_the_doubt_of_a_meal_said_in_words_stays_in_the_log(browser, client):
    from mealplan.checkin.log.eaten_words import read_eaten

    address = f"/clients/{client.id}/days/{DAY}/meals/0/eaten"
    said = "chips, a coffee"
    asked = browser.post_form(address, foods=said, was="1").text
    assert "Not certain" in asked
    browser.post_form(address, foods=said, confirmed=said, was="1")
    meal = day_of(browser, client)["meals"][0]
    assert meal["eaten_sd_kcal"] == pytest.approx(read_eaten(said).sd_kcal, abs=0.1)
    entries = browser.get(f"/api/clients/{client.id}/log").json()["entries"]
    eaten = [entry for entry in entries if entry["kind"] == "intake"]
    assert [entry["sd_kcal"] for entry in eaten] == [meal["eaten_sd_kcal"]]
    assert meal["eaten_sd_kcal"] > 100


def test_an_allergen_that_must_be_absent_is_named_at_once(app, browser, client, lifter):
    from tests.api.conftest import records_for

    tastes = lifter.tastes.model_copy(update={"allergies": ("peanut",)})
    allergic = lifter.model_copy(update={"tastes": tastes})
    records_for(app).intakes.amend(client.id, allergic, "allergy found", 1)
    for said in ("2 tbsp peanut butter on toast", "peanut butter sandwich 400 kcal"):
        page = browser.post_form(
            f"/clients/{client.id}/days/{DAY}/meals/0/eaten", foods=said, was="1"
        ).text
        assert "holds peanut, which must be absent" in page
        assert "emergency number" in page


def test_an_unknown_food_comes_back_with_what_was_typed(browser, client):
    page = browser.post_form(
        f"/clients/{client.id}/days/{DAY}/meals/0/eaten", foods="zorblat 120", was="1"
    )
    assert page.status_code == 422
    assert "zorblat" in alert(page.text)
    assert "catalogue" not in alert(page.text)
    assert "_" not in alert(page.text)
    assert 'value="zorblat 120"' in page.text


def test_an_old_page_cannot_overwrite_a_newer_day(browser, client):
    browser.post_form(f"/clients/{client.id}/days/{DAY}/another", was="1")
    page = browser.post_form(f"/clients/{client.id}/days/{DAY}/another", was="1")
    assert page.status_code == 412
    assert number(browser, client) == 2


def test_the_list_has_a_box_for_everything_to_buy(browser, client):
    lines = browser.get(f"/api/clients/{client.id}/list").json()["shopping"]["lines"]
    page = browser.get(f"/clients/{client.id}/list").text
    assert page.count('type="checkbox"') == len(lines)


def test_the_csv_list_reads_back_row_by_row(browser, client):
    answer = browser.get(f"/clients/{client.id}/list.csv")
    lines = browser.get(f"/api/clients/{client.id}/list").json()["shopping"]["lines"]
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert answer.headers["content-type"].startswith("text/csv")
    assert {row["food"]: float(row["need_g"]) for row in rows} == {
        line["shop_name"]: line["need_g"] for line in lines
    }


def test_the_text_list_names_everything_once(browser, client):
    lines = browser.get(f"/api/clients/{client.id}/list").json()["shopping"]["lines"]
    text = browser.get(f"/clients/{client.id}/list.txt").text
    assert text.count("[ ] ") == len(lines)


def unfolded(text):
    return text.replace("\r\n ", "")


def test_the_calendar_has_one_event_a_meal_at_its_clock_time(browser, client, plan):
    text = unfolded(browser.get(f"/clients/{client.id}/calendar.ics").text)
    starts = re.findall(r"DTSTART:(\d{8}T\d{6})\r\n", text)
    assert starts == [
        f"{day.date:%Y%m%d}T{meal.time.replace(':', '')}00"
        for day in plan.days
        for meal in day.meals
    ]


def test_calendar_lines_are_at_most_75_octets_and_end_with_crlf(browser, client):
    # source: published (RFC 5545, section 3.1)
    content = browser.get(f"/clients/{client.id}/calendar.ics").content
    lines = content.split(b"\r\n")
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert max(len(line) for line in lines) <= 75
    for line in lines:
        line.decode()  # a fold inside a character would not decode


def test_calendar_events_have_what_the_standard_requires(browser, client):
    # source: published (RFC 5545, sections 3.6 and 3.6.1: VERSION, PRODID, UID, DTSTAMP)
    text = unfolded(browser.get(f"/clients/{client.id}/calendar.ics").text)
    events = text.split("BEGIN:VEVENT")[1:]
    assert re.search(r"\r\nVERSION:2\.0\r\n", text)
    assert re.search(r"\r\nPRODID:", text)
    assert len(set(re.findall(r"UID:(\S+)", text))) == len(events)
    assert all("DTSTAMP:" in event and "SUMMARY:" in event for event in events)
    for event in events:
        for value in re.findall(r"(?:SUMMARY|DESCRIPTION):(.*)\r\n", event):
            assert not re.search(r"(?<!\\)[,;]", value)


def test_a_dish_page_carries_its_recipe_as_linked_data(browser, client, plan):
    meal = plan.days[0].meals[0]
    page = browser.get(f"/clients/{client.id}/days/{plan.days[0].date}/meals/0").text
    data = json.loads(
        re.search(r'<script type="application/ld\+json">(.*?)</script>', page).group(1)
    )
    # source: published (schema.org Recipe and NutritionInformation property names)
    assert (data["@type"], data["name"]) == ("Recipe", meal.name)
    assert len(data["recipeIngredient"]) == len(meal.servings)
    assert [step["text"] for step in data["recipeInstructions"]] == list(meal.method)
    assert data["nutrition"]["calories"] == f"{meal.energy_kcal:.0f} kcal"
    assert re.fullmatch(r"PT\d+M", data["totalTime"])


def test_what_a_portion_gives_agrees_with_the_plan(plan):
    from api.pages.dish_facts import portion

    for meal in plan.days[0].meals:
        assert portion(meal, "energy_kcal") == pytest.approx(meal.energy_kcal, abs=0.1)
        assert portion(meal, "leucine_g") == pytest.approx(meal.leucine_g, abs=0.01)


def test_a_plan_that_takes_long_shows_progress_and_can_be_stopped(app, browse, client):
    job = a_job(app, client, state="working", done=3, total=100, tries=1)
    browser = browse(app)
    page = browser.get(f"/solves/{job.id}")
    assert 'http-equiv="refresh"' in page.text
    assert "3 of 100 days" in page.text
    stopped = browser.post_form(f"/solves/{job.id}/stop")
    assert "Stopped" in stopped.text
    assert number(browser, client) == 1
    assert browser.get(f"/api/solves/{job.id}").json()["state"] == "stopped"


def test_a_job_that_found_no_plan_says_which_wishes_clash(app, browse, client):
    from mealplan.errors import NoPlanError
    from mealplan.jobs import packed

    clash = ("never soy", "160 g protein")
    job = a_job(app, client, state="failed", error=packed(NoPlanError("no day exists", clash)))
    browser = browse(app)
    page = browser.get(f"/solves/{job.id}")
    assert all(line in page.text for line in ("no day exists", *clash))
    body = browser.get(f"/api/solves/{job.id}").json()
    assert body["error"]["details"] == list(clash)
    assert body["error"]["code"] == "no_plan"


def test_a_plan_that_no_longer_reads_says_to_plan_again_and_can_be(app, browser, client):
    import dataclasses

    from mealplan.store.records import SavedPlan
    from tests.api.conftest import records_for

    store = app.state.service.store
    saved = records_for(app).plans.kept(client)
    with store.writing() as unit:
        unit.change(dataclasses.replace(saved, body='{"made_by": "another release"}'))
    page = browser.get(f"/clients/{client.id}/week")
    assert page.status_code == 409
    assert "plan the week again" in page.text
    with store.reading() as unit:
        assert len(unit.find(SavedPlan, client_id=client.id)) == 1
    again = browser.post_form(f"/clients/{client.id}/plans", first="2026-11-30", days="1")
    assert again.url.path.endswith("/week")
    assert again.status_code == 200


def test_the_cooking_page_names_every_pot_and_every_box(browser, client, plan):
    page = browser.get(f"/clients/{client.id}/cooking").text
    for day in plan.days:
        for meal in day.meals:
            if meal.leftover_from is None and meal.method:
                assert meal.name in page
    kept = [meal for day in plan.days for meal in day.meals if meal.leftover_from is not None]
    assert page.count("Box for ") >= len(kept) > 0


def test_a_week_is_put_away_while_its_client_must_not_act(app, browser, client, lifter):
    refused = lifter.model_copy(update={"health": ("stress fracture",)})
    browser.post_form(
        f"/clients/{client.id}/amend/json",
        pasted=refused.model_dump_json(),
        reason="reported today",
        was="1",
    )
    for path in ("week", "today", f"days/{DAY}", "list", "cooking", "paper", "weeks"):
        page = browser.get(f"/clients/{client.id}/{path}")
        assert page.status_code == 200, path
        assert "For the coach to read" in page.text
        assert "stress fracture" in page.text
    for path in ("plans", f"days/{DAY}/another"):
        answer = browser.post_form(f"/clients/{client.id}/{path}", first=DAY, days="7", was="1")
        assert answer.status_code == 422, path
    who = Principal("client", client.coach_id, "client", client_id=client.id, link_id="l1")
    app.dependency_overrides[principal_of] = lambda: who
    for path in ("week", "today", "worksheet", f"days/{DAY}", "list"):
        page = browser.get(f"/clients/{client.id}/{path}")
        assert page.status_code == 422, path
        assert "stress fracture" in page.text
        assert "Speak with your coach" in page.text
        assert "kcal" not in page.text
    app.dependency_overrides.clear()
    for path in ("plan", f"days/{DAY}", "targets"):
        answer = browser.get(f"/api/clients/{client.id}/{path}")
        assert answer.status_code == 422
        assert answer.json()["error"]["code"] == "refused_for_safety"
        assert any("[stress_fracture]" in one for one in answer.json()["error"]["details"])
