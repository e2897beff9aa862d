"""The command line: what it prints, how it fails, and what it leaves behind."""

import json
import os
import re
import subprocess
import sys
from importlib.resources import files
from typing import get_args

import pytest

from mealplan.cli.main import _parser, main
from mealplan.client.intake import HealthFlag, Intake
from mealplan.demo.folders import demo_intake_text
from mealplan.physiology.tables import constants

SESSION = "activity.sessions"


def one_session(**fields):
    return [{"day": "mon", "activity": "02054", "minutes": 60, **fields}]


# id: what is changed in a sound intake, exit code, and the words that say what and how to mend it
MALFORMED = {
    "text in a number": ({"weight_kg": "80 kg"}, 3, "weight_kg", "without quotes or a unit"),
    "a number in quotes": ({"age_years": "28"}, 3, "age_years", "not '28'.*without quotes"),
    "true for a number": ({"age_years": True}, 3, "age_years", "not True"),
    "null for a number": ({"weight_kg": None}, 3, "weight_kg", "should be a number"),
    "a list for a number": ({"height_cm": [180]}, 3, "height_cm", "should be a number"),
    "half a year": ({"age_years": 28.5}, 3, r"age_years=28\.5", "whole"),
    "negative weight": ({"weight_kg": -80}, 3, "weight_kg=-80", "35 to 250.*Check"),
    "weight in stones": ({"weight_kg": 12.5}, 3, r"weight_kg=12\.5", "12.5 st is 79 kg"),
    "weight in pounds": ({"weight_kg": 300}, 3, "weight_kg=300", "write weight_lb"),
    "both units": ({"weight_lb": 176}, 3, "weight_lb and weight_kg", "keep one"),
    "height in metres": ({"height_cm": 1.8}, 3, r"height_cm=1\.8", "180 cm"),
    "height in inches": ({"height_cm": 70}, 3, "height_cm=70", "write height_in"),
    "height in feet": ({"height_cm": 5.9}, 3, r"height_cm=5\.9", "feet by 12"),
    "age fifteen": ({"age_years": 15}, 4, "Age 15 is below 18", "See a physician"),
    "age 140": ({"age_years": 140}, 3, "age_years=140", "whole years"),
    "sex unknown": ({"sex": "m"}, 3, "sex is 'm'", "'male' or 'female'"),
    "no goal": ({"goal": ...}, 3, "goal is missing", '"phase"'),
    "goal in words": ({"goal": "gain 3 kg"}, 3, "goal='gain 3 kg'", "braces"),
    "unknown phase": ({"goal.phase": "bulk"}, 3, "goal.phase is 'bulk'", "'gain', 'hold'"),
    "goal said twice": ({"goal.surplus_kcal": 300}, 3, "surplus_kcal and change_kg", "keep one"),
    "gain that loses": ({"goal.change_kg": -3}, 3, "gain but change_kg=-3", "change one"),
    "no weeks": ({"goal.weeks": ...}, 3, "change_kg and weeks", "3 kg in 10 weeks"),
    "weeks of nothing": ({"goal.weeks": 0}, 3, "goal.weeks=0", "104 weeks"),
    "thirty kilos in four weeks": (
        {"goal": {"phase": "cut", "change_kg": -30, "weeks": 4}},
        3,
        r"-30\.0 kg in 28 days",
        "more time or less mass",
    ),
    "starvation": (
        {"goal": {"phase": "cut", "energy_kcal": 300}},
        4,
        "below 800",
        "smaller or slower loss. See a physician",
    ),
    "day written out": ({SESSION: one_session(day="monday")}, 3, "'monday'", "mean 'mon'"),
    "hours for minutes": ({SESSION: one_session(minutes=1.5)}, 3, r"minutes=1\.5", "is 90"),
    "more than a day": ({SESSION: one_session(minutes=600) * 3}, 3, "minutes=1800", "of a day"),
    "ambiguous session": ({SESSION: one_session(activity="running")}, 3, "'running'", "one code"),
    "unknown session": ({SESSION: one_session(activity="quoits")}, 3, "'quoits'", "activities"),
    "unknown code": ({SESSION: one_session(activity="99999")}, 3, "'99999'", "by words"),
    "unknown method": ({"activity": {"method": "guess"}}, 3, "'guess'", "'multiplier'"),
    "no method": ({"activity": {}}, 3, "activity.method is missing", "'multiplier'"),
    "factor of nine": ({"activity": {"method": "multiplier", "pal": 9}}, 3, "pal=9", "1.75"),
    "unknown food": ({"tastes.never": ["natoo"]}, 3, "never: 'natoo'", "mean natto"),
    "unknown wish": ({"tastes.likes": ["blorp"]}, 3, "likes: 'blorp'", "plain name"),
    "wish for an animal": ({"tastes.likes": ["beef"]}, 3, "likes: 'beef'", "leave it out"),
    "allergy not in a list": ({"tastes.allergies": "soy"}, 3, "allergies='soy'", "brackets"),
    "empty word": ({"tastes.dislikes": [""]}, 3, "dislikes: ''", "plain name"),
    "nine meals": ({"kitchen.meals": 9}, 3, "meals=9", "3 to 6"),
    "one time for five meals": ({"kitchen.meal_times": ["07:30"]}, 3, "1 for 5", "one each"),
    "no such time": (
        {"kitchen.meals": 3, "kitchen.meal_times": ["07:30", "12:30", "25:00"]},
        3,
        "'25:00'",
        "HH:MM",
    ),
    "times that fall": (
        {"kitchen.meals": 3, "kitchen.meal_times": ["19:00", "12:30", "07:30"]},
        3,
        "19:00, 12:30",
        "first meal first",
    ),
    "unknown tool": ({"kitchen.equipment": ["smoker"]}, 3, "'smoker'", "'hob', 'oven'"),
    "unknown cupboard food": (
        {"kitchen.cupboard": [{"food": "ricce", "grams": 500}]},
        3,
        "'ricce'",
        "mean|catalogue",
    ),
    "unknown supplement": ({"nutrition": {"supplements": {"zinc": True}}}, 3, "'zinc'", "there"),
    "unknown nutrient": (
        {"nutrition": {"bounds": {"iron": {"low": 10}}}},
        3,
        "bounds.*'iron'",
        "mean iron_mg",
    ),
    "bound upside down": (
        {"nutrition": {"bounds": {"iron_mg": {"low": 30, "high": 10}}}},
        3,
        "low 30 is above high 10",
        "swap",
    ),
    "misspelt field": ({"wieght_kg": 80}, 3, "wieght_kg", "mean weight_kg"),
    "unknown illness": ({"health": ["asthma"]}, 3, "'asthma'", "choose 'pregnant'"),
    "flag against sex": ({"health": ["pregnant"]}, 3, "pregnant but sex is male", "correct"),
    "date with slashes": ({"start": "30/11/2026"}, 3, "'30/11/2026'", "2026-11-30"),
    "no such date": ({"start": "2026-02-30"}, 3, "'2026-02-30'", "year-month-day"),
    "date as a number": ({"start": 20261130}, 3, "20261130", '"2026-11-30"'),
    "date far ahead": ({"start": "2206-11-30"}, 3, "2206-11-30", "2000 and 2100"),
    "scan from the future": ({"scan.date": "2027-11-20"}, 3, "2027-11-20", "check the year"),
    "fat above the body": ({"scan.fat_kg": 75}, 3, "fat_kg=75", "check which mass"),
    "fat as a share": (
        {"scan": {"date": "2026-11-20", "method": "dxa", "fat_percent": 0.18}},
        3,
        r"fat_percent=0\.18",
        "by 100",
    ),
    "resting kilojoules": (
        {"resting_test": {"date": "2026-11-20", "kcal": 7500}},
        3,
        "kcal=7500",
        "7500 kJ is 1793 kcal",
    ),
    "gas in litres": (
        {"resting_test.vo2_ml_min": 0.27},
        3,
        r"vo2_ml_min=0\.27",
        "multiplied by 1000",
    ),
    "impossible exchange ratio": (
        {"resting_test.vco2_ml_min": 300},
        3,
        "ratio 1.11",
        "check the two volumes",
    ),
    "control signs": ({"role": "club\u001b[31m lifter"}, 3, r"control sign", "plain words"),
}

SOUND = demo_intake_text("club-lifter")

# id: bytes of the file, words that say what, words that say how to mend it
BROKEN = {
    "empty": (b"", "is empty", "mealplan example"),
    "blank": (b" \n\t ", "is empty", "mealplan example"),
    "ten megabytes": (b" " * 10_000_000, "more than 1,000,000 bytes", "right file"),
    "not UTF-8": (SOUND.replace("canopy", "canop\u00e9").encode("latin-1"), "byte", "UTF-8"),
    "a picture": (b"\x89PNG\r\n\x1a\n\x00\x00", "byte 0", "UTF-8"),
    "UTF-16": (SOUND.encode("utf-16"), "byte 0", "UTF-8"),
    "nested lists": (b"[" * 200_000 + b"]" * 200_000, "nests too deeply", "right file"),
    "nested objects": (b'{"a":' * 100_000, "nests too deeply", "right file"),
    "nested a little": (
        SOUND.replace('"weight_kg": 80', '"weight_kg": ' + "[" * 300 + "]" * 300).encode(),
        "weight_kg=[[[",
        "should be a number",
    ),
    "cut short": (SOUND[:300].encode(), "is not JSON", "missing comma or quote"),
    "a comma too many": (SOUND[:-1].encode() + b",}", "is not JSON", "missing comma or quote"),
    "a list": (b"[]", "not a list", "mealplan example"),
    "a number": (b"3", "not a number", "mealplan example"),
    "null": (b"null", "not null", "mealplan example"),
    "NaN": (SOUND.replace('"weight_kg": 80', '"weight_kg": NaN').encode(), "NaN", "digits"),
    "infinite": (SOUND.replace('"weight_kg": 80', '"weight_kg": 1e999').encode(), "inf", "digits"),
    "five thousand digits": (
        SOUND.replace('"weight_kg": 80', '"weight_kg": ' + "9" * 5000).encode(),
        "5000 digits",
        "no quantity",
    ),
    "a field twice": (
        SOUND.replace('"weight_kg": 80', '"weight_kg": 80, "weight_kg": 90').encode(),
        "weight_kg is written twice, 80 and 90",
        "keep the right one",
    ),
    "half a character": (
        SOUND.replace("club lifter", "club \\ud800").encode(),
        "not text",
        "type it again",
    ),
}


def said_in_one_line(captured):
    """Check that a failure printed one line of error and nothing else, and return it."""
    assert captured.out == ""
    lines = captured.err.splitlines()
    assert len(lines) == 1
    assert lines[0].startswith("mealplan: ")
    assert "Traceback" not in lines[0]
    assert len(lines[0]) < 900
    return lines[0]


@pytest.mark.parametrize(
    ("changes", "code", "what", "mend"), MALFORMED.values(), ids=list(MALFORMED)
)
def test_a_malformed_intake_is_refused_in_one_line_that_mends_it(
    changes, code, what, mend, intake_file, capfd
):
    assert main(["plan", str(intake_file(changes=changes)), "--days", "1"]) == code
    line = said_in_one_line(capfd.readouterr())
    assert re.search(what, line), line
    assert re.search(mend, line), line


@pytest.mark.parametrize(("content", "what", "mend"), BROKEN.values(), ids=list(BROKEN))
def test_a_file_that_is_no_intake_is_refused_in_one_line(content, what, mend, tmp_path, capfd):
    path = tmp_path / "broken.json"
    path.write_bytes(content)
    assert main(["targets", str(path)]) == 3
    line = said_in_one_line(capfd.readouterr())
    assert what in line
    assert mend in line


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("missing.json", "there is no file"),
        (".", "is a folder; give the JSON file inside it"),
        ("x" * 5000, "cannot be read as a file"),
        ("nul\0name", "cannot be read as a file"),
    ],
)
def test_a_path_that_is_no_file_is_refused_in_one_line(name, words, tmp_path, capfd):
    assert main(["targets", str(tmp_path / name)]) == 3
    assert words in said_in_one_line(capfd.readouterr())


RUNNER, LIFTER = "club-runner", "club-lifter"
CUT = {"goal": {"phase": "cut", "rate_percent_per_week": -0.4}}
SEDENTARY = {"activity": {"method": "multiplier", "pal": 1.25}}


def lean(percent):
    return {"scan": {"date": "2026-11-20", "method": "dxa", "fat_percent": percent}}


# id: client, changes, the code the refusal prints, and a word of whom to see
REFUSALS = {
    "under 18": (LIFTER, {"age_years": 17}, "under_18", "physician"),
    "over 100": (LIFTER, {"age_years": 101}, "age_high", "dietitian"),
    "a day under 800 kcal": (
        LIFTER,
        {"goal": {"phase": "cut", "energy_kcal": 790}},
        "energy_never",
        "physician",
    ),
    "pregnant on a cut": (RUNNER, {"health": ["pregnant"], **CUT}, "pregnancy", "physician"),
    "pregnant": (RUNNER, {"health": ["pregnant"]}, "pregnancy", "physician"),
    "breastfeeding": (RUNNER, {"health": ["breastfeeding"]}, "pregnancy", "physician"),
    "after birth": (RUNNER, {"health": ["postpartum 6 months"]}, "pregnancy", "physician"),
    "disordered eating": (
        RUNNER,
        {"health": ["eating disorder history"]},
        "eating_disorder",
        "eating disorders",
    ),
    "feared foods": (
        RUNNER,
        {"health": ["fear of food groups"]},
        "fears_foods",
        "eating disorders",
    ),
    "thin and cutting": (RUNNER, {"weight_kg": 50, **CUT}, "bmi_low", "physician"),
    "very heavy": (RUNNER, {"weight_kg": 120, "goal": {"phase": "hold"}}, "bmi_high", "physician"),
    "no fat left, man": (LIFTER, {**lean(4), **CUT}, "fat_low", "physician"),
    "no fat left, woman": (RUNNER, {**lean(10), **CUT}, "fat_low", "physician"),
    "unwanted loss": (
        LIFTER,
        {"health": ["unintended weight loss"]},
        "unintended_loss",
        "physician",
    ),
    "no periods": (RUNNER, {"health": ["missed periods 3 months"]}, "missed_periods", "physician"),
    "heart": (LIFTER, {"health": ["heart symptoms"]}, "heart_symptoms", "physician"),
    "fainting": (LIFTER, {"health": ["fainting"]}, "fainting", "physician"),
    "stress fracture": (LIFTER, {"health": ["stress fracture"]}, "stress_fracture", "physician"),
    "diabetes medicines": (
        LIFTER,
        {"health": ["diabetes medicines"]},
        "diabetes_medicines",
        "physician",
    ),
    "anticoagulant": (LIFTER, {"health": ["anticoagulant"]}, "anticoagulant", "physician"),
    "thyroid": (LIFTER, {"health": ["thyroid disease"]}, "thyroid_disease", "physician"),
    "other medicines": (LIFTER, {"health": ["other medicines"]}, "other_medicines", "physician"),
    "kidney and protein": (
        LIFTER,
        {
            "health": ["one kidney"],
            "nutrition": {"protein": {"low_g_per_kg": 1.4, "high_g_per_kg": 1.8}},
        },
        "kidney_protein",
        "physician",
    ),
    "pregnant without a trimester": (
        RUNNER,
        {"health": ["pregnant"]},
        "trimester_unknown",
        "physician",
    ),
    "very thin": (RUNNER, {"weight_kg": 44}, "bmi_severe", "physician"),
    "thin": (RUNNER, {"weight_kg": 47}, "bmi_low", "physician"),
    "tired, low and cutting": (
        RUNNER,
        {"health": ["low mood", "tired and slower", "frequent illness", "gut complaints"], **CUT},
        "energy_deficiency_signs",
        "physician",
    ),
    "low libido and a cut": (
        LIFTER,
        {"health": ["low libido", "low mood"], **CUT},
        "energy_deficiency_signs",
        "physician",
    ),
    "wheelchair without a scan": (
        LIFTER,
        {"health": ["wheelchair user"], "scan": None},
        "sitting_body",
        "physician",
    ),
    "type 1 diabetes": (
        LIFTER,
        {"health": ["type 1 diabetes"]},
        "insulin_or_sulfonylurea",
        "diabetes team or a physician",
    ),
    "too little for a man": (
        LIFTER,
        {"goal": {"phase": "cut", "energy_kcal": 1450}, **SEDENTARY},
        "energy_low",
        "dietitian",
    ),
    "too little for a woman": (
        RUNNER,
        {"goal": {"phase": "cut", "energy_kcal": 1150}, **SEDENTARY},
        "energy_low",
        "dietitian",
    ),
    "long below resting energy": (
        RUNNER,
        {"goal": {"phase": "cut", "energy_kcal": 1250}, **SEDENTARY},
        "below_rmr",
        "dietitian",
    ),
    "low availability": (
        LIFTER,
        {"goal": {"phase": "cut", "energy_kcal": 2000}},
        "availability_low",
        "physician",
    ),
    "reduced availability for two years": (
        LIFTER,
        {"goal": {"phase": "cut", "change_kg": -15, "weeks": 104}},
        "availability_reduced",
        "dietitian",
    ),
    "deficit over a quarter": (
        RUNNER,
        {"goal": {"phase": "cut", "surplus_percent": -35}},
        "deficit_large",
        "dietitian",
    ),
    "fast loss": (
        LIFTER,
        {"goal": {"phase": "cut", "rate_percent_per_week": -1.4}},
        "loss_fast",
        "dietitian",
    ),
    "fast gain": (
        LIFTER,
        {"goal": {"phase": "gain", "rate_percent_per_week": 1.4}},
        "gain_fast",
        "dietitian",
    ),
}
REFUSALS |= {
    flag: (LIFTER, {"health": [flag]}, flag.replace(" ", "_"), "physician")
    for flag in (
        "bariatric surgery",
        "bowel disease",
        "phenylketonuria",
        "haemochromatosis",
        "g6pd deficiency",
        "kidney disease",
        "dialysis",
        "kidney stones",
        "one kidney",
        "sglt2 inhibitor",
        "insulin or sulfonylurea",
        "lithium",
        "mao inhibitor",
    )
}


@pytest.mark.parametrize(
    ("client", "changes", "finding", "see"), REFUSALS.values(), ids=list(REFUSALS)
)
def test_no_plan_is_made_where_it_could_hurt(client, changes, finding, see, intake_file, capfd):
    # source: thresholds are the rows of references/safety_thresholds.csv, each with its source
    assert main(["plan", str(intake_file(client, changes)), "--days", "1"]) == 4
    line = said_in_one_line(capfd.readouterr())
    assert f"[{finding}]" in line
    assert re.search(f"See (?:a|the)[^.]* {see}", line)


def test_every_condition_of_the_intake_is_refused_or_noted(intake_file, capfd):
    tested = {flag for _, changes, _, _ in REFUSALS.values() for flag in changes.get("health", ())}
    # These stop no plan; they change what it says or holds.
    said = {
        "anaphylaxis": ("allergy", "an allergist"),
        "coeliac disease": ("coeliac_disease", "a physician and a registered dietitian"),
        "glp-1 medicine": ("glp1_medicine", "a physician"),
        "metformin": ("metformin", "a physician"),
        "potassium-raising medicines": ("potassium_raising_medicines", "a physician"),
        "irritable bowel": ("irritable_bowel_watch", "a registered dietitian"),
        "high blood pressure": ("high_blood_pressure_watch", "a physician"),
        "sleep apnoea": ("sleep_apnoea_watch", "a physician"),
        "gallstones": ("gallstones_watch", "a physician"),
        "limb loss": ("limb_loss_watch", "a physician and a registered dietitian"),
        "polycystic ovary syndrome": (
            "polycystic_ovaries",
            "a physician (gynaecologist or endocrinologist)",
        ),
    }
    assert set(get_args(HealthFlag)) - tested == set(said)
    for flag, (code, see) in said.items():
        sex = {"sex": "female"} if flag == "polycystic ovary syndrome" else {}
        path = intake_file(changes={"health": [flag], **sex})
        assert main(["targets", str(path), "--json"]) == 0
        notices = json.loads(capfd.readouterr().out)["notices"]
        assert any(n["code"] == code and n["see"] == see for n in notices)


def override(by, until="2027-06-30", finding="bowel_disease"):
    return {
        "health": ["bowel disease"],
        "professional_overrides": [
            {
                "finding": finding,
                "by": by,
                "reason": "seen in clinic, diagnosis known, follow-up booked",
                "until": until,
            }
        ],
    }


def test_a_dietitian_may_let_a_plan_through_and_is_named_in_it(intake_file, capfd):
    path = intake_file(changes=override("registered dietitian"))
    assert main(["plan", str(path), "--days", "1", "--json"]) == 0
    notices = json.loads(capfd.readouterr().out)["notices"]
    [let_through] = [n for n in notices if n["code"] == "bowel_disease"]
    assert let_through["severity"] == "warn"
    assert "Overridden by registered dietitian until 2027-06-30" in let_through["message"]


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        (override("strength coach"), "takes a physician or registered dietitian"),
        (override("registered dietitian", until="2026-01-31"), "ended on 2026-01-31"),
        (override("registered dietitian", finding="bowel"), "bowel_disease"),
    ],
)
def test_an_override_that_does_not_count_lets_nothing_through(changes, why, intake_file, capfd):
    assert main(["plan", str(intake_file(changes=changes)), "--days", "1"]) == 4
    assert why in said_in_one_line(capfd.readouterr())


def test_an_override_of_one_medicine_lets_no_other_through(intake_file, capfd):
    changes = override("physician", finding="anticoagulant")
    changes["health"] = ["anticoagulant", "diabetes medicines"]
    assert main(["plan", str(intake_file(changes=changes)), "--days", "1"]) == 4
    line = said_in_one_line(capfd.readouterr())
    assert "[diabetes_medicines]" in line
    assert "[anticoagulant]" not in line


def test_no_override_lifts_a_refusal(intake_file, capfd):
    changes = override("physician", finding="under_18") | {"age_years": 16}
    assert main(["plan", str(intake_file(changes=changes)), "--days", "1"]) == 4
    assert "[under_18]" in said_in_one_line(capfd.readouterr())


@pytest.mark.parametrize(
    ("changes", "code", "verdict"),
    [
        ({"goal": {"phase": "gain", "rate_percent_per_week": 1.4}}, "gain_fast", "refused"),
        ({"age_years": 16}, "under_18", "refused"),
        ({"health": ["eating disorder history"]}, "eating_disorder", "needs a professional"),
        ({"health": ["bowel disease"]}, "bowel_disease", "needs a professional"),
    ],
)
@pytest.mark.parametrize("command", [["targets"], ["plan", "--days", "1"], ["season"]])
def test_refused_clients_get_reasons_and_nothing_to_act_on(
    command, changes, code, verdict, intake_file, capfd
):
    season = {"season": [{"phase": "gain", "weeks": 8, "rate_percent_per_week": 1.4}]}
    path = intake_file(changes=(season if command == ["season"] else {}) | changes)
    assert main([*command, str(path)]) == 4
    printed = capfd.readouterr()
    assert printed.out == ""
    assert f"[{code}]" in printed.err or command == ["season"]
    if command == ["season"]:
        return
    assert main([*command, str(path), "--json"]) == 4
    said = json.loads(capfd.readouterr().out)
    assert set(said) == {"verdict", "findings"}
    assert said["verdict"] == verdict
    found = {one["code"]: one for one in said["findings"]}
    assert found[code]["see"]


@pytest.mark.parametrize(
    ("client", "changes", "finding"),
    [
        (RUNNER, lean(62), "window_fat_percent"),
        (RUNNER, lean(5), "window_fat_percent"),
    ],
)
def test_numbers_that_adults_rarely_have_are_to_be_looked_at_again(
    client, changes, finding, intake_file, capfd
):
    # source: common practice (plausibility windows of safety_thresholds.csv)
    assert main(["targets", str(intake_file(client, changes)), "--json"]) == 0
    notices = {n["code"]: n for n in json.loads(capfd.readouterr().out)["notices"]}
    assert notices[finding]["severity"] == "warn"


def test_a_meal_left_without_dishes_exits_with_its_own_code(intake_file, capfd):
    path = intake_file(changes={"tastes.never": ["grains", "vegetables", "fruit", "pulses"]})
    assert main(["plan", str(path), "--days", "1"]) == 5
    assert "relax one of them" in said_in_one_line(capfd.readouterr())


def test_a_folder_that_cannot_be_written_exits_with_its_own_code(intake_file, tmp_path, capfd):
    (tmp_path / "taken").write_text("a file, not a folder")
    arguments = ["plan", str(intake_file()), "--days", "1", "--out", str(tmp_path / "taken")]
    assert main(arguments) == 6
    assert "taken could not be written" in said_in_one_line(capfd.readouterr())


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["plan"],
        ["plan", "x.json", "--days", "0"],
        ["plan", "x.json", "--days", "29"],
        ["plan", "x.json", "--days", "two"],
        ["plan", "x.json", "--start", "7 December"],
        ["plan", "x.json", "--start", "9999-12-31"],
        ["plan", "x.json", "--seed", "-1"],
        ["serve", "--port", "99999"],
        ["schema", "dish"],
        ["undo"],
    ],
)
def test_a_command_typed_wrong_exits_two(arguments, capfd):
    with pytest.raises(SystemExit) as stop:
        main(arguments)
    assert stop.value.code == 2
    assert "usage: mealplan" in capfd.readouterr().err


def json_alone(capfd):
    """Read everything the process wrote to its standard output as one JSON value."""
    captured = capfd.readouterr()
    assert captured.err == ""
    return json.loads(captured.out)


def test_targets_as_json_print_json_and_nothing_else(intake_file, capfd):
    assert main(["targets", str(intake_file()), "--json"]) == 0
    targets = json_alone(capfd)
    assert targets["role"] == "club lifter"
    assert len(targets["days"]) == 7


def test_a_plan_as_json_prints_json_and_nothing_else(intake_file, capfd):
    # The solver writes on the process's own standard output, so the file descriptor is what counts.
    assert main(["plan", str(intake_file()), "--days", "2", "--json"]) == 0
    assert [day["date"] for day in json_alone(capfd)["days"]] == ["2026-11-30", "2026-12-01"]


def test_a_polished_plan_scores_no_worse_than_a_plain_one(intake_file, capfd):
    totals = []
    path = str(intake_file())
    for more in ([], ["--polish"]):
        assert main(["plan", path, "--days", "2", "--json", *more]) == 0
        plan = json_alone(capfd)
        totals.append(sum(day["objective"] for day in plan["days"]))
    assert totals[1] <= totals[0] + 1e-6


def test_a_plan_starts_on_the_day_asked_for_with_that_weekdays_targets(intake_file, capfd):
    path = str(intake_file())
    assert main(["targets", path, "--json"]) == 0
    energy = {day["weekday"]: day["energy_kcal"] for day in json_alone(capfd)["days"]}
    assert main(["plan", path, "--days", "2", "--start", "2026-12-03", "--json"]) == 0
    thursday, friday = json_alone(capfd)["days"]
    # source: worked by hand (3 December 2026 is a Thursday)
    assert (thursday["weekday"], friday["weekday"]) == ("thu", "fri")
    assert thursday["energy_target_kcal"] == energy["thu"]
    assert friday["energy_target_kcal"] == energy["fri"]


def test_the_demo_as_json_prints_json_alone_and_writes_its_folder(tmp_path, capfd):
    assert main(["demo", "--client", "club-climber", "--json", "--out", str(tmp_path)]) == 0
    plan = json_alone(capfd)
    folder = tmp_path / "club-climber"
    assert sorted(path.name for path in folder.iterdir()) == [
        "cook.html",
        "intake.json",
        "list.html",
        "log.csv",
        "menu.html",
        "review.html",
        "worksheet.html",
    ]
    menu = (folder / "menu.html").read_text(encoding="utf-8")
    assert all(meal["name"] in menu for day in plan["days"] for meal in day["meals"])
    for page in folder.glob("*.html"):
        text = page.read_text(encoding="utf-8")
        assert "<style" not in text
        assert (folder / re.search('rel="stylesheet" href="([^"]+)"', text)[1]).exists()


def test_a_written_intake_gives_the_same_plan_again(tmp_path, intake_file, capfd):
    arguments = ["plan", str(intake_file("club-climber")), "--days", "1", "--json"]
    assert main([*arguments, "--out", str(tmp_path / "out")]) == 0
    first = json_alone(capfd)
    arguments[1] = str(tmp_path / "out" / "intake.json")
    assert main(arguments) == 0
    assert json_alone(capfd) == first


def test_another_seed_may_give_another_day_and_the_same_seed_the_same(intake_file, capfd):
    def planned(seed):
        path = str(intake_file("club-runner"))
        assert main(["plan", path, "--days", "1", "--json", "--seed", str(seed)]) == 0
        return json_alone(capfd)

    assert planned(5) == planned(5)
    assert planned(5)["seed"] == 5


def test_foods_and_activities_can_be_looked_up(capfd):
    assert main(["food", "lentils", "--json"]) == 0
    assert all(row["ndb"] and row["description"] for row in json_alone(capfd))
    assert main(["activities", "rowing", "--json"]) == 0
    assert all(row["met"] >= 1 for row in json_alone(capfd))


@pytest.mark.parametrize("command", ["food", "activities"])
def test_looking_up_nothing_known_says_so(command, capfd):
    assert main([command, "xyzzyq"]) == 3
    assert "xyzzyq" in said_in_one_line(capfd.readouterr())


def test_the_example_is_an_intake_that_can_be_planned(tmp_path, capfd):
    assert main(["example"]) == 0
    path = tmp_path / "example.json"
    path.write_text(capfd.readouterr().out, encoding="utf-8")
    assert main(["targets", str(path)]) == 0
    assert "kcal" in capfd.readouterr().out


COMMANDS = sorted(_parser()._subparsers._group_actions[0].choices)


@pytest.mark.parametrize("command", COMMANDS)
def test_help_teaches_by_example(command, capfd):
    with pytest.raises(SystemExit) as stop:
        main([command, "--help"])
    assert stop.value.code == 0
    assert f"example\n  mealplan {command}" in capfd.readouterr().out


def test_the_commands_that_make_targets_plans_and_pages_are_there():
    assert {"targets", "plan", "demo", "serve", "food", "example", "schema"} <= set(COMMANDS)


def test_help_names_every_command_every_exit_code_and_whom_to_see(capfd):
    with pytest.raises(SystemExit):
        main(["--help"])
    text = capfd.readouterr().out
    assert all(f"\n    {command}" in text for command in COMMANDS)
    for code in ("0 done", "1 a", "2 typed", "3 the", "4 refused", "5 no", "6 a", "130 int"):
        assert code in text
    assert "registered dietitian" in text


def process(root, *arguments, **options):
    environment = os.environ | {"PYTHONPATH": str(root)}
    return subprocess.Popen(
        [sys.executable, "-m", "mealplan", *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment,
        **options,
    )


def test_a_process_of_its_own_prints_json_alone(root, intake_file, tmp_path):
    command = process(root, "plan", str(intake_file()), "--days", "1", "--json", cwd=tmp_path)
    out, err = command.communicate(timeout=120)
    assert command.returncode == 0
    assert err == b""
    assert json.loads(out)["role"] == "club lifter"


def test_a_reader_that_stops_early_is_no_error(root, tmp_path):
    command = process(root, "activities", cwd=tmp_path)
    command.stdout.close()
    err = command.stderr.read()
    command.stderr.close()
    assert command.wait(timeout=60) == 0
    assert err == b""


def test_the_thresholds_the_refusals_quote_are_in_the_reference_table():
    # source: published (each row of the table cites its own)
    rows = constants("safety_thresholds")
    assert rows["adult_age"].value == 18
    assert rows["energy_never"].value == 800
    assert all(row.source for row in rows.values())


def test_a_resting_test_is_judged_and_gives_what_the_intake_needs(tmp_path, capfd):
    rows = ["time,VO2 (mL/min),VCO2 (mL/min)"]
    rows += [f"{minute},{310 if minute < 5 else 250 + minute % 2},{205}" for minute in range(18)]
    table = tmp_path / "canopy.csv"
    table.write_text("\n".join(rows), encoding="utf-8")
    asked = ["resting-test", str(table), "--date", "2026-11-20", "--fasted-hours", "11", "--json"]
    assert main(asked) == 0
    found = json_alone(capfd)["resting_test"]
    # source: worked by hand (the steady minutes alternate between 250 and 251 mL/min)
    assert found["vo2_ml_min"] == pytest.approx(250.5, abs=0.3)
    assert found["vco2_ml_min"] == 205
    assert found["cv_percent"] < 1


def test_an_empty_resting_test_says_what_to_export(tmp_path, capfd):
    table = tmp_path / "empty.csv"
    table.write_text("", encoding="utf-8")
    assert main(["resting-test", str(table), "--date", "2026-11-20"]) == 3
    assert "minute-by-minute" in capfd.readouterr().err


def test_the_example_of_a_resting_test_is_a_good_one(tmp_path, capfd):
    assert main(["example", "resting-test"]) == 0
    table = tmp_path / "canopy.csv"
    table.write_text(capfd.readouterr().out, encoding="utf-8")
    asked = ["resting-test", str(table), "--date", "2026-11-20", "--fasted-hours", "11"]
    assert main(asked) == 0
    assert "Verdict: good" in capfd.readouterr().out


def models_in(kind):
    """Give the models that a field may hold."""
    if hasattr(kind, "model_fields"):
        return [kind]
    return [model for part in get_args(kind) for model in models_in(part)]


def test_the_blank_sheet_asks_for_fields_of_the_intake_and_for_all_that_are_needed(capfd):
    assert main(["example", "blank"]) == 0
    sheet = capfd.readouterr().out
    needed, _ = sheet.split("\nASK EVERYONE", 1)
    named = set(re.findall(r"\[([a-z_.]+)\]", sheet)) - {"brackets", "weight_lb", "height_in"}
    assert len(named) > 30
    for path in named:
        models = [Intake]
        for name in path.split("."):
            kinds = [model.model_fields[name] for model in models if name in model.model_fields]
            assert kinds, path
            models = [model for kind in kinds for model in models_in(kind.annotation)]
    tops = {path.split(".")[0] for path in re.findall(r"\[([a-z_.]+)\]", needed)}
    required = {name for name, one in Intake.model_fields.items() if one.is_required()}
    assert {"sex", "age_years", "weight_kg", "goal"} <= required <= tops
    # source: common practice (an A4 sheet holds some 80 characters a line)
    assert max(len(line) for line in sheet.splitlines()) < 80


@pytest.mark.parametrize(
    "arguments",
    [
        ["resting-test", "absent.csv", "--date", "2026-11-20"],
        ["larder", "absent.csv"],
        ["plan", "INTAKE", "--dishes", "absent.csv"],
        ["plan", "INTAKE", "--foods", "absent.csv"],
        ["plan", "INTAKE", "--prices", "absent.csv"],
        ["plan", "INTAKE", "--after", "absent.csv"],
    ],
)
def test_a_file_that_is_not_there_is_said_to_be_unread(arguments, intake_file, capfd):
    path = str(intake_file())
    assert main([path if word == "INTAKE" else word for word in arguments]) == 6
    said = said_in_one_line(capfd.readouterr())
    assert "absent.csv cannot be read" in said
    assert "check its name" in said


def test_the_demo_alone_prints_its_week_and_writes_nothing(tmp_path, monkeypatch, capfd):
    monkeypatch.chdir(tmp_path)
    assert main(["demo"]) == 0
    said = capfd.readouterr().out
    assert said.startswith("TARGETS  club lifter")
    assert said.count("kcal") > 20
    assert "mealplan demo --out FOLDER" in said
    assert list(tmp_path.iterdir()) == []


def test_own_dishes_are_planned_and_faulty_ones_refused(tmp_path, intake_file, capfd):
    ours = tmp_path / "ours.toml"
    ours.write_text("[[dish]]\nkey = 3\n", encoding="utf-8")
    asked = ["plan", str(intake_file("club-climber")), "--days", "1", "--dishes", str(ours)]
    assert main(asked) == 3
    assert "ours.toml" in capfd.readouterr().err


def test_a_price_list_adds_what_the_week_costs(tmp_path, intake_file, capfd):
    prices = tmp_path / "prices.csv"
    prices.write_text(
        (files("mealplan") / "references" / "demo_prices.csv").read_text(encoding="utf-8"),
        encoding="utf-8",
    )
    asked = ["plan", str(intake_file("club-climber")), "--days", "1", "--prices", str(prices)]
    assert main(asked) == 0
    assert "stays at home for later" in capfd.readouterr().out


def test_a_season_is_printed_with_its_hand_over(intake_file, capfd):
    assert main(["season", str(intake_file("club-lifter")), "--today", "2026-12-20"]) == 0
    out = capfd.readouterr().out
    assert "body fat reaches 18 %" in out
    assert "On 2026-12-20: stay" in out
    assert main(["season", str(intake_file("club-climber"))]) == 3
