"""A client whose numbers are hidden meets no weight and no calorie, by any route there is."""

import dataclasses
import datetime as dt
import re

import pytest

from api.app.app import create_app
from api.security import accounts
from mealplan.checkin.log.entries import ENTRY
from mealplan.errors import NoPlanError
from mealplan.jobs import packed
from mealplan.render.html import menu_html
from tests.api.conftest import PASSWORD, a_job, add_planned, records_for
from tests.api.test_isolation import FORM, ROUTES, bodies, filled

CALORIES = re.compile(r"kcal|\d calor|\bkJ\b|nine times in ten", re.IGNORECASE)
WEIGHTS = re.compile(r"\b(8[345]\.\d+ (?:kg|lb)|83\.731|15\.317|68\.129|1,?733|88\.527)\b")
"""What the intake and the log below hold: masses, a resting test, a girth."""


@pytest.fixture
def hidden(settings, store, browse, clock, lifter, planned):
    """A client with the switch on and a full log, in by a link; and the coach's browser."""
    app = create_app(dataclasses.replace(settings, accounts=True), store)
    coach = accounts.add_coach(store, "north", PASSWORD, clock.at)
    intake = lifter.model_copy(update={"hide_numbers": True, "weight_kg": 83.731, "scan": None})
    client = add_planned(app, intake, planned, coach.id)
    records = records_for(app, coach.id)
    records.log.add(client, [ENTRY.validate_python(entry) for entry in history()])
    error = NoPlanError("2,310 kcal cannot be reached at 83.731 kg", ("2,310 kcal at 83.731 kg",))
    solve = a_job(app, client, state="failed", error=packed(error))
    token, link = records.links.hand_out(client, 90)
    athlete, coach_browser = browse(app), browse(app)
    athlete.get(f"/link/{token}")
    coach_browser.post_form("/sign-in", login="north", password=PASSWORD)
    places = {
        "client_id": client.id,
        "link_id": link.id,
        "solve_id": solve.id,
        "entry_id": records.log.read(client).entries[0].id,
    }
    yield athlete, coach_browser, places
    app.state.service.jobs.close()


def history():
    """Nine weeks of a fast loss, with every kind of entry."""
    first = dt.date(2026, 9, 28)
    for place in range(63):
        on = (first + dt.timedelta(days=place)).isoformat()
        yield {"kind": "weigh-in", "on": on, "value": round(84.913 - 0.01 * place, 3)}
        yield {"kind": "intake", "on": on, "adherence": "other", "kcal": 1733, "planned_kcal": 3260}
    last = "2026-11-30"
    for fat, lean, on in ((15.317, 68.129, "2026-09-28"), (15.317, 68.129, last)):
        yield {"kind": "scan", "on": on, "fat_kg": fat, "lean_kg": lean, "machine": "one"}
    yield {"kind": "girth", "on": "2026-09-28", "site": "waist", "value": 88.527}
    yield {"kind": "girth", "on": last, "site": "waist", "value": 88.527}
    yield {"kind": "rmr test", "on": last, "kcal": 1733}
    yield {"kind": "training", "on": last, "what": "rows", "net_kcal": 1733}
    yield {"kind": "test", "on": "2026-09-28", "name": "plank", "value": 90, "unit": "s"}
    yield {"kind": "test", "on": last, "name": "plank", "value": 120, "unit": "s"}
    yield {"kind": "feeling", "on": last, "hunger": 5}


def ask(browser, method, path, places, lifter):
    address = filled(path, places)
    if method in ("GET", "DELETE"):
        return browser.request(method, address, headers={"If-Match": "*"})
    if path.startswith("/api/"):
        return browser.request(method, address, json=bodies(path, lifter))
    return browser.post_form(address, **FORM | {"value": "", "pasted": "date,weight\n1,2"})


def numbers(text):
    return sorted({found.group() for found in (*CALORIES.finditer(text), *WEIGHTS.finditer(text))})


@pytest.mark.parametrize("store", ["memory"], indirect=True)
@pytest.mark.parametrize(("method", "path"), ROUTES)
def test_a_client_whose_numbers_are_hidden_meets_none(hidden, lifter, method, path):
    athlete, _, places = hidden
    answer = ask(athlete, method, path, places, lifter)
    if path.startswith("/static/") or path == "/service-worker.js":
        return
    assert numbers(answer.text) == []


def test_the_look_for_numbers_finds_them():
    # source: worked by hand (a search that finds nothing proves nothing)
    text = "now 84.2 kg, 2,310 kcal, girth 88.527, fat 15.317, 1,733"
    assert numbers(text) == ["1,733", "15.317", "84.2 kg", "88.527", "kcal"]


@pytest.mark.parametrize("store", ["memory"], indirect=True)
@pytest.mark.parametrize("page", ["checkin", "week", "today", "days/2026-12-01", "worksheet"])
def test_the_same_pages_show_the_coach_the_numbers(hidden, page):
    _, coach, places = hidden
    assert "kcal" in numbers(coach.get(f"/clients/{places['client_id']}/{page}").text)


@pytest.mark.parametrize("store", ["memory"], indirect=True)
@pytest.mark.parametrize("page", ["week", "days/2026-12-01", "days/2026-12-01/meals/0"])
def test_what_the_coach_prints_for_the_client_leaves_calories_off_paper(hidden, page):
    _, coach, places = hidden
    text = coach.get(f"/clients/{places['client_id']}/{page}").text
    assert '<body class="discreet">' in text
    kept = re.sub(
        r'<(\w+)[^>]*class="[^"]*\b(?:energy|screen)\b[^"]*".*?</\1>', "", text, flags=re.S
    )
    kept = re.sub(r'<script type="application/ld\+json">.*?</script>', "", kept)
    kept = re.sub(r'<p class="soft" id="ate-\d-hint">.*?</p>', "", kept)
    assert numbers(kept) == []


def test_the_printed_menu_leaves_calories_out(lifter, planned):
    from api.records.reading import plan_of

    shown = menu_html(lifter, plan_of(planned))
    hidden = menu_html(lifter.model_copy(update={"hide_numbers": True}), plan_of(planned))
    assert CALORIES.search(re.sub(r"<style>.*?</style>", "", shown, flags=re.S))
    assert numbers(re.sub(r"<style>.*?</style>", "", hidden, flags=re.S)) == []


@pytest.mark.parametrize("store", ["memory"], indirect=True)
@pytest.mark.parametrize("page", ["", "/checkin", "/review", "/worksheet"])
def test_pages_with_numbers_say_on_paper_that_they_are_the_coachs(hidden, page):
    _, coach, places = hidden
    text = coach.get(f"/clients/{places['client_id']}{page}").text
    assert '<p class="attention">For the coach:' in text


@pytest.mark.parametrize("store", ["memory"], indirect=True)
def test_the_switch_is_on_the_intake_form(hidden):
    _, coach, places = hidden
    page = coach.get(f"/clients/{places['client_id']}/amend").text
    assert 'name="hide_numbers" value="yes" checked' in page


@pytest.mark.parametrize("store", ["memory"], indirect=True)
def test_a_blind_weigh_in_is_kept_for_the_coach(hidden, clock):
    athlete, coach, places = hidden
    page = athlete.post_form(
        f"/clients/{places['client_id']}/checkin/weigh-in",
        on="2026-12-01",
        value="81.25",
        unit="kg",
    )
    assert page.status_code == 200
    assert "81.25" not in page.text
    assert "81.25 kg" in coach.get(f"/clients/{places['client_id']}/checkin").text
