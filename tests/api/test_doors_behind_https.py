"""Behind HTTPS cookies are bound to their host; bodies must be what they say."""

import dataclasses

import pytest

from api.app.app import create_app
from api.security.accounts import add_coach
from api.settings import database_url
from tests.api.conftest import PASSWORD, AsgiTransport, Browser

OURS = ("guard", "sign_in")


@pytest.fixture
def secure(settings, store, clock, portal):
    app = create_app(dataclasses.replace(settings, accounts=True, secure_cookies=True), store)
    add_coach(store, "north-harbour", PASSWORD, clock.now())
    with Browser(
        transport=AsgiTransport(app, portal),
        base_url="https://testserver",
        follow_redirects=False,
    ) as browser:
        yield browser


def signed_in(browser):
    guard = browser.get("/sign-in").cookies["__Host-guard"]
    form = {"guard": guard, "login": "north-harbour", "password": PASSWORD}
    return browser.post("/sign-in", data=form)


def test_cookies_are_bound_to_the_host(secure):
    answer = signed_in(secure)
    assert answer.status_code == 303
    set_now = [line for line in answer.headers.get_list("set-cookie") if "Max-Age=0" not in line]
    assert [line.split("=")[0] for line in set_now] == ["__Host-sign_in"]
    for line in answer.headers.get_list("set-cookie"):
        # source: published (RFC 6265bis 4.1.3.2: Secure, Path=/ and no Domain, or it is not set)
        assert line.startswith("__Host-")
        words = [word.strip().lower() for word in line.split(";")]
        assert "secure" in words
        assert "path=/" in words
        assert not any(word.startswith("domain") for word in words)
    assert secure.get("/").status_code == 200


def test_a_cookie_that_another_host_could_set_does_not_count(secure):
    signed_in(secure)
    token = secure.cookies["__Host-sign_in"]
    secure.cookies.clear()
    assert secure.get("/", headers={"cookie": f"sign_in={token}"}).status_code == 303
    assert secure.get("/", headers={"cookie": f"__Host-sign_in={token}"}).status_code == 200


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("/api/clients", "text/plain"),
        ("/api/clients", "application/x-www-form-urlencoded"),
        ("/api/clients", ""),
        ("/clients", "application/json"),
        ("/clients", "text/plain"),
    ],
)
def test_a_body_in_another_form_is_refused(browser, path, said):
    headers = {"content-type": said} if said else {}
    answer = browser.post(path, content=b"{}", headers=headers)
    assert answer.status_code == 415


def test_answers_to_programs_are_files_and_pages_are_not(browser, client):
    assert browser.get(f"/api/clients/{client.id}").headers["content-disposition"] == (
        'attachment; filename="api.json"'
    )
    assert "content-disposition" not in browser.get("/").headers


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("postgresql://m@db.internal/m", "?sslmode=verify-full&sslrootcert=system"),
        ("postgresql://m@db/m?connect_timeout=3", "&sslmode=verify-full&sslrootcert=system"),
        ("postgresql://m@db/m?sslmode=require", ""),
        ("postgresql://m@127.0.0.1/m", ""),
        ("postgresql:///m?host=/run/postgresql", ""),
    ],
)
def test_a_database_elsewhere_is_spoken_to_over_tls(given, kept):
    assert database_url(given) == given.replace("postgresql:", "postgresql+psycopg:") + kept
