"""The interface against its own description, with bodies and parameters nobody would type."""

import os
import sys

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis.strategies import booleans

from api.app.app import create_app
from api.settings import Settings
from mealplan.demo.folders import demo_intake
from tests.api.conftest import add_planned, records_for
from tests.mealplan.store.memory import MemoryStore

pytestmark = pytest.mark.fuzz
schemathesis = pytest.importorskip("schemathesis", reason="schemathesis is in the dev extra")

from schemathesis.specs.openapi.checks import positive_data_acceptance  # noqa: E402

# Left out: "valid by its schema, so it must be accepted". An intake's fields also have to make
# sense together, which no schema says; those refusals are described as 422.
EXAMPLES = int(os.environ.get("MEALPLAN_FUZZ_EXAMPLES", "25"))


@pytest.fixture(scope="module")
def described(planned):
    """The description of a service with one planned client, and that client."""
    app = create_app(
        Settings(patience_s=20, longest_s=600, hosts=frozenset({"localhost", "testserver", ""})),
        MemoryStore(),
    )
    client = add_planned(app, demo_intake("club-lifter"), planned)
    yield schemathesis.openapi.from_asgi("/api/openapi.json", app), app, client
    app.state.service.jobs.close()


def operations(schema):
    return [result.ok() for result in schema.get_all_operations()]


def test_no_call_breaks_the_description(described, capsys):
    schema, app, client = described
    calls = {}
    for operation in operations(schema):
        try_out(operation, app, client, calls)
    with capsys.disabled():
        sys.stdout.write(f"\n{len(calls)} operations, {sum(calls.values())} calls, 0 failures\n")
    assert len(calls) == len(operations(schema))
    assert min(calls.values()) >= 1


def try_out(operation, app, client, calls):
    """Call one operation many times and hold every answer to the description."""

    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(), known=booleans())
    def call(case, known):
        # Half of the calls name the client there is, so that they reach what lies behind.
        if known and "client_id" in (case.path_parameters or {}):
            case.path_parameters["client_id"] = current(app, client)
        calls[operation.label] = calls.get(operation.label, 0) + 1
        case.call_and_validate(timeout=120, excluded_checks=[positive_data_acceptance])

    call()


def current(app, client):
    """The planned client, or another in its place when a call erased it."""
    records = records_for(app)
    known = records.clients.all()
    return known[0].id if known else records.clients.take_on(demo_intake("club-lifter")).id
