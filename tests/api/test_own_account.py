"""A coach's own account: codes, passwords, sign-ins, handing over; and limits on wrong tries."""

import base64
import dataclasses
import datetime as dt
import re

import pytest

from api.app.app import create_app
from api.security import accounts, second_factor
from api.security.passwords import check_password, is_common
from api.security.throttle import TRIES_A_LOGIN, SignInThrottle, TooManyTries
from mealplan.errors import StoreError
from mealplan.store.records import Client, Coach, Link, SignIn, Try
from tests.api.conftest import NOW, PASSWORD, add_planned, records_for
from tests.mealplan.store.memory import MemoryStore

OTHER = "quite another sentence"


@pytest.fixture
def guarded(settings, store, clock):
    app = create_app(dataclasses.replace(settings, accounts=True), store)
    accounts.add_coach(store, "north", PASSWORD, clock.now())
    yield app
    app.state.service.jobs.close()


def signed_in(guarded, browse, password=PASSWORD, **fields):
    browser = browse(guarded)
    browser.page = browser.post_form("/sign-in", login="north", password=password, **fields)
    return browser


# source: published (RFC 6238, appendix B, SHA-1; the last six of its eight digits)
VECTORS = [
    (59, "287082"),
    (1111111109, "081804"),
    (1111111111, "050471"),
    (1234567890, "005924"),
    (2000000000, "279037"),
    (20000000000, "353130"),
]


@pytest.mark.parametrize(("moment", "code"), VECTORS)
def test_codes_are_those_of_the_standard(moment, code):
    secret = base64.b32encode(b"12345678901234567890").decode()
    assert second_factor.code_at(secret, moment // 30) == code
    assert second_factor.step_of(secret, code, moment, 0) == moment // 30
    assert second_factor.step_of(secret, code, moment + 30, 0) == moment // 30
    assert second_factor.step_of(secret, code, moment + 90, 0) is None
    assert second_factor.step_of(secret, code, moment, moment // 30) is None


@pytest.mark.parametrize(
    "password",
    ["passwordpassword1", "P@ssw0rd2026!", "qwertyuiop123", "north-north-99", "Summer2026Summer",
     "111222333444555", "iloveyou-12345", "letmein!!letmein"],
)  # fmt: skip
def test_common_passwords_are_refused(password):
    assert is_common(password, "north")
    with pytest.raises(StoreError):
        check_password(password, "north")


@pytest.mark.parametrize(
    "password", [PASSWORD, OTHER, "rain on the harbour", "tr4vel kettle moss", "ÄpfelimHerbst!"]
)
def test_sentences_are_taken(password):
    check_password(password, "north")


def test_a_second_factor_is_set_up_asked_for_and_let_go(guarded, browse, clock):
    browser = signed_in(guarded, browse)
    page = browser.post_form("/account/second-factor", do="start", password=PASSWORD)
    secret = re.search(r"<code>([A-Z2-7]{32})</code>", page.text)[1]

    def code():
        return second_factor.code_at(secret, int(clock.at.timestamp()) // 30)

    wrong = browser.post_form(
        "/account/second-factor", do="confirm", secret=secret, code="000000", password=PASSWORD
    )
    assert wrong.status_code == 422
    browser.post_form(
        "/account/second-factor", do="confirm", secret=secret, code=code(), password=PASSWORD
    )
    assert signed_in(guarded, browse).page.status_code == 401
    clock.at += dt.timedelta(seconds=second_factor.STEP_S)
    other = signed_in(guarded, browse, code=code())
    assert other.page.status_code == 200
    assert signed_in(guarded, browse, code=code()).page.status_code == 401  # used already
    assert "tried a second time" in other.get("/account").text
    other.post_form("/account/second-factor", do="off", password=PASSWORD)
    assert signed_in(guarded, browse).page.status_code == 200


def test_no_second_factor_is_planted_without_the_password(guarded, browse, clock):
    browser = signed_in(guarded, browse)
    secret = second_factor.new_secret()
    code = second_factor.code_at(secret, int(clock.at.timestamp()) // 30)
    answer = browser.post_form(
        "/account/second-factor", do="confirm", secret=secret, code=code, password="wrong one"
    )
    assert answer.status_code == 422
    with guarded.state.service.store.reading() as unit:
        assert unit.find(Coach, login="north")[0].second_factor == ""


def test_a_coach_changes_the_password_and_every_other_browser_is_signed_out(guarded, browse):
    first, second = signed_in(guarded, browse), signed_in(guarded, browse)
    wrong = second.post_form("/account/password", old="not this one", new=OTHER)
    assert wrong.status_code == 422
    weak = second.post_form("/account/password", old=PASSWORD, new="passwordpassword1")
    assert "guessers" in weak.text
    # source: published (ASVS 4.0.3, 2.1.2: 64 letters and more are taken, over 128 are not)
    long = second.post_form("/account/password", old=PASSWORD, new="a long sentence " * 9)
    assert "more than 128" in long.text
    second.post_form("/account/password", old=PASSWORD, new=OTHER)
    assert second.get("/account").status_code == 200
    assert "Sign in" in first.get("/account").text
    assert signed_in(guarded, browse).page.status_code == 401
    assert signed_in(guarded, browse, OTHER).page.status_code == 200


def test_sign_ins_are_listed_and_ended(guarded, browse):
    first, second = signed_in(guarded, browse), signed_in(guarded, browse)
    page = second.get("/account").text
    (handle,) = re.findall(r'name="handle" value="(\w+)"', page)
    assert "signed in anew" in page
    wrong = second.post_form("/account/sign-ins", handle=handle, password="not this one")
    assert (wrong.status_code, first.get("/account").status_code) == (422, 200)
    second.post_form("/account/sign-ins", handle=handle, password=PASSWORD)
    assert "Sign in" in first.get("/account").text
    assert second.get("/account").status_code == 200
    with guarded.state.service.store.reading() as unit:
        assert unit.count(SignIn) == 1


def test_a_removed_coach_hands_clients_over(guarded, browse, store, clock, lifter, planned):
    accounts.add_coach(store, "south", OTHER, clock.now())
    with store.reading() as unit:
        north, south = (unit.find(Coach, login=name)[0] for name in ("north", "south"))
    client = add_planned(guarded, lifter, planned, north.id)
    records_for(guarded, north.id).links.hand_out(client, 7)
    browser = signed_in(guarded, browse)
    with pytest.raises(StoreError, match="two coaches"):
        accounts.remove_coach(store, "north", "north", NOW)
    assert accounts.remove_coach(store, "north", "south", NOW) == 1
    with store.reading() as unit:
        assert unit.get(Client, client.id).coach_id == south.id
        assert unit.find(Coach, login="north") == ()
        assert unit.find(Link, client_id=client.id)[0].revoked_at is not None
    assert "Sign in" in browser.get(f"/clients/{client.id}").text
    assert records_for(guarded, south.id).clients.one(client.id).id == client.id


def test_an_office_signs_in_as_often_as_it_likes(guarded, browse):
    assert {signed_in(guarded, browse).page.status_code for _ in range(12)} == {200}
    with guarded.state.service.store.reading() as unit:
        assert unit.count(Try) == 0


def test_one_login_is_guessed_at_from_many_addresses_only_so_often(clock):
    store = MemoryStore()
    throttle = SignInThrottle(store, 5, clock.now)
    for number in range(TRIES_A_LOGIN):
        throttle.begin("north", f"203.0.113.{number}")
    with pytest.raises(TooManyTries):
        throttle.begin("north", "198.51.100.1")
    throttle.begin("south", "198.51.100.1")
    # another process over the same records counts the same
    with pytest.raises(TooManyTries):
        SignInThrottle(store, 5, clock.now).begin("north", "198.51.100.2")
