"""Conversions round-trip, and every reference row is traceable."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mealplan.errors import IntakeError
from mealplan.physiology import checks, tables
from mealplan.science import units

AMOUNTS = st.floats(0.001, 1e6)


# source: published (definitions of the pound, inch, stone, ounce, mile and the calorie)
@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (units.KG_PER_LB, 0.45359237),
        (units.LB_PER_STONE * units.KG_PER_LB, 6.35029318),
        (units.G_PER_OUNCE * 16, 453.59237),
        (units.CM_PER_INCH * 10, 25.4),
        (units.kcal_from_kj(4.184), 1.0),
        (units.kcal_from_mj(1), 239.00573613766728),
    ],
)
def test_a_conversion_is_exact(value, expected):
    assert value == pytest.approx(expected, rel=1e-12)


@given(AMOUNTS)
def test_a_megajoule_is_a_thousand_kilojoules(amount):
    assert units.kcal_from_mj(amount) == pytest.approx(units.kcal_from_kj(1000 * amount))


CONSTANT_TABLES = (
    "calorimetry",
    "energy_balance",
    "energy_availability",
    "body_composition",
    "exercise_constants",
    "rates",
    "safety_thresholds",
)


@pytest.mark.parametrize("name", CONSTANT_TABLES)
def test_every_constant_has_a_unit_a_source_and_a_known_provenance(name):
    for constant in tables.constants(name).values():
        assert constant.unit, constant
        assert constant.source, constant
        assert constant.provenance in tables.PROVENANCES


@pytest.mark.parametrize("name", CONSTANT_TABLES)
def test_no_constant_is_named_twice(name):
    keys = [row["key"] for row in tables.read_rows(f"{name}.csv")]
    assert len(keys) == len(set(keys))


def test_every_equation_and_activity_is_traceable():
    rows = [
        *tables.resting_equations().values(),
        *tables.requirement_equations().values(),
        *tables.activities().values(),
        *tables.activity_bands(),
    ]
    assert all(row.source and row.provenance in tables.PROVENANCES for row in rows)


# source: regression (sizes of the tables; a lost row would change them)
def test_the_tables_hold_all_their_rows():
    assert len(tables.resting_equations()) == 88
    assert len(tables.requirement_equations()) == 40
    assert len(tables.activities()) == 87
    assert len(tables.activity_bands()) == 20


def test_an_unknown_provenance_is_a_fault_of_the_table():
    with pytest.raises(ValueError, match="unknown provenance 'guess'"):
        tables.provenance("guess")


def test_age_bands_of_each_equation_set_meet_without_gap():
    for prefix in ("schofield_w_kcal", "schofield_w_mj", "schofield_wh_mj", "henry_wh"):
        for letter in ("m", "f"):
            found = sorted(
                (r.age_min, r.age_max)
                for key, r in tables.resting_equations().items()
                if key.startswith(f"{prefix}_{letter}_")
            )
            assert [low for low, _ in found] == [0, 3, 10, 18, 30, 60]
            assert [high for _, high in found] == [3, 10, 18, 30, 60, 120]


@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_a_number_that_must_be_above_zero_is_refused_with_its_value(value):
    with pytest.raises(IntakeError, match=r"weight_kg=.* must be above 0. Weigh again"):
        checks.require_positive("weight_kg", value, "kg", mend="Weigh again.")


@pytest.mark.parametrize("value", [-0.1, float("nan")])
def test_a_number_that_cannot_be_negative_is_refused(value):
    with pytest.raises(IntakeError, match=r"cannot be negative\. Leave it out"):
        checks.require_not_negative("nitrogen", value, "g", mend="Leave it out.")


def test_the_ends_of_a_window_are_allowed():
    ends = [
        checks.require_between("x", value, 1, 2, "u", reason="r", mend="m") for value in (1.0, 2.0)
    ]
    assert ends == [1.0, 2.0]
    assert checks.require_not_negative("x", 0.0, "u", mend="m") == 0.0


@pytest.mark.parametrize("value", [0.99, 2.01, float("nan")])
def test_outside_a_window_the_message_says_what_why_and_how_to_mend(value):
    with pytest.raises(IntakeError, match=r"x=.* u is outside 1 to 2 u: because. Mend it."):
        checks.require_between("x", value, 1, 2, "u", reason="because", mend="Mend it.")
