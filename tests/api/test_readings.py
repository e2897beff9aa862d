"""Readings kept in memory between requests."""

import datetime as dt

from api.records import readings
from mealplan.checkin.energy.partition import Energetics
from mealplan.checkin.energy.reading import read
from mealplan.checkin.energy.setup import set_up
from mealplan.checkin.log.days import Day


def reading():
    rows = (Day(dt.date(2026, 1, 5), mass_kg=80.0), Day(dt.date(2026, 1, 6)))
    return read(rows, set_up(rows, (2800.0, 300.0), Energetics(0.75, 0.5)))


def test_only_the_newest_are_kept_and_one_can_be_forgotten():
    made = reading()
    for number in range(readings.MOST + 2):
        readings.keep(f"client-{number}", made)
    assert readings.kept_for("client-0") is None
    last = f"client-{readings.MOST + 1}"
    assert readings.kept_for(last) is made
    readings.keep(last, None)
    assert readings.kept_for(last) is None
