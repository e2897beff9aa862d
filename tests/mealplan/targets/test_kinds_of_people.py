"""What a condition, a medicine, a stage of life or an answer left out makes of a worksheet."""

import datetime as dt
import re

import pytest

from mealplan.client.health import health_words
from mealplan.client.intake import HIDING_FLAGS
from mealplan.errors import SafetyRefusal
from mealplan.kitchen.avoided import avoided_foods
from mealplan.targets.make import make_targets
from tests.mealplan.targets.clients import client, decided


def notices(made):
    return {one.code: one for one in made.notices}


def quantity(made, key):
    return next(line for line in made.worksheet if line.key == key)


def test_every_row_of_conditions_says_why_and_whom_to_see():
    for row in health_words():
        assert all((row.message, row.reason, row.see))
        assert row.flag not in HIDING_FLAGS


@pytest.mark.parametrize(
    ("flag", "food"),
    [
        ("g6pd deficiency", "fava_beans_canned"),
        ("coeliac disease", "oats_rolled"),
        ("mao inhibitor", "soy_sauce_shoyu"),
    ],
)
def test_a_condition_leaves_its_foods_out(flag, food):
    # source: common practice (favism; gluten; tyramine in fermented soya)
    assert food in avoided_foods(client(health=[flag]))
    assert food not in avoided_foods(client())


def test_medicines_that_hold_potassium_take_its_floor_away():
    made = make_targets(client(health=["potassium-raising medicines"]))
    assert made.days[0].ranges["potassium_mg"].low is None
    assert "salt substitute" in notices(made)["potassium_raising_medicines"].message


def test_an_ill_bowel_has_no_floor_of_fibre():
    made = make_targets(
        client(health=["bowel disease"], professional_overrides=decided("bowel_disease"))
    )
    fibre = made.days[0].ranges["fibre_g"]
    assert fibre.low is None
    assert fibre.high is not None


def test_kidney_disease_shows_no_ceiling_of_the_healthy():
    made = make_targets(
        client(health=["kidney disease"], professional_overrides=decided("kidney_disease"))
    )
    phosphorus = made.days[0].ranges["phosphorus_mg"]
    assert (phosphorus.low, phosphorus.high) == (None, None)


def test_a_professional_reads_as_one_sentence():
    made = make_targets(
        client(health=["bowel disease"], professional_overrides=decided("bowel_disease"))
    )
    assert notices(made)["bowel_disease"].message.endswith("follow-up booked.")


PREGNANT = {
    "sex": "female",
    "age_years": 30,
    "height_cm": 170,
    "weight_kg": 76,
    "health": ["pregnant"],
    "pregnancy_trimester": 3,
    "professional_overrides": decided("pregnancy"),
    "goal": {"phase": "hold"},
}


def test_pregnancy_goes_by_the_mass_before_it():
    # source: published (IOM 2005: increments on top of the need before pregnancy)
    today = make_targets(client(**PREGNANT))
    before = make_targets(client(**PREGNANT, weight_before_pregnancy_kg=66))
    assert before.energy.value < today.energy.value - 100
    assert "pregnancy_mass" in notices(today)
    # source: confirmed by independent transcription (IOM and NRC 2009: 11.5 to 16 kg at 22.8)
    assert "11.5 to 16 kg" in notices(before)["pregnancy_gain"].message
    assert "+10.0 kg" in notices(before)["pregnancy_gain"].message


def test_pregnancy_shows_no_fat_and_no_availability():
    keys = {line.key for line in make_targets(client(**PREGNANT)).worksheet}
    assert not keys & {"fat_percent", "ffm_kg", "energy_availability"}


def test_training_left_out_is_not_taken_for_an_athletes():
    quiet = make_targets(
        client(sessions_per_week=None, activity={"method": "multiplier", "pal": 1.5})
    )
    active = make_targets(
        client(sessions_per_week=None, activity={"method": "multiplier", "pal": 1.8})
    )
    told = make_targets(client(sessions_per_week=0, activity={"method": "multiplier", "pal": 1.5}))
    assert "no training" in notices(quiet)["sessions_unknown"].message
    assert "3 sessions" in notices(active)["sessions_unknown"].message
    assert "sessions_unknown" not in notices(told)
    assert quiet.energy.value == told.energy.value


def scan(method="dxa", **parts):
    return {"date": dt.date(2026, 11, 1), "method": method, **parts}


def test_a_scan_whose_parts_do_not_add_up_is_not_used():
    made = make_targets(client(weight_kg=82, scan=scan(fat_kg=12, lean_soft_kg=50, bone_kg=3.0)))
    assert "65.0 kg" in notices(made)["scan_doubtful"].message
    assert "not measured" in quantity(made, "fat_percent").note


def test_a_scan_that_nearly_adds_up_is_used_and_said():
    made = make_targets(client(weight_kg=82, scan=scan(fat_kg=14, lean_soft_kg=58.5, bone_kg=3.0)))
    assert "add up to 75.5 kg" in notices(made)["scan_doubtful"].message
    # source: worked by hand: 14 / 75.5
    assert quantity(made, "fat_percent").value == pytest.approx(18.54, abs=0.01)


def test_a_home_scale_is_weighed_with_size():
    size = make_targets(client())
    home = make_targets(client(scan=scan("bioimpedance", fat_percent=5)))
    pooled = quantity(home, "fat_percent")
    assert 5 < pooled.value < quantity(size, "fat_percent").value
    assert pooled.sd < 4.5


def test_a_default_cut_never_asks_for_what_only_a_professional_may_plan():
    # A cut that nobody set in numbers must not end in a refusal of its own making.
    lean = client(
        sex="female",
        weight_kg=62,
        height_cm=166,
        goal={"phase": "cut"},
        activity={
            "method": "component",
            "everyday_factor": 1.2,
            "sessions": [
                {"day": day, "activity": "12050", "minutes": 90}
                for day in ("mon", "tue", "wed", "thu", "fri", "sat")
            ],
        },
    )
    made = make_targets(lean)
    assert quantity(made, "energy_availability").value >= 30
    with pytest.raises(SafetyRefusal, match="availability_low"):
        make_targets(
            lean.model_copy(update={"goal": lean.goal.model_copy(update={"surplus_kcal": -700})})
        )


def test_a_long_session_before_a_race_is_said():
    race = [{"date": dt.date(2026, 12, 6), "time": "09:00", "minutes": 300}]
    week = {
        "method": "component",
        "everyday_factor": 1.3,
        "sessions": [{"day": "sat", "activity": "12050", "minutes": 90}],
    }
    busy = client(start=dt.date(2026, 11, 30), events=race, activity=week)
    assert "sat (90 min)" in notices(make_targets(busy))["race_week_session"].message


def test_signs_of_deficiency_ask_for_more_than_balance_of_the_lean():
    # source: confirmed by independent transcription (Loucks 2004: 45 kcal/kg fat-free mass)
    made = make_targets(
        client(
            sex="female",
            weight_kg=56,
            height_cm=168,
            health=["missed periods 3 months"],
            professional_overrides=decided("missed_periods"),
            goal={"phase": "hold"},
            activity={
                "method": "component",
                "everyday_factor": 1.1,
                "sessions": [{"day": "mon", "activity": "12050", "minutes": 60}],
            },
        )
    )
    assert quantity(made, "energy_availability").value < 45
    assert "45" in notices(made)["availability_recovery"].message


def test_loading_days_make_room_for_ten_grams_a_kilogram():
    # source: published (Burke et al. 2011: 10 to 12 g/kg a day for 36 to 48 hours)
    race = [{"date": dt.date(2026, 12, 5), "time": "07:00", "minutes": 600}]
    made = make_targets(client(weight_kg=73, events=race, goal={"phase": "endurance"}))
    for date in (dt.date(2026, 12, 3), dt.date(2026, 12, 4)):
        day = made.on_date(date)
        ranges = day.ranges
        assert ranges["net_carbohydrate_g"].low == pytest.approx(730)
        # What is drunk between meals leaves the meals no more than seven tenths carbohydrate.
        of_meals = ranges["net_carbohydrate_g"].low - ranges["net_carbohydrate_g"].supplied
        assert 4 * of_meals / day.meal_kcal < 0.70
        assert ranges["fat_g"].high < 0.2 * day.energy_kcal / 9
        assert ranges["fibre_g"].low == 0
        [between] = [item for item in day.fuel if item.when == "between"]
        assert "juice" in between.sentence()
    assert all(item.when != "between" for item in made.on_date(dt.date(2026, 12, 5)).fuel)


def test_skill_at_low_cost_gets_the_low_end_on_the_way():
    def during(met):
        week = {
            "method": "component",
            "everyday_factor": 1.3,
            "sessions": [
                {"day": "mon", "time": "16:00", "activity": "rope work", "met": met, "minutes": 120}
            ],
        }
        fuel = make_targets(client(activity=week)).days[0].fuel
        return next(item for item in fuel if item.when == "during")

    # source: published (Burke et al. 2011: 30 to 60 g an hour in one to two and a half hours)
    assert during(4.0).carbohydrate_per_h_g == 30
    assert during(8.0).carbohydrate_per_h_g == 45


def test_a_fluid_is_told_in_steps_a_bottle_shows():
    week = {
        "method": "component",
        "everyday_factor": 1.3,
        "sessions": [{"day": "mon", "activity": "12050", "minutes": 100}],
    }
    told = [item.sentence() for item in make_targets(client(activity=week)).days[0].fuel]
    amounts = [int(n.replace(",", "")) for one in told for n in re.findall(r"([\d,]+) mL", one)]
    assert amounts
    assert all(amount % 50 == 0 for amount in amounts)


def test_calcium_with_kidney_disease_and_fibre_in_a_wheelchair_have_no_floor():
    # source: from memory (KDOQI 2020: 800 to 1,000 mg in stages 3 and 4); common practice
    ill = make_targets(
        client(health=["kidney disease"], professional_overrides=decided("kidney_disease"))
    )
    assert ill.days[0].ranges["calcium_mg"].low is None
    assert "800 to 1,000" in ill.days[0].ranges["calcium_mg"].reason
    scan = {"date": "2026-11-20", "method": "dxa", "fat_percent": 22}
    sits = make_targets(client(health=["wheelchair user"], scan=scan))
    assert sits.days[0].ranges["fibre_g"].low is None
    assert sits.days[0].ranges["fibre_g"].high is not None
