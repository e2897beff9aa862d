"""
Blood tests: what a value outside the laboratory's own range means for food, and whom to see.

Never a diagnosis: the range is the laboratory's, the decision a physician's.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

from mealplan.errors import IntakeError
from mealplan.references.tables import Provenance, provenance, read_rows

BloodSeverity = Literal["override", "warn", "note"]
Side = Literal["low", "high"]

_PRINTED = {
    "mIU/L": "m[IU]/L",
    "uIU/mL": "u[IU]/mL",
    "mcIU/mL": "u[IU]/mL",
    "mEq/L": "meq/L",
    "mcg/L": "ug/L",
    "mL/min/1.73m2": "mL/min/{1.73_m2}",
    "INR": "{INR}",
}
"""Units as laboratories print them, in the spelling of the Unified Code for Units of Measure."""


@dataclass(frozen=True)
class Analyte:
    """One thing a laboratory measures, with its code, units and what each side of a range means."""

    key: str
    label: str
    loinc: str
    """Code of the Logical Observation Identifiers; empty where none was found."""
    units: tuple[str, ...]
    """Accepted units, written as in the Unified Code for Units of Measure."""
    words: dict[Side, str]
    severity: dict[Side, BloodSeverity]
    see: str
    source: str
    provenance: Provenance


@cache
def analytes() -> dict[str, Analyte]:
    """
    Load what is read of blood tests.

    Returns
    -------
    dict of str to Analyte
        By key, in file order.
    """
    return {
        row["key"]: Analyte(
            key=row["key"],
            label=row["label"],
            loinc=row["loinc"],
            units=tuple(row["units"].split(";")),
            words={"low": row["low_words"], "high": row["high_words"]},
            severity={
                "low": cast(BloodSeverity, row["low_severity"]),
                "high": cast(BloodSeverity, row["high_severity"]),
            },
            see=row["see"],
            source=row["source"],
            provenance=provenance(row["provenance"]),
        )
        for row in read_rows("bloods.csv")
    }


def ucum(unit: str) -> str:
    """
    Spell a unit as the Unified Code for Units of Measure does.

    Parameters
    ----------
    unit : str
        As the laboratory prints it, such as ``mIU/L`` or ``µmol/L``.

    Returns
    -------
    str
        A unit that is not known comes back as it was, with ``u`` for micro.
    """
    plain = unit.strip().replace("µ", "u").replace("μ", "u").replace("²", "2")
    return _PRINTED.get(plain.replace(" ", ""), plain)


def analyte(key: str, unit: str) -> Analyte:
    """
    Look an analyte up and check its unit.

    Parameters
    ----------
    key : str
        Such as ``ferritin``.
    unit : str
        As the laboratory prints it.

    Returns
    -------
    Analyte

    Raises
    ------
    IntakeError
        For an unknown analyte or unit, with those there are.
    """
    known = analytes()
    if key not in known:
        raise IntakeError(f"bloods: no analyte {key!r}; there are {', '.join(known)}")
    found = known[key]
    if ucum(unit) not in found.units:
        raise IntakeError(
            f"bloods: {found.label} in {unit!r}; write it in {' or '.join(found.units)}"
        )
    return found


def side_of(value: float, low: float | None, high: float | None) -> Side | None:
    """
    Say on which side of the laboratory's range a value lies.

    Parameters
    ----------
    value : float
        [unit]
    low, high : float or None
        The laboratory's own ends; None when it prints none. [unit]

    Returns
    -------
    str or None
        None inside the range.
    """
    if low is not None and value < low:
        return "low"
    if high is not None and value > high:
        return "high"
    return None
