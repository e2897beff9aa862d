"""A clinic's file, checked against bundles written by hand and by the library's own models."""

import datetime as dt
import json

import pytest
from fhir.resources.R4B.bundle import Bundle

from mealplan.cli.main import main
from mealplan.client.clinic_file import is_clinic_file, read_clinic_file, with_clinic_file
from mealplan.client.clinic_file_out import write_clinic_file
from mealplan.errors import IntakeError
from tests.mealplan.targets.clients import client


def observation(code, value, unit, *, date="2026-11-10", system="http://loinc.org", **more):
    return {
        "resourceType": "Observation",
        "status": "final",
        "code": {"coding": [{"system": system, "code": code}]},
        "effectiveDateTime": date,
        "valueQuantity": {
            "value": value,
            "unit": unit,
            "system": "http://unitsofmeasure.org",
            "code": unit,
        },
    } | more


def bundle(*observations):
    entries = [{"resource": one} for one in observations]
    return json.dumps({"resourceType": "Bundle", "type": "collection", "entry": entries})


def ends(low, high, unit):
    return [{"low": {"value": low, "unit": unit}, "high": {"value": high, "unit": unit}}]


# source: confirmed by independent transcription (LOINC 29463-7 body weight, 8302-2 height,
# 41982-0 % body fat, 69429-9 basal metabolic rate, 2276-4 ferritin)
FERRITIN = observation("2276-4", 18, "ug/L", referenceRange=ends(15, 150, "ug/L"))


def test_a_clinics_file_fills_an_intake():
    text = bundle(
        observation("29463-7", 171.96, "[lb_av]"),
        observation("8302-2", 1.81, "m"),
        observation("41982-0", 19, "%"),
        observation("69429-9", 7322, "kJ/d"),
        FERRITIN,
    )
    found = with_clinic_file(client(), read_clinic_file(text))
    # source: worked by hand: 171.96 x 0.45359237 = 78.0; 7322 / 4.184 = 1750
    assert found.weight_kg == pytest.approx(78.0, abs=0.005)
    assert found.height_cm == 181
    assert found.scan.fat_percent == 19
    assert found.resting_test.kcal == pytest.approx(1750)
    [blood] = found.bloods
    assert (blood.analyte, blood.value, blood.low, blood.high) == ("ferritin", 18, 15, 150)


def test_the_newest_counts_and_what_lies_ahead_is_left():
    text = bundle(
        observation("29463-7", 80, "kg", date="2026-10-01"),
        observation("29463-7", 79, "kg", date="2026-11-01T08:30:00+01:00"),
        observation("29463-7", 60, "kg", date="2026-12-24"),
    )
    assert with_clinic_file(client(), read_clinic_file(text)).weight_kg == 79


@pytest.mark.parametrize(
    ("one", "why"),
    [
        (observation("29463-7", 12, "[stone_av]"), "unit"),
        (observation("2276-4", 18, "ug/L"), "range"),
        (observation("2276-4", 18, "mmol/L", referenceRange=ends(1, 2, "mmol/L")), "unit"),
        (observation("1234-5", 18, "ug/L"), "not among"),
        (observation("29463-7", 80, "kg", system="http://elsewhere.example"), "not among"),
        (FERRITIN | {"status": "entered-in-error"}, "entered-in-error"),
        ({k: v for k, v in FERRITIN.items() if k != "valueQuantity"}, "no number"),
        ({k: v for k, v in FERRITIN.items() if k != "effectiveDateTime"}, "no date"),
    ],
)
def test_what_is_not_understood_is_said_and_not_taken(one, why):
    found = read_clinic_file(bundle(one))
    assert (found.readings, found.bloods) == ((), ())
    assert why in found.passed_over[0]


def test_below_a_limit_is_no_number():
    low = json.loads(json.dumps(FERRITIN))
    low["valueQuantity"]["comparator"] = "<"
    assert "no number by itself" in read_clinic_file(bundle(low)).passed_over[0]


@pytest.mark.parametrize("text", ["", "[]", '{"resourceType": "Patient"}', "{" * 5000])
def test_other_files_are_refused_with_what_to_ask_for(text):
    with pytest.raises(IntakeError, match="Bundle of Observations"):
        read_clinic_file(text)


def test_what_is_written_is_read_back_and_holds_no_name():
    before = client(
        scan={"date": "2026-11-01", "method": "dxa", "fat_kg": 14.0},
        resting_test={"date": "2026-11-02", "kcal": 1800},
        bloods=[
            {"date": d, "analyte": "ferritin", "value": v, "unit": "ug/L", "low": 15, "high": 150}
            for d, v in (("2026-06-01", 12), ("2026-11-03", 22))
        ],
    )
    text = write_clinic_file(before)
    # The library's own model is the judge of the form.
    judged = Bundle.model_validate_json(text)
    assert len(judged.entry) == 6
    assert before.role not in text
    assert "subject" not in text
    after = with_clinic_file(client(weight_kg=60), read_clinic_file(text))
    assert after.weight_kg == before.weight_kg
    assert after.scan.fat_kg == 14.0
    assert after.resting_test.kcal == 1800
    assert after.bloods == before.bloods


def test_a_bundle_is_known_from_an_intake():
    assert is_clinic_file(bundle())
    assert not is_clinic_file(client().model_dump_json())
    assert not is_clinic_file("no json")


def test_the_command_writes_and_takes(tmp_path, capsys):
    intake = tmp_path / "intake.json"
    intake.write_text(client().model_dump_json())
    assert main(["clinic", str(intake)]) == 0
    assert json.loads(capsys.readouterr().out)["resourceType"] == "Bundle"
    given = tmp_path / "given.json"
    given.write_text(bundle(FERRITIN, observation("1234-5", 1, "kg")))
    assert main(["clinic", str(intake), "--take", str(given)]) == 0
    out = capsys.readouterr()
    assert json.loads(out.out)["bloods"][0]["date"] == str(dt.date(2026, 11, 10))
    assert "not among" in out.err
