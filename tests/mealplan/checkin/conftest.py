"""A client whose true expenditure is known, for the tests of this folder."""

import datetime as dt

import numpy as np
import pytest

from mealplan.checkin.energy.partition import Energetics
from mealplan.checkin.energy.reading import read
from mealplan.checkin.energy.setup import set_up
from mealplan.checkin.log.days import daily
from mealplan.checkin.log.entries import Event, IntakeRecord, WeighIn
from mealplan.checkin.log.log import log_of

START = dt.date(2026, 1, 5)  # a Monday


def day(number):
    return START + dt.timedelta(days=number)


def living(
    days=56,
    *,
    expenditure=2900.0,
    intake=3100.0,
    density=5900.0,
    noise=0.48,
    seed=0,
    mass=80.0,
    weighed=1.0,
    logged=1.0,
    wobble=150.0,
):
    """Entries of a client who stores what is left of intake after expenditure."""
    rng = np.random.default_rng(seed)
    entries = [Event(on=START, what="phase change", phase="gain")]
    for number in range(days):
        if rng.random() < weighed:
            entries.append(WeighIn(on=day(number), mass_kg=round(mass + rng.normal(0, noise), 1)))
        eaten = round(intake + rng.normal(0, wobble))
        if rng.random() < logged:
            entries.append(
                IntakeRecord(
                    on=day(number), adherence="as planned", planned_kcal=intake, kcal=eaten
                )
            )
        mass += (eaten + rng.normal(0, 150) - expenditure) / density
    return entries


@pytest.fixture
def steady_log():
    return log_of(living())


@pytest.fixture
def client_of():
    """Make entries of a client with a given expenditure."""
    return living


BODY = Energetics(0.75, 0.5357, share_sd=0.1)


def read_until(log, today, *, prior=(3000.0, 380.0), body=BODY, direction=1, earlier=None, **known):
    """Read a log up to a day for a client in a gain."""
    days = daily(log, min(e.on for e in log.entries), today)
    return read(days.rows, set_up(days.rows, prior, body, direction=direction, **known), earlier)


@pytest.fixture(name="read_until")
def _read_until():
    return read_until
