"""A client's measurements written as a clinic's file."""

from __future__ import annotations

import datetime as dt
from typing import Any

from mealplan.client.clinic_file import LOINC, UCUM, clinic_codes
from mealplan.client.intake import Intake
from mealplan.nutrition.bloods import analytes, ucum


def write_clinic_file(intake: Intake) -> str:
    """
    Write what was measured of a client as a bundle.

    Parameters
    ----------
    intake : Intake

    Returns
    -------
    str
        JSON of a FHIR R4B Bundle of type collection, checked by its own model. Nothing in it names
        a person.
    """
    from fhir.resources.R4B.bundle import Bundle

    entries = [{"resource": one} for one in _observations(intake)]
    bundle = Bundle.model_validate(
        {"resourceType": "Bundle", "type": "collection", "entry": entries}
    )
    return str(bundle.model_dump_json(indent=2, exclude_none=True))


def _observations(intake: Intake) -> list[dict[str, Any]]:
    by_field = {one.field: one for one in clinic_codes().values()}
    measured: list[tuple[str, dt.date, float]] = [
        ("weight_kg", intake.start, intake.weight_kg),
        ("height_cm", intake.start, intake.height_cm),
    ]
    if intake.scan is not None:
        for field in ("fat_percent", "fat_kg"):
            value = getattr(intake.scan, field)
            if value is not None:
                measured.append((field, intake.scan.date, value))
    if intake.resting_test is not None and intake.resting_test.kcal is not None:
        measured.append(("resting_kcal", intake.resting_test.date, intake.resting_test.kcal))
    found = [
        _observation(
            by_field[field].loinc, by_field[field].label, by_field[field].unit, date, value
        )
        for field, date, value in measured
    ]
    for test in intake.bloods:
        known = analytes().get(test.analyte)
        if known is None or not known.loinc:
            continue
        one = _observation(known.loinc, known.label, test.unit, test.date, test.value)
        ends = {
            end: {"value": value, "unit": test.unit, "system": UCUM, "code": ucum(test.unit)}
            for end, value in (("low", test.low), ("high", test.high))
            if value is not None
        }
        found.append(one | {"referenceRange": [ends]})
    return found


def _observation(loinc: str, label: str, unit: str, date: dt.date, value: float) -> dict[str, Any]:
    return {
        "resourceType": "Observation",
        "status": "final",
        "code": {"coding": [{"system": LOINC, "code": loinc, "display": label}], "text": label},
        "effectiveDateTime": date.isoformat(),
        "valueQuantity": {"value": value, "unit": unit, "system": UCUM, "code": ucum(unit)},
    }
