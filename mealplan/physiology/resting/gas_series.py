"""
Reading a gas-exchange test exported as text: time, VO2, VCO2 and, if there, heart rate.

Any comma-, semicolon- or tab-separated text will do, with or without units in the header. Units are
taken from the header when it names them and from the size of the numbers when it does not; what was
decided is always said. Nothing is guessed when the numbers could mean two things.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, median
from typing import Literal

from mealplan.errors import IntakeError

GasUnit = Literal["mL/min", "L/min"]
TestKind = Literal["rest", "exercise"]
ML_PER_L = 1000.0
MAX_ROWS = 20_000
"""Breath-by-breath exports of a long test stay well below this. [rows]"""


@dataclass(frozen=True)
class GasSample:
    """
    One row of a test.

    Attributes
    ----------
    minute : float
        Time since the start. [min]
    vo2_ml_min, vco2_ml_min : float
        Gas volumes, STPD. [mL/min]
    heart_rate_bpm : float or None
        Heart rate where recorded. [1/min]
    """

    minute: float
    vo2_ml_min: float
    vco2_ml_min: float
    heart_rate_bpm: float | None = None


@dataclass(frozen=True)
class GasSeries:
    """
    A whole test in time order.

    Attributes
    ----------
    samples : tuple of GasSample
        The rows, times shifted so that the first is at 0 or later as exported.
    unit : str
        Unit the file was in.
    messages : tuple of str
        What was decided or left out while reading.
    """

    samples: tuple[GasSample, ...]
    unit: GasUnit
    messages: tuple[str, ...]


LONGEST_TITLE = 80
"""What of a column's title is read. [characters]"""
_TIME = ("time", "minute", "minutes", "min", "t")
_VO2 = ("vo2",)
_VCO2 = ("vco2",)
_HEART = ("hr", "heartrate", "pulse")


def _key(title: str) -> str:
    bare = re.sub(r"[\(\[].*?[\)\]]", "", title[:LONGEST_TITLE].lower())
    return re.sub(r"[^a-z0-9]", "", bare.replace("'", ""))


def _column(header: Sequence[str], names: Sequence[str]) -> int | None:
    """Find a column by exact name, else by its beginning; per-kilogram columns come last."""
    keys = [_key(title) for title in header]
    exact = [i for i, key in enumerate(keys) if key in names]
    gas = names is not _TIME
    begun = [i for i, key in enumerate(keys) if gas and key.startswith(tuple(names))]
    found = [*exact, *begun]
    found.sort(key=lambda i: _unit_in(header[i]) == "mL/kg/min")
    return found[0] if found else None


def _unit_in(title: str) -> str | None:
    """Return the unit a column title names, or None."""
    text = (
        re.sub(r"\s", "", title[:LONGEST_TITLE].lower())
        .replace("_", "/")
        .replace("·", "/")
        .replace(".", "/")
    )
    if "/kg" in text:
        return "mL/kg/min"
    if "ml/min" in text or "mlmin" in text:
        return "mL/min"
    if re.search(r"(^|[^m])l/min", text):
        return "L/min"
    return None


def _number(text: str, *, decimal_comma: bool) -> float | None:
    bare = text.strip().strip('"')
    if decimal_comma:
        bare = bare.replace(".", "").replace(",", ".") if "," in bare else bare
    try:
        value = float(bare)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _minutes(text: str, *, decimal_comma: bool) -> float | None:
    bare = text.strip().strip('"')
    if ":" in bare:
        parts = [_number(part, decimal_comma=decimal_comma) for part in bare.split(":")]
        if len(parts) not in (2, 3) or any(part is None for part in parts):
            return None
        known = [part for part in parts if part is not None]
        if len(known) == 2:
            return known[0] + known[1] / 60.0
        return known[0] * 60.0 + known[1] + known[2] / 60.0
    return _number(bare, decimal_comma=decimal_comma)


def _detect(values: Sequence[float], kind: TestKind) -> GasUnit:
    """Decide between mL/min and L/min from size, and refuse what could be mL/kg/min."""
    middle, top = median(values), max(values)
    if kind == "rest":
        if 0.08 <= middle <= 1.0:
            return "L/min"
        if middle >= 80.0:
            return "mL/min"
    else:
        if middle <= 8.0 and min(values) < 2.0:
            return "L/min"
        if top >= 300.0:
            return "mL/min"
    raise IntakeError(
        f"the VO2 column has a middle value of {middle:g}: at {kind} that is neither mL/min nor "
        "L/min. If it is mL/kg/min, multiply by body mass in kg; else put the unit in the header, "
        "such as VO2 (mL/min)."
    )


def read_gas_series(text: str, kind: TestKind = "rest") -> GasSeries:
    """
    Read an exported test.

    Parameters
    ----------
    text : str
        The file's text. The first line that names VO2 and VCO2 is the header; lines before it and
        rows without numbers are skipped and counted.
    kind : str
        ``"rest"`` or ``"exercise"``; decides what sizes are plausible.

    Returns
    -------
    GasSeries

    Raises
    ------
    IntakeError
        When columns are missing, the unit cannot be told, or times do not rise.
    """
    header, rows, decimal_comma = _table(text)
    at = {
        "time": _column(header, _TIME),
        "VO2": _column(header, _VO2),
        "VCO2": _column(header, _VCO2),
    }
    for name, position in at.items():
        if position is None:
            raise IntakeError(
                f"no column for {name} among {', '.join(header)}: name it {name} in the header."
            )
    columns = [position for position in at.values() if position is not None]
    raw = _readings(rows, columns, _column(header, _HEART), decimal_comma=decimal_comma)
    skipped = len(rows) - len(raw)
    if not raw:
        raise IntakeError(
            "no row under the header has numbers for time, VO2 and VCO2: check the decimal sign "
            "and the column separator."
        )
    messages: list[str] = []
    if skipped:
        messages.append(f"{skipped} row(s) without usable numbers were left out")
    if any(later[0] <= earlier[0] for earlier, later in pairwise(raw)):
        raise IntakeError("times do not rise from row to row: sort the file by time.")
    unit = _settle_unit(header[columns[1]], header[columns[2]], [r[1] for r in raw], kind, messages)
    factor = ML_PER_L if unit == "L/min" else 1.0
    samples = tuple(GasSample(m, o * factor, c * factor, h) for m, o, c, h in raw)
    return GasSeries(samples, unit, tuple(messages))


def _table(text: str) -> tuple[list[str], list[list[str]], bool]:
    """Give a file's header, its rows, and whether its numbers have a decimal comma."""
    lines = [line for line in text.replace("\ufeff", "").splitlines() if line.strip()]
    if not lines:
        raise IntakeError("the test file is empty: export the minute-by-minute table as CSV.")
    start = next(
        (
            i
            for i, line in enumerate(lines)
            if "vo2" in line.lower().replace("'", "") and "vco2" in line.lower().replace("'", "")
        ),
        None,
    )
    if start is None:
        raise IntakeError(
            "no header line names both VO2 and VCO2: the first line should read, for example, "
            "time,VO2 (mL/min),VCO2 (mL/min),HR."
        )
    if len(lines) - start > MAX_ROWS:
        raise IntakeError(
            f"the test file has {len(lines) - start} rows, more than {MAX_ROWS}: "
            "export it averaged over 30 s or a minute."
        )
    delimiter = max(("\t", ";", ","), key=lines[start].count)
    decimal_comma = delimiter != "," and any("," in line for line in lines[start + 1 :])
    header, *rows = csv.reader(lines[start:], delimiter=delimiter)
    return header, rows, decimal_comma


def _readings(
    rows: Sequence[Sequence[str]], columns: Sequence[int], heart: int | None, *, decimal_comma: bool
) -> list[tuple[float, float, float, float | None]]:
    """Give minute, VO2, VCO2 and pulse of every row that has the first three."""
    raw: list[tuple[float, float, float, float | None]] = []
    for row in rows:
        if len(row) <= max(columns):
            continue
        minute = _minutes(row[columns[0]], decimal_comma=decimal_comma)
        vo2 = _number(row[columns[1]], decimal_comma=decimal_comma)
        vco2 = _number(row[columns[2]], decimal_comma=decimal_comma)
        if minute is None or vo2 is None or vco2 is None or vo2 <= 0 or vco2 <= 0:
            continue
        pulse = None
        if heart is not None and len(row) > heart:
            pulse = _number(row[heart], decimal_comma=decimal_comma)
        raw.append((minute, vo2, vco2, pulse))
    return raw


def _settle_unit(
    vo2_title: str,
    vco2_title: str,
    values: Sequence[float],
    kind: TestKind,
    messages: list[str],
) -> GasUnit:
    named = {unit for unit in (_unit_in(vo2_title), _unit_in(vco2_title)) if unit is not None}
    if "mL/kg/min" in named:
        raise IntakeError(
            "VO2 is headed mL/kg/min: multiply both gases by body mass in kg and name mL/min."
        )
    if len(named) > 1:
        raise IntakeError(
            f"VO2 and VCO2 are headed in different units ({' and '.join(sorted(named))}): "
            "export both in mL/min."
        )
    detected = _detect(values, kind)
    if named and detected not in named:
        raise IntakeError(
            f"the header says {named.pop()} but the VO2 values (middle {median(values):g}) look "
            f"like {detected}: correct the header."
        )
    how = "named in the header" if named else "told from the size of the numbers"
    messages.append(f"gas volumes read as {detected} ({how})")
    return detected


def minute_means(samples: Sequence[GasSample]) -> tuple[GasSample, ...]:
    """
    Average samples over whole minutes, whatever their spacing.

    Parameters
    ----------
    samples : sequence of GasSample
        In time order.

    Returns
    -------
    tuple of GasSample
        One for each minute that has any sample, ``minute`` being the minute's start. [min]
    """
    bins: dict[int, list[GasSample]] = {}
    for sample in samples:
        bins.setdefault(math.floor(sample.minute), []).append(sample)
    means = []
    for minute in sorted(bins):
        group = bins[minute]
        pulses = [s.heart_rate_bpm for s in group if s.heart_rate_bpm is not None]
        means.append(
            GasSample(
                float(minute),
                fmean(s.vo2_ml_min for s in group),
                fmean(s.vco2_ml_min for s in group),
                fmean(pulses) if pulses else None,
            )
        )
    return tuple(means)
