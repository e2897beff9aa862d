"""
What a condition or medicine of the intake means: words, whom to see, what is left out of food.

The table ``health_words.csv`` decides; a condition that changes a day's ranges does so in
:mod:`mealplan.targets.conditions`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Literal, cast, get_args

from mealplan.client.intake import HealthFlag
from mealplan.references.tables import Provenance, provenance, read_rows

HealthSeverity = Literal["override", "warn", "note"]


@dataclass(frozen=True)
class HealthWords:
    """What one condition or medicine makes the worksheet say."""

    flag: HealthFlag
    code: str
    """Stable name of the finding; an override names it."""
    severity: HealthSeverity
    message: str
    reason: str
    see: str
    avoid: tuple[str, ...]
    """Words for foods that are never served with it."""
    source: str
    provenance: Provenance


@cache
def health_words() -> tuple[HealthWords, ...]:
    """
    Load what is said of conditions and medicines.

    Returns
    -------
    tuple of HealthWords
        In file order; a condition may have several.

    Raises
    ------
    ValueError
        When a row names a flag that the intake does not know: a table fault.
    """
    found = []
    for row in read_rows("health_words.csv"):
        if row["flag"] not in get_args(HealthFlag):
            raise ValueError(f"health_words.csv: no health flag {row['flag']!r}")
        found.append(
            HealthWords(
                flag=cast(HealthFlag, row["flag"]),
                code=row["code"],
                severity=cast(HealthSeverity, row["severity"]),
                message=row["message"],
                reason=row["reason"],
                see=row["see"],
                avoid=tuple(word for word in row["avoid"].split(";") if word),
                source=row["source"],
                provenance=provenance(row["provenance"]),
            )
        )
    return tuple(found)


def avoided_with(health: Iterable[HealthFlag]) -> tuple[str, ...]:
    """
    Name the foods that conditions and medicines rule out.

    Parameters
    ----------
    health : iterable of str
        Flags of an intake.

    Returns
    -------
    tuple of str
        Words that the catalogue of foods understands.
    """
    flags = set(health)
    return tuple(word for one in health_words() if one.flag in flags for word in one.avoid)
