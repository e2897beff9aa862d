"""Every regular expression is listed with what reads typed text by it, and none is slow."""

import importlib
import re
import time

import pytest

from tests.patterns import attacks, compiled, written
from tests.test_typed_text import READERS

READS = {
    "foods.custom.food": ("foods of one's own",),
    "foods.custom.ingredients": ("ingredients", "ingredients' names"),
    "foods.dishes.check": ("dishes of one's own",),
    "foods.dishes.plain": ("dishes of one's own",),
    "foods.composition.food_words": ("food words", "food or group"),
    "foods.release.plant_words": ("ingredients",),
    "foods.composition.table": ("food words",),
    "mealplan.kitchen.measures": ("amount",),
    "mealplan.kitchen.recipe_draft": ("recipe",),
    "mealplan.kitchen.recipe_in": ("recipe",),
    "mealplan.physiology.resting.gas_series": ("gas",),
    "mealplan.checkin.table.amounts": ("amount of a table", "table"),
    "mealplan.checkin.table.daytext": ("date", "time", "table"),
    "mealplan.checkin.table.words": ("heading", "table"),
    "mealplan.redaction": ("hidden numbers",),
}
"""Module to the readers of typed text that reach its patterns; `test_typed_text` attacks each."""

CAPPED = {
    "foods.dishes.craft": "words and names of dishes that ship",
    "mealplan.client.typed_remarks": "a field of the intake, of at most 60 letters",
    "foods.dishes.render": "sentences of dishes whose steps are data",
    "foods.dishes.taste": "names of dishes, at most 60 letters, and what they call their foods",
    "foods.registry.nutrients": "the registry that ships",
    "mealplan.cooking.amounts": "steps of a dish, each at most as long as its form's field",
    "mealplan.cooking.batches": "steps of a dish, each at most as long as its form's field",
    "mealplan.cooking.boils": "steps of a dish, each at most as long as its form's field",
    "mealplan.cooking.words": "names of foods",
    "mealplan.kitchen.ingredient": "lines of a recipe, of which 300 letters are looked at",
    "mealplan.market.price_list": "three letters of a currency",
    "mealplan.nutrition.minerals": "names of foods",
    "mealplan.physiology.resting.equations": "rows of the table of equations that ships",
    "mealplan.render.html": "text this program wrote",
    "api.app.door": "bodies of at most a megabyte and addresses",
    "api.forms.custom_dishes": "fields of a form, capped at the door",
    "api.forms.custom_foods": "fields of a form, capped at the door",
    "api.forms.intake_faults": "messages this program wrote",
    "api.forms.log": "fields of a form, capped at the door",
    "api.pages.custom_foods": "messages this program wrote",
    "api.records.own_kept": "a file that was capped before",
}
"""Module whose patterns read nothing typed, or nothing long: what they read."""


def patterns():
    """Give each pattern of the program once, with its module."""
    found = {}
    for module, line, text, flags in written():
        if text is not None:
            found.setdefault((module, text, flags), line)
        for name, one in compiled(importlib.import_module(module)).items():
            found.setdefault((module, one.pattern, one.flags & ~re.UNICODE.value), name)
    return found


def test_every_module_with_a_pattern_says_what_it_reads():
    assert {module for module, *_ in written()} == {*READS, *CAPPED}
    assert {reader for readers in READS.values() for reader in readers} <= set(READERS)


def test_attacks_are_drawn_from_the_pattern_itself():
    # source: worked by hand (the classic of a repetition in a repetition; a run before a sign)
    assert ("", "a") in attacks(r"(a+)+$")
    assert ("x", "-") in attacks(r"x[\w-]*y")
    troubled = [one for one in patterns() if attacks(one[1], one[2])]
    assert len(troubled) > 50


def slowest(pattern, flags, short=1_000, long=8_000):
    """Give how many times as long the longer text takes, at worst."""

    def seconds(text):
        best = float("inf")
        for _ in range(2):
            begun = time.process_time()
            made.search(text)
            made.fullmatch(text)
            best = min(best, time.process_time() - begun)
        return best

    made = re.compile(pattern, flags)
    worst = 0.0
    for head, pump in attacks(pattern, flags):
        for end in ("\u2603", "!", " "):

            def text(size, head=head, pump=pump, end=end):
                whole = head + pump * (size // len(pump)) + end
                return whole if isinstance(pattern, str) else whole.encode("latin-1", "replace")

            worst = max(worst, seconds(text(long)) / max(seconds(text(short)), 2e-5))
    return worst


@pytest.mark.benchmark
def test_eight_times_the_text_takes_no_more_than_twenty_times_as_long():
    # source: worked by hand (8 when linear, 64 when the square)
    assert slowest(r"[\w-]+[- ]free\b", 0, 250, 2_000) > 30  # what the measure must find
    long = [one for one in patterns() if one[0] in READS]
    slow = {one: ratio for one in long if (ratio := slowest(one[1], one[2])) > 20}
    assert not slow
