"""Lines whose label this client must read are marked wherever the list is shown."""

from __future__ import annotations

import csv
import io
import json

import pytest

from api.desk.exports import list_csv as service_csv
from api.desk.exports import list_text as service_text
from foods.composition.catalogue import Catalogue
from mealplan.render.html import list_html
from mealplan.render.text import shopping_text
from mealplan.shopping.door import shopping_list
from mealplan.shopping.writing import list_csv, list_json, list_text

CATALOGUE = Catalogue.load()


# source: worked by hand (words of the law: Regulation (EU) 1169/2011, Annex II, and 21 USC 321)
@pytest.mark.parametrize(
    ("word", "labels"),
    [
        ("nuts", {"tree_nut", "peanut"}),
        ("walnuts", {"tree_nut"}),
        ("tofu", {"soy"}),
        ("gluten", {"gluten", "wheat", "rye", "barley"}),
        ("wheat", {"wheat", "gluten"}),
        ("lactose", {"milk"}),
        ("mushrooms", set()),
    ],
)
def test_a_clients_word_is_read_as_labels_say_it(word, labels):
    assert CATALOGUE.label_words(word) == labels


@pytest.fixture(scope="module")
def marked(weeks):
    intake, plan = weeks[0]
    tastes = intake.tastes.model_copy(update={"allergies": ("nuts", "wheat")})
    return plan, shopping_list(plan, intake.model_copy(update={"tastes": tastes}))


def test_lines_are_marked_for_what_is_on_their_label_and_nothing_else(marked):
    _, shopping = marked
    words = {"peanut", "tree_nut", "wheat", "gluten"}
    for line in shopping.lines:
        food = CATALOGUE.food(line.bought)
        # source: common practice (ground spices are adulterated or milled beside nuts and peanut)
        spice = {"peanut", "tree_nut"} if food.group == "spices" else set()
        told = {*line.label_check, *line.allergens, *spice}
        assert set(line.read_label) == {*food.plant_label} | (words & told)
    assert any(line.read_label for line in shopping.lines)


def test_text_page_csv_and_json_mark_the_same_lines(marked):
    plan, shopping = marked
    wanted = sorted(line.shop_name for line in shopping.lines if line.read_label)
    for write in (list_text, shopping_text, lambda s: service_text(s, "club rower")):
        rows = [row for row in write(shopping).splitlines() if "read the label" in row]
        assert sorted(r.partition("[ ] ")[2].partition(": ")[0] for r in rows) == wanted
    for write in (list_csv, service_csv):
        rows = csv.DictReader(io.StringIO(write(shopping)))
        assert sorted(row["food"] for row in rows if row["read_label_for"]) == wanted
    kept = json.loads(list_json(shopping))["lines"]
    assert sorted(line["shop_name"] for line in kept if line["read_label"]) == wanted
    assert list_html(plan, shopping).count("read the label:") == len(wanted)
