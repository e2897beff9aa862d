"""Kept documents: any older version is brought up to date, anything else is set aside."""

import json
from pathlib import Path

import pytest
from pydantic import BaseModel, TypeAdapter

from mealplan.store.documents import DOCUMENTS, INTAKE, Document, Unreadable, opened

FIXTURES = Path(__file__).parent / "fixtures"


class Note(BaseModel, extra="forbid"):
    words: tuple[str, ...]
    by: str


def split(content):
    return {"words": content["text"].split(), "by": content["who"]}


def shouted(content):
    return content | {"words": [word.upper() for word in content["words"]]}


NOTE = Document("note", TypeAdapter(Note), steps=(split, shouted))


@pytest.mark.parametrize(
    "text",
    [
        '{"text": "soak beans", "who": "coach"}',
        '{"document":"note","version":1,"content":{"text":"soak beans","who":"coach"}}',
        '{"document":"note","version":2,"content":{"words":["soak","beans"],"by":"coach"}}',
        '{"document":"note","version":3,"content":{"words":["SOAK","BEANS"],"by":"coach"}}',
        '{"version": 3, "content": {"words": ["SOAK", "BEANS"], "by": "coach"}, "document":"note"}',
    ],
)
def test_each_version_is_brought_to_the_newest_step_by_step(text):
    assert NOTE.read(text) == Note(words=("SOAK", "BEANS"), by="coach")


def test_what_is_written_is_of_the_newest_version_and_reads_back():
    note = Note(words=("A",), by="b")
    text = NOTE.write(note)
    assert json.loads(text)["version"] == 3
    assert NOTE.read(text) == note
    assert opened(text) == {"words": ["A"], "by": "b"}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            '{"document":"note","version":4,"content":{}}',
            "version 4, and this .* knows 1 to 3",
        ),
        ('{"document":"note","version":0,"content":{}}', "version 0"),
        ('{"document":"note","version":"three","content":{}}', "version three"),
        ('{"document":"note","version":null,"content":{}}', "version None"),
        ('{"document":"intake","version":1,"content":{}}', "says it is a intake"),
        ('{"document":"note","version":2,"content":{"words":3,"by":"b"}}', "fit version 2"),
        ('{"document":"note","version":3,"content":{"words":["A"]}}', "read at by"),
        ('{"document":"note","version":3,"content":{"words":["A"]', "read at"),
        ('{"text": "soak beans"}', "fit version 1"),
        ('{"text": 3, "who": "coach"}', "fit version 1"),
        ("[1, 2]", "no fields"),
        ("not JSON", "not JSON"),
        ("", "not JSON"),
        ("[" * 100_000, "not JSON"),
    ],
)
def test_an_unknown_version_or_shape_is_set_aside_with_the_reason(text, says):
    with pytest.raises(Unreadable, match=says):
        NOTE.read(text)


def test_the_reason_repeats_nothing_of_what_was_kept():
    text = (FIXTURES / "intake.json").read_text().replace('"height_cm"', '"kidney_disease_since"')
    with pytest.raises(Unreadable) as caught:
        INTAKE.read(text)
    assert "amend the intake anew" in str(caught.value)
    assert "178" not in str(caught.value)


@pytest.mark.parametrize(("budget", "counts"), [(40.0, "eaten"), (None, "till")])
def test_a_budget_kept_from_before_goes_on_counting_the_food_eaten(budget, counts):
    content = json.loads((FIXTURES / "intake.json").read_text())
    shop = content.setdefault("kitchen", {}).setdefault("shop", {})
    shop["prices"] = [{"food": "chickpeas_canned", "size_g": 400, "price": 0.9}]
    shop["budget_per_week"] = budget
    shop.pop("budget_counts", None)
    kept = INTAKE.read(json.dumps(content))
    assert kept.kitchen.shop.budget_counts == counts
    agreed = kept.kitchen.shop.model_copy(update={"budget_counts": "till"})
    kitchen = kept.kitchen.model_copy(update={"shop": agreed})
    again = INTAKE.read(INTAKE.write(kept.model_copy(update={"kitchen": kitchen})))
    assert again.kitchen.shop.budget_counts == "till"


def test_names_of_documents_are_unique():
    assert len({document.name for document in DOCUMENTS}) == len(DOCUMENTS)
