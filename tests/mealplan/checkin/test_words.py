"""Entries in words, and what is wrong with a typed one."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from pydantic import ValidationError

from mealplan.checkin.log.entries import ENTRY, KINDS
from mealplan.checkin.log.words import CALLED, MENDING, entry_words, fault_of

ON = "2026-11-30"

SAID = (
    (
        {"kind": "weigh-in", "value": 176.4, "unit": "lb", "conditions": {"fasted": True}},
        "Weigh-in, 176.4 lb (fasted)",
        "Weigh-in",
    ),
    (
        {"kind": "weigh-in", "value": 80, "conditions": {"clothed": True, "usual_scale": False}},
        "Weigh-in, 80 kg (clothed, another scale)",
        "Weigh-in",
    ),
    (
        {"kind": "girth", "site": "waist", "value": 32.25, "unit": "in"},
        "Girth, waist 32.25 in",
        "Girth",
    ),
    (
        {"kind": "scan", "fat": 26.5, "lean": 149.3, "unit": "lb"},
        "Body scan, dxa: fat 26.5 lb, lean 149.3 lb",
        "Body scan",
    ),
    ({"kind": "rmr test", "kcal": 1733}, "Resting test, 1,733 kcal a day", "Resting test"),
    (
        {"kind": "intake", "adherence": "other", "kcal": 2900, "what": "wedding"},
        "Eating, other, 2,900 kcal counted, wedding",
        "Eating, other, wedding",
    ),
    (
        {"kind": "training", "what": "easy run", "minutes": 45, "effort": 2, "net_kcal": 410},
        "Training, easy run, 45 min, effort 2 of 5, 410 kcal",
        "Training, easy run, 45 min, effort 2 of 5",
    ),
    ({"kind": "steps", "count": 8400}, "Steps, 8,400", "Steps, 8,400"),
    (
        {"kind": "event", "what": "training change", "kcal_per_day": 150},
        "Event, training change, +150 kcal a day",
        "Event, training change",
    ),
    (
        {"kind": "feeling", "hunger": 2, "sleep": 4, "note": "late shift"},
        "How it felt, hunger 2, sleep 4, late shift",
        "How it felt, hunger 2, sleep 4, late shift",
    ),
    ({"kind": "cycle day", "day": 1}, "Cycle day, day 1", "Cycle day, day 1"),
    (
        {"kind": "test", "name": "plank", "value": 12345.5, "unit": "s"},
        "Test, plank 12345.5 s",
        "Test, plank 12345.5 s",
    ),
    (
        {"kind": "event", "what": "sick", "until": "2026-12-02"},
        "Event, sick until 2 December",
        "Event, sick until 2 December",
    ),
)


@pytest.mark.parametrize(("data", "said", "hidden"), SAID)
def test_an_entry_is_said_in_its_own_unit_and_hidden_without_its_numbers(data, said, hidden):
    entry = ENTRY.validate_python({"on": ON, **data})
    assert entry_words(entry) == said
    assert entry_words(entry, hide=True) == hidden


def test_every_kind_has_its_words():
    assert set(CALLED) == set(KINDS)
    assert {data["kind"] for data, _, _ in SAID} == set(KINDS)


@pytest.mark.parametrize(
    ("data", "parts"),
    [
        ({"kind": "rmr test", "kcal": 7200}, ("kcal '7200' is above 5000", "divide kilojoules")),
        (
            {"kind": "training", "what": "run", "minutes": "1h"},
            ("'1h'", "an hour and a half is 90"),
        ),
        ({"kind": "feeling", "sleep": 6}, ("sleep '6' is above 5", "1, bad, to 5, good")),
        ({"kind": "feeling", "sleep": "2.5"}, ("'2.5' does not read as a number", "whole number")),
        ({"kind": "cycle day", "day": 0}, ("day '0' is below 1", "first day of bleeding")),
        ({"kind": "test", "value": 3}, ("name is missing", "back squat")),
        ({"kind": "girth", "site": "wrist", "value": 17}, ("'wrist' is not one of", "choose one")),
        (
            {"kind": "girth", "site": "waist", "value": 820},
            ("820 cm", "check the number and the unit"),
        ),
        ({"kind": "scan", "fat": "18 %", "lean": 66}, ("'18 %' does not read", "the mass alone")),
        ({"kind": "weigh-in", "value": 80, "on": "30/11"}, ("'30/11' is not a date", "2026-12-07")),
        ({"kind": "weigh-in", "value": 80, "at": "noon"}, ("'noon' is not a clock time", "07:15")),
    ],
)
def test_a_fault_says_what_why_and_how_to_mend_it(data, parts):
    with pytest.raises(ValidationError) as caught:
        ENTRY.validate_python({"on": ON, **data})
    said = fault_of(caught.value)
    assert "\n" not in said
    for part in parts:
        assert part in said


def test_a_field_is_called_as_the_page_calls_it():
    with pytest.raises(ValidationError) as caught:
        ENTRY.validate_python({"kind": "rmr test", "on": ON, "kcal": "much"})
    assert fault_of(caught.value, {"kcal": "resting energy"}).startswith("resting energy 'much'")


def test_every_field_with_a_limit_says_how_to_mend_it():
    limited = {
        name
        for model in KINDS.values()
        for name, field in model.model_fields.items()
        if any(hasattr(rule, limit) for rule in field.metadata for limit in ("ge", "gt", "le"))
    }
    assert limited - set(MENDING) - {"planned_kcal"} == set()


NUMBERS = st.integers(min_value=400, max_value=6000).map(lambda tenths: tenths / 10)


@given(NUMBERS, NUMBERS, st.sampled_from(["kg", "lb"]))
def test_units_out_are_units_in_to_the_last_digit(fat, lean, unit):
    lean = max(lean, 60.0)
    factor = {"kg": 1.0, "lb": 0.45359237}[unit]
    assume(fat * factor <= 200)
    assume(lean * factor <= 200)
    scan = ENTRY.validate_python({"kind": "scan", "on": ON, "fat": fat, "lean": lean, "unit": unit})
    again = ENTRY.validate_json(scan.model_dump_json())
    assert again == scan
    said = entry_words(again)
    assert f"fat {fat:.10g} {unit}" in said
    assert f"lean {lean:.10g} {unit}" in said


@given(st.integers(min_value=100, max_value=900).map(lambda tenths: tenths / 10))
def test_a_girth_in_inches_stays_in_inches(inches):
    girth = ENTRY.validate_python(
        {"kind": "girth", "on": ON, "site": "thigh", "value": inches, "unit": "in"}
    )
    assert entry_words(girth) == f"Girth, thigh {inches:.10g} in"
