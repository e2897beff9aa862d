"""Readings that look like a slip of the pen or of the unit, and what to ask about them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from statistics import median
from typing import Literal

from mealplan.checkin.log.entries import KG_PER_UNIT, MassUnit, WeighIn
from mealplan.science.units import KG_PER_LB

JUMP_FRACTION = 0.03
"""A change this large from the readings before it is asked about (common practice)."""
JUMP_WINDOW_DAYS = 14
UNIT_SLIP_RATIOS = (2.1, 2.3)
"""A ratio to the readings before it between these, or its inverse, is pounds for kilograms."""


@dataclass(frozen=True)
class ReadingQuestion:
    """Something to ask the client about one reading."""

    entry_id: str
    on: dt.date
    what: Literal["unit slip", "jump"]
    text: str
    suggested_kg: float | None = None
    suggested: str = ""
    """What was probably meant, as it would have been written; only for a slip of the unit."""


def check_readings(weigh_ins: tuple[WeighIn, ...]) -> tuple[ReadingQuestion, ...]:
    """
    Ask about readings that look like a slip.

    Each reading is compared with the median of up to five readings before it that raised no
    question, within a fortnight; the first readings are compared with those after them.

    Parameters
    ----------
    weigh_ins : tuple of WeighIn
        Oldest first.

    Returns
    -------
    tuple of ReadingQuestion
        Confirmed readings raise none.
    """
    questions: list[ReadingQuestion] = []
    trusted: list[tuple[dt.date, float]] = []
    masses = [reading.mass_kg for reading in weigh_ins]
    overall = median(masses) if masses else 0.0
    for reading, mass in zip(weigh_ins, masses, strict=True):
        near = [kg for on, kg in trusted[-5:] if (reading.on - on).days <= JUMP_WINDOW_DAYS]
        usual = median(near) if near else overall
        ratio = mass / usual
        low, high = UNIT_SLIP_RATIOS
        slipped = low <= ratio <= high or low <= 1 / ratio <= high
        if reading.confirmed or (not slipped and not near):
            trusted.append((reading.on, mass))
        elif slipped:
            questions.append(_slip(reading, usual))
        elif abs(ratio - 1) > JUMP_FRACTION:
            questions.append(_jump(reading, usual))
        else:
            trusted.append((reading.on, mass))
    return tuple(questions)


def _slip(reading: WeighIn, usual_kg: float) -> ReadingQuestion:
    ratio = reading.mass_kg / usual_kg
    meant = reading.mass_kg * (KG_PER_LB if ratio > 1 else 1 / KG_PER_LB)
    return ReadingQuestion(
        entry_id=reading.id,
        on=reading.on,
        what="unit slip",
        text=(
            f"{_read(reading)} is {ratio:.2f} times the usual {_usual(usual_kg, reading)}, the "
            f"ratio of pounds to kilograms. Was {_slipped(reading, meant)} meant? It is held out "
            "until you confirm or correct it."
        ),
        suggested_kg=meant,
        suggested=_slipped(reading, meant),
    )


def _jump(reading: WeighIn, usual_kg: float) -> ReadingQuestion:
    return ReadingQuestion(
        entry_id=reading.id,
        on=reading.on,
        what="jump",
        text=(
            f"{_read(reading)} is {100 * (reading.mass_kg / usual_kg - 1):+.1f} % from the usual "
            f"{_usual(usual_kg, reading)}. If it is right, confirm it; the trend waits for more "
            "readings before it believes such a step."
        ),
    )


def _read(reading: WeighIn) -> str:
    return f"{reading.value:.10g} {reading.unit}"


def _usual(usual_kg: float, reading: WeighIn) -> str:
    """Write the usual mass in the unit of a reading."""
    return f"{usual_kg / KG_PER_UNIT[reading.unit]:.1f} {reading.unit}"


def other_unit(reading: WeighIn) -> MassUnit:
    """
    Name the unit a reading may have been in when its own is a slip.

    Parameters
    ----------
    reading : WeighIn

    Returns
    -------
    {"kg", "lb"}
    """
    return "kg" if reading.unit == "lb" else "lb"


def _slipped(reading: WeighIn, meant_kg: float) -> str:
    """Write what was probably meant: the same number in the other unit, where that fits."""
    unit = other_unit(reading)
    if abs(reading.value * KG_PER_UNIT[unit] / meant_kg - 1) < 0.01:
        return f"{reading.value:.10g} {unit}"
    return f"{meant_kg / KG_PER_UNIT[reading.unit]:.1f} {reading.unit}"
