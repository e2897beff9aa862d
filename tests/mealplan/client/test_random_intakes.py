"""Three hundred drawn clients get targets inside physiological windows or a reason; a thousand
damaged intakes get a line that says how to mend them."""

from __future__ import annotations

import copy
import random

import pytest

from mealplan.client.read import parse_intake
from mealplan.errors import IntakeError, SafetyRefusal, TargetError
from mealplan.targets.make import make_targets

ACTIVITIES = ("02054", "02050", "12050", "12080", "01030", "18290", "15535", "02072")
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def drawn(number: int) -> dict:
    """Draw a client whose every field is possible, if not always wise."""
    rng = random.Random(number)
    sex = rng.choice(("male", "female"))
    height = rng.uniform(150, 205) if sex == "male" else rng.uniform(145, 190)
    weight = round(rng.uniform(17, 34) * (height / 100) ** 2, 1)
    weight = min(max(weight, 40.0), 180.0)
    goal: dict = {"phase": rng.choice(("gain", "hold", "cut", "endurance"))}
    sign = {"gain": 1, "cut": -1}.get(goal["phase"], 0)
    way = rng.randrange(5)
    if sign and way == 1:
        goal["surplus_kcal"] = sign * rng.randrange(50, 900)
    elif sign and way == 2:
        goal["surplus_percent"] = sign * rng.randrange(2, 30)
    elif sign and way == 3:
        goal["rate_percent_per_week"] = sign * round(rng.uniform(0.05, 1.3), 2)
    elif sign and way == 4:
        goal |= {"change_kg": sign * round(rng.uniform(0.5, 8), 1), "weeks": rng.randrange(4, 30)}
    activity: dict = {
        "method": "multiplier",
        "system": "fao2004",
        "pal": round(rng.uniform(1.3, 2.6), 2),
    }
    if rng.random() < 0.5:
        activity = {
            "method": "component",
            "everyday_factor": round(rng.uniform(1.1, 1.6), 2),
            "vary_by_day": rng.random() < 0.5,
            "sessions": [
                {
                    "day": rng.choice(DAYS),
                    "activity": rng.choice(ACTIVITIES),
                    "minutes": rng.randrange(20, 150),
                }
                for _ in range(rng.randrange(0, 9))
            ],
        }
    data: dict = {
        "role": f"drawn client {number}",
        "sex": sex,
        "age_years": rng.randrange(14, 85),
        "height_cm": round(height, 1),
        "weight_kg": weight,
        "start": "2026-11-30",
        "training_status": rng.choice(("novice", "intermediate", "advanced")),
        "sessions_per_week": rng.randrange(0, 12),
        "goal": goal,
        "activity": activity,
        "kitchen": {"meals": rng.randrange(3, 7)},
    }
    if rng.random() < 0.4:
        data["scan"] = {
            "date": "2026-11-10",
            "method": rng.choice(("dxa", "skinfold", "bioimpedance", "air displacement")),
            "fat_percent": round(rng.uniform(9, 40), 1),
        }
    if rng.random() < 0.3:
        data["resting_test"] = {
            "date": f"2026-{rng.randrange(1, 11):02d}-10",
            "kcal": rng.randrange(1100, 2500),
        }
    if rng.random() < 0.15:
        flags = ["thyroid disease", "kidney stones", "stress fracture", "eating disorder history"]
        data["health"] = [rng.choice(flags)]
    return data


@pytest.mark.parametrize("number", range(300))
def test_a_drawn_client_gets_targets_in_physiological_windows_or_a_reason(number):
    refusal = None
    try:
        intake = parse_intake(drawn(number))
        targets = make_targets(intake)
    except (SafetyRefusal, IntakeError, TargetError) as refused:
        refusal = str(refused)
    if refusal is not None:
        assert len(refusal) > 40
        assert "\n" not in refusal
        return
    stopped = any(notice.severity in ("refuse", "override") for notice in targets.notices)
    lines = {line.key: line for line in targets.worksheet}
    resting = lines.get("resting_energy_kcal") or lines["resting_energy_predicted_kcal"]
    # source: common practice (windows wide enough for any healthy adult)
    assert 700 <= resting.value <= 4000
    assert resting.low < resting.value < resting.high
    energies = [day.energy_kcal for day in targets.days]
    assert sum(energies) / 7 == pytest.approx(targets.energy.value, rel=1e-6)
    if not stopped:
        assert min(energies) >= 1100
        assert max(energies) <= 9000
    for day in targets.days:
        for target in day.ranges.values():
            if target.low is not None and target.high is not None:
                assert target.low <= target.high, target.key
        protein = day.ranges["protein_g"]
        assert protein.low / intake.weight_kg >= 0.6
        assert protein.high / intake.weight_kg <= 3.2
        assert day.ranges["leucine_g"].low < protein.low


DAMAGE = (
    lambda rng: "x" * rng.randrange(1, 60),
    lambda rng: -rng.uniform(1, 1e6),
    lambda rng: rng.uniform(1e4, 1e12),
    lambda rng: None,
    lambda rng: [],
    lambda rng: {},
    lambda rng: [1, {"a": 2}],
    lambda rng: True,
    lambda rng: "12 kg",
    lambda rng: float("nan"),
    lambda rng: float("inf"),
    lambda rng: "\u0000\ud7ff",
    lambda rng: {"method": "guess"},
)


@pytest.mark.parametrize("batch", range(10))
def test_a_damaged_intake_gets_one_line_that_says_how_to_mend_it(batch):
    refused = 0
    for number in range(130):
        rng = random.Random(1000 * batch + number)
        data = copy.deepcopy(drawn(number % 300))
        place: object = data
        for _ in range(rng.randrange(1, 4)):
            if isinstance(place, dict) and place:
                key = rng.choice(sorted(place))
                if isinstance(place[key], dict | list) and place[key] and rng.random() < 0.7:
                    place = place[key]
                    continue
                place[key] = rng.choice(DAMAGE)(rng)
                break
            if isinstance(place, list) and place:
                place = place[rng.randrange(len(place))]
        try:
            parse_intake(data)
        except IntakeError as error:
            refused += 1
            message = str(error)
            assert 15 < len(message) < 900, message
            assert "\n" not in message
            assert "Traceback" not in message
            assert "pydantic" not in message
    assert refused >= 100
