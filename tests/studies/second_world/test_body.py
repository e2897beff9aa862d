"""The body keeps energy, follows published partition and time, and its truth is what it does."""

import dataclasses

import numpy as np
import pytest

from tests.studies.second_world.body import Body, Day
from tests.studies.second_world.client import make_client
from tests.studies.second_world.person import draw_person
from tests.studies.second_world.protocol import PublicLog
from tests.studies.second_world.runner import add_day
from tests.studies.second_world.worlds import PLAIN, WORLDS


def a_person(**changes):
    person = draw_person(PLAIN, np.random.default_rng(3))
    steady = {"recomposition_kg": 0.0, "keeping": 1.0, "building": 1.0}
    return dataclasses.replace(person, **{**steady, **changes})


@pytest.mark.parametrize("world", WORLDS)
def test_energy_eaten_is_spent_or_stored(world):
    client = make_client(world, 11)
    eaten, live = [], client.body.live
    client.body.live = lambda day: (eaten.append(day.eaten_kcal), live(day))
    before, spent = client.body.stored_kcal, 0.0
    for day in range(100):
        client.live(day, 2000 + 5 * day)
        spent += client.body.spent_kcal
    assert sum(eaten) - spent == pytest.approx(client.body.stored_kcal - before, abs=0.01)


def test_eating_the_habit_keeps_the_body_as_it_is():
    person = a_person()
    body = Body(person)
    training = person.training_gross_kcal * (1 - person.compensation)
    for _ in range(200):
        body.live(Day(person.habit_kcal, training_kcal=training))
    assert body.tissue_kg == pytest.approx(person.fat_kg + person.lean_kg, abs=0.01)
    assert body.pools_kg == pytest.approx(
        person.glycogen_kg * (1 + person.water_per_glycogen) + person.gut_kg, abs=0.01
    )


def test_half_of_a_loss_comes_in_a_year_and_nearly_all_in_three():
    # source: published; Hall et al. 2011, doi:10.1016/S0140-6736(11)60812-X: a change of 100 kJ/day
    # moves body mass by about 1 kg in the end, half of it in about a year, 95 % in about three, in
    # the average overweight adult.
    person = a_person(
        female=False, fat_kg=30.0, lean_kg=58.0, trained=False, adaptation=0.14, movement_response=0
    )
    person = dataclasses.replace(person, resting_kcal=1850.0, movement_kcal=700.0)
    body, start = Body(person), person.mass_kg
    training = person.training_gross_kcal * (1 - person.compensation)
    lost = []
    for _ in range(3 * 365):
        body.live(Day(person.habit_kcal - 1000 / 4.184, training_kcal=training))
        lost.append(start - body.tissue_kg - body.pools_kg)
    assert 3.5 < lost[365] < 6.5
    assert 7.5 < lost[-1] < 11.0


def test_lean_share_is_forbes_without_a_persons_own_ways():
    # source: worked by hand; 10.4 / (10.4 + fat) at 10.4 and 31.2 kg of fat.
    for fat, share in ((10.4, 0.5), (31.2, 0.25)):
        body = Body(a_person(fat_kg=fat))
        assert body.lean_share(-2000) == pytest.approx(share)
        assert body.lean_share(2000) == pytest.approx(share)


@pytest.mark.parametrize(("phase", "rate"), [("cut", -0.6), ("hold", 0.0), ("gain", 0.25)])
def test_eating_what_the_truth_says_is_needed_gives_the_wanted_rate(phase, rate):
    person = a_person(recomposition_kg=0.003, phase=phase, keeping=0.6, building=1.3)
    body = Body(person)
    training = person.training_gross_kcal * (1 - person.compensation)
    course = []
    for _ in range(84):
        need = body.needed_kcal(rate, body.steady_kcal + training)
        body.live(Day(need, training_kcal=training))
        course.append(body.tissue_kg)
    assert course[-1] - course[-29] == pytest.approx(4 * rate, abs=0.03)


def test_first_days_of_a_cut_lose_water_that_a_refeed_brings_back():
    person = a_person()
    body = Body(person)
    for _ in range(6):
        body.live(Day(0.75 * person.habit_kcal))
    emptied = person.mass_kg - person.fat_kg - person.lean_kg - body.pools_kg
    low = body.pools_kg
    # One to two kilograms in the first week of a diet are not tissue: common practice.
    assert 0.4 < emptied < 2.0
    for _ in range(2):
        body.live(Day(1.2 * person.habit_kcal, carbohydrate=1.3))
    assert body.pools_kg > low + 0.5


def test_the_same_seed_gives_the_same_log_and_another_another():
    def log_of(seed):
        client, log = make_client("everything", seed), PublicLog()
        for day in range(40):
            add_day(log, client, day, 2200.0)
        return log

    assert log_of(5) == log_of(5)
    assert log_of(5).weigh_ins != log_of(6).weigh_ins
