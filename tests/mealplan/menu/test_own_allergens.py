"""Nothing a client with an allergy reads offers the allergen as food."""

from __future__ import annotations

import csv
import html
import io
import json
import random
import re

import pytest

from api.desk.exports import list_csv as service_csv
from api.desk.exports import list_text as service_text
from api.desk.exports import recipe
from mealplan.client.read import parse_intake
from mealplan.cooking.sheet import batch_plan
from mealplan.cooking.writing import batch_text
from mealplan.errors import NoPlanError
from mealplan.menu.week import make_plan
from mealplan.render.html import cook_html, list_html, menu_html, worksheet_html
from mealplan.render.text import plan_text, targets_text
from mealplan.shopping.door import shopping_list
from mealplan.shopping.writing import list_csv, list_json, list_text
from mealplan.targets.make import make_targets

# source: worked by hand (Regulation (EU) 1169/2011, Annex II, and what each is called in a kitchen)
CALLED = {
    "soy": r"soy\w*|soya|tofu|tempeh|edamame|miso|natto|tamari|shoyu",
    "gluten": r"wheat|wholewheat|barley|rye|seitan|bulgur|couscous|pitas?|spaghetti|freekeh|farro",
    "tree_nut": r"almonds?|walnuts?|cashews?|pecans?|hazelnuts?|pistachios?|brazil nuts?|"
    r"chestnuts?|macadamias?|pine nuts?|coconuts?",
    "peanut": r"peanuts?|groundnuts?",
    "sesame": r"sesame|tahini",
    "mustard": r"mustard",
}
HARMLESS = re.compile(
    r"water chestnuts?|\(?chestnut\)? mushrooms?|buckwheat|mustard greens|gluten-free",
    re.IGNORECASE,
)
"""Names that hold the word of an allergen and not the allergen."""
WARNS = re.compile(r"label|allerg|keep nuts, sesame", re.IGNORECASE)
"""Sentences that warn of an allergen rather than offer it."""
ALLERGIES = (
    ("soy",), ("gluten",), ("tree_nut", "peanut"), ("sesame", "tree_nut"),
    ("soy", "tree_nut", "peanut", "sesame"), ("soy", "gluten", "peanut", "sesame", "tree_nut"),
)  # fmt: skip


def drawn(number: int):
    """Draw an allergic client."""
    draw = random.Random(number)
    return parse_intake(
        {
            "role": "club rower",
            "sex": draw.choice(("male", "female")),
            "age_years": draw.randint(20, 60),
            "height_cm": draw.randint(160, 190),
            "weight_kg": draw.randint(58, 92),
            "start": "2026-11-30",
            "goal": {"phase": draw.choice(("gain", "hold", "cut"))},
            "activity": {"method": "multiplier", "pal": draw.choice((1.6, 1.75, 1.9))},
            "tastes": {"allergies": ALLERGIES[number % len(ALLERGIES)]},
            "kitchen": {"meals": draw.choice((3, 4, 5))},
            "seed": number,
        }
    )


@pytest.fixture(scope="module", params=range(12))
def told(request):
    """Everything one allergic client can read of three days, by where it stands."""
    intake = drawn(request.param)
    targets = make_targets(intake)
    try:
        plan = make_plan(intake, targets, days=3)
    except NoPlanError as error:
        return intake, {"refusal": str(error)}
    shopping, batch = shopping_list(plan, intake), batch_plan(plan, intake)
    pages = {
        "menu": menu_html(intake, plan),
        "sheet": cook_html(plan, batch),
        "list": list_html(plan, shopping),
        "worksheet": worksheet_html(intake, targets),
    }
    kept = json.loads(plan.model_dump_json())
    rows = json.loads(list_json(shopping))["lines"]
    return intake, {
        **{name: html.unescape(re.sub(r"<[^>]+>", "\n", page)) for name, page in pages.items()},
        "plan text": plan_text(intake, plan, shopping),
        "targets text": targets_text(intake, targets),
        "sheet text": batch_text(batch),
        "recipe cards": "\n".join(recipe(day, m) for day in plan.days for m in day.meals),
        "list text": list_text(shopping, dishes=True),
        "service text": service_text(shopping, intake.role),
        "plan JSON": "\n".join(strings(kept)),
        "sheet JSON": "\n".join(strings(json.loads(batch.model_dump_json()))),
        "targets JSON": "\n".join(strings(json.loads(targets.model_dump_json()))),
        "list JSON": "\n".join(s for row in rows for s in strings(row)),
        "list CSV": without_label_columns(list_csv(shopping)),
        "service CSV": without_label_columns(service_csv(shopping)),
    }


LABEL_FIELDS = {"allergens", "label_check", "read_label", "read_label_for"}
"""Where a warning stands as data."""


def strings(found, field: str = "") -> list[str]:
    """List every sentence and name in some JSON, keys with their underscores opened."""
    if field in LABEL_FIELDS:
        return []
    if isinstance(found, dict):
        return [text for key, value in found.items() for text in strings(value, key)]
    if isinstance(found, list):
        return [text for value in found for text in strings(value)]
    return [found.replace("_", " ")] if isinstance(found, str) else []


def without_label_columns(text: str) -> str:
    rows = csv.DictReader(io.StringIO(text))
    return "\n".join(v for row in rows for k, v in row.items() if k not in LABEL_FIELDS)


def test_no_output_offers_the_client_an_allergen(told):
    intake, outputs = told
    found = []
    for place, text in outputs.items():
        for line in re.split(r"\n|(?<=[.;!])\s", re.sub(r"\n\s{2,}(?=[a-z(]|D3\b)", " ", text)):
            bare = HARMLESS.sub("", line)
            if WARNS.search(bare):
                continue
            found += [
                (place, allergen, line.strip())
                for allergen in intake.tastes.allergies
                if re.search(rf"\b(?:{CALLED[allergen]})\b", bare, re.IGNORECASE)
            ]
    assert found == []


def test_the_walk_sees_an_allergen_where_one_is_offered():
    intake = drawn(0).model_copy(update={"tastes": drawn(2).tastes})
    line = "Scatter with chopped almonds if using."
    assert re.search(rf"\b(?:{CALLED[intake.tastes.allergies[0]]})\b", line)
