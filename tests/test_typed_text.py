"""Text that someone typed is read in time that grows with its length, whatever it is made of."""

import contextlib
import json
import time

import pytest

from foods.composition.catalogue import Catalogue
from foods.custom.ingredients import ingredient_names, read_ingredients
from foods.custom.own_file import parse_own_foods
from foods.dishes.load import parse_dishes
from foods.registry.errors import FoodError
from foods.registry.typed import DEEPEST_TOML, MOST_TOML, check_toml, clipped
from mealplan.checkin.log.csv_import import read_csv
from mealplan.checkin.log.eaten_words import read_eaten
from mealplan.checkin.table.amounts import said_of
from mealplan.checkin.table.daytext import day_text, time_text
from mealplan.checkin.table.headings import read_heading
from mealplan.client.intake import MOST_TASTES
from mealplan.client.read import read_intake
from mealplan.client.session_lines import read_sessions
from mealplan.client.typed import read_quantity
from mealplan.client.typed_dates import read_typed_date
from mealplan.client.typed_lists import read_food_words, read_minutes_by_day
from mealplan.demo.folders import demo_intake_text
from mealplan.errors import CheckInError, IntakeError
from mealplan.kitchen.ingredient import match_line
from mealplan.kitchen.measures import grams_of
from mealplan.kitchen.recipe_in import read_recipe
from mealplan.physiology.resting.gas_series import read_gas_series
from mealplan.redaction import hide_numbers

# One line a way of making a matcher try again and again: runs that fail at their end, runs broken
# by what may belong to them, and pairs that open without closing.
ATTACKS = (
    "1", "1 ", " ", "1.", "1,", "1, . ", "a", "a ", "a-", "-", "(", "(1", "1 kg (", "(a", "[", "[1",
    "1 to ", "between ", "st ", "1 st ", "1/", "/", "free ", "no a ", "may contain ", "vegan (",
    "<script ", "<script ld+json>", "<script ld+json></",
    "e 4", "vitamin d ", "\n", "\n ", ",", ";", "x=", "x.", "'", '"', "é", "1:1", "T ", "ss",
)  # fmt: skip
ENDS = ("", "!", "\n!", "\u2603", "x 1 g")


def refused_or_read(work, text):
    with contextlib.suppress(FoodError, IntakeError, CheckInError):
        work(text)


def table_of(text):
    cell = text.replace("\n", " ").replace(",", " ").replace('"', " ")
    return f"date,weight,note\n{cell},{cell},{cell}\n2026-11-01,80,\n"


def gas_of(text):
    cell = text.replace("\n", " ").replace(",", " ").replace('"', " ")
    return f"time{cell},VO2 {cell},VCO2 {cell}\n1,250,200\n"


def tastes_of(text):
    return json.dumps({"tastes": {"likes": [text]}})


CATALOGUE = Catalogue.load()
CHICKPEAS = CATALOGUE.food("chickpeas_canned")
READERS = {
    "eaten": read_eaten,
    "eaten in parts": lambda text: read_eaten(text[:600]),
    "hidden numbers": hide_numbers,
    "typed weight": lambda text: read_quantity("weight_kg", text),
    "typed date": read_typed_date,
    "line of training": read_sessions,
    "foods not eaten": read_food_words,
    "minutes by day": read_minutes_by_day,
    "amount of a table": said_of,
    "date": day_text,
    "time": time_text,
    "heading": read_heading,
    "table": lambda text: read_csv(table_of(text)),
    "gas": lambda text: read_gas_series(gas_of(text)),
    "amount": lambda text: grams_of(text, CHICKPEAS),
    "ingredients": read_ingredients,
    "ingredients' names": lambda text: ingredient_names(text, lambda name: False),
    "food words": lambda text: CATALOGUE.food(text),
    "likes": lambda text: read_intake(tastes_of(text)),
    "foods of one's own": lambda text: parse_own_foods(text, "file"),
    "dotted keys": lambda text: parse_own_foods(f"[[food]]\n{text}.name = 1", "file"),
    "dishes of one's own": lambda text: parse_dishes(text, "file"),
    "food or group": CATALOGUE.match,
    "recipe": lambda text: read_recipe(text, CATALOGUE),
    "recipe's line": lambda text: match_line(text, CATALOGUE),
}


@pytest.mark.parametrize("reader", READERS)
def test_every_attack_is_read_or_refused(reader):
    for attack in ATTACKS:
        for end in ENDS:
            refused_or_read(READERS[reader], attack * (20_000 // len(attack)) + end)


@pytest.mark.benchmark
@pytest.mark.parametrize("reader", READERS)
def test_sixteen_times_the_text_takes_no_more_than_forty_times_as_long(reader):
    def seconds(attack, end, letters):
        text = attack * (letters // len(attack)) + end
        best = float("inf")
        for _ in range(3):
            begun = time.process_time()
            refused_or_read(READERS[reader], text)
            best = min(best, time.process_time() - begun)
        return best

    plain = max(seconds("word ", "", 2_000), 1e-4)
    worst = max(
        seconds(attack, end, 32_000) / max(seconds(attack, end, 2_000), plain)
        for attack in ATTACKS
        for end in ENDS
    )
    assert worst <= 40


def test_words_longer_than_any_word_are_cut_short():
    assert clipped("a  few\nwords") == "a few words"
    assert clipped("x" * 5_000) == "x" * 60


def test_a_file_is_refused_by_its_shape_before_it_is_read():
    for text, said in (
        ("a" * (MOST_TOML + 1), "split it in two"),
        ("\n" * 30_000, "split it in two"),
        ("x = " + "1" * 5_000, "break it into several lines"),
        (".".join("a" * (DEEPEST_TOML + 2)) + " = 1", "parts"),
        ("x = " + "[" * 50, "close them"),
        ("x = " + "{a=" * 50, "close them"),
    ):
        with pytest.raises(FoodError, match=said):
            check_toml(text, "file")
    check_toml("[[food]]\nname = 'x'\npack_g = [400]\n" * 100, "file")


def test_more_likes_than_anyone_has_are_refused():
    intake = json.loads(demo_intake_text("club-lifter"))
    intake["tastes"] = {"likes": ["tofu"] * (MOST_TASTES + 1)}
    with pytest.raises(IntakeError, match="likes"):
        read_intake(json.dumps(intake))
