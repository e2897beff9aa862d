"""A client whose true expenditure is known, for the tests of this folder."""

import datetime as dt

import numpy as np
import pytest

from mealplan.checkin.log.entries import Event, IntakeRecord, WeighIn, log_of

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
