"""The published JSON Schemas describe what is read and what is written."""

import contextlib
import io
import json

import jsonschema
import pytest

from foods import FoodTable
from mealplan.cli.main import main
from mealplan.demo.folders import DEMO_CLIENTS, demo_intake_text


@pytest.fixture(scope="module")
def printed():
    """Run a command and give what it printed, decoded."""

    def run(*arguments):
        out = io.StringIO()
        with contextlib.redirect_stdout(out):
            assert main([str(argument) for argument in arguments]) == 0
        return json.loads(out.getvalue())

    return run


@pytest.fixture(scope="module")
def validator(printed):
    """Make a checker from a published schema."""

    def make(what):
        return jsonschema.Draft202012Validator(
            printed("schema", what),
            format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER,
        )

    return make


def faults(checker, value):
    return [f"{error.json_path}: {error.message}" for error in checker.iter_errors(value)]


@pytest.mark.parametrize("what", ["intake", "targets", "plan"])
def test_each_schema_is_valid_and_names_its_dialect(what, printed):
    schema = printed("schema", what)
    # source: published (JSON Schema draft 2020-12, its own meta-schema)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("client", DEMO_CLIENTS)
def test_intakes_as_typed_match_the_schema(client, validator):
    assert faults(validator("intake"), json.loads(demo_intake_text(client))) == []


@pytest.mark.parametrize("client", DEMO_CLIENTS)
def test_targets_and_plans_match_their_schemas(client, validator, printed, intake_file):
    path = intake_file(client)
    assert faults(validator("targets"), printed("targets", path, "--json")) == []
    assert faults(validator("plan"), printed("plan", path, "--days", 2, "--json")) == []


@pytest.mark.parametrize(
    "changes",
    [
        {"weight_kg": "80"},
        {"weight_kg": ...},
        {"weight_lb": 176},
        {"sex": "m"},
        {"goal": ...},
        {"goal.phase": "bulk"},
        {"kitchen.meals": 9},
        {"wieght_kg": 80},
        {"tastes.allergies": "soy"},
        {"activity": {"method": "guess"}},
        {"kitchen.equipment": ["smoker"]},
    ],
    ids=str,
)
def test_the_intake_schema_refuses_what_the_program_refuses(changes, validator, intake_data):
    assert faults(validator("intake"), intake_data(changes=changes)) != []


def test_every_planned_item_carries_what_a_reader_needs(printed, intake_file):
    plan = printed("plan", intake_file("club-runner"), "--days", 1, "--json")
    table = FoodTable.load()
    for meal in plan["days"][0]["meals"]:
        assert meal["dish"]
        assert meal["occasion"] in ("breakfast", "midday", "evening", "small")
        for item in meal["servings"]:
            assert item["source"] if item["ndb"] is None else item["ndb"] in table
            assert item["grams"] > 0
            assert item["measure"]


def test_fields_of_the_intake_schema_say_their_unit_or_meaning(printed):
    schema = printed("schema", "intake")
    assert "Unit" not in schema["title"]
    described = [
        name
        for part in schema["$defs"].values()
        for name, field in part.get("properties", {}).items()
        if field.get("description")
    ]
    assert {"fat_percent_of", "energy_kcal", "meal_times"} <= set(described)
