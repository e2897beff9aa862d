"""Blood tests change lines and cautions by the laboratory's own range, and diagnose nothing."""

from __future__ import annotations

import re

import pytest

from mealplan.errors import IntakeError, SafetyRefusal
from mealplan.nutrition.bloods import analyte, analytes, side_of, ucum
from mealplan.targets.bloods import blood_course
from mealplan.targets.make import make_targets
from tests.mealplan.targets.clients import client, decided


def blood(analyte, value, unit, low=None, high=None, date="2026-11-02"):
    return {
        "date": date,
        "analyte": analyte,
        "value": value,
        "unit": unit,
        "low": low,
        "high": high,
    }


def codes(made):
    return {one.code: one for one in made.notices}


def test_a_value_inside_the_laboratorys_range_changes_nothing():
    made = make_targets(client(bloods=[blood("ferritin", 60, "ug/L", 15, 150)]))
    assert "blood_ferritin" not in codes(made)
    assert made.days[0].ranges == make_targets(client()).days[0].ranges


def test_low_ferritin_names_the_physician_and_no_diagnosis():
    said = codes(make_targets(client(bloods=[blood("ferritin", 9, "µg/L", 15, 150)])))
    assert said["blood_ferritin"].see == "a physician"
    for row in analytes().values():
        for words in row.words.values():
            assert not re.search(r"you have|diagnos|anaemia|diabetes|deficiency", words)


@pytest.mark.parametrize("key", ["ferritin", "transferrin_saturation"])
def test_too_much_iron_takes_the_push_off_iron(key):
    unit = "%" if key != "ferritin" else "ug/L"
    made = make_targets(client(bloods=[blood(key, 900, unit, 15, 400)]))
    assert made.days[0].ranges["iron_mg"].low is None


def test_low_vitamin_d_raises_its_line_and_a_high_one_stops_it():
    def line(value):
        made = make_targets(client(bloods=[blood("vitamin_d", value, "nmol/L", 50, 125)]))
        return {one.key: one for one in made.supplements}.get("vitamin_d")

    assert line(30).nutrients["vitamin_d_ug"] == 25
    assert line(80).nutrients["vitamin_d_ug"] == 15
    assert line(200) is None


@pytest.mark.parametrize("value", [0.1, 9.0])
def test_thyrotropin_outside_its_range_stops_the_iodine_line(value):
    made = make_targets(client(bloods=[blood("tsh", value, "mU/L", 0.4, 4.0)]))
    assert "iodine" not in {one.key for one in made.supplements}
    assert codes(made)["blood_tsh"].severity == "warn"


@pytest.mark.parametrize(
    ("key", "printed", "code"),
    [
        ("tsh", "mIU/L", "m[IU]/L"),
        ("tsh", "µIU/mL", "u[IU]/mL"),
        ("tsh", "mU/L", "mU/L"),
        ("potassium", "mEq/L", "meq/L"),
        ("egfr", "mL/min/1.73 m²", "mL/min/{1.73_m2}"),
        ("inr", "INR", "{INR}"),
    ],
)
def test_units_are_taken_as_laboratories_print_them(key, printed, code):
    # source: published (Unified Code for Units of Measure: units in braces and [IU])
    assert ucum(printed) == code
    assert analyte(key, printed).key == key


@pytest.mark.parametrize(
    ("key", "unit", "value", "low", "high", "nutrient"),
    [
        ("potassium", "mmol/L", 5.8, 3.5, 5.1, "potassium_mg"),
        ("egfr", "mL/min", 52, 60, None, "potassium_mg"),
        ("phosphate", "mmol/L", 1.9, 0.8, 1.5, "phosphorus_mg"),
    ],
)
def test_what_the_blood_holds_too_much_of_is_not_pushed(key, unit, value, low, high, nutrient):
    # source: common practice (KDIGO 2024, individual targets by the bloods)
    test = blood(key, value, unit, low, high)
    word = decided(f"blood_{key}")
    made = make_targets(client(bloods=[test], professional_overrides=word))
    assert made.days[0].ranges[nutrient].low is None
    assert codes(made)[f"blood_{key}"].see == "a physician"


@pytest.mark.parametrize(
    ("key", "unit", "value"),
    [("zinc", "umol/L", 7), ("crp", "mg/L", 40), ("inr", "INR", 6), ("calprotectin", "ug/g", 900)],
)
def test_values_that_wait_for_nobody_name_whom_to_see(key, unit, value):
    # source: common practice
    said = codes(make_targets(client(bloods=[blood(key, value, unit, 9, 20)])))
    if key == "inr":
        said = codes(make_targets(client(bloods=[blood(key, value, unit, 2.5, 3.5)])))
    assert said[f"blood_{key}"].severity == "warn"
    assert said[f"blood_{key}"].see == "a physician"


@pytest.mark.parametrize(
    "test",
    [
        blood("haemoglobin", 98, "g/L", 120, 160),
        blood("creatinine", 160, "umol/L", 60, 105),
        blood("hba1c", 8.1, "%", None, 5.7),
    ],
)
def test_what_a_physician_must_see_first_waits_for_the_decision(test):
    with pytest.raises(SafetyRefusal, match="See a physician") as refused:
        make_targets(client(bloods=[test]))
    assert refused.value.severity == "override"
    made = make_targets(
        client(bloods=[test], professional_overrides=decided(f"blood_{test['analyte']}"))
    )
    if test["analyte"] == "creatinine":
        assert made.days[0].ranges["protein_g"].high <= 0.8 * 78 + 1e-6


def test_the_latest_value_counts_and_an_old_one_only_asks_for_another():
    old = blood("ferritin", 9, "ug/L", 15, 150, date="2026-03-01")
    new = blood("ferritin", 40, "ug/L", 15, 150)
    assert "blood_ferritin" not in codes(make_targets(client(bloods=[new, old])))
    ancient = blood("ferritin", 900, "ug/L", 15, 150, date="2024-03-01")
    made = make_targets(client(bloods=[ancient]))
    assert "test again" in codes(made)["blood_ferritin"].message
    assert made.days[0].ranges["iron_mg"].low is not None


def test_a_value_needs_a_known_unit_and_the_laboratorys_range():
    with pytest.raises(IntakeError, match="ug/L"):
        make_targets(client(bloods=[blood("ferritin", 9, "mg", 15, 150)]))
    with pytest.raises(IntakeError, match="there are haemoglobin"):
        make_targets(client(bloods=[blood("zonulin", 9, "ug/L", 15, 150)]))
    with pytest.raises(IntakeError, match="laboratory's range"):
        client(bloods=[blood("ferritin", 9, "ug/L")])


@pytest.mark.parametrize(
    ("value", "low", "high", "side"),
    [
        (5, 6, 10, "low"),
        (6, 6, 10, None),
        (10, 6, 10, None),
        (11, 6, 10, "high"),
        (9, 6, None, None),
    ],
)
def test_the_ends_of_a_range_belong_to_it(value, low, high, side):
    # source: worked by hand
    assert side_of(value, low, high) == side


def test_codes_are_well_formed_where_there_are_any():
    # source: published (a LOINC code ends in its mod-10 check digit)
    for row in analytes().values():
        if not row.loinc:
            continue
        digits, check = row.loinc.split("-")
        doubled = sum(
            sum(map(int, str(2 * int(one)))) if place % 2 == 0 else int(one)
            for place, one in enumerate(reversed(digits))
        )
        assert (10 - doubled % 10) % 10 == int(check), row.loinc


def test_blood_tests_survive_the_form():
    from api.forms.intake import to_data, to_typed
    from mealplan.client.read import parse_intake

    whole = client(bloods=[blood("hba1c", 5.1, "%", None, 5.7), blood("ferritin", 60, "ug/L", 15)])
    before = whole.model_dump(mode="json", exclude_defaults=True)
    assert parse_intake(to_data(to_typed(whole), before)) == whole


def test_the_course_of_a_value_is_told_in_its_unit_with_its_code():
    # source: confirmed by independent transcription (LOINC 2276-4 is ferritin)
    tests = [
        {
            "date": date,
            "analyte": "ferritin",
            "value": value,
            "unit": "ug/L",
            "low": 15,
            "high": 150,
        }
        for date, value in (("2026-11-03", 22), ("2026-06-01", 12))
    ]
    once = {"date": "2026-11-03", "analyte": "tsh", "value": 2, "unit": "mU/L", "low": 0.4}
    [said] = blood_course(client(bloods=[*tests, once]))
    assert said == (
        "Ferritin (LOINC 2276-4): 12 on 2026-06-01, 22 on 2026-11-03 ug/L; rising, now inside "
        "15 to 150."
    )


def test_units_of_two_laboratories_are_not_mixed():
    tests = [
        {"date": date, "analyte": "ferritin", "value": 20, "unit": unit, "low": 15, "high": 150}
        for date, unit in (("2026-06-01", "ug/L"), ("2026-11-03", "ng/mL"))
    ]
    assert blood_course(client(bloods=tests)) == ()
