"""
A clinic's file: a FHIR R4B Bundle of Observations, read into an intake and written from one.

Mass, height, body fat, resting energy and bloods travel under LOINC codes and UCUM units; no name,
birth date or identifier of a person is written or kept. What is not understood is said.

References
----------
.. [1] HL7, FHIR release 4B, Bundle and Observation, https://hl7.org/fhir/R4B/.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from functools import cache
from typing import Any

from mealplan.client.intake import BloodTest, BodyScan, Intake, RestingTest
from mealplan.client.read import parse_intake
from mealplan.errors import IntakeError
from mealplan.nutrition.bloods import Analyte, analytes, ucum
from mealplan.references.tables import read_rows
from mealplan.science.units import CM_PER_INCH, KG_PER_LB

LOINC = "http://loinc.org"
UCUM = "http://unitsofmeasure.org"
MOST_BYTES = 2_000_000
"""A file of observations is smaller than this. [byte]"""
MOST_ENTRIES = 2_000
"""Entries of one bundle that are read. [1]"""
LONGEST_SAID = 60
"""Characters of a name from a file that are repeated. [1]"""

FACTORS: dict[str, dict[str, float]] = {
    "kg": {"kg": 1.0, "g": 0.001, "[lb_av]": KG_PER_LB},
    "cm": {"cm": 1.0, "m": 100.0, "[in_i]": CM_PER_INCH},
    "%": {"%": 1.0},
    "kcal/d": {"kcal/d": 1.0, "kcal/(24.h)": 1.0, "kcal": 1.0, "kJ/d": 1 / 4.184},
}
"""Units of a clinic by ours, each with what it is multiplied with."""


@dataclass(frozen=True)
class ClinicCode:
    """One measurement with its code and unit."""

    field: str
    loinc: str
    unit: str
    label: str


@cache
def clinic_codes() -> dict[str, ClinicCode]:
    """
    Load the codes of measurements that are no bloods.

    Returns
    -------
    dict of str to ClinicCode
        By LOINC code, in file order.
    """
    return {
        row["loinc"]: ClinicCode(row["field"], row["loinc"], row["unit"], row["label"])
        for row in read_rows("clinic_codes.csv")
    }


@dataclass(frozen=True)
class ClinicReading:
    """One value of one day, in our unit."""

    field: str
    date: dt.date
    value: float


@dataclass(frozen=True)
class ClinicFile:
    """
    What a clinic's file holds that an intake can take.

    Attributes
    ----------
    readings : tuple of ClinicReading
        Body and resting energy, in order of date.
    bloods : tuple of BloodTest
        With the laboratory's range, in order of date.
    passed_over : tuple of str
        What was not taken, each with why.
    """

    readings: tuple[ClinicReading, ...]
    bloods: tuple[BloodTest, ...]
    passed_over: tuple[str, ...]

    def latest(self, field: str) -> ClinicReading | None:
        """
        Give the newest reading of a field, None without any.

        Parameters
        ----------
        field : str
            Of an observation.
        """
        return next((one for one in reversed(self.readings) if one.field == field), None)


def is_clinic_file(text: str | bytes) -> bool:
    """
    Tell a bundle from an intake by its own word for what it is.

    Parameters
    ----------
    text : str | bytes
        The file's text.
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        return False
    return isinstance(data, dict) and data.get("resourceType") == "Bundle"


def read_clinic_file(text: str | bytes) -> ClinicFile:
    """
    Read a bundle.

    Parameters
    ----------
    text : str or bytes
        JSON of a FHIR R4B Bundle, at most 2 MB.

    Returns
    -------
    ClinicFile

    Raises
    ------
    IntakeError
        When it is too large, no JSON, or no Bundle of that release.
    """
    if len(text) > MOST_BYTES:
        raise IntakeError(
            f"the file holds more than {MOST_BYTES:,} bytes, more than observations take; export "
            "measurements and bloods alone"
        )
    # Imported here: it takes half a second, and few ever read a clinic's file.
    from fhir.resources.R4B.bundle import Bundle

    try:
        bundle = Bundle.model_validate(json.loads(text))
    except (ValueError, RecursionError) as error:
        first = str(error).splitlines()[0][:200]
        raise IntakeError(
            f"this is no FHIR R4B Bundle ({first}); ask the clinic for a Bundle of Observations as "
            "JSON"
        ) from None
    entries = bundle.entry or []
    if len(entries) > MOST_ENTRIES:
        raise IntakeError(
            f"the bundle holds {len(entries):,} entries, more than {MOST_ENTRIES:,}; export a "
            "shorter time"
        )
    readings: list[ClinicReading] = []
    bloods: list[BloodTest] = []
    passed: list[str] = []
    for entry in entries:
        resource = entry.resource
        if resource is None or resource.get_resource_type() != "Observation":
            continue
        try:
            found = _taken(resource)
        except ValueError as error:
            passed.append(str(error))
            continue
        if isinstance(found, ClinicReading):
            readings.append(found)
        else:
            bloods.append(found)
    if any(one.field in ("fat_percent", "fat_kg") for one in readings):
        passed.append("Body fat: its method is not in the file; read as bioimpedance, correct it")
    return ClinicFile(
        tuple(sorted(readings, key=lambda one: one.date)),
        tuple(sorted(bloods, key=lambda one: one.date)),
        tuple(dict.fromkeys(passed)),
    )


def _taken(observation: Any) -> ClinicReading | BloodTest:
    """Read one observation; a ValueError says why it is passed over."""
    codings = observation.code.coding or []
    codes = [one.code for one in codings if one.system == LOINC]
    name = observation.code.text or next((one.display for one in codings if one.display), None)
    name = str(name or (codes[0] if codes else "an observation"))[:LONGEST_SAID]
    if observation.status not in ("final", "amended", "corrected"):
        raise ValueError(f"{name}: its status is {observation.status}, not final")
    quantity = observation.valueQuantity
    if quantity is None or quantity.value is None:
        raise ValueError(f"{name}: no number")
    if quantity.comparator is not None:
        raise ValueError(f"{name}: {quantity.comparator} {quantity.value} is no number by itself")
    date = _date(observation, name)
    value = float(quantity.value)
    unit = str(quantity.code or quantity.unit or "")
    for code in codes:
        known = clinic_codes().get(code)
        if known is not None:
            factor = FACTORS[known.unit].get(unit)
            if factor is None:
                raise ValueError(f"{name}: the unit {unit!r} is not {known.unit}")
            return ClinicReading(known.field, date, value * factor)
        blood = _by_loinc().get(code)
        if blood is not None:
            return _blood(observation, blood, date, value, unit)
    raise ValueError(f"{name}: not among what is read here")


@cache
def _by_loinc() -> dict[str, Analyte]:
    return {one.loinc: one for one in analytes().values() if one.loinc}


def _date(observation: Any, name: str) -> dt.date:
    when = observation.effectiveDateTime
    if when is None and observation.effectivePeriod is not None:
        when = observation.effectivePeriod.end or observation.effectivePeriod.start
    if isinstance(when, dt.datetime):
        return when.date()
    if isinstance(when, dt.date):
        return when
    raise ValueError(f"{name}: no date")


def _blood(observation: Any, known: Analyte, date: dt.date, value: float, unit: str) -> BloodTest:
    if ucum(unit) not in known.units:
        raise ValueError(f"{known.label}: the unit {unit!r} is not {' or '.join(known.units)}")
    ends = observation.referenceRange[0] if observation.referenceRange else None
    low = None if ends is None or ends.low is None else float(ends.low.value)
    high = None if ends is None or ends.high is None else float(ends.high.value)
    if low is None and high is None:
        raise ValueError(f"{known.label}: without the laboratory's range a value says nothing")
    return BloodTest(date=date, analyte=known.key, value=value, unit=unit, low=low, high=high)


def with_clinic_file(intake: Intake, found: ClinicFile) -> Intake:
    """
    Put what a clinic measured into an intake.

    Parameters
    ----------
    intake : Intake
        What it held stays where the file says nothing; older bloods stay beside newer ones.
    found : ClinicFile
        Readings after the intake's first day are left out.

    Returns
    -------
    Intake

    Raises
    ------
    IntakeError
        When the values together cannot be true of one body.
    """
    until = intake.start
    known = ClinicFile(
        tuple(one for one in found.readings if one.date <= until),
        tuple(one for one in found.bloods if one.date <= until),
        found.passed_over,
    )
    data = intake.model_dump(mode="json")
    for field in ("weight_kg", "height_cm"):
        reading = known.latest(field)
        if reading is not None:
            data[field] = round(reading.value, 2)
    scan = _scan(known)
    if scan is not None:
        data["scan"] = scan.model_dump(mode="json")
    resting = known.latest("resting_kcal")
    if resting is not None:
        test = RestingTest(date=resting.date, kcal=resting.value)
        data["resting_test"] = test.model_dump(mode="json")
    have = {(one.analyte, one.date) for one in known.bloods}
    kept = [one for one in intake.bloods if (one.analyte, one.date) not in have]
    tests = sorted((*kept, *known.bloods), key=lambda one: (one.date, one.analyte))
    data["bloods"] = [one.model_dump(mode="json") for one in tests]
    return parse_intake(data)


def _scan(found: ClinicFile) -> BodyScan | None:
    """Make a body-composition result of the newest day that has one."""
    parts = [found.latest(name) for name in ("fat_percent", "fat_kg")]
    newest = max((one.date for one in parts if one is not None), default=None)
    if newest is None:
        return None
    same = {one.field: one.value for one in parts if one is not None and one.date == newest}
    # The codes do not say how it was measured: it counts as the least sure of the methods.
    return BodyScan(date=newest, method="bioimpedance", **same)
