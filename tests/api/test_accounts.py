import dataclasses
import datetime as dt

import pytest

from api.app.app import create_app
from api.app.serve import settings_for
from api.desk.deps import local_coach
from api.security import accounts
from mealplan.errors import StoreError
from mealplan.store.records import Coach, SignIn
from tests.api.conftest import NOW, PASSWORD, add_planned


@pytest.fixture
def settings(settings):
    return dataclasses.replace(settings, accounts=True)


@pytest.fixture
def coach(store, clock):
    return accounts.add_coach(store, "north", PASSWORD, clock.at)


@pytest.fixture
def coached(app, coach, lifter, planned):
    return add_planned(app, lifter, planned, coach.id)


def sign_in(browser, login="north", password=PASSWORD):
    return browser.post_form("/sign-in", login=login, password=password)


def test_a_page_without_a_sign_in_leads_to_the_form(browser, coach):
    assert browser.get("/").url.path == "/sign-in"


def test_a_coach_signs_in_and_sees_the_roster(browser, coach, coached):
    page = sign_in(browser)
    assert page.url.path == "/"
    assert "Club lifter" in page.text


@pytest.mark.parametrize(
    ("login", "password"), [("north", "another sentence"), ("south", PASSWORD)]
)
def test_a_wrong_login_reads_the_same_as_a_wrong_password(browser, coach, login, password):
    page = sign_in(browser, login, password)
    assert page.status_code == 401
    assert "do not belong together" in page.text
    assert PASSWORD not in page.text


def test_wrong_passwords_are_met_with_waiting(browser, coach, clock):
    for _ in range(5):
        assert sign_in(browser, password="wrong password").status_code == 401
    page = sign_in(browser)
    assert page.status_code == 429
    assert page.headers["retry-after"] == "900"
    clock.at += dt.timedelta(minutes=16)
    assert sign_in(browser).status_code == 200


def test_a_sign_in_ends_by_itself(browser, coach, clock):
    sign_in(browser)
    clock.at += dt.timedelta(hours=13)
    assert browser.get("/").url.path == "/sign-in"


def test_signing_out_ends_it_everywhere_that_token_is_held(app, browser, browse, coach):
    sign_in(browser)
    other = browse(app)
    other.cookies.set("sign_in", browser.cookies["sign_in"])
    assert other.get("/").url.path == "/"
    browser.post_form("/sign-out")
    assert other.get("/").url.path == "/sign-in"


def test_a_new_password_signs_every_browser_out(app, browser, store, coach):
    sign_in(browser)
    accounts.change_password(store, "north", "quite another sentence", NOW)
    assert browser.get("/").url.path == "/sign-in"
    assert sign_in(browser).status_code == 401
    assert sign_in(browser, password="quite another sentence").status_code == 200


def test_passwords_and_tokens_are_kept_only_as_hashes(browser, store, coach):
    sign_in(browser)
    with store.reading() as unit:
        assert unit.get(Coach, coach.id).password_hash.startswith("$argon2id$")
        assert browser.cookies["sign_in"] not in str(unit.find(SignIn))


def test_cookies_are_out_of_reach_of_scripts_and_other_sites(app, browse, coach):
    browser = browse(app)
    browser.follow_redirects = False
    answer = browser.post_form("/sign-in", login="north", password=PASSWORD)
    set_cookies = [c for c in answer.headers.get_list("set-cookie") if c.startswith("sign_in=")]
    assert "HttpOnly" in set_cookies[0]
    assert "SameSite=lax" in set_cookies[0]


def test_behind_https_cookies_are_secure_and_https_is_insisted_on(settings, store, browse, coach):
    app = create_app(dataclasses.replace(settings, secure_cookies=True), store)
    answer = browse(app).get("/sign-in")
    assert "Secure" in answer.headers["set-cookie"]
    assert "max-age" in answer.headers["strict-transport-security"]
    app.state.service.jobs.close()


@pytest.mark.parametrize("password", ["short", "aaaaaaaaaaaaaaaa"])
def test_a_password_that_is_guessed_quickly_is_refused(store, clock, password):
    with pytest.raises(StoreError, match="take at least 12"):
        accounts.add_coach(store, "south", password, clock.at)


def test_a_taken_login_is_refused(store, coach, clock):
    with pytest.raises(StoreError, match="is taken"):
        accounts.add_coach(store, "North", PASSWORD, clock.at)


def test_the_first_coach_takes_over_what_was_entered_without_accounts(app, store, clock, lifter):
    from tests.api.conftest import records_for

    before = local_coach(app.state.service)
    client = records_for(app).clients.take_on(lifter)
    coach = accounts.add_coach(store, "north", PASSWORD, clock.at)
    assert coach.id == before.id == client.coach_id


def test_nobody_signs_in_as_the_coach_without_a_password(app, browser, coach):
    local_coach(app.state.service)
    assert sign_in(browser, "local", "").status_code == 401


def test_listening_for_others_without_accounts_is_refused(store):
    with pytest.raises(StoreError, match="mealplan coach add"):
        settings_for(store, "0.0.0.0")


def test_listening_for_others_with_accounts_is_allowed(store, coach):
    assert settings_for(store, "0.0.0.0").accounts


def test_a_public_name_without_accounts_is_refused(store):
    with pytest.raises(StoreError, match="without accounts"):
        settings_for(store, "127.0.0.1", "menus.example")


def link_for(browser, client):
    page = browser.post_form(f"/clients/{client.id}/links", days="7")
    return page.text.partition('readonly value="http://testserver')[2].partition('"')[0]


@pytest.fixture
def athlete(app, browser, browse, coached):
    sign_in(browser)
    opened = browse(app)
    opened.get(link_for(browser, coached))
    return opened


def test_a_link_opens_on_todays_sheet_without_the_coachs_pages(athlete, coached):
    page = athlete.get(f"/clients/{coached.id}/today")
    assert page.status_code == 200
    assert 'href="/"' not in page.text
    assert athlete.get(f"/clients/{coached.id}").status_code == 403


def test_a_client_may_ask_for_another_dish(athlete, coached):
    page = athlete.post_form(
        f"/clients/{coached.id}/days/2026-12-02/meals/0", do="another", was="1"
    )
    assert "Changed on Wednesday" in page.text


def test_a_link_ends_on_its_day(athlete, coached, clock):
    clock.at += dt.timedelta(days=8)
    page = athlete.get(f"/clients/{coached.id}/today")
    assert page.url.path == "/link-over"
    assert "This link has ended" in page.text


def test_a_link_taken_back_stops_at_once(browser, athlete, coached):
    link = browser.get(f"/api/clients/{coached.id}/links").json()["links"][0]
    page = browser.post_form(f"/clients/{coached.id}/links/{link['id']}/revoke")
    assert "taken back" in page.text
    assert athlete.get(f"/clients/{coached.id}/today").url.path == "/link-over"


def test_a_made_up_link_says_that_it_has_ended(browse, app):
    assert browse(app).get("/link/nobody-ever-made-this").url.path == "/link-over"


def test_a_link_is_drawn_to_scan_and_says_what_its_holder_can_do(browser, coached):
    sign_in(browser)
    page = browser.post_form(f"/clients/{coached.id}/links", days="7").text
    assert 'class="qr"' in page
    assert "Whoever holds it" in page
    assert "Whoever holds it" in browser.get(f"/clients/{coached.id}").text


def test_handing_out_and_taking_back_are_on_the_trail(browser, athlete, coached):
    link = browser.get(f"/api/clients/{coached.id}/links").json()["links"][0]
    browser.post_form(f"/clients/{coached.id}/links/{link['id']}/revoke")
    trail = browser.get(f"/api/clients/{coached.id}/trail").json()["entries"]
    assert [entry["what"] for entry in trail][:2] == ["link taken back", "link handed out"]
    assert {entry["by"] for entry in trail[:2]} == {"north"}


def test_what_a_client_changes_is_on_the_trail_as_theirs(browser, athlete, coached):
    athlete.post_form(f"/clients/{coached.id}/days/2026-12-01/meals/0", do="likes", was="1")
    entry = browser.get(f"/api/clients/{coached.id}/trail").json()["entries"][0]
    assert (entry["by"], entry["what"]) == ("client", "likes and dislikes")


def test_an_override_is_on_the_trail_with_who_and_why(browser, athlete, coached, lifter):
    override = {
        "finding": "eating_disorder",
        "by": "registered dietitian",
        "reason": "seen on 20 November, plan agreed",
        "until": "2027-03-01",
    }
    body = {
        "intake": lifter.model_dump(mode="json") | {"professional_overrides": [override]},
        "reason": "dietitian's word",
    }
    browser.put(f"/api/clients/{coached.id}/intake", json=body, headers={"If-Match": '"1"'})
    detail = browser.get(f"/api/clients/{coached.id}/trail").json()["entries"][0]["detail"]
    assert "registered dietitian" in detail
    assert "seen on 20 November" in detail


def test_a_program_signs_in_for_a_token(browser, coach, coached):
    answer = browser.post("/api/sign-in", json={"login": "north", "password": PASSWORD})
    headers = {"Authorization": f"Bearer {answer.json()['token']}"}
    assert browser.get("/api/clients").status_code == 401
    assert len(browser.get("/api/clients", headers=headers).json()["clients"]) == 1
    assert browser.delete("/api/sign-in", headers=headers).status_code == 204
    assert browser.get("/api/clients", headers=headers).status_code == 401
