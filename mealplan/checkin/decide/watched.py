"""Whom the warnings watch, and what a log says of his illness and eating."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from mealplan.checkin.log.entries import Feeling, IntakeRecord
from mealplan.checkin.log.log import Log
from mealplan.client.intake import BloodTest
from mealplan.references.tables import Sex

ILL_SCORE = 4
"""A feeling of illness from here on counts as an ill day."""


@dataclass(frozen=True)
class WatchedClient:
    """What the warnings need to know of the client; None where not known."""

    sex: Sex
    ffm_kg: float | None = None
    gaining_planned: bool = False
    losing_planned: bool = False
    periods_expected: bool = False
    """True when the client has periods and wants them followed."""
    bloods: tuple[BloodTest, ...] = ()
    """Blood tests of any date."""


def logged_kcal(record: IntakeRecord) -> float | None:
    """
    Return the energy of a record as far as it is known, in kcal.

    Parameters
    ----------
    record : IntakeRecord
        One day's eating.
    """
    if record.kcal is not None:
        return record.kcal
    return record.planned_kcal if record.adherence != "other" else None


def ill_spells(log: Log, first: dt.date, last: dt.date) -> int:
    """
    Return how many separate spells of illness touch the span; a week apart makes two.

    Parameters
    ----------
    log : Log
        The client's log.
    first : dt.date
        First day.
    last : dt.date
        Last day.
    """
    days = set(log.days_of("sick"))
    days |= {f.on for f in log.of(Feeling) if f.illness is not None and f.illness >= ILL_SCORE}
    spells, before = 0, None
    for day in sorted(d for d in days if first <= d <= last):
        if before is None or (day - before).days > 7:
            spells += 1
        before = day
    return spells
