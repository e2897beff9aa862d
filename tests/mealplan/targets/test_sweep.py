"""Targets over all kinds of people: nothing contradicts itself, and one unit more makes no jump."""

import random
from itertools import pairwise

import pytest

from mealplan.errors import SafetyRefusal
from mealplan.targets.make import make_targets
from tests.mealplan.targets.clients import client, decided, training

LIFTING = [("mon", "02054", 60), ("wed", "02054", 60), ("fri", "02054", 60)]
RIDING = [("tue", "12050", 60), ("thu", "12050", 60), ("sat", "12050", 120)]
MUCH = [(day, "12050", 100) for day in ("mon", "tue", "wed", "thu", "fri", "sat")]
WEEKS = ([], LIFTING, RIDING, [*LIFTING, *RIDING], [*MUCH, ("sun", "01040", 240)])
ALLOWED = decided(
    "bmi_low", "bmi_high", "under_18", "availability_low", "availability_reduced", "energy_low",
    "below_rmr", "deficit_large", "bmi_lowish",
)  # fmt: skip


def someone(seed):
    draw = random.Random(seed)
    height, mass_index = draw.randint(150, 198), draw.uniform(17.2, 45)
    return {
        "sex": draw.choice(["male", "female"]),
        "age_years": draw.randint(14, 85),
        "height_cm": height,
        "weight_kg": round(mass_index * (height / 100) ** 2, 1),
        "goal": {"phase": draw.choice(["gain", "hold", "cut", "endurance"])},
        "scan": draw.choice([None, round(draw.uniform(13, 45), 1)]),
        "week": draw.choice(WEEKS),
    }


def made_of(person):
    person = dict(person)
    fat, week = person.pop("scan"), person.pop("week")
    if fat is not None:
        person["scan"] = {"date": "2026-11-20", "method": "dxa", "fat_percent": fat}
    person |= {"guardian_agrees": True, "professional_overrides": ALLOWED}
    return make_targets(training(*week, **person) if week else client(**person))


# source: worked by hand (4, 9 and 4 kcal a gram; ranges hold their aims)
@pytest.mark.parametrize("seed", range(60))
def test_no_range_contradicts_itself_or_the_energy(seed):
    try:
        made = made_of(someone(seed))
    except SafetyRefusal:
        return  # said and not planned: nothing to contradict
    for day in made.days:
        for one in day.ranges.values():
            ends = [end for end in (one.low, one.aim, one.high) if end is not None]
            assert all(a <= b + 1e-6 for a, b in pairwise(ends)), one.key
        protein, sugar, fat = (
            day.ranges[key] for key in ("protein_g", "net_carbohydrate_g", "fat_g")
        )
        assert 4 * protein.low + 4 * sugar.low + 9 * fat.low <= 1.02 * day.energy_kcal


# source: common practice (a change nobody would notice in the body moves no target by a twentieth)
@pytest.mark.parametrize("seed", range(40))
@pytest.mark.parametrize(("key", "step"), [("height_cm", 1), ("weight_kg", 1), ("scan", 1)])
def test_one_unit_more_of_a_body_moves_energy_and_protein_little(seed, key, step):
    person = someone(1000 + seed)
    if person[key] is None:
        person[key] = 25.0
    try:
        before = made_of(person)
        after = made_of(person | {key: person[key] + step})
    except SafetyRefusal:
        return  # said and not planned: nothing to contradict
    assert after.energy.value == pytest.approx(before.energy.value, rel=0.05)
    protein = [made.days[0].ranges["protein_g"].aim for made in (before, after)]
    assert protein[1] == pytest.approx(protein[0], rel=0.05)
