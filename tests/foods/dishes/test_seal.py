"""What ships is proven: a seal counts only while nothing it rests on has changed."""

from __future__ import annotations

import gzip
import json
from importlib.resources import files

import pytest

from foods.dishes import __main__ as command
from foods.dishes import seal
from foods.dishes.load import load_dishes, prove_dishes
from foods.registry.errors import FoodError

BODY = (files("foods") / "data" / seal.SEAL).read_bytes()


def test_the_seal_holds_what_is_proven_now():
    found = seal.sealed()
    assert found is not None, (
        "run python -m foods.dishes --seal: what the seal rests on has changed"
    )
    assert found == prove_dishes()
    assert load_dishes() == found


def test_a_seal_made_from_anything_else_counts_for_nothing():
    assert seal.opened(BODY, "0" * 64) is None


def test_a_seal_whose_dishes_were_changed_counts_for_nothing():
    content = json.loads(gzip.decompress(BODY))
    content["dishes"][0]["steps"] = []
    assert seal.opened(gzip.compress(json.dumps(content).encode()), content["digest"]) is None


@pytest.mark.parametrize(
    "body",
    [b"", b"nothing", BODY[:1000], gzip.compress(b"[]", mtime=0)],
    ids=["empty", "text", "cut short", "no dishes"],
)
def test_a_damaged_seal_counts_for_nothing(body):
    assert seal.opened(body, seal.digest()) is None


@pytest.mark.parametrize("part", ["treatments.csv", "european.toml", "process.py", "catalogue.py"])
def test_the_digest_changes_with_every_input(part, monkeypatch):
    before = seal.digest()
    inputs = list(seal._inputs())
    (entry,) = [one for one in inputs if one.name == part and "dishes" not in one.name][:1]

    class Changed:
        name = entry.name

        @staticmethod
        def read_bytes():
            return entry.read_bytes() + b" "

    swapped = [Changed if one is entry else one for one in inputs]
    monkeypatch.setattr(seal, "_inputs", lambda: iter(swapped))
    assert seal.digest() != before


def test_nothing_unproven_is_sealed(tmp_path, monkeypatch):
    def unproven():
        raise FoodError("lime: bought raw, eaten cooked, but no step heats it")

    monkeypatch.setattr(command, "prove_dishes", unproven)
    monkeypatch.setattr(command, "seal", lambda *_: pytest.fail("sealed"))
    with pytest.raises(FoodError):
        command.main(["--seal"])


def test_the_command_writes_the_same_seal_again(tmp_path):
    assert seal.seal(load_dishes(), tmp_path).read_bytes() == BODY
