import pytest

from api.app.app import create_app
from api.jobs.kinds import run_of
from mealplan.jobs.carry_out import carry_out
from mealplan.plan import Plan
from mealplan.targets.ranges import Targets
from tests.api.conftest import add_planned, intake_json


def test_targets_are_worked_out_without_keeping_anything(browser, lifter):
    answer = browser.post("/api/targets", json=intake_json(lifter))
    targets = Targets.model_validate(answer.json())
    assert targets.energy.value > 2500
    assert browser.get("/api/clients").json() == {"clients": []}


def test_page_and_interface_show_the_same_plan(browser, client, planned):
    body = browser.get(f"/api/clients/{client.id}/plan").json()
    assert Plan.model_validate(body["plan"]) == Plan.model_validate_json(planned)


def test_a_client_is_taken_on_and_planned(browser, lifter):
    made = browser.post("/api/clients", json={"intake": intake_json(lifter)})
    assert made.status_code == 201
    answer = browser.post(f"{made.headers['location']}/plans", json={"days": 2})
    assert answer.status_code == 201
    assert len(answer.json()["plan"]["days"]) == 2
    assert answer.headers["etag"] == '"1"'


class KeptForLater:
    """Keeps jobs without carrying them out, as a service whose workers are all taken."""

    def __init__(self, store):
        self.store = store

    def submit(self, job):
        with self.store.writing() as unit:
            unit.add(job)
        return job

    def close(self):
        """Nothing was opened."""


def test_a_plan_that_takes_longer_than_the_wait_is_followed_at_its_address(
    settings, store, browse, lifter, planned
):
    app = create_app(settings, store, KeptForLater(store))
    client = add_planned(app, lifter, planned)
    browser = browse(app)
    answer = browser.post(f"/api/clients/{client.id}/plans?wait=0", json={"days": 1})
    assert answer.status_code == 202
    assert int(answer.headers["retry-after"]) > 0
    where = answer.headers["location"]
    assert browser.get(where).json()["state"] == "waiting"
    carry_out(store, where.rpartition("/")[2], run_of(settings, lambda: None), settings.now)
    ended = browser.get(where).json()
    assert ended["state"] == "done", ended
    kept = browser.get(f"/api/clients/{client.id}/plan").json()
    assert kept["number"] == client.plan_number + 1


def test_an_amendment_needs_the_number_it_changes(browser, client, lifter):
    body = {"intake": intake_json(lifter, weight_kg=81.0), "reason": "weigh-in"}
    address = f"/api/clients/{client.id}/intake"
    assert browser.put(address, json=body).status_code == 422
    etag = browser.get(address).headers["etag"]
    assert browser.put(address, json=body, headers={"If-Match": etag}).status_code == 200
    stale = browser.put(address, json=body, headers={"If-Match": etag})
    assert stale.status_code == 412
    assert stale.json()["error"]["code"] == "stale"


def test_a_repeated_write_with_its_key_is_carried_out_once(browser, lifter):
    def send(key, role="club rower"):
        return browser.post(
            "/api/clients",
            json={"intake": intake_json(lifter, role=role)},
            headers={"Idempotency-Key": key},
        )

    first, second = send("one"), send("one")
    assert (first.status_code, first.json()) == (second.status_code, second.json())
    assert second.headers["location"] == first.headers["location"]
    assert second.headers["idempotent-replay"] == "true"
    assert len(browser.get("/api/clients").json()["clients"]) == 1
    assert send("one", role="club cyclist").status_code == 409
    assert send("two").json()["id"] != first.json()["id"]


def test_a_refused_write_frees_its_key(browser, lifter):
    headers = {"Idempotency-Key": "again"}
    bad = {"intake": intake_json(lifter, tastes={"never": ["nosuchfood"]})}
    assert browser.post("/api/clients", json=bad, headers=headers).status_code == 422
    good = {"intake": intake_json(lifter)}
    assert browser.post("/api/clients", json=good, headers=headers).status_code == 201


def test_a_day_changed_by_an_old_number_is_refused(browser, client):
    answer = browser.post(
        f"/api/clients/{client.id}/days/2026-12-01", json={}, headers={"If-Match": '"7"'}
    )
    assert answer.status_code == 412


def test_eaten_foods_enter_the_day(browser, client):
    body = {
        "eaten": [{"slot": 0, "name": "a banana", "foods": [{"food": "banana", "grams": 120}]}],
        "another": [],
    }
    answer = browser.post(f"/api/clients/{client.id}/days/2026-12-01", json=body)
    meal = answer.json()["plan"]["days"][1]["meals"][0]
    assert (meal["name"], meal["servings"][0]["grams"]) == ("a banana", 120.0)


def test_tastes_are_added_and_unknown_words_refused(browser, client):
    address = f"/api/clients/{client.id}/tastes"
    answer = browser.post(address, json={"likes": ["mango", "chickpeas"]})
    assert "chickpeas" in answer.json()["intake"]["tastes"]["likes"]
    refused = browser.post(address, json={"never": ["nosuchfood"]})
    assert refused.json()["error"]["code"] in ("intake", "food")


REFUSED = [
    ("GET", "/api/nothing", None, 404, "not_there"),
    ("GET", "/api/clients/none", None, 404, "not_there"),
    ("GET", "/api/solves/none", None, 404, "not_there"),
    ("PATCH", "/api/clients", None, 405, "method"),
    ("POST", "/api/clients", {}, 422, "request"),
    ("POST", "/api/clients", {"intake": {"role": "x"}}, 422, "request"),
    ("POST", "/api/sign-in", {"login": "a", "password": "b"}, 403, "not_allowed"),
    ("POST", "/api/targets", {"role": 1}, 422, "request"),
]


@pytest.mark.parametrize(("method", "path", "body", "status", "code"), REFUSED)
@pytest.mark.parametrize("store", ["memory"], indirect=True)
def test_every_refusal_has_one_shape(browser, method, path, body, status, code):
    answer = browser.request(method, path, json=body)
    assert answer.status_code == status
    error = answer.json()["error"]
    assert set(answer.json()) == {"error"}
    assert set(error) == {"code", "message", "mend", "details"}
    assert (error["code"], bool(error["message"]), bool(error["mend"])) == (code, True, True)


def test_a_safety_refusal_names_whom_to_see(browser, lifter):
    answer = browser.post("/api/targets", json=intake_json(lifter, age_years=15))
    assert answer.status_code == 422
    assert answer.json()["error"]["code"] == "refused_for_safety"
    assert "See" in answer.json()["error"]["message"]


def test_a_mistake_of_ours_keeps_the_shape_and_says_nothing_of_the_inside(browser, monkeypatch):
    from api.records.book import Records

    monkeypatch.setattr(Records, "clients", lambda self: 1 / 0)
    answer = browser.get("/api/clients")
    assert answer.status_code == 500
    assert answer.json()["error"]["code"] == "failed"
    assert "division" not in answer.text


def test_a_request_to_another_name_is_turned_away(browser):
    # A page of another site that points its name at this machine must not get in.
    answer = browser.get("/", headers={"Host": "elsewhere.example"})
    assert answer.status_code == 400


@pytest.mark.parametrize(
    "headers", [{"Origin": "http://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}]
)
def test_a_write_from_another_site_is_turned_away(browser, headers, lifter):
    answer = browser.post("/api/clients", json={"intake": intake_json(lifter)}, headers=headers)
    assert answer.status_code == 403
    assert answer.json()["error"]["code"] == "form_refused"


@pytest.mark.parametrize("path", ["/", "/api/clients", "/static/sheet.css", "/nothing"])
@pytest.mark.parametrize("store", ["memory"], indirect=True)
def test_every_answer_carries_the_security_headers(browser, path):
    headers = browser.get(path).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert "frame-ancestors 'none'" in policy


def test_the_interface_is_described_with_examples_and_refusals(browser):
    spec = browser.get("/api/openapi.json").json()
    assert spec["openapi"].startswith("3.1")
    for path, methods in spec["paths"].items():
        assert path.startswith("/api/")
        for method, operation in methods.items():
            assert operation["summary"], (method, path)
            assert operation["description"], (method, path)
            assert operation["tags"]
            assert "422" in operation["responses"]
    body = spec["components"]["schemas"]["NewClient"]
    assert "role" in body["properties"]["intake"]["examples"][0]


def test_the_example_intake_of_the_description_can_be_used(browser):
    spec = browser.get("/api/openapi.json").json()
    example = spec["components"]["schemas"]["NewClient"]["properties"]["intake"]["examples"][0]
    assert browser.post("/api/clients", json={"intake": example}).status_code == 201
