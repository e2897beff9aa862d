"""Reading an intake: what is kept, what is refused, and that nothing else can happen."""

import json
import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mealplan.client.faults import EXAMPLES, MENDING
from mealplan.client.intake import Intake
from mealplan.client.read import MAX_INTAKE_BYTES, load_intake, parse_intake, read_intake
from mealplan.demo.folders import DEMO_CLIENTS, demo_intake, demo_intake_text
from mealplan.errors import IntakeError, MealPlanError
from mealplan.targets.make import make_targets

anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=8,
)


def refusal(work, value):
    """Give the words of the error a piece of work raises on purpose, or None."""
    try:
        work(value)
    except MealPlanError as error:
        return str(error)
    return None


def places(value, path=()):
    """List the path of every value inside decoded JSON."""
    yield path
    items = value.items() if isinstance(value, dict) else ()
    for key, inner in items:
        yield from places(inner, (*path, key))
    for index, inner in enumerate(value if isinstance(value, list) else ()):
        yield from places(inner, (*path, index))


PLACES = {
    client: [path for path in places(json.loads(demo_intake_text(client))) if path]
    for client in DEMO_CLIENTS
}


@pytest.mark.parametrize("client", DEMO_CLIENTS)
def test_demo_intakes_are_read(client):
    assert demo_intake(client).role == client.replace("-", " ")


def test_pounds_and_inches_become_kilograms_and_centimetres(intake_data):
    climber = parse_intake(intake_data("club-climber"))
    # source: published (international yard and pound agreement 1959: 0.45359237 kg, 2.54 cm)
    assert climber.weight_kg == pytest.approx(174 * 0.45359237)
    assert climber.height_cm == pytest.approx(70 * 2.54)


def test_words_are_kept_on_one_line(intake_data):
    intake = parse_intake(intake_data(changes={"role": "  club\n lifter\t"}))
    assert intake.role == "club lifter"


def test_meal_times_are_kept_with_two_digits(intake_data):
    changes = {"kitchen.meals": 3, "kitchen.meal_times": ["7:30", "12:30", "19:00"]}
    assert parse_intake(intake_data(changes=changes)).kitchen.meal_times[0] == "07:30"


def test_several_faults_are_said_at_once_and_the_rest_counted(intake_data):
    changes = {"sex": "m", "age_years": -1, "kitchen.meals": 9, "goal.phase": "bulk", "role": "x"}
    with pytest.raises(IntakeError) as refused:
        parse_intake(intake_data(changes=changes))
    message = str(refused.value)
    assert message.count(";") >= 3
    assert message.endswith("; and 2 more")


def test_a_file_of_the_largest_size_is_read_and_one_byte_more_is_not(tmp_path):
    text = demo_intake_text("club-lifter").encode()
    path = tmp_path / "intake.json"
    path.write_bytes(text + b" " * (MAX_INTAKE_BYTES - len(text)))
    assert load_intake(path).role == "club lifter"
    path.write_bytes(text + b" " * (MAX_INTAKE_BYTES - len(text) + 1))
    with pytest.raises(IntakeError, match="right file"):
        load_intake(path)


def test_a_byte_order_mark_is_no_fault():
    text = demo_intake_text("club-runner").encode("utf-8-sig")
    assert read_intake(text).role == "club runner"


def test_an_intake_written_out_reads_back_the_same(intake_data):
    intake = parse_intake(intake_data("club-climber"))
    assert read_intake(intake.model_dump_json()) == intake
    assert read_intake(intake.model_dump_json(exclude_defaults=True)) == intake


def test_an_intake_cannot_be_changed(intake_data):
    intake = parse_intake(intake_data())
    with pytest.raises(ValueError, match="frozen"):
        intake.weight_kg = 70


def test_every_hint_belongs_to_a_field_that_exists():
    schema = json.dumps(Intake.model_json_schema())
    for name in (*MENDING, *EXAMPLES):
        assert f'"{name}":' in schema, name


@given(data=anything)
def test_whatever_json_comes_only_an_intake_error_is_raised(data):
    words = refusal(parse_intake, data)
    assert words
    assert len(words.splitlines()) == 1


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=200)
@given(client=st.sampled_from(DEMO_CLIENTS), draw=st.data())
def test_a_sound_intake_with_one_value_spoilt_is_read_or_refused_with_its_place(
    client, draw, intake_data
):
    path = draw.draw(st.sampled_from(PLACES[client]))
    spoilt = intake_data(client)
    part = spoilt
    for step in path[:-1]:
        part = part[step]
    part[path[-1]] = draw.draw(anything)
    words = refusal(parse_intake, spoilt)
    if words is not None:
        assert len(words.splitlines()) == 1
        # The message leads to the field, or to one that it must agree with.
        twins = {"height_in": "height_cm", "weight_lb": "weight_kg"}  # kept in metric
        steps = [step for step in path if isinstance(step, str)]
        assert any(step in words or twins.get(step, step) in words for step in steps)


@settings(max_examples=200)
@given(content=st.binary(max_size=200))
def test_whatever_bytes_come_only_an_intake_error_is_raised(content):
    with pytest.raises(IntakeError):
        read_intake(content)


@settings(max_examples=60, deadline=None)
@given(
    sex=st.sampled_from(["male", "female"]),
    age_years=st.integers(0, 130),
    weight_kg=st.floats(35, 250),
    height_cm=st.floats(130, 230),
    pal=st.floats(1, 5),
    phase=st.sampled_from(["gain", "hold", "cut", "endurance"]),
)
def test_any_adult_gets_targets_or_a_reason(sex, age_years, weight_kg, height_cm, pal, phase):
    data = {
        "role": "club member",
        "sex": sex,
        "age_years": age_years,
        "weight_kg": weight_kg,
        "height_cm": height_cm,
        "start": "2026-11-30",
        "goal": {"phase": phase},
        "activity": {"method": "multiplier", "pal": pal},
    }
    words = refusal(lambda data: make_targets(parse_intake(data)), data)
    if words is None:
        targets = make_targets(parse_intake(data))
        assert math.isfinite(targets.energy.value)
        assert all(day.energy_kcal > 0 for day in targets.days)
        for day in targets.days:
            for target in day.ranges.values():
                if target.low is not None and target.high is not None:
                    assert target.low <= target.high
