import gzip

import pytest

from mealplan.errors import StoreError
from mealplan.store.backup import backup, restore
from mealplan.store.records import KINDS
from mealplan.store.sql import SqlStore
from tests.mealplan.store.conftest import NOW, a_client, a_coach, an_intake
from tests.mealplan.store.memory import MemoryStore


def filled(store):
    coach = a_coach()
    client = a_client(coach)
    with store.writing() as unit:
        for record in (coach, client, an_intake(client, 1), an_intake(client, 2)):
            unit.add(record)
    return store


def everything(store):
    with store.reading() as unit:
        return {kind: unit.find(kind) for kind in KINDS}


def test_a_backup_brings_everything_back(store, tmp_path):
    before = everything(filled(store))
    # source: worked by hand (a coach, a client and two intakes)
    assert backup(store, tmp_path / "one.backup", NOW) == 4
    other = SqlStore(f"sqlite:///{tmp_path / 'other.sqlite'}")
    assert restore(other, tmp_path / "one.backup") == 4
    assert everything(other) == before
    other.close()


def test_a_store_that_holds_records_is_replaced_only_when_asked(store, tmp_path):
    before = everything(filled(store))
    backup(store, tmp_path / "one.backup", NOW)
    with store.writing() as unit:
        unit.add(a_coach("later"))
    with pytest.raises(StoreError, match="--replace"):
        restore(store, tmp_path / "one.backup")
    restore(store, tmp_path / "one.backup", replace=True)
    assert everything(store) == before


def test_a_backup_is_not_written_over_another(store, tmp_path):
    (tmp_path / "one.backup").write_bytes(b"older")
    with pytest.raises(StoreError, match="already there"):
        backup(store, tmp_path / "one.backup", NOW)
    assert (tmp_path / "one.backup").read_bytes() == b"older"


def test_a_backup_is_for_its_owner_alone(tmp_path):
    backup(filled(MemoryStore()), tmp_path / "one.backup", NOW)
    assert (tmp_path / "one.backup").stat().st_mode & 0o077 == 0


def damaged(path, how):
    lines = gzip.decompress(path.read_bytes()).decode().splitlines(keepends=True)
    if how == "cut short":
        lines = lines[:-1]
    elif how == "a record gone":
        del lines[2]
    elif how == "a word changed":
        lines[2] = lines[2].replace("club rower", "club diver")
    elif how == "not ours":
        lines[0] = '{"format": "something else"}\n'
    path.write_bytes(gzip.compress("".join(lines).encode()))
    if how == "half a file":
        path.write_bytes(path.read_bytes()[:60])
    elif how == "not gzip":
        path.write_bytes(b"plain text")


@pytest.mark.parametrize(
    "how", ["cut short", "a record gone", "a word changed", "not ours", "half a file", "not gzip"]
)
def test_a_damaged_backup_changes_nothing(tmp_path, how):
    source = tmp_path / "one.backup"
    backup(filled(MemoryStore()), source, NOW)
    damaged(source, how)
    store = filled(MemoryStore())
    before = everything(store)
    with pytest.raises(StoreError, match="nothing was changed"):
        restore(store, source, replace=True)
    assert everything(store) == before
