"""A document this release cannot read is set aside and said on a clear page, never a 500."""

import dataclasses

import pytest

from api.records.own_kept import keep_dish, keep_food
from foods.custom.as_catalogue import catalogue_with
from foods.custom.own_file import parse_own_foods
from foods.dishes.load import own_dishes
from mealplan.demo.folders import example_text
from mealplan.store.records import Decision, IntakeVersion, Logged, OwnVersion, SavedPlan, new_id
from tests.api.conftest import NOW, records_for, routes
from tests.mealplan.store.memory import MemoryStore

NEWER = '{"document":"%s","version":99,"content":{}}'
KINDS = {
    IntakeVersion: "intake",
    SavedPlan: "plan",
    Logged: "log entry",
    Decision: "decision",
    OwnVersion: "food of one's own",
}
SHAPES = ("newer", '{"height": 3}', "no JSON at all", "[]")


@pytest.fixture
def store():
    return MemoryStore()


@pytest.fixture
def kept(app, client):
    """A client with a document of each kind; the coach keeps foods and dishes."""
    records = records_for(app)
    foods = parse_own_foods(example_text("foods"))
    for food in foods:
        keep_food(records, food, "entered", 0)
    for dish in own_dishes(example_text("dishes"), "dishes", catalogue_with(foods)):
        keep_dish(records, dish, "entered", 0)
    facts = {"made_at": NOW, "client_id": client.id, "day": NOW.date(), "by": "coach"}
    with records.store.writing() as unit:
        unit.add(Logged(id=new_id(), body="{}", **facts))
        unit.add(Decision(id=new_id(), body="{}", **facts))
    return client


def addresses(client):
    """Every address of pages and programs that needs no more than the client to be named."""
    for route in routes():
        path = route.path.replace("{client_id}", client.id).replace("{date}", "2026-12-01")
        if "GET" in route.methods and "{" not in path:
            yield path


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
@pytest.mark.parametrize("shape", SHAPES)
def test_no_page_breaks_on_a_document_of_another_shape(app, browser, kept, kind, shape):
    body = NEWER % KINDS[kind] if shape == "newer" else shape
    records = records_for(app)
    with records.store.writing() as unit:
        for record in unit.find(kind):
            unit.change(dataclasses.replace(record, body=body))
    asked = list(addresses(kept))
    assert len(asked) > 25
    answers = {path: browser.get(path) for path in asked}
    assert {path: a.status_code for path, a in answers.items() if a.status_code >= 500} == {}
    said = [path for path, a in answers.items() if "set aside" in a.text.lower()]
    assert said, "nothing says that something is set aside"
    if kind in (Logged, Decision, SavedPlan):
        file = answers[f"/clients/{kept.id}"]
        assert file.status_code == 200
        assert "set aside" in file.text.lower()
    if kind is OwnVersion:
        assert answers["/own"].status_code == 200
        assert "set aside" in answers["/own"].text.lower()
    if kind is IntakeVersion:
        assert answers[f"/clients/{kept.id}"].status_code == 409
        assert answers[f"/clients/{kept.id}/amend"].status_code == 200
        assert answers["/"].status_code == 200


def test_an_intake_that_cannot_be_read_is_replaced_by_a_new_one(app, browser, kept, lifter):
    records = records_for(app)
    with records.store.writing() as unit:
        old = unit.find(IntakeVersion, client_id=kept.id)[0]
        unit.change(dataclasses.replace(old, body=NEWER % "intake"))
    done = browser.post_form(
        f"/clients/{kept.id}/amend/json",
        pasted=lifter.model_dump_json(exclude_defaults=True).replace(
            "{", '{"schema_version":1,', 1
        ),
        reason="entered anew",
        was="1",
    )
    assert done.status_code == 200
    now = records.clients.one(kept.id)
    assert now.intake_number == 2
    assert records.intakes.in_force(now).weight_kg == lifter.weight_kg
    with records.store.reading() as unit:
        assert unit.find(IntakeVersion, client_id=kept.id)[0].body == NEWER % "intake"
