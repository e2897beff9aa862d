"""Clients eat, log and weigh as their world says, and their hidden change of training is hidden."""

import numpy as np
import pytest

from tests.studies.second_world.client import make_client
from tests.studies.second_world.protocol import PublicLog
from tests.studies.second_world.runner import add_day

DAYS = 112


def lived(world, seed, kcal=None):
    """Live a client under one plan; give it, its log and what it truly ate each day."""
    client, log, eaten = make_client(world, seed), PublicLog(), []
    live = client.body.live
    client.body.live = lambda day: (eaten.append(day.eaten_kcal), live(day))
    for day in range(DAYS):
        add_day(log, client, day, kcal or client.first_plan_kcal)
    return client, log, np.array(eaten)


def test_days_are_lived_in_order():
    client = make_client("plain", 1)
    client.live(0, 2000)
    with pytest.raises(ValueError, match="live day 1 next"):
        client.live(2, 2000)


def test_true_logging_scale_is_mean_logged_over_mean_eaten():
    ratios = []
    for seed in range(40):
        client, log, eaten = lived("everything", seed)
        trips = client.calendar.travel | client.calendar.sick | client.calendar.refeeds
        usual = [day for day in range(DAYS) if day not in trips]
        logged = np.mean([e.kcal for e in log.eaten if e.day not in trips])
        client.mean_eaten_kcal = eaten[usual].mean()
        ratios.append(logged / eaten[usual].mean() / client.logging_scale(DAYS // 2))
    assert np.mean(ratios) == pytest.approx(1, abs=0.01)
    assert np.std(ratios) < 0.05


def test_clients_eat_between_sixty_and_hundred_and_ten_percent_of_the_way_to_the_plan():
    ways = []
    for seed in range(60):
        client = make_client("everything", seed)
        for day in range(20):
            client.live(day, 2000.0)
        asked = 2000.0 / client.logging_scale(19)
        habit = client.person.habit_kcal
        ways.append((client.mean_eaten_kcal - habit) / (asked - habit))
    assert 0.58 < min(ways) < 0.7
    assert 1.0 < max(ways) < 1.12


def test_readings_are_missing_more_often_after_a_rise():
    missing = {True: [], False: []}
    for seed in range(60):
        _, log, _ = lived("everything", seed)
        kg = {w.day: w.kg for w in log.weigh_ins}
        last = None
        for day in range(DAYS - 1):
            if day in kg:
                if last is not None:
                    missing[kg[day] - last > 0.3].append(day + 1 not in kg)
                last = kg[day]
    assert np.mean(missing[True]) > np.mean(missing[False]) + 0.1


def test_conditions_of_a_reading_show_in_it():
    above = {"clothed": [], "late": [], "usual": []}
    for seed in range(60):
        client, log = make_client("everything", seed), PublicLog()
        for day in range(DAYS):
            add_day(log, client, day, client.first_plan_kcal)
            told = [w for w in log.weigh_ins if w.day == day and w.usual_scale]
            new = client.calendar.new_scale_day
            for reading in told if new is None or day < new else []:
                kind = "clothed" if reading.clothed else "usual" if reading.fasted else "late"
                above[kind].append(reading.kg - client.morning_kg)
    # source: published; Whigham 2013: 0.8 kg in women, 1.2 in men.
    assert np.mean(above["clothed"]) == pytest.approx(1.0, abs=0.12)
    assert 0.5 < np.mean(above["late"]) < 2.0
    assert np.mean(above["usual"]) == pytest.approx(0, abs=0.02)


def test_morning_mass_varies_from_day_to_day_as_measured():
    spread = []
    for seed in range(60):
        client, mass = make_client("life", seed), []
        for day in range(DAYS):
            client.live(day, client.first_plan_kcal)
            mass.append(client.morning_kg)
        spread.append(np.std(np.diff(mass)) / np.sqrt(2))
    # source: from memory; Cheuvront 2004: 0.51 kg, SD 0.20, of first-morning mass in active men.
    assert 0.3 < np.mean(spread) < 0.65


def test_an_untold_change_moves_expenditure_and_nothing_in_the_log_before_the_body_does():
    client, twin = (make_client("untold training step", 4) for _ in range(2))
    twin.forget_step()
    step, size = client.calendar.step_day, client.calendar.step_kcal
    assert 14 <= step <= 70
    assert 150 <= abs(size) <= 400
    logs = PublicLog(), PublicLog()
    for day in range(step + 1):
        for one, log in zip((client, twin), logs, strict=True):
            add_day(log, one, day, 2300.0)
    assert logs[0] == logs[1]
    assert client.expenditure_kcal - twin.expenditure_kcal == pytest.approx(size, abs=5)


def test_a_logged_change_shows_in_the_sessions():
    ratios = []
    for seed in range(20):
        client, log, _ = lived("logged training step", seed)
        step = client.calendar.step_day
        before = np.mean([s.net_kcal for s in log.sessions if s.day < step])
        after = np.mean([s.net_kcal for s in log.sessions if s.day >= step])
        usual = client.person.training_gross_kcal * (1 - client.person.compensation)
        ratios.append((after / before - 1) / (client.calendar.step_kcal / usual))
    assert np.median(ratios) == pytest.approx(1, abs=0.15)


def test_worlds_differ_in_what_happens():
    happened = {"plain": 0, "everything": 0}
    for world in happened:
        for seed in range(30):
            calendar = make_client(world, seed).calendar
            happened[world] += bool(calendar.travel) + bool(calendar.sick)
            happened[world] += calendar.step_day is not None
    assert happened["plain"] == 0
    assert happened["everything"] > 20
