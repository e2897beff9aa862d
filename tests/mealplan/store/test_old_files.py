"""A database, a backup and a document of each kind, as of 30 November 2026, still open."""

import gzip
import json
from pathlib import Path

import pytest

from mealplan.store.backup import restore
from mealplan.store.documents import (
    DECISION,
    INTAKE,
    LOG_ENTRY,
    OWN_DISH,
    OWN_FOOD,
    PLAN,
    opened,
)
from mealplan.store.records import KINDS, Logged, OwnVersion
from mealplan.store.sql import SqlStore
from tests.mealplan.store.memory import MemoryStore

FIXTURES = Path(__file__).parent / "fixtures"
DOCUMENTS = sorted(path.name for path in FIXTURES.glob("*.json"))


def database(tmp_path):
    path = tmp_path / "whole.sqlite"
    path.write_bytes(gzip.decompress((FIXTURES / "whole.sqlite.gz").read_bytes()))
    return SqlStore(f"sqlite:///{path}")


def test_a_whole_database_comes_up_to_date_with_all_its_records(tmp_path):
    from_backup = MemoryStore()
    restore(from_backup, FIXTURES / "backup.json.gz")
    store = database(tmp_path)
    with store.reading() as unit, from_backup.reading() as other:
        for kind in (kind for kind in KINDS if kind.restored):
            found = unit.find(kind)
            assert {record.id: record for record in found} == {
                record.id: record for record in other.find(kind)
            }
        assert {json.loads(row.body)["kind"] for row in unit.find(Logged)} >= {"weigh-in", "scan"}
        assert {version.what for version in unit.find(OwnVersion)} == {"food", "dish"}
    store.close()


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_document_of_each_kind_still_reads(name):
    text = (FIXTURES / name).read_text()
    kind = {
        "intake": INTAKE, "plan": PLAN, "decision": DECISION, "food": OWN_FOOD, "dish": OWN_DISH,
    }.get(name.removesuffix(".json"), LOG_ENTRY)  # fmt: skip
    document = kind.read(text)
    again = kind.write(document)
    assert kind.read(again) == document
    kept = json.loads(text)
    for name in {"role", "name", "kind", "on", "action"} & set(kept):
        assert opened(again)[name] == kept[name]
